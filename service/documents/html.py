"""The run sheet as one HTML page, from the same model as the PDF, with drawings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from html import escape

from geometry.measure import centroid
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from service.documents.model import RunSheet, SheetLoad, SheetPiece, SheetRun, SheetStop
from service.documents.pictures.path import number, path_data
from service.documents.wording import CHECK, LABEL_OF_CHECK, most_boxes, times_text

_INK = "#1d2b2a"
_STYLE = """
body{font:12pt/1.4 sans-serif;color:#1d2b2a;max-width:190mm;margin:1em auto;padding:0 1em}
h1{font-size:22pt;margin:.2em 0}h2{font-size:16pt;margin:1.2em 0 .3em}
h3{font-size:14pt;margin:1em 0 .3em}
table{border-collapse:collapse}td,th{text-align:left;vertical-align:top;padding:.15em 1em .15em 0}
.big,.totals td{font-size:16pt;font-weight:bold}.totals td,.totals th{border-bottom:1px solid}
.side{display:flex;flex-wrap:wrap;gap:1em;align-items:flex-start}
.stops{list-style:none;padding:0}.stops li{display:flex;gap:.6em;align-items:center;margin:.3em 0}
.box{display:inline-block;width:11pt;height:11pt;border:1px solid;margin-right:4pt;flex:none}
.check{width:1in;height:1in;border:1px solid;box-sizing:border-box;flex:none}
section{break-inside:avoid}
"""


def run_sheet_html(sheet: RunSheet) -> str:
    """Return the sheet as a self-contained page."""
    title = escape(sheet.title)
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width">',
            f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>",
            f"<h1>{title}</h1>",
            # Before anything to be done: people work from the top.
            *_list("Cautions", sheet.cautions),
            (
                '<div class="side"><div class="check" role="img" '
                f'aria-label="{LABEL_OF_CHECK}"></div>'
                f'<p style="flex:1;margin:0">{CHECK}</p></div>'
            ),
            *(part for run in sheet.runs for part in _run(run)),
            "<h2>Pieces</h2>",
            *(_piece(piece) for piece in sheet.pieces),
            "<h2>In all</h2>",
            _facts(sheet.totals),
            *_list("Warnings", sheet.warnings),
            "</body>\n</html>\n",
        ]
    )


def _run(run: SheetRun) -> Iterator[str]:
    yield f"<h2>{escape(run.title)}</h2>{_facts(run.facts)}"
    yield from _list("Prepare", run.preparation, level=3)
    head = "".join(f"<th>{word}</th>" for word in ("Piece", "Needed", "Made", "Spare"))
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(str(cell))}</td>" for cell in row) + "</tr>"
        for row in run.totals
    )
    yield f'<table class="totals"><tr>{head}</tr>{rows}</table>'
    for load in run.loads:
        yield _load(run, load)
    yield from _list("If the test cut is wrong", run.remedies, level=3)


def _load(run: SheetRun, load: SheetLoad) -> str:
    counts = "".join(
        f'<div class="big"><span class="box"></span>{count} of {escape(piece)}</div>'
        for piece, count in load.counts
    )
    boxes = '<span class="box"></span>' * most_boxes(load.repeats)
    files = "".join(f"<div>File: {escape(name)}</div>" for name in load.files)
    stops = "".join(_stop(stop) for stop in load.stops)
    return (
        f"<section><h3>{escape(run.title)}, load {load.number}</h3>"
        f'<div class="side">{_load_drawing(run, load)}<div>'
        f'<div class="big">Cut it {times_text(load.repeats)} {boxes}</div>{counts}'
        f"<div>About {escape(load.time)} a time.</div>{files}</div></div>"
        f'<ul class="stops">{stops}</ul></section>'
    )


def _stop(stop: SheetStop) -> str:
    dial = "" if stop.angle_deg is None else dial_drawing(stop.angle_deg)
    large = "" if stop.angle_deg is None else ' class="big"'
    return f'<li><span class="box"></span>{dial}<span{large}>{escape(stop.message)}</span></li>'


def dial_drawing(angle_deg: float) -> str:
    """Return a drawing of a blade's angle: a circle, its level axis and the blade."""
    x, y = (13.0 * f(math.radians(angle_deg)) for f in (math.cos, math.sin))
    return (
        '<svg width="34" height="34" viewBox="-17 -17 34 34" aria-hidden="true">'
        f'<circle r="15" fill="none" stroke="{_INK}"/>'
        f'<path d="M-15 0H15" stroke="{_INK}" stroke-width=".6" stroke-dasharray="1 2"/>'
        f'<path d="M{number(-x)} {number(y)}L{number(x)} {number(-y)}" stroke="{_INK}" '
        'stroke-width="2.4"/></svg>'
    )


def _drawing(box: Bounds, max_mm: float, inside: Iterable[str], label: str) -> str:
    scale = min(1.0, max_mm / max(box.width, box.height))
    thin = number(0.3 / scale)
    return (
        f'<svg role="img" aria-label="{escape(label)}" width="{number(box.width * scale)}mm" '
        f'height="{number(box.height * scale)}mm" viewBox="{number(box.left)} {number(-box.top)} '
        f'{number(box.width)} {number(box.height)}" overflow="visible"><g transform="scale(1 -1)" '
        f'fill="none" stroke="{_INK}" stroke-width="{thin}">{"".join(inside)}</g></svg>'
    )


def _load_drawing(run: SheetRun, load: SheetLoad) -> str:
    bed = Bounds(0.0, 0.0, run.bed.width, run.bed.height)
    dash = number(max(bed.width, bed.height) / 80.0)
    parts = [
        f'<rect width="{number(bed.width)}" height="{number(bed.height)}" fill="#e6e6e6"/>',
        *_opening(run),
        f'<path d="{path_data(run.area.boundary)}" fill="#fff" stroke-dasharray="{dash}"/>',
        *(f'<path d="{path_data(each)}" fill="#e6e6e6"/>' for each in run.area.keep_outs),
    ]
    for piece, outline in load.placed:
        parts.append(f'<path d="{path_data(outline)}" fill="#f7f7f7"/>{_name(piece, outline)}')
    return _drawing(bed, 90.0, parts, f"{run.title}, load {load.number}")


def _opening(run: SheetRun) -> Iterator[str]:
    """Draw the bed's opening if it is not a rectangle, and the sheet within the bed."""
    bed = run.bed
    if bed.boundary is not None:
        yield f'<path d="{path_data(bed.boundary)}" fill="#f2f2f2"/>'
    yield from (f'<path d="{path_data(each)}" fill="#b3b3b3"/>' for each in bed.keep_outs)
    if run.sheet is not None:
        left, bottom, right, top = run.sheet
        x, y = max(left, 0.0), max(bottom, 0.0)
        yield (
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(min(right, bed.width) - x)}" '
            f'height="{number(min(top, bed.height) - y)}" fill="#f2f2f2"/>'
        )


def _name(piece: str, outline: Outline) -> str:
    box, middle = outline.bounds, centroid(outline)
    size = min(0.4 * box.height, 1.1 * box.width / max(1, len(piece)), 12.0)
    return (
        f'<text transform="translate({number(middle.x)} {number(middle.y - 0.35 * size)}) '
        f'scale(1 -1)" font-family="sans-serif" font-size="{number(size)}" text-anchor="middle" '
        f'fill="{_INK}" stroke="none">{escape(piece)}</text>'
    )


def _piece(piece: SheetPiece) -> str:
    dash = number(max(piece.patch.bounds.width, piece.patch.bounds.height) / 40.0)
    drawing = _drawing(
        piece.patch.bounds,
        40.0,
        [
            f'<path d="{path_data(piece.patch)}" fill="#f7f7f7"/>',
            f'<path d="{path_data(piece.template)}" stroke-dasharray="{dash}"/>',
        ],
        f"{piece.id}: {piece.shape}",
    )
    name = escape(f"{piece.id}: {piece.shape}, {piece.asked}".rstrip(", "))
    sizes = "".join(f"<div><b>{escape(a)}</b> {escape(b)}</div>" for a, b in piece.sizes)
    return (
        f'<section class="side">{drawing}<div><div class="big">{name}</div>{sizes}</div></section>'
    )


def _facts(facts: tuple[tuple[str, str], ...]) -> str:
    rows = "".join(
        f"<tr><th>{escape(label)}</th><td>{escape(text)}</td></tr>" for label, text in facts
    )
    return f"<table>{rows}</table>"


def _list(title: str, lines: tuple[str, ...], *, level: int = 2) -> Iterator[str]:
    if lines:
        items = "".join(f"<li>{escape(line)}</li>" for line in lines)
        yield f"<section><h{level}>{title}</h{level}><ul>{items}</ul></section>"
