"""A small kit beside a bare script that does the same by hand, and cold starts.

    python -m tests.benchmarks.bench_small_kit

The kit: 40 hexagons of 1 in, template and patch runs, SVG. The bare script offsets with shapely,
places by rows, checks overlaps with an STRtree, writes the same SVG and parses it with the same
reader. Medians of runs taken in turn in one process; nothing is asserted. Layouts are searched for
each time, except in the line that says so.
"""

from __future__ import annotations

import gc
import http.client
import io
import json
import math
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import shapely
import svgelements
from shapely import affinity

from service.app import create_app
from service.sandbox import child
from service.settings import Settings
from service.tools import layouts, recent_answers
from service.tools.built_in import BUILT_IN
from tests.requested import kit

ROOT = Path(__file__).resolve().parents[2]
REQUEST = {
    "title": "Small kit",
    "units": "in",
    "documents": [],
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 40,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {"cut": "template", "cutter": "pen-sheet", "formats": ["svg"]},
        {"cut": "patch", "cutter": "laser-bed", "material": {"kind": "card"}, "formats": ["svg"]},
    ],
}


def by_hand() -> int:
    side, allowance, gap = 25.4, 6.35, 1.0
    corners = [
        (side * math.cos(math.radians(60 * k)), side * math.sin(math.radians(60 * k)))
        for k in range(6)
    ]
    template = shapely.Polygon(corners)
    patch = template.buffer(allowance, join_style="mitre")
    read = 0
    for piece, width, height in ((template, 190.0, 277.0), (patch, 590.0, 390.0)):
        left, bottom, right, top = piece.bounds
        wide, high = right - left, top - bottom
        places = [
            (wide / 2 + (wide + gap) * c, high / 2 + (high + gap) * r)
            for r in range(int((height + gap) // (high + gap)))
            for c in range(int((width + gap) // (wide + gap)))
        ]
        for start in range(0, 40, len(places)):
            placed = [affinity.translate(piece, *p) for p in places[: 40 - start]]
            tree = shapely.STRtree(placed)
            pairs = tree.query(placed, predicate="overlaps")
            assert pairs.size == 0
            paths = "".join(
                '<path d="M'
                + " L".join(f"{x:.4f} {height - y:.4f}" for x, y in p.exterior.coords[:-1])
                + ' Z"/>'
                for p in placed
            )
            text = (
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
                f'viewBox="0 0 {width} {height}"><g fill="none" stroke="#000">{paths}</g></svg>'
            )
            drawing = svgelements.SVG.parse(io.BytesIO(text.encode()))
            read += sum(isinstance(e, svgelements.Path) for e in drawing.elements())
    return read


def searched(request: dict[str, Any]) -> object:
    """Make a kit of which nothing is known yet."""
    recent_answers.clear_all()
    return kit(request, BUILT_IN.get)


def post_beside_layout(rounds: int) -> tuple[float, float]:
    """Return processor ms of ``POST /v1/layouts``, each of a new size, and of its layouts alone."""
    posts, layouts_alone = [], []
    with tempfile.TemporaryDirectory() as folder:
        client = create_app(Settings(data=Path(folder))).test_client()
        for number in range(rounds + 2):
            request = json.loads(json.dumps(REQUEST))
            request["pieces"][0]["shape"]["side"] = f"{1 + number * 1e-4:.4f}"
            with timed_layouts() as spent, computed_here():
                begin = time.process_time()
                answer = client.post("/v1/layouts", json=request)
                posts.append((time.process_time() - begin) * 1e3)
                assert answer.status_code == 200, answer.text
            layouts_alone.append(sum(spent) * 1e3)
    return statistics.median(posts[2:]), statistics.median(layouts_alone[2:])


@contextmanager
def computed_here() -> Iterator[None]:
    """Compute in this process until left, so that its time can be taken."""
    before = child.run
    child.run = lambda task, arguments, **_: task(*arguments)
    try:
        yield
    finally:
        child.run = before


@contextmanager
def timed_layouts() -> Iterator[list[float]]:
    """Yield a list to which the processor seconds of every layout are added until left."""
    spent: list[float] = []
    name = "lay_out_loads"
    before = getattr(layouts, name)

    def timed(*arguments: Any, **options: Any) -> Any:
        begin = time.process_time()
        try:
            return before(*arguments, **options)
        finally:
            spent.append(time.process_time() - begin)

    setattr(layouts, name, timed)
    try:
        yield spent
    finally:
        setattr(layouts, name, before)


def turns(works: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Return the median time of each work in ms, all done in turn."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            begin = time.perf_counter()
            work()
            times[name].append((time.perf_counter() - begin) * 1e3)
    return {name: statistics.median(each) for name, each in times.items()}


def compiled() -> dict[str, str]:
    """Return the environment of a process whose modules are compiled, as installed ones are."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def command(*arguments: str) -> Callable[[], object]:
    return lambda: subprocess.run(
        (sys.executable, *arguments),
        cwd=ROOT, check=True, capture_output=True, timeout=120, env=compiled(),
    )  # fmt: skip


def cut(request: Path, out: Path) -> Callable[[], object]:
    return command("-m", "service", "cut", str(request), "--out", str(out), "--overwrite")


def first_answer() -> None:
    """Start the server, wait for its first kit and stop it."""
    with tempfile.TemporaryDirectory() as data:
        settings = {**compiled(), "QUARTERSEAM_DATA": data, "QUARTERSEAM_WORKERS": "1"}
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        serve = [sys.executable, "-m", "service", "serve", "--port", str(port)]
        with subprocess.Popen(serve, cwd=ROOT, env=settings, stderr=subprocess.DEVNULL) as process:
            try:
                ask_until_answered(port)
            finally:
                process.terminate()


def ask_until_answered(port: int) -> None:
    body = json.dumps(REQUEST).encode()
    for _ in range(2000):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            connection.request("POST", "/v1/kits", body, {"Content-Type": "application/json"})
            assert connection.getresponse().status == 201
        except ConnectionRefusedError:
            time.sleep(0.005)
        else:
            return
        finally:
            connection.close()
    raise AssertionError("the server did not start")


def main() -> None:
    printed = REQUEST | {"documents": ["run_sheet", "labels"]}
    warm: dict[str, Callable[[], object]] = {
        "bare script": by_hand,
        "kit, SVG files alone": lambda: searched(REQUEST),
        "the same once its layouts are known": lambda: kit(REQUEST, BUILT_IN.get),
        "kit with run sheet and labels": lambda: searched(printed),
    }
    turns(warm, 2)
    # As the server does once it has imported everything.
    gc.collect()
    gc.freeze()
    found = turns(warm, 15)
    hand = found.pop("bare script")
    for name, took in found.items():
        print(f"warm {name}: {took:.0f} ms; bare script {hand:.1f} ms; ratio {took / hand:.1f}")
    post, alone = post_beside_layout(15)
    print(
        f"POST /v1/layouts: {post:.0f} ms; layouts alone {alone:.1f} ms; ratio {post / alone:.2f}"
    )
    with tempfile.TemporaryDirectory() as folder:
        small = Path(folder) / "small.json"
        small.write_text(json.dumps(REQUEST))
        harbour = ROOT / "openapi" / "examples" / "harbour-class-set.json"
        cold = turns(
            {
                "import shapely, flask": command("-c", "import shapely, flask"),
                "cut of the small kit": cut(small, Path(folder) / "a"),
                "cut of the class set, four formats": cut(harbour, Path(folder) / "b"),
                "serve, start to first kit": first_answer,
            },
            5,
        )
    base = cold.pop("import shapely, flask")
    for name, took in cold.items():
        print(f"cold {name}: {took:.0f} ms; imports {base:.0f} ms; ratio {took / base:.1f}")


if __name__ == "__main__":
    main()
