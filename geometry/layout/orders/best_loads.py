"""The best of the loads that are found for one order."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.layout.objective import Score, is_better
from geometry.layout.task import Loads, Task


@dataclass
class BestLoads:
    """The best loads so far; none before the first."""

    task: Task
    loads: Loads = ()
    score: Score | None = None

    def keep(self, loads: Loads) -> bool:
        """Take loads where they are better than those so far; return whether they were."""
        found = self.task.score(loads)
        if not is_better(found, self.score):
            return False
        self.loads, self.score = loads, found
        return True
