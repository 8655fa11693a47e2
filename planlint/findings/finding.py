"""What a check yields: one fault, measured, with its place, its basis and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

from planlint.rulebook.grades import GRADE_BY_WORD, Grade
from planlint.text.edits import TextEdit
from planlint.text.source import Span

__all__ = ["GRADE_BY_WORD", "Finding", "Grade", "Identity", "Repair"]

_Fact = TypeVar("_Fact")


@dataclass(frozen=True, slots=True)
class Repair:
    """What to do, in words a builder can follow, with numbers; and, where it was worked out, how the plan says it."""

    says: str
    edits: tuple[TextEdit, ...] = ()
    """Edits of the plan's text that do it; empty where only words are known."""
    sure: bool | None = None
    """Whether inspecting the edited plan showed the finding gone and nothing new; ``None`` where nobody tried."""


class Identity(NamedTuple):
    """What makes a finding the same one in another text of the plan: words and numbers are not in it, nor is how bad
    it is. Of several that are alike each counts."""

    rule: str
    place: str
    """The joint, both joints of a pair, or the parts."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault of a plan. ``measured`` and ``limit`` are in ``unit``; any of the three may not apply."""

    rule: str
    grade: Grade
    joint: str | None
    parts: tuple[str, ...]
    span: Span
    says: str
    """Empty until it is worded; only a workshop's own rules bring a text of their own."""
    measured: float | None
    limit: float | None
    unit: str | None
    basis: str
    repairs: tuple[Repair, ...] = ()
    reason: str | None = None
    """Why the plan accepts it, in its own words; ``None`` where it does not."""
    kind: str = ""
    """A code for what is wrong, where a rule finds several things: ``comes-out``, ``near``."""
    against: str | None = None
    """The other joint, where a rule judges two against one another."""
    cause: str = ""
    """A mark that findings of one cause share; empty where it stands alone."""
    also: tuple[Finding, ...] = ()
    """The same at other joints, where parts alike meet alike: told with this one."""
    beside: tuple[Finding, ...] = ()
    """What else is wrong at this joint because of it: told with this one."""
    lasting: str = ""
    """The joint, or the pair of them, by names that hold whatever else the plan joins; empty where it is at none."""
    judged_by: str = ""
    """The limit of its rule that was passed, by its name; empty where it is compared with something else."""
    fact: object | None = field(default=None, compare=False, repr=False)
    """What was judged, of a type that the rule's check declares; only where the piece was inspected in this process."""

    @property
    def identity(self) -> Identity:
        if self.joint is None:
            return Identity(self.rule, ", ".join(sorted(set(self.parts))))
        pair = self.joint if self.against is None else " + ".join(sorted((self.joint, self.against)))
        return Identity(self.rule, pair)

    @property
    def lasting_identity(self) -> Identity:
        """The identity by names that hold whatever else the plan joins."""
        return Identity(self.rule, self.lasting) if self.lasting else self.identity

    @property
    def place(self) -> str:
        """The joint, or else the parts."""
        return self.joint or ", ".join(self.parts)

    @property
    def names(self) -> tuple[str, ...]:
        """Every joint and part that it is about."""
        return tuple(name for name in (self.joint, self.against, *self.parts) if name)

    def judged(self, kind: type[_Fact]) -> _Fact:
        """The fact that was judged. Raises ``TypeError`` where it is of another type: a fault of this program."""
        if not isinstance(self.fact, kind):
            raise TypeError(f"{self.rule} judged no {kind.__name__}")
        return self.fact
