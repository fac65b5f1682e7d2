"""The command line, as people call it."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from dataclasses import fields
from pathlib import Path

import pytest

from service.app import create_app
from service.cli import COMMANDS, main
from service.settings import Settings, variable
from service.tools.built_in import BUILT_IN

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "openapi" / "examples" / "harbour-class-set.json"


@pytest.mark.without_nester
def test_cut_makes_a_kit_without_a_server(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "kit"
    assert main(["cut", str(EXAMPLE), "--out", str(out)]) == 0
    made = {path.name for path in out.iterdir()}
    assert {"kit.json", "run-sheet.pdf", "1-template-card-1.svg"} <= made
    assert not [name for name in made if name.startswith(".")]
    payload = json.loads((out / "kit.json").read_bytes())
    for run in payload["runs"]:
        for load in run["loads"]:
            assert {file["name"] for file in load["files"]} <= made
    assert "Harbour class set" in capsys.readouterr().out


@pytest.mark.without_nester
def test_cut_can_store_its_kit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path / "data"))
    client = create_app(Settings(data=tmp_path / "data", compute_seconds=600)).test_client()
    # A saved cutter is known there, as it is to the service.
    assert client.put("/v1/cutters/back-room", json=BUILT_IN["laser-bed"]).status_code == 201
    asked = json.loads(EXAMPLE.read_text())
    asked["runs"] = [{**asked["runs"][0], "cutter": "back-room"}]
    asked["reference"] = "ORDER 7"
    request = tmp_path / "request.json"
    request.write_text(json.dumps(asked))
    out = tmp_path / "out"
    assert main(["cut", str(request), "--out", str(out), "--store"]) == 0
    (row,) = client.get("/v1/kits?reference=ORDER%207").get_json()["kits"]
    assert row["number"] in capsys.readouterr().out
    stored = client.get(row["href"], headers={"Accept": "application/zip"}).data
    with zipfile.ZipFile(io.BytesIO(stored)) as inside:
        found = {name: inside.read(name) for name in inside.namelist()}
    assert found == {path.name: path.read_bytes() for path in out.iterdir()}


@pytest.fixture
def few(tmp_path: Path) -> str:
    """Give the path of the example's request for two pieces of each kind in its first run."""
    asked = json.loads(EXAMPLE.read_text())
    asked["pieces"] = [{**each, "quantity": 2} for each in asked["pieces"]]
    asked["runs"] = asked["runs"][:1]
    request = tmp_path / "few.json"
    request.write_text(json.dumps(asked))
    return str(request)


def test_cut_replaces_files_only_when_told_to(
    few: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["cut", few, "--out", str(tmp_path / "out")]
    assert main(arguments) == 0
    before = (tmp_path / "out" / "kit.json").read_bytes()
    assert main(arguments) == 2
    assert "--overwrite" in capsys.readouterr().err
    assert main([*arguments, "--overwrite"]) == 0
    assert (tmp_path / "out" / "kit.json").read_bytes() == before


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("{", "JSON"),
        ('{"pieces": []}', "#: `runs`"),
        (EXAMPLE.read_text().replace('"units": "in",', ""), "unit"),
        (EXAMPLE.read_text().replace('"side": "1"', '"side": "30"'), "work area"),
    ],
)
def test_cut_says_what_is_wrong(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, word: str
) -> None:
    request = tmp_path / "request.json"
    request.write_text(text)
    assert main(["cut", str(request), "--out", str(tmp_path / "out")]) == 2
    assert word in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_cut_starts_without_server_and_database(few: str, tmp_path: Path) -> None:
    code = (
        "import sys; from service.cli import main; "
        f"code = main(['cut', {few!r}, '--out', {str(tmp_path / 'out')!r}]); "
        "print(code, sorted({'gunicorn', 'sqlalchemy', 'apispec'} & set(sys.modules)))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "0 []"


@pytest.mark.long
def test_demo_makes_files_and_pictures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--out", str(tmp_path)]) == 0
    output = capsys.readouterr().out
    made = {path.name for path in tmp_path.iterdir()}
    assert {"kit.zip", "run-sheet.pdf"} <= made
    pictures = [name for name in made if name.endswith("-picture.svg")]
    assert len(pictures) >= 3
    for name in pictures:
        png = (tmp_path / name).with_suffix(".png").read_bytes()
        assert png.startswith(b"\x89PNG")
    assert all(str(tmp_path / name) in output for name in made)


def test_serve_refuses_to_be_open_to_strangers(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATA", str(tmp_path))
    monkeypatch.setenv("QUARTERSEAM_AUTH", "off")
    assert main(["serve", "--host", "0.0.0.0", "--check-config"]) == 2  # noqa: S104 - refused
    assert "QUARTERSEAM_AUTH" in capsys.readouterr().err
    assert main(["serve", "--check-config"]) == 0


def test_settings_are_checked_whole_at_start(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("QUARTERSEAM_PORT", "ninety")
    monkeypatch.setenv("QUARTERSEAM_WORKER", "2")
    monkeypatch.setenv("QUARTERSEAM_DATA", "relative/folder")
    assert main(["serve", "--check-config"]) == 2
    output = capsys.readouterr().err
    assert "QUARTERSEAM_PORT must be a whole number from 0 to 65535" in output
    assert "Did you mean QUARTERSEAM_WORKERS?" in output
    assert "QUARTERSEAM_DATA must be an absolute path" in output


def test_every_setting_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["settings"]) == 0
    output = capsys.readouterr().out
    for each in fields(Settings):
        assert f"{variable(each.name)}\n    {each.metadata['meaning']}" in output


def test_every_command_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    for command in COMMANDS:
        with pytest.raises(SystemExit) as stopped:
            main([command, "--help"])
        assert stopped.value.code == 0
        assert f"python -m service {command}" in capsys.readouterr().out


def test_an_unknown_command_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["sew"])
    assert stopped.value.code == 2
    assert "serve" in capsys.readouterr().err
