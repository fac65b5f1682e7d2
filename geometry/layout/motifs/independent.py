"""As many places as can be used together, when each excludes some others.

Source:
    The maximum independent set of a graph. Greedy choice by least degree and exchanges of one
    place for two (Andrade, Resende and Werneck, Journal of Heuristics 18, 2012); small parts by
    branch and bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

#: What each place excludes, by its number.
Excluded = Sequence[frozenset[int]]
#: Places of a connected part up to which it is solved exactly, and branches of that.
_MAX_EXACT, _MAX_BRANCHES = 60, 20_000
#: Rounds of exchanges.
_ROUNDS = 4
#: Patterns from which a choice is completed.
_MAX_STARTS = 6
#: Places of a part above which it is only filled in order: more would take too long.
_MAX_SEARCHED = 1_500


def largest_choice(excluded: Excluded, starts: Iterable[Sequence[int]] = ()) -> list[int]:
    """Return as many places as were found that do not exclude each other, in order.

    Args:
        excluded: for each place those that it excludes, both ways.
        starts: choices to begin with, such as patterns; places in them that exclude each other
            are left out.
    """
    patterns = [_without_conflicts(start, excluded) for start in starts]
    # Sorting is stable: of equal patterns the first.
    patterns = sorted(patterns, key=len, reverse=True)[:_MAX_STARTS]
    chosen: list[int] = []
    for part in _parts(excluded):
        found = [_completed([], part, excluded)]
        found += [_completed([n for n in each if n in part], part, excluded) for each in patterns]
        best = max((_exchanged(each, part, excluded) for each in found), key=len)
        if len(part) <= _MAX_EXACT:
            best = _exact(part, excluded, best)
        chosen.extend(best)
    return sorted(chosen)


def _without_conflicts(start: Sequence[int], excluded: Excluded) -> list[int]:
    kept: list[int] = []
    taken: set[int] = set()
    for each in start:
        if each not in taken:
            kept.append(each)
            taken |= excluded[each]
    return kept


def _parts(excluded: Excluded) -> Iterable[set[int]]:
    """Yield the connected parts."""
    seen: set[int] = set()
    for start in range(len(excluded)):
        if start in seen:
            continue
        part, edge = {start}, [start]
        while edge:
            for other in excluded[edge.pop()]:
                if other not in part:
                    part.add(other)
                    edge.append(other)
        seen |= part
        yield part


def _completed(chosen: list[int], part: set[int], excluded: Excluded) -> list[int]:
    """Return a choice with further places, always that which excludes fewest of those left."""
    left = set(part) - set(chosen)
    for each in chosen:
        left -= excluded[each]
    found = list(chosen)
    if len(part) > _MAX_SEARCHED:
        return _without_conflicts([*found, *sorted(left)], excluded)
    while left:
        best = min(left, key=lambda at: (len(excluded[at] & left), at))
        found.append(best)
        left.discard(best)
        left -= excluded[best]
    return found


def _exchanged(chosen: list[int], part: set[int], excluded: Excluded) -> list[int]:
    """Return a choice in which single places are exchanged for two as long as that is possible."""
    kept = set(chosen)
    for _ in range(_ROUNDS if len(part) <= _MAX_SEARCHED else 0):
        before = len(kept)
        for each in sorted(kept):
            alone = sorted(at for at in excluded[each] & part if len(excluded[at] & kept) == 1)
            pair = next(
                (
                    (one, other)
                    for index, one in enumerate(alone)
                    for other in alone[index + 1 :]
                    if other not in excluded[one]
                ),
                None,
            )
            if pair is not None:
                kept.discard(each)
                kept.update(pair)
        kept = set(_completed(sorted(kept), part, excluded))
        if len(kept) == before:
            break
    return sorted(kept)


def _exact(part: set[int], excluded: Excluded, known: list[int]) -> list[int]:
    """Return a largest choice of a small part; ``known`` where the branches are used up."""
    best, branches = list(known), 0

    def search(left: set[int], chosen: list[int]) -> None:
        nonlocal best, branches
        branches += 1
        if branches > _MAX_BRANCHES or len(chosen) + _cliques(left, excluded) <= len(best):
            return
        if not left:
            best = list(chosen)
            return
        at = max(left, key=lambda each: (len(excluded[each] & left), -each))
        search(left - excluded[at] - {at}, [*chosen, at])
        search(left - {at}, chosen)

    search(set(part), [])
    return sorted(best)


def _cliques(left: set[int], excluded: Excluded) -> int:
    """Return a number of groups, each of places that all exclude each other: no more are chosen."""
    groups: list[set[int]] = []
    for each in sorted(left):
        for group in groups:
            if group <= excluded[each]:
                group.add(each)
                break
        else:
            groups.append({each})
    return len(groups)
