"""Fabrics are drawn in the colours that they are named after, unlike in grey too.

CSS names: CSS Color Module Level 4, as matplotlib has them. Lightness: CIE 1976 L*, by the
luminance of sRGB (IEC 61966-2-1), worked out here a second time.
"""

from __future__ import annotations

import pytest
from matplotlib.colors import CSS4_COLORS, to_rgb

from service.blocks.picture import block_tints
from service.documents.pictures.colours import SHADES, WORDS, named_colour, tints_of
from service.documents.pictures.css_colours import CSS_COLOURS


def test_css_names_are_those_of_the_standard() -> None:
    assert {name: str(value).lower() for name, value in CSS4_COLORS.items()} == CSS_COLOURS
    assert not set(WORDS) & set(CSS_COLOURS)


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("navy", "#000080"),
        ("Sea Green", "#2e8b57"),
        ("dark slate gray", "#2f4f4f"),
        ("#A1B2C3", "#a1b2c3"),
        ("#abc", "#aabbcc"),
        ("tide blue", "#0000ff"),
        ("rust red", WORDS["rust"]),
        ("navy blue", "#000080"),
        ("dots on cream", WORDS["cream"]),
        ("dark red", "#8b0000"),
        ("dark cotton", SHADES["dark"]),
        ("light wine", WORDS["wine"]),
        ("fabric 1", None),
        ("", None),
    ],
)
def test_a_name_says_its_colour(name: str, wanted: str | None) -> None:
    assert named_colour(name) == wanted


def lightness(fill: str) -> float:
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(fill)]
    luminance = sum(part * c for part, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    return 116 * luminance ** (1 / 3) - 16 if luminance > 216 / 24389 else 24389 / 27 * luminance


def test_fabrics_that_are_alike_in_grey_are_hatched_apart() -> None:
    names = ["cream", "sailcloth", "ivory", "fabric 1", "navy", "midnight blue", "red", "green"]
    tints = tints_of(names)
    assert list(tints) == names
    assert len(set(tints.values())) == len(names)
    for at, one in enumerate(names):
        for other in names[at + 1 :]:
            a, b = tints[one], tints[other]
            if abs(lightness(a.fill) - lightness(b.fill)) < 6.9:
                assert a.hatching_deg != b.hatching_deg, (one, other)


@pytest.mark.parametrize("names", [["dark", "light"], ["light", "medium", "dark"]])
def test_what_is_called_dark_is_drawn_darker(names: list[str]) -> None:
    shown = {name: lightness(tint.fill) for name, tint in tints_of(names).items()}
    assert sorted(names, key=lambda name: shown[name]) == [
        name for name in ("dark", "medium", "light") if name in names
    ]
    assert all(tint.hatching_deg is None for tint in tints_of(names).values())


def test_two_fabrics_of_one_colour_are_told_apart() -> None:
    first, second = tints_of(["tide blue", "deep blue"]).values()
    assert first.fill == second.fill
    assert first.hatching_deg is None
    assert second.hatching_deg is not None


def test_names_that_say_nothing_have_tints_of_their_own() -> None:
    names = [f"fabric {number}" for number in range(24)]
    fills = {tint.fill for tint in tints_of(names).values()}
    assert len(fills) == 24


def test_a_block_shows_its_fabrics_in_the_colours_that_they_are_named_after() -> None:
    names = ["sea", "sand", "black", "tide blue", "deep blue", "#ABC"]
    tints = block_tints(dict.fromkeys(names))
    assert tints["sand"].fill == WORDS["sand"]
    assert tints["black"].fill == "#000000"
    assert tints["tide blue"].fill == "#0000ff"
    assert tints["#ABC"].fill == "#aabbcc"
    assert len(set(tints.values())) == len(names)
