"""The environment of the HTML templates."""

from __future__ import annotations

from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template


def template(name: str, **known: Any) -> Template:  # noqa: ANN401 - functions and words for it
    """Return a template, in which these names are known; all text is escaped."""
    environment = Environment(
        loader=PackageLoader("service.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    environment.globals.update(known)
    return environment.get_template(name)
