# ruff: noqa: S311 - drawings, no secrets
"""Drawings of blocks sent as files over HTTP, from nearly right to rubbish: a block or a problem.

    python -m tests.property.block_upload_fuzz 600

sends them for so many seconds, and names each that ends in anything else, or takes a minute of the
processor. Its number, given as a second argument, makes it again.
"""

from __future__ import annotations

import io
import logging
import math
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn
from unittest import mock

from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from geometry.blocks.network import Drawn
from service.app import create_app
from service.settings import Settings
from tests.property.block_rubbish import KINDS
from tests.property.reader_fuzz import SEEDS, mutated

ANSWERS = frozenset({200, 400, 413, 415, 422})
"""A block, or one of these problems; never 500, and never 503: nothing may take a minute."""
_HANGS_S = 60.0
#: Texts of the form beside the file: right ones and rubbish.
FIELDS: dict[str, Sequence[str]] = {
    "finished_width": ("6 in", "200 mm", "10 mm", "3000 mm", "6", "-1 mm", "nan mm", "1e999 mm"),
    "snap_tolerance": ("0.5 mm", "0.001 mm", "5 mm", "0", "0.02 in", "\x00"),
    "loose_lines": ("remove", "refuse", "keep"),
    "seam_allowance": ("0 mm", "1/4 in", "50 mm", "1/0 in"),
    "outer_allowance": ("0 mm", "10 mm", "x"),
    "templates": ("one", "every", ""),
    "blocks": ("1", "12", "1000", "0", "1e3", "-4"),
    "format": ("svg", "dxf", "hpgl", "pdf"),
    "units": ("mm", "in", "cm", "m"),
    "group": ("0", "a", "nowhere"),
    "paper": ("a4", "letter", "a0"),
    "title": ("Slipway", "", "\u202e<b>", "x" * 200),
    "unknown": ("1",),
}


def _svg(drawing: Sequence[Drawn]) -> bytes:
    rows = []
    for part, path, _ in drawing:
        (x, y), (u, v) = part.start, part.end
        # Of an arc of angle 4 atan b over a chord c, the radius is c (1 + b b) / (4 |b|).
        bulge = part.bulge
        radius = math.hypot(u - x, v - y) * (1 + bulge**2) / (4 * abs(bulge)) if bulge else 0.0
        to = f"A{radius:.9g} {radius:.9g} 0 0 {int(bulge > 0)} " if bulge else "L"
        rows.append(f'<path id="p{path}" d="M{x:.9g} {y:.9g}{to}{u:.9g} {v:.9g}"/>')
    size = 'width="400mm" height="400mm" viewBox="0 0 400 400"'
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}><g fill="none">{"".join(rows)}</g></svg>'
    )
    return text.encode()


def _dxf(drawing: Sequence[Drawn]) -> bytes:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    for part, *_ in drawing:
        space.add_lwpolyline([(*part.start, part.bulge), (*part.end, 0.0)], format="xyb")
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def _hpgl(drawing: Sequence[Drawn]) -> bytes:
    rows = []
    for part, *_ in drawing:
        x, y, u, v = (round(40 * value) for value in (*part.start, *part.end))
        turn = math.degrees(4 * math.atan(part.bulge))
        if abs(turn) < 1.0:
            rows.append(f"PU{x},{y};PD{u},{v};")
            continue
        # The centre lies beside the middle of the chord, by (1 - b b) / (4 b) of its length.
        aside = (1 - part.bulge**2) / (4 * part.bulge)
        centre = (x + u) / 2 - aside * (v - y), (y + v) / 2 + aside * (u - x)
        rows.append(f"PU{x},{y};PD;AA{round(centre[0])},{round(centre[1])},{turn:.4f};")
    return f"IN;SP1;{''.join(rows)}PU;".encode()


WRITERS = {"svg": _svg, "dxf": _dxf, "hpgl": _hpgl}


def _file(rng: random.Random) -> bytes:
    kind = rng.choice(list(WRITERS))
    if rng.random() < 0.15:
        return mutated(rng, SEEDS[kind])
    data = WRITERS[kind](rng.choice(KINDS)(rng))
    return mutated(rng, data) if rng.random() < 0.4 else data


def _form(rng: random.Random) -> dict[str, str]:
    """Return up to three fields; mostly of the first two values, which are right."""
    chosen = rng.sample(list(FIELDS), rng.choice((0, 0, 1, 2, 3)))
    return {
        name: rng.choice(FIELDS[name][:2] if rng.random() < 0.8 else FIELDS[name])
        for name in chosen
        if name != "unknown" or rng.random() < 0.1
    }


def sent(client: FlaskClient, number: int) -> str:
    """Send one drawing, check its answer, and return ``block``, ``pages`` or ``refused``."""
    rng = random.Random(number)
    data, fields = _file(rng), _form(rng)
    pages = rng.random() < 0.2
    answer = client.post(
        "/v1/blocks",
        data={"file": (io.BytesIO(data), "block"), **fields},
        content_type="multipart/form-data",
        headers={"Accept": "application/pdf"} if pages else {},
    )
    output = answer.get_data()[:500]
    assert answer.status_code in ANSWERS, (number, fields, answer.status_code, output)
    if answer.status_code != 200:
        assert answer.content_type == "application/problem+json", (number, output)
        problem = answer.get_json()
        assert problem["status"] == answer.status_code, (number, output)
        assert problem["detail"].strip(), (number, output)
        assert all(each["pointer"].startswith("#") for each in problem.get("errors", ())), number
        return "refused"
    if pages:
        assert output.startswith(b"%PDF-"), (number, output)
        return "pages"
    _holds(answer.get_json(), number)
    return "block"


def _holds(answer: dict[str, Any], number: int) -> None:
    """Check that the groups' pieces are all there."""
    assert answer["groups"], number
    count = sum(group["quantity"] for group in answer["groups"])
    assert count == sum(sum(group["fabrics"].values()) for group in answer["groups"]), number


def _hangs(*_: object) -> NoReturn:
    raise RuntimeError("a minute of the processor for one drawing")


def main() -> None:
    """Send drawings for the number of seconds that is stated."""
    logging.disable(logging.CRITICAL)
    signal.signal(signal.SIGVTALRM, _hangs)
    end = time.monotonic() + float(sys.argv[1])
    first = number = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    outcomes: Counter[str] = Counter()
    slowest = (0.0, 0)
    here = mock.patch("service.sandbox.run.is_here", return_value=True)
    with tempfile.TemporaryDirectory() as folder, here:
        client = create_app(Settings(data=Path(folder), compute_seconds=600)).test_client()
        while time.monotonic() < end:
            begin = time.process_time()
            signal.setitimer(signal.ITIMER_VIRTUAL, _HANGS_S)
            try:
                outcomes[sent(client, number)] += 1
            except Exception as error:  # noqa: BLE001 - whatever it is, its drawing is named
                outcomes["failed"] += 1
                print(f"drawing {number}: {type(error).__name__}: {error}", flush=True)
            slowest = max(slowest, (time.process_time() - begin, number))
            number += 1
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    took = f"the slowest, {slowest[1]}, took {slowest[0]:.2f} s"
    print(f"{number - first} drawings: {dict(outcomes)}; {took}")


if __name__ == "__main__":
    main()
