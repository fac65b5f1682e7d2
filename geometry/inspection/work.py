"""A counter that bounds the work of an inspection, whatever the drawing holds."""

from __future__ import annotations

from dataclasses import dataclass

#: Maximum steps of an inspection. A step is the work of comparing two pairs of numbers in an array,
#: about 20 ns; other work counts as so many of these.
MAX_STEPS = 60_000_000


@dataclass
class StepBudget:
    """Counts steps. When they are used up, the rest is not checked, and the answer says so."""

    limit: int = MAX_STEPS
    done: int = 0
    is_complete: bool = True

    def can_do(self, steps: int) -> bool:
        """Count steps, and return whether there is room for them."""
        if self.done + steps > self.limit:
            self.is_complete = False
            return False
        self.done += steps
        return True
