"""The harbour studio: sends a job's request through the whole service and reads its answer."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from flask.testing import FlaskClient

from tests.jobs import names
from tests.jobs.sheet import Sheet

Json = dict[str, Any]


@dataclass
class File:
    """One file of a load, with its bytes."""

    name: str
    format: str
    data: bytes


@dataclass
class Load:
    """One load of a run's answer."""

    payload: Json
    client: FlaskClient

    @property
    def number(self) -> int:
        return int(self.payload["number"])

    @property
    def repeats(self) -> int:
        return int(self.payload["repeats"])

    @property
    def outlines(self) -> dict[str, int]:
        return dict(self.payload[names.OUTLINES])

    @property
    def pieces(self) -> dict[str, int]:
        return dict(self.payload[names.PIECES])

    @property
    def stops(self) -> list[Json]:
        return list(self.payload["stops"])

    @property
    def file_names(self) -> list[str]:
        return [each["name"] for each in self.payload["files"]]

    @cached_property
    def files(self) -> list[File]:
        found = []
        for each in self.payload["files"]:
            answer = self.client.get(each["href"])
            assert answer.status_code == 200
            assert len(answer.data) == each["bytes"]
            found.append(File(each["name"], each["format"], answer.data))
        return found

    def file(self, kind: str) -> bytes:
        """Return the bytes of this load's only file of a format."""
        (found,) = [each.data for each in self.files if each.format == kind]
        return found

    def parts(self, kind: str) -> list[bytes]:
        """Return the bytes of this load's files of a format: one for each station, in order."""
        found = [each.data for each in self.files if each.format == kind]
        assert len(found) > 1
        return found

    @cached_property
    def picture(self) -> str:
        return self.client.get(self.payload["picture"]).get_data(as_text=True)


@dataclass
class Run:
    """One run of a kit's answer."""

    payload: Json
    client: FlaskClient

    @cached_property
    def loads(self) -> list[Load]:
        return [Load(each, self.client) for each in self.payload["loads"]]

    @property
    def load_count(self) -> int:
        """How many loads are cut, repeats counted."""
        return sum(load.repeats for load in self.loads)

    @property
    def outlines(self) -> dict[str, int]:
        """How many outlines of each piece are cut on all loads."""
        found: dict[str, int] = {}
        for load in self.loads:
            for piece, count in load.outlines.items():
                found[piece] = found.get(piece, 0) + count * load.repeats
        return found

    @property
    def min_loads(self) -> int:
        return int(self.payload[names.MIN_LOADS])

    @property
    def min_length_mm(self) -> float:
        return float(self.payload["roll"][names.MIN_LENGTH_MM])

    @property
    def usable_area(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right, top of where pieces may lie."""
        return _sides(self.payload[names.USABLE_AREA])

    def total(self, piece: str) -> tuple[int, int, int]:
        """Return how many of a piece are requested, made and spare."""
        payload = self.payload["totals"][piece]
        return payload[names.REQUESTED], payload[names.MADE], payload[names.SPARE]


def _sides(box: Json) -> tuple[float, float, float, float]:
    x, y = box["x_mm"], box["y_mm"]
    return x, y, x + box["width_mm"], y + box["height_mm"]


@dataclass
class Kit:
    """A kit's answer."""

    payload: Json
    client: FlaskClient
    runs: list[Run] = field(default_factory=list)

    def run(self, number: int = 1) -> Run:
        """Return a run by its number, counted from 1."""
        return self.runs[number - 1]

    def piece(self, name: str) -> Json:
        (found,) = [each for each in self.payload["pieces"] if each["id"] == name]
        return dict(found)

    def allowance(self, name: str) -> tuple[float, float, float]:
        """Return the allowance requested, and the least and the most that was measured, mm."""
        payload = self.piece(name)["allowance"]
        return payload[names.REQUESTED_MM], payload[names.MIN_MM], payload[names.MAX_MM]

    @property
    def warnings(self) -> str:
        return "\n".join(self.payload["warnings"])

    @property
    def cautions(self) -> str:
        return "\n".join(self.payload["cautions"])

    @property
    def is_complete(self) -> bool:
        return bool(self.payload["complete"])

    @cached_property
    def sheet(self) -> Sheet:
        answer = self.client.get(self.payload["run_sheet"])
        assert answer.status_code == 200
        return Sheet(answer.data)

    @cached_property
    def labels(self) -> Sheet:
        return Sheet(self.client.get(self.payload["labels"]).data)

    def zip(self) -> zipfile.ZipFile:
        answer = self.client.get(
            f"/v1/kits/{self.payload['id']}", headers={"Accept": "application/zip"}
        )
        assert answer.status_code == 200
        return zipfile.ZipFile(io.BytesIO(answer.data))


class Studio:
    """A client of the service that fails loudly and answers in plain objects."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client

    def kit(self, body: Json) -> Kit:
        """Return the kit of a request."""
        return self._kit(self.client.post("/v1/kits", json=body))

    def recut(self, kit: Kit, run: int, pieces: dict[str, int], **more: Any) -> Kit:
        """Return a kit cut again from a stored one; runs count from 1 here."""
        body = {"run": run - 1 + names.FIRST_RUN, "pieces": pieces, **more}
        return self._kit(self.client.post(f"/v1/kits/{kit.payload['id']}/recuts", json=body))

    def _kit(self, answer: Any) -> Kit:
        assert answer.status_code == 201, answer.get_data(as_text=True)[:2000]
        payload = answer.get_json()
        return Kit(payload, self.client, [Run(each, self.client) for each in payload["runs"]])

    def refused(self, body: Json, path: str = "/v1/kits") -> Json:
        """Return the problem with which a request is refused as wrong."""
        answer = self.client.post(path, json=body)
        assert answer.status_code == 422, answer.get_data(as_text=True)[:2000]
        assert answer.content_type == "application/problem+json"
        return dict(answer.get_json())

    def calculated(self, path: str, body: Json) -> Json:
        """Return what a calculation without side effects answers."""
        answer = self.client.post(path, json=body)
        assert answer.status_code == 200, answer.get_data(as_text=True)[:2000]
        return dict(answer.get_json())

    def inspected(self, data: bytes | str, name: str = "drawing", **fields: str) -> Any:
        """Return the answer to an uploaded drawing, with its status."""
        raw = data.encode() if isinstance(data, str) else data
        form = {"file": (io.BytesIO(raw), name), **fields}
        return self.client.post("/v1/inspections", data=form, content_type="multipart/form-data")
