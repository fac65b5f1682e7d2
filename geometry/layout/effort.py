"""How long a layout is searched: stages of counted steps.

A search is paid for in steps, not in seconds: every operation has a stated cost that follows from
its input alone, so the same request is searched equally far on a fast machine and on a busy one.
A caller who asks for seconds gets steps at ``STEPS_PER_SECOND``. A clock only ever enters from
outside, as ``should_stop``, and a layout that it cut short says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field, replace
from typing import Any, Final

from geometry.layout.recent import Recent

#: Steps per second asked for: about what one core of a machine of 2020 does. Measured with
#: tests/benchmarks/bench_layout.py; own measurement.
STEPS_PER_SECOND: Final = 1000
#: Looks at ``should_stop`` are this many steps apart at most.
_STEPS_BETWEEN_LOOKS = 20.0

ShouldStop = Callable[[], bool] | None
#: What a nester reports, one mapping for each thing that happens; ``None`` once no more is wanted.
Reports = Iterator[Mapping[str, Any] | None]
#: A library that packs strips: takes a question and what says that no more is wanted.
Nester = Callable[[Mapping[str, Any], Callable[[], bool]], AbstractContextManager[Reports]]


@dataclass(frozen=True)
class Effort:
    """One stage of a search: how many steps it may take, and how wide it looks.

    Attributes:
        name: ``quick``, ``normal`` or ``best``.
        steps: budget of this stage together with those before it.
        turns: turns of a piece for which rows are made.
        refined: row patterns whose spacing is refined.
        edge_fillings: fillings whose edges are filled piece by piece.
        orders: orders of kinds that are placed one by one.
        turns_per_piece: turns tried for each piece that is placed one by one.
        lattices: patterns of rows, of each way, tried in a bed that is no rectangle.
        edged_lattices: of those, how many are filled at the edges.
        roll_refined: row patterns refined for a roll.
        loose: patterns of rows that use the width across a strip to its end.
        squeezed_strips: strips of such rows that are squeezed onto a shorter one.
        max_squeezed_on_strip: pieces above which no strip is squeezed.
        spread: whether rows are also spread over the width they lie on.
        blocks: patterns of rows, standing and lying, of which two blocks are made.
        kind_blocks: the same of each of several kinds that share a load on strips of their own.
        squeezed: patterns of rows, a little too large, that are squeezed for one more piece.
        grid_nodes: states of a search for pieces on the cells of a grid, for each strip.
        extra_pieces: pieces that the nester is asked to add at a time; 0 leaves it out.
        nested_from: kinds on a part-filled load from which the nester is asked for a shorter
            strip of it; 0 leaves it out.
        both_directions: whether the nester is asked along both sides of the sheet.
        seeds: of the nester, for each question.
        failures: attempts that may fail before the nester's question is given up.
        moves: of pieces on one load that are tried so that more of their edges meet others.
        laid_again: pieces of one load that are laid again for the same.
    """

    name: str
    steps: float
    turns: int
    refined: int
    edge_fillings: int
    orders: int
    turns_per_piece: int
    lattices: int
    edged_lattices: int
    roll_refined: int
    loose: int = 0
    squeezed_strips: int = 0
    max_squeezed_on_strip: int = 0
    spread: bool = False
    blocks: int = 0
    kind_blocks: int = 0
    squeezed: int = 0
    grid_nodes: int = 0
    extra_pieces: int = 0
    nested_from: int = 0
    both_directions: bool = False
    seeds: int = 1
    failures: int = 1
    moves: int = 9
    laid_again: int = 20

    @property
    def stages(self) -> tuple[Effort, ...]:
        """The stages of this effort, in order: each keeps what the one before it found.

        The first stage is not counted and never cut short: what it finds is the least that any
        effort answers. With more steps than the last stage has, that one goes on.
        """
        taken = [
            stage
            for stage, before in zip(STAGES, (None, *STAGES), strict=False)
            if before is None or before.steps < self.steps
        ]
        return (*taken[:-1], replace(taken[-1], steps=self.steps))

    @property
    def edge_to_edge(self) -> Effort:
        """The same effort without what moves pieces off each other's edges to save material."""
        return replace(self, loose=0, squeezed_strips=0, spread=False, squeezed=0, nested_from=0)

    @property
    def first(self) -> Effort:
        """The first stage, which no steps pay for; edge to edge where this effort is."""
        return QUICK if self.loose else QUICK.edge_to_edge


QUICK: Final = Effort(
    "quick", 0.0, 3, 3, 0, 1, 4, 4, 1, 2,
    loose=6, squeezed_strips=12, max_squeezed_on_strip=16, kind_blocks=2, grid_nodes=200,
)  # fmt: skip
NORMAL: Final = Effort(
    "normal", 2_500.0, 12, 10, 4, 4, 8, 10, 3, 6,
    loose=10, squeezed_strips=12, max_squeezed_on_strip=24, spread=True, blocks=5, kind_blocks=5,
    extra_pieces=2, grid_nodes=2_000, nested_from=2, moves=150, laid_again=300,
)  # fmt: skip
BEST: Final = Effort(
    "best", 60_000.0, 40, 60, 20, 4, 16, 40, 10, 24,
    loose=40, squeezed_strips=100, max_squeezed_on_strip=80, spread=True, blocks=50, kind_blocks=50,
    squeezed=12, extra_pieces=1, nested_from=1, both_directions=True, seeds=2, failures=2,
    moves=500, laid_again=2_000,
)  # fmt: skip
STAGES: Final = (QUICK, NORMAL, BEST)


def effort_of(asked: str | float, max_steps: float | None = None) -> Effort:
    """Return the effort of a name or of seconds, with no more than ``max_steps`` steps."""
    if isinstance(asked, str):
        effort = {stage.name: stage for stage in STAGES}[asked]
    else:
        effort = replace(BEST, name="seconds", steps=float(asked) * STEPS_PER_SECOND)
    if max_steps is not None and effort.steps > max_steps:
        effort = replace(effort, steps=max(0.0, max_steps))
    return effort


class SearchEnded(Exception):  # noqa: N818 - an event of a search, not an error
    """The steps of a stage are used up, or the caller wants no more."""


@dataclass
class Budget:
    """The steps that are left to a search.

    Attributes:
        left: steps that may still be taken; infinite in the first stage.
        should_stop: the caller's own limit, looked at between steps.
        nester: the library that is asked for fuller loads; ``None`` where there is none.
        was_cut: whether that limit ended the search, so that the same request may give another
            answer another time.
        found: what this search worked out last; its stages ask much of it again.
    """

    left: float
    should_stop: ShouldStop = None
    nester: Nester | None = None
    was_cut: bool = False
    found: Recent = field(default_factory=Recent, repr=False)
    _since_look: float = field(default=_STEPS_BETWEEN_LOOKS, repr=False)

    def spend(self, steps: float) -> None:
        """Take steps.

        Raises:
            SearchEnded: when none are left or the caller wants no more.
        """
        if not self.try_spend(steps):
            raise SearchEnded

    def try_spend(self, steps: float) -> bool:
        """Take steps; return whether the search may go on."""
        self._since_look += steps
        if self._since_look >= _STEPS_BETWEEN_LOOKS and self.is_cut():
            return False
        self.left -= steps
        return self.left >= 0.0

    @contextmanager
    def lent(self, steps: float) -> Iterator[Budget]:
        """Lend a part of a search that may take so many steps, even where fewer are left.

        What it takes of those that are left is spent; that the caller wants no more holds for both.
        """
        own = replace(self, left=max(self.left, steps))
        try:
            yield own
        finally:
            self.was_cut = own.was_cut
            self.left = min(self.left, own.left)

    @contextmanager
    def beside(self, steps: float) -> Iterator[Budget]:
        """Give a part of a search so many steps of its own; those that are left stay.

        That the caller wants no more holds for both.
        """
        own = replace(self, left=steps)
        try:
            yield own
        finally:
            self.was_cut = own.was_cut

    def is_cut(self) -> bool:
        """Return whether the caller wants no more, now or before."""
        self._since_look = 0.0
        if not self.was_cut and self.should_stop is not None and self.should_stop():
            self.was_cut = True
        return self.was_cut


def unlimited() -> Budget:
    """Return the budget of a search that always ends by itself."""
    return Budget(float("inf"))
