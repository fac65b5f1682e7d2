"""Which files a plug-in's process may read, for folders of the import path that are made here."""

from __future__ import annotations

import sys
import zipfile
from collections.abc import Iterable
from pathlib import Path

import pytest

from adapters.plugin_code import keep_found_modules, readable_places


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """Return a folder with code, and with files that are none."""
    folder = (tmp_path / "folder").resolve()
    for name in ("package", "data", "__pycache__", "a-1.0.dist-info", "b.egg-info", "c.libs"):
        (folder / name).mkdir(parents=True)
    (folder / "package" / "__init__.py").touch()
    for name in ("module.py", "fast.so", "notes.txt", "key.pem"):
        (folder / name).touch()
    (folder / "data" / "kits.db").touch()
    return folder


def below(folder: Path, path: Iterable[Path], hidden: Iterable[Path] = ()) -> set[str]:
    """Return what is readable below a folder, as paths from there."""
    places = readable_places(map(str, path), "no_such_module_anywhere", map(str, hidden))
    return {
        str(Path(each).relative_to(folder)) for each in places if Path(each).is_relative_to(folder)
    }


CODE = {"package", "__pycache__", "a-1.0.dist-info", "b.egg-info", "c.libs", "module.py", "fast.so"}


def test_of_a_folder_its_code(site: Path) -> None:
    assert below(site, [site]) == CODE
    assert below(site, []) == set()
    assert below(site, [site / "no_such_folder"]) == set()


def test_of_the_working_folder_nothing(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(site)
    assert below(site, [site]) == set()
    monkeypatch.chdir(site.parent)
    assert below(site, [site]) == CODE


@pytest.mark.parametrize("name", ["site-packages", "dist-packages"])
def test_folders_of_installed_packages_as_a_whole(
    site: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed = site.rename(site.parent / name)
    assert below(installed, [installed]) == {"."}
    monkeypatch.chdir(installed)
    assert below(installed, [installed]) == {"."}


def test_archives(site: Path) -> None:
    archive = site / "code.zip"
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("inner/module.py", "")
    assert below(site, [archive]) == {"code.zip"}
    assert below(site, [archive / "inner"]) == {"code.zip"}


def test_a_hidden_folder_is_left_out_and_what_lies_beside_it_is_not(site: Path) -> None:
    installed = site.rename(site.parent / "site-packages")
    (installed / "link").symlink_to(installed / "data")
    assert below(installed, [installed], [installed / "data"]) == CODE | {"notes.txt", "key.pem"}
    (installed / "package" / "inner").mkdir()
    assert below(installed, [installed], [installed / "package" / "inner"]) == (
        (CODE - {"package"}) | {"notes.txt", "key.pem", "data", "package/__init__.py"}
    )
    assert below(installed, [installed], [installed]) == set()
    assert below(installed, [installed], [installed.parent]) == set()
    # What lies "below" a file cannot be left out of it, so the file is.
    assert below(installed, [installed], [installed / "module.py" / "x"]) == (
        (CODE - {"module.py"}) | {"notes.txt", "key.pem", "data"}
    )
    # By another name of the same folder.
    assert below(installed, [installed], [installed / "package" / ".."]) == set()


def test_the_plug_in_s_own_module_and_ours(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(site)
    monkeypatch.syspath_prepend(site)

    def places(module: str) -> set[str]:
        return set(readable_places([], module, []))

    assert str(site / "package") in places("package")
    assert str(site / "package") in places("package.inner.deep")
    assert str(site / "module.py") in places("module")
    assert str(site / "module.py") not in places("package")
    root = Path(__file__).resolve().parents[2]
    assert {str(root / "adapters"), str(root / "geometry")} <= places("module")
    assert str(root / "service") not in places("module")
    assert str(root) not in places("module")
    # A module that cannot be found hides no other.
    assert {str(root / "adapters")} <= places("no_such_module.inner")


def test_the_interpreter_s_own_files() -> None:
    places = readable_places([], "no_such_module_anywhere", [])
    for prefix in {sys.prefix, sys.base_prefix}:
        for part in ("bin", "lib"):
            assert str((Path(prefix) / part).resolve()) in places
        assert str(Path(prefix).resolve()) not in places or prefix == "/usr"
    assert "/dev/urandom" in places
    assert "/" not in places
    assert "/etc" not in places
    assert len(places) == len(set(places))


def test_folders_are_listed_once_and_never_again(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A module that is added later is not found, and those that were there are."""
    monkeypatch.setattr(sys, "path", [str(site)])
    monkeypatch.setattr(sys, "path_importer_cache", {})
    keep_found_modules()
    (site / "later.py").touch()
    finder = sys.path_importer_cache[str(site)]
    assert finder is not None
    assert finder.find_spec("module") is not None
    assert finder.find_spec("later") is None
