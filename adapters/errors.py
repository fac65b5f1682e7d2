"""The errors that adapters raise."""

from __future__ import annotations


class AdapterError(ValueError):
    """A plan cannot be written in a format as requested; the message says what would work.

    Args:
        message: one or two plain sentences.
        format_name: the adapter's name.
    """

    def __init__(self, message: str, *, format_name: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.format_name = format_name


class UnknownFormatError(AdapterError):
    """No installed adapter has that name."""


class SettingError(AdapterError):
    """A setting is unknown, missing or out of range; ``setting`` names it."""

    def __init__(self, message: str, *, setting: str, format_name: str = "") -> None:
        super().__init__(message, format_name=format_name)
        self.setting = setting


class CannotHoldError(AdapterError):
    """The plan is larger than the format's or the machine's numbers allow."""


class BrokenPluginError(AdapterError):
    """A plug-in raised an unexpected error, or returned the wrong type or too much data."""


class ReadBackError(RuntimeError):
    """A written file differs from its plan; this is a bug, so the file is withheld."""
