"""What the sheet says at a stop, in its language; a plan's own messages are English."""

from __future__ import annotations

from typing import Final

from geometry.model.plan import Stop
from geometry.toolpath.indexed import angle_words
from service.texts import gettext as _
from service.texts import gettext_noop as _later

#: Sentences of plans that stand alone or follow how the material is loaded.
_SENTENCES: Final = (
    _later("Fit the pen first."),
    _later("Take the pen out and fit the blade."),
    _later("Snip the ties, then lift the pieces out."),
)


def stop_words(stop: Stop) -> str:
    """Return what is to be done at a stop."""
    text = stop.message
    for sentence in _SENTENCES:
        text = text.replace(sentence, _(sentence))
    if stop.angle_deg is None:
        return text
    known, angle = angle_words(stop.angle_deg), spoken_angle(stop.angle_deg)
    turn = f"Stop the machine, then turn the blade to {known}."
    text = text.replace(turn, _("Stop the machine, then turn the blade to {angle}.", angle=angle))
    setting = _("Set the blade to {angle}.", angle=angle)
    return text.replace(f"Set the blade to {known}.", setting)


def spoken_angle(angle_deg: float) -> str:
    """Return how a blade lies, seen from above: its angle and its direction in words."""
    angle = angle_deg % 180.0
    if angle == 0.0:
        lie = _("{angle} degrees (level, along the bed)")
    elif angle == 90.0:  # noqa: PLR2004 - upright
        lie = _("{angle} degrees (upright, across the bed)")
    elif angle < 90.0:  # noqa: PLR2004 - as above
        lie = _("{angle} degrees (rising to the right)")
    else:
        lie = _("{angle} degrees (rising to the left)")
    return lie.format(angle=f"{angle:g}")
