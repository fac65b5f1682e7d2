"""What a program draws or cuts: its moves with the lowered tool, each line once.

Source:
    T. Kramer, F. Proctor, E. Messina, "The NIST RS274NGC Interpreter, Version 3", NISTIR 6556,
    2000: words, modal groups, G0 to G3 with centres (relative to the start) or radii, G20 and G21,
    G90 and G91, comments. G90.1 (absolute centres) is common practice, no source; so are the limits
    of an arc whose ends have different radii.
"""

from __future__ import annotations

from collections.abc import Iterator

from geometry.model.outline import Vertex
from geometry.sentences import number_of
from service.drawings.drawing import MAX_ELEMENTS, Drawing, DrawingError, Path, counted, joined
from service.drawings.gcode.machine import Machine, Move

_MAX_LINES = 40_000


def read_gcode(data: bytes, *, units: str | None) -> Drawing:
    """Return the paths that a program's tool draws or cuts.

    Args:
        data: the file.
        units: units of its numbers where it states none (G20 or G21).

    Raises:
        DrawingError: when it cannot be read, or uses what is not read.
    """
    machine = Machine(units)
    for number, line in enumerate(data.decode("latin-1").splitlines(), 1):
        if number > _MAX_LINES:
            raise DrawingError(f"A program has at most {_MAX_LINES} lines.")
        try:
            machine.line(line)
        except DrawingError as error:
            raise DrawingError(f"Line {number}: {error}") from None
        if machine.is_over:
            break
    runs, skipped = _lowered(machine)
    paths, repeated = _once(runs)
    if len(paths) > MAX_ELEMENTS:
        raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} strokes.")
    notes = list(machine.notes)
    if repeated:
        passes = number_of(repeated, "pass", "passes")
        notes.append(f"Lines that are cut again were read once; their file has {passes} more.")
    return Drawing("gcode", joined(paths), tuple(notes), counted(skipped))


def _lowered(machine: Machine) -> tuple[list[list[Move]], list[str]]:
    """Return the runs of moves that draw or cut, and a word for each move that does not.

    A program that switches its tool (M3, M4) cuts while it is on with power; one with heights at or
    below zero cuts there, one with heights above zero only, below the highest.
    """
    heights = [move.z for move in machine.moves if move is not None]
    low, high = min(heights, default=0.0), max(heights, default=0.0)
    runs: list[list[Move]] = [[]]
    skipped: list[str] = []
    for move in machine.moves:
        if move is None:
            runs.append([])
        elif machine.has_power and not move.is_on:
            skipped.append("move (tool off)")
            runs.append([])
        elif high > low and move.z > 0.0 and (low <= 0.0 or move.z >= high):
            skipped.append("move (tool raised)")
            runs.append([])
        else:
            runs[-1].append(move)
    return [run for run in runs if run], skipped


def _once(runs: list[list[Move]]) -> tuple[list[Path], int]:
    """Return each run as a path, those at several depths once, and the number left out."""
    found: dict[tuple[Vertex, ...], float] = {}
    paths: list[Path] = []
    repeated = 0
    for run in _parted(runs):
        vertices = [vertex for move in run for vertex in move.vertices[:-1]]
        vertices.append(run[-1].vertices[-1])
        key = tuple(Vertex(round(v.x, 5), round(v.y, 5), round(v.bulge, 7)) for v in vertices)
        z = run[-1].z
        if found.setdefault(key, z) != z:
            repeated += 1
            continue
        paths.append(Path(tuple(vertices), run[0].group, run[0].name))
    return paths, repeated


def _parted(runs: list[list[Move]]) -> Iterator[list[Move]]:
    """Yield runs, parted where the tool, the piece or the depth changes."""
    for run in runs:
        part = [run[0]]
        for move in run[1:]:
            before = part[-1]
            if (move.group, move.name, move.z) != (before.group, before.name, before.z):
                yield part
                part = []
            part.append(move)
        yield part
