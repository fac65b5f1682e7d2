"""What a key makes is its own: of another key there is neither a sight nor a sound of it."""

from __future__ import annotations

import copy
import json
import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.cli import main
from tests.apps_with_keys import Key, MakeApp, apps_with_keys, key_id, new_key, store_of
from tests.short_form import short_form

ASYNC = {"Prefer": "respond-async"}
NO_ID = "00000000-0000-4000-8000-000000000000"
PRICES = {"currency": "EUR", "materials": []}
STAR = {"block": "sawtooth-star", "finished_width": 6}


@pytest.fixture
def make_app(tmp_path: Path) -> Iterator[MakeApp]:
    with apps_with_keys(tmp_path) as make:
        yield make


def _cutter(client: FlaskClient, key: Key) -> dict[str, Any]:
    return dict(client.get("/v1/cutters/laser-bed", headers=key).get_json()["cutter"])


def _fill(
    app: Flask, key: Key, kit: dict[str, Any], do_jobs: Callable[[Flask], int], name: str
) -> dict[str, str]:
    """Make one of everything with a key; return the members of addresses by which it is found."""
    client = app.test_client()
    made = client.post("/v1/kits", json=kit, headers=key)
    assert made.status_code == 201, made.text
    job = client.post("/v1/layouts", json=kit, headers=key | ASYNC).get_json()
    batch = client.post("/v1/batches", json={"requests": [kit, kit]}, headers=key).get_json()
    assert do_jobs(app) == 3
    for path, body in (
        ("cutters", _cutter(client, key)), ("price-lists", PRICES), ("blocks", STAR),
    ):  # fmt: skip
        saved = client.put(f"/v1/{path}/{name}", json=body, headers=key)
        assert saved.status_code == 201, saved.text
    return {
        "kit_id": made.get_json()["id"], "job_id": job["id"], "batch_id": batch["id"], "name": name,
    }  # fmt: skip


def _operations(document: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield method and path of all operations on one thing that a key can make."""
    for path, operations in document["paths"].items():
        owned = re.search(r"{(kit|job|batch)_id}", path) or re.match(
            r"/v1/(cutters|price-lists|blocks)/{name}", path
        )
        if owned:
            yield from ((method, path) for method in operations)


def _call(client: FlaskClient, method: str, path: str, values: dict[str, str], key: Key) -> Any:
    files = {"name": "run-sheet.pdf"} if path.endswith("/files/{name}") else {}
    address = re.sub(r"{(\w+)}", lambda member: (values | files)[member[1]], path)
    body: Any = None
    if path.endswith("/recuts"):
        body = {"run": 1, "pieces": {"A": 1}}
    elif path.endswith("/links"):
        body = {"file": "run-sheet.pdf"}
    elif method == "put" and not path.endswith("/pin"):
        body = {"cutters": _cutter(client, key), "price-lists": PRICES, "blocks": STAR}[
            path.split("/")[2]
        ]
    return client.open(address, method=method.upper(), json=body, headers=key, buffered=True)


def _said(answer: Any) -> Any:
    """Return a problem without what differs from request to request."""
    problem = answer.get_json()
    return {name: problem[name] for name in problem.keys() - {"request_id", "instance"}}


def test_no_operation_reaches_what_another_key_made(
    make_app: MakeApp,
    document: dict[str, Any],
    small_kit: dict[str, Any],
    do_jobs: Callable[[Flask], int],
) -> None:
    """Every operation of the document on one thing; another's is as if it were not there."""
    app = make_app()
    client = app.test_client()
    mine, other, admin = new_key(app), new_key(app), new_key(app, "admin")
    made = _fill(app, mine, small_kit, do_jobs, "mine")
    operations = sorted(_operations(document))
    assert len(operations) >= 20
    nothing = dict.fromkeys(("kit_id", "job_id", "batch_id"), NO_ID) | {"name": "nothing"}
    for method, path in operations:
        refused = _call(client, method, path, made, other)
        if method == "put" and not path.endswith("/pin"):
            # A name is there once; what stands under it is neither shown nor changed.
            assert (refused.status_code, refused.get_json()["type"]) == (
                409,
                "/problems#name-taken",
            )
            continue
        assert refused.status_code == 404, (method, path)
        # A body that cannot be used makes no difference, nor does a condition.
        missing = _call(client, method, path, nothing, other)
        assert _said(refused) == _said(missing), (method, path)
    # All of it is still there, for the key that made it and for admins.
    for method, path in sorted(operations, key=lambda each: (each[0] == "delete", -len(each[1]))):
        for key in (admin, mine) if method == "get" else (mine,):
            answer = _call(client, method, path, made, key)
            assert answer.status_code < 400, (method, path, answer.text)


def test_lists_show_what_their_key_made(
    make_app: MakeApp, small_kit: dict[str, Any], do_jobs: Callable[[Flask], int]
) -> None:
    app = make_app()
    client = app.test_client()
    mine, other, admin = new_key(app), new_key(app), new_key(app, "admin")
    ours = _fill(app, mine, small_kit, do_jobs, "mine")
    theirs = _fill(app, other, small_kit, do_jobs, "theirs")

    def listed(path: str, member: str, key: Key, name: str = "id") -> set[str]:
        found: set[str] = set()
        link: str | None = path
        while link:
            page = client.get(link, headers=key).get_json()
            found |= {each[name] for each in page[member] if not each.get("built_in")}
            link = page.get("next")
        return found

    for path, member, name, member_id in (
        ("/v1/kits?limit=2", "kits", "id", "kit_id"),
        ("/v1/kits?limit=2&shape=hexagon&title=slip", "kits", "id", "kit_id"),
        ("/v1/jobs?limit=1", "jobs", "id", "job_id"),
        ("/v1/batches?limit=1", "batches", "id", "batch_id"),
        ("/v1/cutters?limit=1", "cutters", "name", "name"),
        ("/v1/price-lists?limit=1", "price_lists", "name", "name"),
        ("/v1/blocks?limit=1", "blocks", "name", "name"),
    ):
        own, foreign = listed(path, member, mine, name), listed(path, member, other, name)
        assert ours[member_id] in own
        assert theirs[member_id] in foreign
        assert not own & foreign
        # Kits of the batch, two, beside the one that was made at once.
        assert len(own) == (3 if member == "kits" else 1)
        assert listed(path, member, admin, name) == own | foreign


def test_what_a_job_or_a_batch_makes_belongs_to_its_key(
    make_app: MakeApp, small_kit: dict[str, Any], do_jobs: Callable[[Flask], int]
) -> None:
    app = make_app()
    client = app.test_client()
    mine, other = new_key(app), new_key(app)
    job = client.post("/v1/kits", json=small_kit, headers=mine | ASYNC).get_json()
    batch = client.post("/v1/batches", json={"requests": [small_kit]}, headers=mine).get_json()
    assert do_jobs(app) == 2
    kits = [client.get(job["href"], headers=mine).get_json()["kit"]]
    kits += [each["kit"] for each in client.get(batch["href"], headers=mine).get_json()["kits"]]
    recut = client.post(
        f"{kits[0]}/recuts", json={"run": 1, "pieces": {"A": 1}}, headers=mine
    ).headers["Location"]
    assert len({*kits, recut}) == 3
    for link in (*kits, recut):
        assert client.get(link, headers=mine).status_code == 200
        assert client.get(link, headers=other).status_code == 404


def test_names_lead_only_to_what_their_key_saved(
    make_app: MakeApp, small_kit: dict[str, Any], do_jobs: Callable[[Flask], int]
) -> None:
    app = make_app()
    client = app.test_client()
    mine, other = new_key(app), new_key(app)
    _fill(app, mine, small_kit, do_jobs, "mine")
    named = copy.deepcopy(small_kit)
    named["runs"][0]["cutter"] = "mine"
    for path, body in (
        ("/v1/layouts", named),
        ("/v1/batches", {"requests": [named]}),
        ("/v1/batches", {"request": small_kit, "cutters": ["mine"]}),
        ("/v1/layouts", {**small_kit, "prices": "mine"}),
        ("/v1/blocks", {"block": "mine"}),
    ):
        own = client.post(path, json=body, headers=mine)
        assert own.status_code in {200, 202}, (path, own.text)
        foreign = client.post(path, json=body, headers=other)
        assert foreign.status_code == 422, (path, body, foreign.text)
        # As for a name that nobody uses.
        unused = json.loads(json.dumps(body).replace('"mine"', '"nine"'))
        unknown = client.post(path, json=unused, headers=other)
        assert _said(unknown) == json.loads(json.dumps(_said(foreign)).replace("mine", "nine"))


def test_a_name_that_another_key_uses_is_refused_whatever_is_expected(make_app: MakeApp) -> None:
    app = make_app()
    client = app.test_client()
    mine, other, admin = new_key(app), new_key(app), new_key(app, "admin")
    body, address = _cutter(client, mine), "/v1/cutters/hoop"

    def put(key: Key, **headers: str) -> int:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return client.put(address, json=body, headers=key | named).status_code

    assert put(mine) == 201
    assert {put(other), put(other, If_Match='"1"'), put(other, If_None_Match="*")} == {409}
    assert client.delete(address, headers=other | {"If-Match": '"1"'}).status_code == 404
    assert client.get(address, headers=mine).get_json()["version"] == 1
    # An admin may replace it; it stays with the key that saved it.
    assert put(admin, If_Match='"1"') == 200
    assert client.get(address, headers=mine).get_json()["version"] == 2
    assert put(mine, If_Match='"2"') == 200
    assert client.delete(address, headers=mine).status_code == 204
    assert put(other) == 201


@pytest.mark.parametrize(
    "settings", short_form([{"sharing": "all"}, {"auth": "off"}], [{"sharing": "all"}])
)
def test_a_studio_shares_everything(
    make_app: MakeApp,
    small_kit: dict[str, Any],
    do_jobs: Callable[[Flask], int],
    settings: dict[str, str],
) -> None:
    """By the setting, and without keys: also what was made by keys before."""
    app = make_app()
    made = _fill(app, new_key(app), small_kit, do_jobs, "mine")
    shared = make_app(**settings)
    client, key = shared.test_client(), new_key(shared) if "sharing" in settings else {}
    for path in (
        f"kits/{made['kit_id']}", f"jobs/{made['job_id']}", f"batches/{made['batch_id']}",
        "cutters/mine", "price-lists/mine", "blocks/mine",
    ):  # fmt: skip
        assert client.get(f"/v1/{path}", headers=key).status_code == 200
    assert len(client.get("/v1/kits", headers=key).get_json()["kits"]) == 3
    cutter = _cutter(client, key)
    assert client.put("/v1/cutters/mine", json=cutter, headers=key).status_code == 200


def test_what_no_key_made_is_the_admins_until_it_is_assigned(
    make_app: MakeApp,
    small_kit: dict[str, Any],
    do_jobs: Callable[[Flask], int],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "data"))
    made = _fill(make_app(auth="off"), {}, small_kit, do_jobs, "ours")
    app = make_app()
    client = app.test_client()
    mine, other, admin = new_key(app), new_key(app), new_key(app, "admin")
    link = f"/v1/kits/{made['kit_id']}"
    assert client.get(link, headers=mine).status_code == 404
    assert client.get(link, headers=admin).status_code == 200
    assert main(["keys", "assign", key_id(mine)]) == 0
    assert "3 kits, 3 jobs, 1 batches, 1 cutters, 1 price lists" in capsys.readouterr().out
    assert client.get(link, headers=mine).status_code == 200
    assert client.get(link, headers=other).status_code == 404
    # From a key that goes to the one that takes its place.
    assert main(["keys", "assign", key_id(other), "--of", key_id(mine)]) == 0
    assert client.get(link, headers=mine).status_code == 404
    assert client.get(link, headers=other).status_code == 200
    assert main(["keys", "assign", "nobody"]) == 2
    assert main(["keys", "revoke", key_id(mine)]) == 0
    assert main(["keys", "assign", key_id(mine)]) == 2


def test_a_kit_comes_back_to_its_key(
    make_app: MakeApp, small_kit: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows that are made again from a kit's file know whose it is."""
    app = make_app()
    client = app.test_client()
    mine, other = new_key(app), new_key(app)
    older = tmp_path / "older.sqlite"
    with store_of(app).engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copy(tmp_path / "data" / "quarterseam.sqlite", older)
    link = client.post("/v1/kits", json=small_kit, headers=mine).headers["Location"]
    answer = client.get(link, headers=mine).data
    store_of(app).close()
    for path in (tmp_path / "data").glob("quarterseam.sqlite*"):
        path.unlink()
    shutil.copy(older, tmp_path / "data" / "quarterseam.sqlite")
    for path in (tmp_path / "data").glob("kits/*/*.zip"):
        os.utime(path, (path.stat().st_mtime - 7200,) * 2)  # old enough to belong to no request
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "data"))
    assert main(["import"]) == 0
    client = make_app().test_client()
    assert client.get(link, headers=mine).data == answer
    assert client.get(link, headers=other).status_code == 404


def test_an_idempotency_key_is_one_key_s_alone(
    make_app: MakeApp, small_kit: dict[str, Any]
) -> None:
    app = make_app()
    client = app.test_client()
    once = {"Idempotency-Key": "order-7"}
    mine, other = new_key(app), new_key(app)
    links = [
        client.post("/v1/kits", json=small_kit, headers=key | once).headers["Location"]
        for key in (mine, other, mine)
    ]
    assert links[0] == links[2] != links[1]


def test_a_reader_sees_its_own_previews(
    make_app: MakeApp, small_kit: dict[str, Any], do_jobs: Callable[[Flask], int]
) -> None:
    app = make_app()
    client = app.test_client()
    reader, other = new_key(app, "read"), new_key(app, "read")
    job = client.post("/v1/layouts", json=small_kit, headers=reader | ASYNC).get_json()
    assert do_jobs(app) == 1
    result = f"{job['href']}/result"
    assert client.get(result, headers=reader).status_code == 200
    assert client.get(result, headers=other).status_code == 404
    assert client.delete(job["href"], headers=other).status_code == 404
    assert client.delete(job["href"], headers=reader).status_code == 200
