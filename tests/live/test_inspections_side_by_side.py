"""Two drawings that were hard to inspect are answered, and others are served while they are."""

from __future__ import annotations

import math
import random
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import requests

PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
OUTLINES: Any = {
    "units": "in",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4"}],
}


def nested() -> str:
    """Return 16 nested polygons of 300 corners."""
    body = ""
    for k in range(16):
        turns = [math.tau * corner / 300 for corner in range(300)]
        reach = 140 - 5 * k
        points = (f"{150 + reach * math.cos(t):.5f},{150 + reach * math.sin(t):.5f}" for t in turns)
        body += f'<polygon points="{" ".join(points)}"/>'
    return f"{PAGE}{body}</svg>"


def overlapping() -> str:
    """Return 300 circles of which every two overlap."""
    rng = random.Random(3)  # noqa: S311 - a drawing, no secret
    centres = [(150 + 20 * rng.random(), 150 + 20 * rng.random()) for _ in range(300)]
    body = "".join(f'<circle cx="{x:.4f}" cy="{y:.4f}" r="60"/>' for x, y in centres)
    return f"{PAGE}{body}</svg>"


def test_two_hard_drawings_do_not_block_a_server(server: Any) -> None:
    def inspected(drawing: str) -> Any:
        files = {"file": ("drawing.svg", drawing)}
        answer = requests.post(f"{server.url}/v1/inspections", files=files, timeout=300)
        assert answer.status_code == 200, answer.text[:300]
        return answer.json()

    with ThreadPoolExecutor(2) as pool:
        running = [pool.submit(inspected, drawing) for drawing in (nested(), overlapping())]
        while True:
            ended = all(each.done() for each in running)
            assert requests.get(f"{server.url}/healthz", timeout=300).status_code == 200
            other = requests.post(f"{server.url}/v1/outlines", json=OUTLINES, timeout=300)
            assert other.status_code == 200
            if ended:
                break
        polygons, circles = (each.result() for each in running)
    assert len(polygons["allowances"]) == 15
    assert len(circles["overlaps"]) == 300 * 299 // 2
    for answer in (polygons, circles):
        assert not any("not all of them were compared" in text for text in answer["warnings"])
