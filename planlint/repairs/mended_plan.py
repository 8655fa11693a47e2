"""What came of mending a plan: the changes that were proved, step by step."""

from collections.abc import Iterator
from dataclasses import dataclass

from planlint.findings.finding import Finding, Repair
from planlint.inspection.inspection_result import Inspection
from planlint.text.edits import TextEdit
from planlint.text.source import PlanText


@dataclass(frozen=True)
class RepairMade:
    """One proved repair: the findings that it takes away, its edits of the step's text, and what else they change."""

    findings: tuple[Finding, ...]
    repair: Repair
    also: tuple[str, ...]
    """Joints and parts that the same words stand for, beside those of the findings."""
    moves: bool = False
    asks: bool = False
    """As the proposal was told (see ``Proposal``)."""

    @property
    def edits(self) -> tuple[TextEdit, ...]:
        return self.repair.edits


@dataclass(frozen=True)
class MendStep:
    """Changes that are right together, on one text."""

    before: Inspection
    after: Inspection
    changes: tuple[RepairMade, ...]


@dataclass(frozen=True)
class Mending:
    """A plan before and after, and the steps between."""

    before: Inspection
    after: Inspection
    steps: tuple[MendStep, ...]
    inspections: int
    spent: bool = False
    """Whether the time ran out: there may be more to mend."""

    @property
    def source(self) -> PlanText:
        """The mended text; the same as before where nothing was mended."""
        return self.after.source

    @property
    def changes(self) -> Iterator[tuple[int, MendStep, RepairMade]]:
        """All changes in their order, with the number of their step."""
        for number, step in enumerate(self.steps):
            for change in step.changes:
                yield number, step, change
