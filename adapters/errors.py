"""The tree of errors that adapters raise."""

from __future__ import annotations


class AdapterError(ValueError):
    """A plan cannot be written in a format as asked; the message says what would be right.

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
    """A setting is unknown, missing or out of its bounds; ``setting`` names it."""

    def __init__(self, message: str, *, setting: str, format_name: str = "") -> None:
        super().__init__(message, format_name=format_name)
        self.setting = setting


class CannotHoldError(AdapterError):
    """The plan is larger than the format or the machine's numbers can say."""


class BrokenPluginError(AdapterError):
    """A plug-in raised, answered with the wrong type, or answered with too much."""


class ReadBackError(RuntimeError):
    """A written file does not say what its plan says: a defect, so the file is withheld."""
