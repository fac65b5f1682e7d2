"""A page of sections as a self-contained HTML page, from the same model as the PDF."""

from __future__ import annotations

from functools import cache

from jinja2 import Template

from service.documents.jinja import template
from service.documents.page import Page
from service.documents.pictures.looks import INK
from service.documents.pictures.strips import strips_picture
from service.documents.sketch import sketch_svg


def page_html(page: Page) -> str:
    """Return a page as HTML."""
    return _template().render(page=page)


@cache
def _template() -> Template:
    return template("page.html", ink=INK, draw_strips=strips_picture, draw=sketch_svg)
