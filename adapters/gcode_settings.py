"""The settings of G-code: facts of a machine and a material, of which none is guessed."""

from __future__ import annotations

from adapters.axes import AXES_SETTINGS
from adapters.contract import Setting

#: Smallest S word that is written, so that no power is rounded to nothing.
MIN_POWER = 0.001

SETTINGS: tuple[Setting, ...] = (
    Setting(
        "head",
        "choice",
        "tool control: power words for a laser, z for a knife",
        choices=("laser", "knife"),
        required=True,
    ),
    Setting(
        "feed_mm_min",
        "number",
        "cutting feed in mm/min, from your own test cuts",
        minimum=1.0,
        maximum=100_000.0,
        required=True,
    ),
    Setting(
        "plunge_feed_mm_min",
        "number",
        "knife: feed of the blade's way into the material, mm/min; the cutting feed when not "
        "stated",
        minimum=1.0,
        maximum=100_000.0,
        only_with=("head", "knife"),
    ),
    Setting(
        "power",
        "number",
        "laser: the S word for cutting, in the controller's range",
        minimum=MIN_POWER,
        maximum=100_000.0,
        only_with=("head", "laser"),
    ),
    Setting(
        "score_power",
        "number",
        "laser: the S word for scoring and marking; needed where the plan does either",
        minimum=MIN_POWER,
        maximum=100_000.0,
        only_with=("head", "laser"),
    ),
    Setting(
        "power_word",
        "choice",
        "laser: M3 constant power, M4 power that follows the speed (laser mode only)",
        default="M3",
        choices=("M3", "M4"),
        only_with=("head", "laser"),
    ),
    Setting(
        "depth_mm",
        "number",
        "knife: z of the cut, below zero",
        minimum=-100.0,
        maximum=-0.001,
        only_with=("head", "knife"),
    ),
    Setting(
        "score_depth_mm",
        "number",
        "knife: z of scoring and marking, below zero; needed where the plan does either",
        minimum=-100.0,
        maximum=-0.001,
        only_with=("head", "knife"),
    ),
    Setting(
        "clear_mm",
        "number",
        "knife: z at which the head travels",
        default=5.0,
        minimum=0.1,
        maximum=200.0,
        only_with=("head", "knife"),
    ),
    Setting("units", "choice", "words in mm or inch", default="mm", choices=("mm", "in")),
    Setting(
        "arc_centres",
        "choice",
        "G91.1 states that arc centres are relative to the arc's start; for controllers that "
        "support it and may be in G90.1",
        default="unstated",
        choices=("unstated", "G91.1"),
    ),
    Setting(
        "arcs",
        "choice",
        "arcs as G2 and G3, or chords for controllers without them",
        default="arcs",
        choices=("arcs", "chords"),
    ),
    *AXES_SETTINGS,
)
