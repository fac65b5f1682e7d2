"""Conformance tests for adapters, which a plug-in's author can run with one line.

In a test module of the plug-in::

    from adapters.conformance import conformance_tests
    TestMyFormat = conformance_tests(my_adapter, settings={...})

It calls the adapter as the service does: with the settings, and with the deviation that they allow,
and once as confined as a plug-in's process is. Tests that compare strokes use the adapter's own
``read(data, plan, settings)``, or else our reader for its extension; if there is neither, they are
reported as skipped.
"""

from __future__ import annotations

import pytest

# pytest explains failed assertions only in modules that are registered before they are imported.
pytest.register_assert_rewrite("adapters.conformance_class")

from adapters.conformance_class import conformance_tests  # noqa: E402 - see above

__all__ = ["conformance_tests"]
