"""The environment of the HTML templates."""

from __future__ import annotations

from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from service.texts import gettext


def environment() -> Environment:
    """Return the environment: all text is escaped, a name that is not known is an error."""
    return Environment(
        loader=PackageLoader("service.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )


def template(name: str, **known: Any) -> Template:  # noqa: ANN401 - functions and words for it
    """Return a template, in which these names are known, and ``_`` for its texts."""
    found = environment()
    found.globals.update(known, _=gettext)
    return found.get_template(name)
