"""Every shape of the catalogue, its patch and the flag, by every tool, read by other hands.

Each tool's load is written once in each format; each outside reader's paths are followed along the
plan stroke by stroke, both ways, in order and direction. A mirrored or turned flag, a scale, a
lost stroke and another order must show in each of them.

Tolerances, mm, are what each reader gave on right files: svgelements and GDAL (arcs in steps of
0.3 degree) 0.0001 and 0.0004; pdfium 0.0002; what cairo writes for librsvg and poppler lies on its
own grid of 1/256 pixel, 0.0010. librsvg draws a quarter turn as one cubic, which stands off by
2.73e-4 of the radius. HP-GL's grid has a half diagonal of 0.0177, chords add 0.005.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from ezdxf import filemanagement as ezdxf

from adapters import registry
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.shapes.catalogue import CATALOGUE
from tests.roundtrip import every, follow, outside

QUARTER_AS_CUBIC = 2.8e-4
GRID = 0.0177 + 0.005 + 0.001


@dataclass(frozen=True)
class Reader:
    """An outside reader, the format it reads, and what may be asked of it."""

    format: str
    paths: Callable[[bytes, CutPlan, Path], list[outside.Points]]
    tolerance: float
    of_radius: float = 0.0
    circles_any_way: bool = False

    def check(self, data: bytes, plan: CutPlan, folder: Path) -> None:
        # A pen that goes on where it was lifted leaves no gap that a reader could see.
        pens = self.format == "hpgl"
        follow.follow(
            self.paths(data, plan, folder),
            follow.chained(plan.strokes, 40.0) if pens else plan.strokes,
            self.tolerance,
            of_radius=self.of_radius,
            circles_any_way=self.circles_any_way,
        )


READERS = {
    "svgelements": Reader("svg", outside.svgelements_paths, 0.001),
    "librsvg": Reader("svg", outside.librsvg_paths, 0.002, QUARTER_AS_CUBIC),
    "gdal": Reader("dxf", outside.gdal_paths, 0.001, circles_any_way=True),
    "ogr2ogr": Reader("dxf", outside.ogr2ogr_paths, 0.001, circles_any_way=True),
    "ezdxf": Reader("hpgl", outside.hpgl_by_ezdxf, GRID),
    "hp2xx": Reader("hpgl", outside.hp2xx_paths, GRID),
    "pdfium": Reader("pdf", outside.pdfium_page, 0.001),
    "poppler": Reader("pdf", outside.poppler_paths, 0.002),
}
MARKS = {
    "librsvg": pytest.mark.librsvg,
    "ogr2ogr": pytest.mark.gdal,
    "hp2xx": pytest.mark.hp2xx,
    "poppler": pytest.mark.poppler,
}
ASKED = [pytest.param(name, id=name, marks=MARKS.get(name, ())) for name in READERS]


@pytest.mark.parametrize("tool", every.TOOLS)
def test_the_load_holds_every_shape(tool: str) -> None:
    plan = every.load(tool)
    wanted = {kind + suffix for kind in CATALOGUE for suffix in ("", "-patch", "-flag")}
    assert {stroke.piece for stroke in plan.strokes} - {""} == wanted
    assert any(vertex.bulge for stroke in plan.strokes for vertex in stroke.vertices) or (
        tool == "indexed_blade"
    )


#: Each tool is read by several readers, each reader reads several tools.
ASKED_OF_TOOLS = [
    pytest.param(
        name, tool, id=f"{name}-{tool}",
        marks=(
            *([MARKS[name]] if name in MARKS else []),
            *([] if (row + column) % 3 == 0 else [pytest.mark.long]),
        ),
    )
    for row, name in enumerate(READERS)
    for column, tool in enumerate(every.TOOLS)
]  # fmt: skip


@pytest.mark.parametrize(("reader", "tool"), ASKED_OF_TOOLS)
def test_every_shape_by_every_tool(reader: str, tool: str, tmp_path: Path) -> None:
    asked = READERS[reader]
    asked.check(every.written(asked.format, tool), every.load(tool), tmp_path)


FORMS = [
    (release, entities, units)
    for release in ("R2000", "R12")
    for entities in ("polylines", "exploded")
    for units in ("mm", "in")
]


#: Each form with some tools, and each tool with some forms; the rest is a long run.
FORMS_AND_TOOLS = [
    pytest.param(*form, tool, marks=() if (row + column) % 4 == 0 else pytest.mark.long)
    for row, form in enumerate(FORMS)
    for column, tool in enumerate(every.TOOLS)
]


@pytest.mark.parametrize(("release", "entities", "units", "tool"), FORMS_AND_TOOLS)
def test_every_release_of_dxf(
    release: str, entities: str, units: str, tool: str, tmp_path: Path
) -> None:
    """By ezdxf's audit, and by GDAL, which does not know the units."""
    data = every.written("dxf", tool, release=release, entities=entities, units=units)
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    plan = every.load(tool)
    scale = 25.4 if units == "in" else 1.0
    found = [
        [(x * scale, y * scale) for x, y in path]
        for path in outside.gdal_paths(data, plan, tmp_path)
    ]
    if entities == "exploded":
        found = list(outside.exploded(found, plan.strokes))
    follow.follow(found, plan.strokes, 0.001, circles_any_way=True)


@pytest.mark.parametrize("tool", every.TOOLS)
@pytest.mark.parametrize(
    "reader", [pytest.param("hp2xx", marks=pytest.mark.hp2xx), pytest.param("ezdxf")]
)
def test_arcs_that_the_plotter_draws(reader: str, tool: str, tmp_path: Path) -> None:
    """AA: start, centre and the radius between them each miss by up to half a grid diagonal."""
    asked = replace(READERS[reader], tolerance=3 * 0.0177 + 0.006)
    asked.check(every.written("hpgl", tool, arcs="AA"), every.load(tool), tmp_path)


def mirrored(stroke: Stroke) -> Stroke:
    """Return a stroke mirrored in its own box."""
    xs = [v.x for v in stroke.vertices]
    middle = min(xs) + max(xs)
    return replace(
        stroke, vertices=tuple(Vertex(middle - v.x, v.y, -v.bulge) for v in stroke.vertices)
    )


def turned(stroke: Stroke) -> Stroke:
    """Return a stroke turned half round in its own box."""
    xs, ys = [v.x for v in stroke.vertices], [v.y for v in stroke.vertices]
    x, y = min(xs) + max(xs), min(ys) + max(ys)
    return replace(
        stroke, vertices=tuple(Vertex(x - v.x, y - v.y, v.bulge) for v in stroke.vertices)
    )


def only_flag(change: Callable[[Stroke], Stroke]) -> Callable[[CutPlan], CutPlan]:
    def changed(plan: CutPlan) -> CutPlan:
        at = next(n for n, stroke in enumerate(plan.strokes) if stroke.piece.endswith("-flag"))
        strokes = list(plan.strokes)
        strokes[at] = change(strokes[at])
        return replace(plan, strokes=tuple(strokes))

    return changed


MUTATIONS: dict[str, Callable[[CutPlan], CutPlan]] = {
    "one flag mirrored": only_flag(mirrored),
    "one flag turned half round": only_flag(turned),
    "one flag the other way round": only_flag(
        lambda stroke: replace(stroke, vertices=_reversed(stroke.vertices))
    ),
    "all mirrored": lambda plan: plan.with_vertices(
        lambda v: Vertex(every.WIDTH - v.x, v.y, -v.bulge)
    ),
    "0.02488 for 0.025 mm": lambda plan: plan.with_vertices(
        lambda v: Vertex(v.x * 0.9952, v.y * 0.9952, v.bulge)
    ),
    "moved 0.05 mm": lambda plan: plan.with_vertices(lambda v: v._replace(y=v.y + 0.05)),
    "bulges the other way": lambda plan: plan.with_vertices(lambda v: v._replace(bulge=-v.bulge)),
    "arcs lost": lambda plan: plan.with_vertices(lambda v: v._replace(bulge=0.0)),
    "a stroke lost": lambda plan: replace(plan, strokes=plan.strokes[1:]),
    "another order": lambda plan: replace(plan, strokes=plan.strokes[::-1]),
}


def _reversed(vertices: tuple[Vertex, ...]) -> tuple[Vertex, ...]:
    back = vertices[::-1]
    return tuple(
        Vertex(a.x, a.y, -b.bulge) for a, b in zip(back, (*back[1:], back[0]), strict=True)
    )


#: Each wrong file by two or three readers, each reader several wrong files; the rest is long.
READERS_AND_MUTATIONS = [
    pytest.param(
        name,
        mutation,
        id=f"{name}-{mutation}",
        marks=(
            *([MARKS[name]] if name in MARKS else []),
            *([] if (row + column) % 4 == 0 else [pytest.mark.long]),
        ),
    )
    for row, name in enumerate(READERS)
    for column, mutation in enumerate(MUTATIONS)
]


@pytest.mark.parametrize(("reader", "mutation"), READERS_AND_MUTATIONS)
def test_a_wrong_file_is_seen(reader: str, mutation: str, tmp_path: Path) -> None:
    asked, plan = READERS[reader], every.load("pen")
    wrong = MUTATIONS[mutation](plan)
    settings = every.SETTINGS.get(asked.format, {})
    data = registry.get(asked.format).write(wrong, {**settings, **_wide(asked.format)}).data
    with pytest.raises(follow.AstrayError):
        asked.check(data, plan, tmp_path)


def _wide(name: str) -> dict[str, object]:
    return {"wide": True} if name == "hpgl" else {}


def test_operations_have_layers_of_their_own() -> None:
    """SVG groups and DXF layers carry the operation and the blade's angle in plain words."""
    plan = every.load("indexed_blade")
    wanted = {f"cut-{stroke.angle_deg:g}deg" for stroke in plan.strokes}
    assert len(wanted) > 2
    document = ezdxf.read(io.StringIO(every.written("dxf", "indexed_blade").decode("ascii")))
    assert {entity.dxf.layer for entity in document.modelspace()} == wanted
    groups = re.findall(r'<g id="([^"]+)"', every.written("svg", "indexed_blade").decode())
    assert {re.sub(r"-again-\d+$", "", group) for group in groups} == wanted
