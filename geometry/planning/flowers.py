"""Hexagon flowers: rounds about a centre, with paths between flowers.

Source:
    A round k has 6k hexagons, so k rounds make 1 + 3k(k + 1); closest flowers with a path of p
    hexagons form a sublattice of the honeycomb whose index, a^2 + ab + b^2, is the number of
    hexagons of a flower with its share of the path. Derived.
"""

from __future__ import annotations


def in_flower(rounds: int) -> int:
    """Return the number of hexagons in a centre and its rounds."""
    return 1 + 3 * rounds * (rounds + 1)


def lattice_step(rounds: int, path: int) -> tuple[int, int]:
    """Return the axial step from one flower's centre to the next.

    Args:
        rounds: about the centre.
        path: hexagons of path between two flowers; 1 is shared by both neighbours.
    """
    whole, odd = divmod(path, 2)
    return (rounds + whole + 1, rounds + whole + odd)


def per_flower(rounds: int, path: int) -> int:
    """Return the number of hexagons in a flower with its share of the path."""
    a, b = lattice_step(rounds, path)
    return a * a + a * b + b * b


def axial_distance(q: int, r: int) -> int:
    """Return the distance in steps from the origin to a hexagon, in axial coordinates."""
    return (abs(q) + abs(r) + abs(q + r)) // 2


def round_of(q: int, r: int, rounds: int, path: int) -> int | None:
    """Return the round of a hexagon in its flower, or ``None`` for the path.

    Args:
        q: axial column.
        r: axial row.
        rounds: about every centre.
        path: hexagons of path between two flowers.
    """
    a, b = lattice_step(rounds, path)
    index = per_flower(rounds, path)
    # Coordinates on the lattice of flowers, with basis (a, b) and (-b, a + b).
    along = ((a + b) * q + b * r) / index
    aside = (a * r - b * q) / index
    best = min(
        axial_distance(q - m * a + n * b, r - m * b - n * (a + b))
        for m in (int(along // 1), int(along // 1) + 1)
        for n in (int(aside // 1), int(aside // 1) + 1)
    )
    return best if best <= rounds else None
