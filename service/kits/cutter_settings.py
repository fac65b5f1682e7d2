"""What a cutter is set to for a run's material: in the answer, and in words for the bench."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from service.answers.runs import MaterialSettingsAnswer
from service.requests.material_settings import MaterialSettings, TunedCutter
from service.requests.runs import Run
from service.tools.figures import speed_text


def settings_answer(run: Run) -> MaterialSettingsAnswer | None:
    """Return the settings for a run's material as the answer states them, if there are any."""
    row = run.settings
    if row is None:
        return None
    return MaterialSettingsAnswer(
        material=row.material or None,
        kind=row.kind or None,
        offset_mm=row.offset,
        kerf_mm=row.kerf,
        speed_mm_s=row.speed,
        passes=row.passes,
        force=row.force or None,
        power=row.power or None,
        test_cut=row.test_cut or None,
    )


def settings_facts(
    run: Run, units: str, length: Callable[[float], str]
) -> Iterator[tuple[str, str]]:
    """Yield what to set at the machine, or that nothing is known for this material.

    Args:
        run: with its cutter and material.
        units: of the request.
        length: returns a small length in words.
    """
    if run.settings is not None:
        yield "Set", ", ".join(_settings(run.settings, units, length)) or "as for any material"
        if run.settings.test_cut:
            yield "Test cut", run.settings.test_cut
    elif isinstance(run.cutter, TunedCutter):
        yield "Set", f"no settings are saved for {run.material.name}: make a test cut first"


def _settings(row: MaterialSettings, units: str, length: Callable[[float], str]) -> Iterator[str]:
    if row.force:
        yield f"force {row.force}"
    if row.power:
        yield f"power {row.power}"
    if row.speed is not None:
        yield f"speed {speed_text(row.speed, units)}"
    if row.passes is not None:
        yield "1 pass" if row.passes == 1 else f"{row.passes} passes"
    if row.offset is not None:
        yield f"blade offset {length(row.offset)}"
    if row.kerf is not None:
        yield f"kerf {length(row.kerf)}"
