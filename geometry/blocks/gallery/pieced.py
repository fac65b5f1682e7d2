"""Blocks with triangles: pinwheels, geese, baskets, paws and nested squares."""

from __future__ import annotations

from geometry.blocks.gallery.shapes import (
    DARK,
    LIGHT,
    MEDIUM,
    GalleryBlock,
    GalleryPath,
    cells,
    checks,
    corners_of,
    halves,
    quarters,
    rectangle,
    ring,
    square,
)


def _pinwheel() -> list[GalleryPath]:
    found = []
    for (x, y), corner in zip(corners_of(0, 0, 2), (1, 2, 3, 0), strict=True):
        found += halves(x, y, 2, corner)
    return found


def _churn_dash() -> list[GalleryPath]:
    found = [square(LIGHT, 2, 2, 2)]
    for (x, y), corner in zip(corners_of(0, 0, 4), range(4), strict=True):
        found += halves(x, y, 2, corner, DARK)
    for at in (0, 4):
        outer, inner = (0, 1) if at == 0 else (1, 0)
        found += [
            rectangle(LIGHT, 2, at + outer, 2, 1),
            rectangle(DARK, 2, at + inner, 2, 1),
            rectangle(LIGHT, at + outer, 2, 1, 2),
            rectangle(DARK, at + inner, 2, 1, 2),
        ]
    return found


def _shoofly() -> list[GalleryPath]:
    found = [square(DARK, 2, 2, 2)]
    found += [square(LIGHT, x, y, 2) for x, y in ((2, 0), (4, 2), (2, 4), (0, 2))]
    for (x, y), corner in zip(corners_of(0, 0, 4), (2, 3, 0, 1), strict=True):
        found += halves(x, y, 2, corner)
    return found


def _geese() -> list[GalleryPath]:
    found = []
    for x in (0.0, 2.0):
        for y in range(4):
            found += [
                ring(DARK, (x, y), (x + 2, y), (x + 1, y + 1)),
                ring(LIGHT, (x, y), (x + 1, y + 1), (x, y + 1)),
                ring(LIGHT, (x + 2, y), (x + 2, y + 1), (x + 1, y + 1)),
            ]
    return found


def _paw(x: float, y: float, right: bool, top: bool) -> list[GalleryPath]:  # noqa: FBT001 - where it points
    """Return a paw of three by three units that points to a corner of the block."""
    column, row = (2.0 if right else 0.0), (2.0 if top else 0.0)
    inner_x, inner_y = (0.0 if right else 1.0), (0.0 if top else 1.0)
    corner = {(False, False): 0, (True, False): 1, (True, True): 2, (False, True): 3}[right, top]
    found = [square(DARK, x + inner_x, y + inner_y, 2), square(LIGHT, x + column, y + row)]
    for step in (0.0, 1.0):
        found += halves(x + column, y + inner_y + step, 1, (corner + 2) % 4)
        found += halves(x + inner_x + step, y + row, 1, (corner + 2) % 4)
    return found


def _bear_paw() -> list[GalleryPath]:
    found = [square(DARK, 3, 3)]
    found += [rectangle(LIGHT, 3, 0, 1, 3), rectangle(LIGHT, 3, 4, 1, 3)]
    found += [rectangle(LIGHT, 0, 3, 3, 1), rectangle(LIGHT, 4, 3, 3, 1)]
    for right in (False, True):
        for top in (False, True):
            found += _paw(4.0 * right, 4.0 * top, right, top)
    return found


def _jacobs_ladder() -> list[GalleryPath]:
    found = []
    for x, y, is_even in cells(3, 2.0):
        if is_even:
            found += checks(x, y, 1, [".#", "#."])
        else:
            found += halves(x, y, 2, 3 if x < y else 1)
    return found


def _card_trick() -> list[GalleryPath]:
    found = quarters(2, 2, 2, ("blue", "red", "green", "gold"))
    cards = ("blue", "red", "green", "gold")
    for (x, y), corner, card in zip(corners_of(0, 0, 4), (2, 3, 0, 1), cards, strict=True):
        found += halves(x, y, 2, corner, card)
    # Below, right, above, left: the half of one card and the quarter of the next.
    for number, (x, y) in enumerate(((2, 0), (4, 2), (2, 4), (0, 2))):
        corners = corners_of(x, y, 2)
        a, b, c, d = (corners[(number + step) % 4] for step in range(4))
        middle = (x + 1, y + 1)
        found += [
            ring(LIGHT, a, b, middle),
            ring(cards[(number + 1) % 4], b, c, middle),
            ring(cards[number], c, d, a),
        ]
    return found


def _basket() -> list[GalleryPath]:
    found = halves(1, 1, 3, 0, MEDIUM)
    found += [square(LIGHT, 4, 4), square(LIGHT, 0, 0)]
    for step in range(3):
        found += halves(1 + step, 4, 1, 0)
        found += halves(4, 1 + step, 1, 0)
    found += [rectangle(LIGHT, 0, 2, 1, 3), rectangle(LIGHT, 2, 0, 3, 1)]
    found += halves(0, 1, 1, 1, MEDIUM)
    found += halves(1, 0, 1, 3, MEDIUM)
    return found


def _nested(rounds: int) -> list[GalleryPath]:
    """Return squares within squares about (4, 4), the innermost of four patches."""
    found = checks(3, 3, 1, ["#.", ".#"])
    corners = corners_of(3.0, 3.0, 2.0)
    for number in range(rounds):
        tips = []
        for at in range(4):
            (ax, ay), (bx, by) = corners[at], corners[(at + 1) % 4]
            middle = ((ax + bx) / 2.0, (ay + by) / 2.0)
            tip = (middle[0] + (by - ay) / 2.0, middle[1] - (bx - ax) / 2.0)
            tips.append(tip)
            fabric = DARK if (at + number) % 2 == 0 else LIGHT
            found.append(ring(fabric, (ax, ay), tip, (bx, by)))
        corners = tips
    return found


def _economy_patch() -> list[GalleryPath]:
    found = [square(DARK, 1, 1, 2)]
    tips = [(2, 0), (4, 2), (2, 4), (0, 2)]
    inner, outer = corners_of(1, 1, 2), corners_of(0, 0, 4)
    for at in range(4):
        found.append(ring(LIGHT, inner[at], tips[at], inner[(at + 1) % 4]))
        found.append(ring(MEDIUM, tips[at - 1], outer[at], tips[at]))
    return found


def _spools() -> list[GalleryPath]:
    inner, outer = corners_of(2, 2, 2), corners_of(0, 0, 6)
    found = [square(MEDIUM, 2, 2, 2)]
    for at in range(4):
        following = (at + 1) % 4
        fabric = DARK if at % 2 == 0 else LIGHT
        found.append(ring(fabric, outer[at], outer[following], inner[following], inner[at]))
    return found


def _bow_tie() -> list[GalleryPath]:
    tips = [(2, 1), (3, 2), (2, 3), (1, 2)]
    outer, sides = corners_of(0, 0, 4), [(2, 0), (4, 2), (2, 4), (0, 2)]
    found = [ring(DARK, *tips)]
    for at in range(4):
        fabric = DARK if at % 2 == 0 else LIGHT
        found.append(ring(fabric, outer[at], sides[at], tips[at], tips[at - 1], sides[at - 1]))
    return found


def _snowball() -> list[GalleryPath]:
    octagon = [(1, 0), (3, 0), (4, 1), (4, 3), (3, 4), (1, 4), (0, 3), (0, 1)]
    found = [ring(LIGHT, *octagon)]
    for at, corner in enumerate(corners_of(0, 0, 4)):
        found.append(ring(DARK, octagon[2 * at - 1], corner, octagon[2 * at]))
    return found


def _attic_window() -> list[GalleryPath]:
    return [
        square(MEDIUM, 2, 2, 4),
        ring(DARK, (0, 0), (2, 2), (2, 6), (0, 6)),
        ring(LIGHT, (0, 0), (6, 0), (6, 2), (2, 2)),
    ]


PIECED = (
    GalleryBlock("pinwheel", "pinwheel", 4, tuple(_pinwheel())),
    GalleryBlock("hourglass", "hourglass", 4, tuple(quarters(0, 0, 4, (DARK, LIGHT) * 2))),
    GalleryBlock("churn-dash", "churn dash", 6, tuple(_churn_dash())),
    GalleryBlock("shoofly", "shoofly", 6, tuple(_shoofly())),
    GalleryBlock("flying-geese", "flying geese", 4, tuple(_geese())),
    GalleryBlock("bear-paw", "bear paw", 7, tuple(_bear_paw())),
    GalleryBlock("jacobs-ladder", "Jacob's ladder", 6, tuple(_jacobs_ladder())),
    GalleryBlock("card-trick", "card trick", 6, tuple(_card_trick())),
    GalleryBlock("basket", "basket of triangles", 5, tuple(_basket())),
    GalleryBlock("snails-trail", "snail's trail", 8, tuple(_nested(4))),
    GalleryBlock("economy-patch", "economy patch", 4, tuple(_economy_patch())),
    GalleryBlock("spool", "spool", 6, tuple(_spools())),
    GalleryBlock("bow-tie", "bow tie", 4, tuple(_bow_tie())),
    GalleryBlock("snowball", "snowball", 4, tuple(_snowball())),
    GalleryBlock("attic-window", "attic window", 6, tuple(_attic_window())),
)
