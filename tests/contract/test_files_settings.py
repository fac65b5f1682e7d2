"""Where files are: settings that cannot be used are refused with what to state instead."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest

from service.settings import Settings, SettingsError, from_environment
from service.storage.files import files_of
from service.storage.folder_files import FolderFiles

POSTGRES = "postgresql://studio@127.0.0.1/studio"


@pytest.mark.parametrize("address", ["s3://kits", "s3://kits/", "s3://kits.of-a.studio/north/2026"])
def test_a_bucket_and_a_prefix_are_taken(address: str) -> None:
    settings = from_environment({"QUARTERSEAM_FILES": address, "QUARTERSEAM_DATABASE": POSTGRES})
    assert settings.files == address.rstrip("/")


@pytest.mark.parametrize(
    "address",
    ["kits", "s3:kits", "s3://", "s3:///kits", "s3://Kits", "s3://kits/../other", "s3://kits//x",
     "https://kits.example", "s3://a", "s3://user:secret@kits/x", "s3://kits/x?y=1", "s3://kits/x\n"],
)  # fmt: skip
def test_other_addresses_are_refused(address: str) -> None:
    with pytest.raises(SettingsError, match="must be the address of a bucket"):
        from_environment({"QUARTERSEAM_FILES": address, "QUARTERSEAM_DATABASE": POSTGRES})


@pytest.mark.parametrize("database", [None, "sqlite:////srv/kits/own.sqlite"])
def test_a_database_of_one_machine_is_refused(database: str | None) -> None:
    stated = {"QUARTERSEAM_FILES": "s3://kits"}
    if database is not None:
        stated["QUARTERSEAM_DATABASE"] = database
    with pytest.raises(SettingsError, match="needs QUARTERSEAM_DATABASE to be PostgreSQL's"):
        from_environment(stated)


def test_the_data_folder_is_the_default(tmp_path: Path) -> None:
    files = files_of(Settings(data=tmp_path))
    assert isinstance(files, FolderFiles)
    assert files.folder == tmp_path


def test_a_missing_library_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def find(_: str) -> Any:
        return None

    monkeypatch.setattr(importlib.util, "find_spec", find)
    with pytest.raises(OSError, match=r"install quarterseam\[object-store\]"):
        files_of(Settings(data=tmp_path, files="s3://kits"))
