"""Paths of a PDF's first page of the bed, as pdfium sees them, in mm of the paper."""

from __future__ import annotations

import ctypes
from typing import Any

import pypdfium2
from pypdfium2 import raw


def rings(data: bytes) -> tuple[float, list[list[tuple[float, float]]]]:
    """Return the page's width and every path's points, mm, cubics cut into sixty."""
    page = pypdfium2.PdfDocument(data)[1]
    things = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    return page.get_width() * 25.4 / 72, [ring(thing) for thing in things]


def ring(thing: Any) -> list[tuple[float, float]]:
    """Return a path object's points, mm of the paper."""
    points: list[tuple[float, float]] = []
    pending: list[tuple[float, float]] = []
    for index in range(raw.FPDFPath_CountSegments(thing)):
        part = raw.FPDFPath_GetPathSegment(thing, index)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(part, x, y)
        place = (x.value * 25.4 / 72, y.value * 25.4 / 72)
        if raw.FPDFPathSegment_GetType(part) != raw.FPDF_SEGMENT_BEZIERTO:
            points.append(place)
            continue
        pending.append(place)
        if len(pending) == 3:
            points.extend(cubic(points[-1], *pending))
            pending = []
    return points


def cubic(a: Any, b: Any, c: Any, d: Any) -> list[tuple[float, float]]:
    """Return sixty points of a cubic, its start left out."""
    found = []
    for k in range(1, 61):
        t = k / 60
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        x, y = (w[0] * a[i] + w[1] * b[i] + w[2] * c[i] + w[3] * d[i] for i in (0, 1))
        found.append((x, y))
    return found
