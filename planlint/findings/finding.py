"""What a check yields: one fault, measured, with its place, its basis and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from planlint.text.edits import TextEdit
from planlint.text.source import Span


class Grade(IntEnum):
    """What happens if nothing is done; higher is worse."""

    ADVICE = 1
    CAUTION = 2
    STOP = 3

    @property
    def word(self) -> str:
        return self.name.lower()


GRADE_BY_WORD = {grade.word: grade for grade in Grade}


@dataclass(frozen=True, slots=True)
class Repair:
    """What to do, in words a builder can follow, with numbers; and, where it was worked out, how the plan says it."""

    says: str
    edits: tuple[TextEdit, ...] = ()
    """Edits of the plan's text that do it; empty where only words are known."""
    sure: bool | None = None
    """Whether inspecting the edited plan showed the finding gone and nothing new; ``None`` where nobody tried."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault of a plan. ``measured`` and ``limit`` are in ``unit``; any of the three may not apply."""

    rule: str
    grade: Grade
    joint: str | None
    parts: tuple[str, ...]
    span: Span
    says: str
    measured: float | None
    limit: float | None
    unit: str | None
    basis: str
    repairs: tuple[Repair, ...] = ()
    reason: str | None = None
    """Why the plan accepts it, in its own words; ``None`` where it does not."""
