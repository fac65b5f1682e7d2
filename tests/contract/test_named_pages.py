"""Pages of cutters, blocks and price lists: every entry once, in order, and not too much."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from geometry.blocks.gallery import GALLERY
from service.app import create_app
from service.settings import Settings
from service.storage import named_documents
from service.storage.store import Store
from service.tools.built_in import BUILT_IN

#: Path, member of a page, what comes with the service, and what is stored under a name.
LISTS = [
    ("/v1/cutters", "cutters", tuple(BUILT_IN), "cutters", BUILT_IN["laser-bed"]),
    ("/v1/price-lists", "price_lists", (), "price_lists", {"currency": "EUR", "materials": []}),
    ("/v1/blocks", "blocks", tuple(GALLERY), "blocks", {"drawing": {"paths": []}, "block": None}),
]
#: In the order of their names: a digit before a letter, a hyphen before both.
SAVED = [f"mooring{end}" for end in ("", "-2", "-b", "1", "10", "2", "a", "z")]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    app = create_app(Settings(data=tmp_path_factory.mktemp("named"), compute_seconds=600))
    store: Store = app.extensions["quarterseam-store"]()
    for *_, table, body in LISTS:
        for name in reversed(SAVED):
            getattr(store, table).put(name, body)
    yield app
    store.close()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


def _pages(client: FlaskClient, link: str, member: str) -> Iterator[list[str]]:
    while link:
        answer = client.get(link)
        assert answer.status_code == 200, answer.text
        page = answer.get_json()
        yield [each["name"] for each in page[member]]
        link = page.get("next") or ""
        # RFC 8288: the link is a header, too.
        assert answer.headers.get("Link") == (f'<{link}>; rel="next"' if link else None)


@pytest.mark.parametrize(("path", "member", "built_in", "table", "body"), LISTS)
def test_pages_of_every_size_hold_each_entry_once_and_in_order(
    client: FlaskClient, path: str, member: str, built_in: tuple[str, ...], table: str, body: Any
) -> None:
    del table, body
    every = [*built_in, *SAVED]
    sizes = {1, 3, 50, 200, len(built_in) - 1, len(built_in), len(built_in) + 1, len(every) - 1}
    for limit in sorted({*sizes, len(every), len(every) + 1} - {0, -1}):
        if limit > 200:
            continue
        pages = list(_pages(client, f"{path}?limit={limit}", member))
        assert [name for page in pages for name in page] == every, limit
        assert all(len(page) == limit for page in pages[:-1])
        assert 0 < len(pages[-1]) <= limit
    # Without a limit, fifty.
    first = client.get(path).get_json()
    assert [each["name"] for each in first[member]] == every[:50]


@pytest.mark.parametrize(("path", "member", "built_in", "table", "body"), LISTS)
def test_a_page_goes_on_where_it_ended_whatever_happened_in_between(
    app: Flask,
    client: FlaskClient,
    path: str,
    member: str,
    built_in: tuple[str, ...],
    table: str,
    body: Any,
) -> None:
    documents = getattr(app.extensions["quarterseam-store"](), table)
    pages = _pages(client, f"{path}?limit={max(1, len(built_in) + 2)}", member)
    first = next(pages)
    shown = first[-1]
    # What was shown last is deleted, one before it and one behind it are saved.
    assert documents.delete(shown)
    documents.put("aground", body)
    documents.put(f"{shown}-0", body)
    try:
        rest = [name for page in pages for name in page]
    finally:
        documents.put(shown, body)
        documents.delete("aground")
        documents.delete(f"{shown}-0")
    assert rest == sorted([f"{shown}-0", *SAVED[SAVED.index(shown) + 1 :]])


def _mark(text: str) -> str:
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


@pytest.mark.parametrize("path", [path for path, *_ in LISTS])
@pytest.mark.parametrize(
    "after",
    [
        "x", "%F0%9F%A7%B5", "a" * 200, _mark("s"), _mark("s a b"), _mark("x mooring"),
        _mark("s MOORING"), _mark("s mooring\n"), _mark("b no-such-one"), _mark("7 mooring"),
        _mark("1700000000000000 00000000-0000-4000-8000-000000000000"), _mark("n 3"),
    ],
)  # fmt: skip
def test_a_made_up_mark_is_refused(client: FlaskClient, path: str, after: str) -> None:
    answer = client.get(f"{path}?after={after}")
    assert answer.status_code == 422
    assert [each["parameter"] for each in answer.get_json()["errors"]] == ["after"]


@pytest.mark.parametrize("path", [path for path, *_ in LISTS])
@pytest.mark.parametrize("query", ["limit=0", "limit=201", "limit=x", "limit=", "after=", "page=2"])
def test_a_wrong_query_is_refused(client: FlaskClient, path: str, query: str) -> None:
    answer = client.get(f"{path}?{query}")
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["parameter"] == query.partition("=")[0]


def test_a_mark_behind_all_ends_the_list(client: FlaskClient) -> None:
    page = client.get(f"/v1/price-lists?after={_mark('s zz')}").get_json()
    assert page == {"price_lists": []}


@pytest.mark.parametrize("of_all", [False, True])
def test_a_page_reads_a_few_large_documents_at_most(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, of_all: bool
) -> None:
    """Bodies of a mebibyte: two hundred of them would be an answer of 200 MiB."""
    store = Store(Settings(data=tmp_path))
    large = {"text": "x" * 1000}
    for number in range(20):
        store.price_lists.put(f"list-{number:02}", large, maker=("" if number % 2 else "other"))
    monkeypatch.setattr(named_documents, "MAX_PAGE_BYTES", 2500)
    key, step = (None, 1) if of_all else ("other", 2)
    read: list[str] = []

    def name(document: named_documents.NamedDocument) -> str:
        read.append(document.name)
        return document.name

    found: list[str] = []
    more, turns = True, 0
    while more:
        names, more = store.price_lists.page(
            200, name, after=found[-1] if found else "", key_id=key
        )
        # 1,011 bytes each: the third passes the limit, and is the last one of its page.
        assert len(names) <= 3
        found += names
        turns += 1
    assert found == read == [f"list-{number:02}" for number in range(0, 20, step)]
    assert turns == -(-len(found) // 3)
    store.close()
