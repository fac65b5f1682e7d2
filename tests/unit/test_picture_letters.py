"""Room for a name in a picture is at least what its letters take, as Pillow measures them."""

from __future__ import annotations

import pytest
from PIL import ImageFont

from service.documents.fonts import REGULAR_FILE
from service.documents.pictures.letters import width_of


@pytest.mark.parametrize(
    "text",
    ["RHOMB", "PAPER", "WMWM", "BLUE", "little", "A 12", "mmm", "Ночь", "Ωμέγα", "D-4", "@%"],
)
def test_a_name_has_room(text: str) -> None:
    """RHOMB takes 3.4 heights in the sheet's letters; five times 0.62, as before, are 3.1."""
    taken = ImageFont.truetype(str(REGULAR_FILE), 1000).getlength(text) / 1000.0
    assert taken <= width_of(text) <= 2.0 * taken
