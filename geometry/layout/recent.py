"""What one search worked out last; it ends with the search, so no other one is spared work."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, Final, TypeVar

T = TypeVar("T")
#: Answers that are kept; of 40 pieces each takes about 50 kB.
_MOST: Final = 256


class Recent:
    """The answers to the questions that were asked last."""

    def __init__(self) -> None:
        self._answers: dict[Hashable, Any] = {}

    def known_or_made(self, question: Hashable, make: Callable[[], T]) -> T:
        """Return the answer to a question: the one that is known, or else one that is made.

        Args:
            question: all that the answer depends on.
            make: makes it.
        """
        answer: T
        if question in self._answers:
            answer = self._answers.pop(question)
        else:
            answer = make()
            if len(self._answers) >= _MOST:
                del self._answers[next(iter(self._answers))]
        # The last one asked for stands last.
        self._answers[question] = answer
        return answer
