"""The warning at start that plug-ins are not confined."""

from __future__ import annotations

import logging

from adapters.registry import plugin_names
from adapters.sandbox.confinement import landlock_version

_LOG = logging.getLogger(__name__)


def warn_of_unconfined_plugins() -> None:
    """Log a warning if plug-ins are installed and the kernel cannot confine their files."""
    plugins = plugin_names()
    if plugins and not landlock_version():
        _LOG.warning(
            "plug-ins (%s) run with all rights of this service's user: the kernel has no Landlock",
            ", ".join(plugins),
        )
