"""The process that computations are forked from, begun before a server imports anything else.

A server needs a second to import HTTP and the database, and so does this process to import the
libraries of all formats and to make a first kit. They do so at the same time.
"""

from __future__ import annotations

from functools import partial

from adapters import plugins
from service.sandbox.fork_server import fork_early, fork_from_here
from service.settings import Settings
from service.tracing import json_lines


def fork_children_early(settings: Settings) -> None:
    """Fork the process that children are forked from, for this process and those forked later."""
    # Both need these, so they are imported once; nothing of HTTP or the database is among them.
    import service.sandbox.tasks  # noqa: F401, PLC0415 - not before a process is to be forked

    fork_early(partial(_prepare, settings))


def fork_children_here(settings: Settings) -> None:
    """Fork the process that children of this process are forked from, unless it has one."""
    fork_from_here(partial(_prepare, settings))


def _prepare(settings: Settings) -> None:
    """Prepare the process that children are forked from: they have all that it has."""
    plugins.hide(settings.data)
    json_lines.set_up(settings.log_level)
    import service.sandbox.warm  # noqa: F401, PLC0415 - it makes a kit
