"""G-code holds power, depth and feed: the sheet states them, and leaves no blank for them."""

from __future__ import annotations

from tests.jobs.sheet import Sheet
from tests.jobs.studio import Json, Studio

_LASER: Json = {
    "tool": {"kind": "laser", "kerf": "0.3 mm"},
    "bed": {"width": 300, "height": 200},
    "speed": 20,
    "formats": {"gcode": {"head": "laser", "feed_mm_min": 1200, "power": 400, "score_power": 60}},
}
_KNIFE: Json = {
    "tool": {"kind": "indexed_blade", "positions_deg": [0, 60, 120]},
    "bed": {"width": 300, "height": 200},
    "speed": 10,
    "formats": {"gcode": {"head": "knife", "feed_mm_min": 600, "depth_mm": -1.5}},
}


def _sheet(studio: Studio, cutter: Json, *formats: str, label: bool = False) -> Sheet:
    hexagon = {"kind": "hexagon", "side": "12.7"}
    run = {
        "cut": "template",
        "cutter": cutter,
        "formats": list(formats),
        "material": {"name": "card", "kind": "card", "width": 200, "height": 100},
    }
    piece = {"id": "A", "shape": hexagon, "quantity": 6, "label": label}
    kit = studio.kit({"units": "mm", "pieces": [piece], "runs": [run]})
    assert (b"S400" in kit.run().loads[0].file("gcode")) == (cutter is _LASER)
    return kit.sheet


def test_a_beam_s_power_is_in_its_file(studio: Studio) -> None:
    """M3 S400 cuts, S60 draws letters, both at 1200 mm/min; the passes are set at the machine."""
    sheet = _sheet(studio, _LASER, "gcode", label=True)
    assert sheet.says("In the G-code M3 S400, feed 1200 mm/min", "S60", "files made again")
    assert sheet.says("Passes ______")
    assert sheet.is_silent_about("Power ______", "Speed ______", "the layers mark and score")


def test_a_beam_that_only_cuts_states_no_second_power(studio: Studio) -> None:
    """Nothing is drawn without a label."""
    assert _sheet(studio, _LASER, "gcode").is_silent_about("S60", "letters")


def test_beside_another_format_both_are_said(studio: Studio) -> None:
    """An SVG has layers and no power: those blanks stay."""
    sheet = _sheet(studio, _LASER, "svg", "gcode", label=True)
    assert sheet.says("In the G-code M3 S400", "Power ______", "the layers mark and score")


def test_a_knife_s_depth_is_in_its_file(studio: Studio) -> None:
    """1.5 mm deep, at 600 mm/min."""
    sheet = _sheet(studio, _KNIFE, "gcode")
    assert sheet.says("In the G-code cuts to z -1.5 mm, feed 600 mm/min")
    assert sheet.is_silent_about("Depth ______", "Write down", "write the settings down")
