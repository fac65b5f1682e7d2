"""A request's runs: which pieces, how many, of what material, on which cutter."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeAlias

from adapters import registry
from geometry.model.cutter import Cutter, IndexedBlade, Laser
from geometry.toolpath.ties import Ties
from service.http.problems import ProblemError
from service.requests.convert.collector import Collector, Path, Unread
from service.requests.convert.cutters import DEFAULT_GAP, cutter_of
from service.requests.convert.sheets import Spread, spread
from service.requests.convert.values import Material, Run
from service.requests.loading import load
from service.requests.schemas.cutters import SavedCutter

#: Gives a cutter's JSON by name, or ``None`` when there is no such cutter.
CutterSource: TypeAlias = Callable[[str], Mapping[str, Any] | None]
_SAVED = SavedCutter()
#: Kinds of material that say nothing of what a beam makes of it.
_UNKNOWN_TO_LASERS = ("vinyl", "other")


def run_of(
    read: Collector,
    data: Mapping[str, Any],
    path: Path,
    wanted: Mapping[str, int],
    cutters: CutterSource,
    *,
    number: int = 1,
) -> Run:
    """Return one run of a request.

    Args:
        read: collects the faults.
        data: the run as the schema loaded it.
        path: where the run stands in the request.
        wanted: how many of each piece the request as a whole asks for.
        cutters: finds saved and built-in cutters.
        number: of the run, from 1.

    Raises:
        Unread: when a value cannot be used; every fault of the run is noted first.
    """
    cutter: Cutter | None = None
    material: Material | None = None
    quantities: Mapping[str, int] | None = None
    formats: tuple[str, ...] | None = None
    gap: float | None = None
    with read.going_on():
        cutter = _cutter(read, data["cutter"], (*path, "cutter"), cutters)
    with read.going_on():
        material = material_of(read, data.get("material") or {}, (*path, "material"))
    with read.going_on():
        quantities = _quantities(read, data.get("pieces"), (*path, "pieces"), wanted)
    with read.going_on():
        formats = _formats(read, data.get("formats") or ["svg"], (*path, "formats"))
    with read.going_on():
        usual = _usual_gap(cutter, common_line=bool(data.get("common_line")))
        gap = read.optional_length(data, "gap", path, usual)
    ties: Ties | None = None
    with read.going_on():
        ties = _ties(read, data.get("ties"), (*path, "ties"))
    if cutter is not None and material is not None:
        _check_laser(read, cutter, material, (*path, "material", "kind"))
    mismatch = data.get("max_mismatch_deg")
    if mismatch is not None and cutter and not isinstance(cutter.tool, IndexedBlade):
        detail = "Only a blade set by hand lies at an angle to its edges; leave this out."
        read.add((*path, "max_mismatch_deg"), detail)
    lying: Spread | None = None
    if cutter is not None and material is not None:
        with read.going_on():
            lying = spread(read, cutter, material, (*path, "material"))
    if cutter is None or material is None or lying is None:
        raise Unread
    if quantities is None or formats is None or gap is None:
        raise Unread
    return Run(
        number=number,
        cut=data["cut"],
        cutter=cutter,
        area=lying.area,
        material=material,
        quantities=quantities,
        formats=formats,
        gap=gap,
        layers=data.get("layers", 1),
        stack=data.get("stack", "face_up"),
        reuse=data.get("reuse", 1),
        effort=data.get("effort", "normal"),
        seed=data.get("seed", 0),
        common_line=bool(data.get("common_line", False)),
        one_file_per=data.get("one_file_per", "load"),
        ties=ties,
        max_mismatch_deg=None if mismatch is None else float(mismatch),
        sets=bool(data.get("sets", False)),
        reach=lying.reach,
        sheet=lying.sheet,
        notes=lying.notes,
        from_roll=cutter.bed.roll,
    )


def _ties(read: Collector, data: Mapping[str, Any] | None, path: Path) -> Ties | None:
    if data is None:
        return None
    with read.noting(path):
        return Ties(data["count"], read.optional_length(data, "width", path, Ties().width))
    raise Unread


def _usual_gap(cutter: Cutter | None, *, common_line: bool) -> float:
    """Return the gap of a run that states none, mm; lines cut once lie a beam's width apart."""
    if cutter is None:
        return 0.0
    if common_line:
        return cutter.tool.kerf if isinstance(cutter.tool, Laser) else 0.0
    return DEFAULT_GAP[cutter.tool.kind]


def _cutter(
    read: Collector, value: str | Mapping[str, Any], path: Path, cutters: CutterSource
) -> Cutter:
    if not isinstance(value, str):
        return cutter_of(read, value, path, name="")
    found = cutters(value)
    if found is None:
        read.add(path, f'There is no cutter named "{value}"; GET /v1/cutters lists them.')
        raise Unread
    return named_cutter(read, value, found, path)


def named_cutter(read: Collector, name: str, found: Mapping[str, Any], path: Path) -> Cutter:
    """Return a saved or built-in cutter, read in its own units.

    It was checked when it was saved, but perhaps by an earlier version with other bounds.

    Raises:
        Unread: when it cannot be used any more; the fault is noted where the cutter is named.
    """
    own = Collector(found.get("units"))
    try:
        body = load(_SAVED, {key: each for key, each in found.items() if key != "version"})
        with own.going_on():
            cutter = cutter_of(own, body, (), name=name)
        own.finish()
    except ProblemError as error:
        faults = "; ".join(f"{each.pointer[2:] or 'it'}: {each.detail}" for each in error.errors)
        read.add(
            path, f'The saved cutter "{name}" cannot be used any more. Save it again. {faults}'
        )
        raise Unread from None
    return cutter


def material_of(read: Collector, data: Mapping[str, Any], path: Path) -> Material:
    """Return the material that a run's ``material`` object describes."""
    size: dict[str, float] = {}
    for side in ("width", "height"):
        if data.get(side) is not None:
            size[side] = read.length(data[side], (*path, side), inclusive=False)
    if data.get("edge_clearance") is not None:
        size["edge_clearance"] = read.length(data["edge_clearance"], (*path, "edge_clearance"))
    position: tuple[float, float] | None = None
    if data.get("position") is not None:
        at = data["position"]
        x, y = (
            read.length(at[axis], (*path, "position", axis), least=-math.inf) for axis in ("x", "y")
        )
        position = (x, y)
    kind = data.get("kind", "other")
    safe = bool(data.get("laser_safe", False))
    name = data.get("name") or kind.replace("_", " ")
    return Material(name=name, kind=kind, position=position, laser_safe=safe, **size)


def _check_laser(read: Collector, cutter: Cutter, material: Material, path: Path) -> None:
    """Refuse what nobody has said a laser may cut: fumes can harm lungs and machine."""
    if not isinstance(cutter.tool, Laser) or material.laser_safe:
        return
    if material.kind not in _UNKNOWN_TO_LASERS:
        return
    wanted = (
        'Only if this very material\'s safety data sheet allows it, state "laser_safe": true in '
        "the material."
    )
    if material.kind == "vinyl":
        detail = (
            "Vinyl (PVC) under a laser gives off hydrogen chloride, which harms lungs and machine: "
            f"cut it with a blade. {wanted}"
        )
    else:
        detail = (
            "A laser cuts only a material that is known: state the material's kind (paper, card, "
            f"coated_paper, fabric or stiffened_fabric). {wanted}"
        )
    read.add_refusal("material-not-for-laser", path, detail)


def _quantities(
    read: Collector,
    chosen: Iterable[Mapping[str, Any]] | None,
    path: Path,
    wanted: Mapping[str, int],
) -> Mapping[str, int]:
    if chosen is None:
        return dict(wanted)
    quantities: dict[str, int] = {}
    for index, choice in enumerate(chosen):
        piece = choice["id"]
        if piece not in wanted:
            read.add((*path, index, "id"), _unknown("piece", piece, wanted))
            continue
        if piece in quantities:
            read.add(
                (*path, index, "id"), f'Piece "{piece}" is already chosen above; once will do.'
            )
            continue
        quantities[piece] = choice.get("quantity") or wanted[piece]
    if not quantities:
        read.add(path, "There is nothing to cut: choose at least one piece, or leave this out.")
        raise Unread
    return quantities


def _formats(read: Collector, names: Iterable[str], path: Path) -> tuple[str, ...]:
    chosen: list[str] = []
    for index, name in enumerate(names):
        # Only the plug-in that is asked for is tried: another that hangs is not waited for.
        if not registry.installed(name):
            read.add((*path, index), _unknown("format", name, registry.names()))
        elif name in chosen:
            read.add((*path, index), f'Format "{name}" is already in the list; once will do.')
        else:
            if fault := registry.fault_of(name):
                raise ProblemError("plugin-failed", 500, fault)
            chosen.append(name)
    if not chosen:
        raise Unread
    return tuple(chosen)


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    known = sorted(known)
    near = difflib.get_close_matches(name, known, n=1)
    hint = f' Did you mean "{near[0]}"?' if near else ""
    return f'There is no {what} "{name[:80]}".{hint} Known: {", ".join(known[:40])}.'
