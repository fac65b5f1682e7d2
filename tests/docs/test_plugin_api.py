"""The page of the plug-in API is what its docstrings say, and lists every name once."""

from __future__ import annotations

from pathlib import Path

from adapters import api_page, plugin_api

PAGE = Path(api_page.__file__).with_name("API.md")


def test_the_page_is_generated() -> None:
    assert PAGE.read_text() == api_page.page()


def test_every_public_name_has_its_place() -> None:
    listed = [name for names in api_page._CHAPTERS.values() for name in names]
    assert sorted(listed) == sorted(plugin_api.__all__)
