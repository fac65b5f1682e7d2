"""What a run's cutter is called at the bench, on the run sheet and below pictures."""

from __future__ import annotations

from service.requests.runs import Run
from service.runs.printing import is_printed
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.built_in import title_of


def cutter_words(run: Run) -> str:
    """Return the tool and, in brackets, the cutter's name; its title may say which tool it has."""
    words = _tool_words(run)
    title = title_of(run.cutter)
    if title.casefold().startswith(words.casefold()) and len(title) > len(words):
        return title
    name = title or run.cutter.name
    return f"{words} ({name})" if name else words


def short_cutter_words(run: Run) -> str:
    """Return a cutter's name, or its tool; of a printed run both, as its cutter's tool is a pen."""
    if is_printed(run):
        return cutter_words(run)
    return title_of(run.cutter) or run.cutter.name or _tool_words(run)


def _tool_words(run: Run) -> str:
    if is_printed(run):
        return _("printer; then cut by hand")
    return _(kind_of(run.cutter.tool).words)
