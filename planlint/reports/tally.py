"""Counting what came out of a run, and the exit status that follows from it; and what every report of a run does."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from planlint.findings.finding import Grade
from planlint.inspection.inspection_result import Inspection, Trouble

NOBODY = "nobody named"
"""How plans without an owner are told beside those with one."""


def touches(file: str) -> str:
    """What to tell of a settings file or a ledger that a change touches."""
    return f"this change touches {file}: what is found and what is known may be others for that alone"


@dataclass
class Tally:
    """What came out of all plans so far."""

    plans: int = 0
    paths: int = 0
    """Paths that led to no plan: nothing is there, or it could not be opened."""
    sound: int = 0
    nothing_new: int = 0
    """Plans in which all that was found is known from the ledger."""
    by_grade: dict[Grade, int] = field(default_factory=lambda: dict.fromkeys(reversed(Grade), 0))
    """Findings, the worst grade first."""
    by_rule: dict[tuple[str, Grade], list[int]] = field(default_factory=dict)
    """Findings of each rule at each grade, and the plans they are in."""
    accepted: int = 0
    known: int = 0
    """Findings that the ledger has."""
    unmatched: list[str] = field(default_factory=list)
    """Entries of the ledger that no longer match."""
    touched: list[str] = field(default_factory=list)
    """Settings files, and the ledger, that a change touches."""
    by_owner: dict[str, list[int]] = field(default_factory=dict)
    """Findings of each owner's plans, and the plans they are in; an owner without a name is nobody."""
    troubles: list[Trouble] = field(default_factory=list)
    """What could not be checked in the run, by the fault of no plan."""
    unread: int = 0
    """Plans that could not be read, or not be inspected whole."""

    def add(self, inspection: Inspection) -> None:
        if inspection.no_plan:
            self.paths += 1
            return
        self.plans += 1
        if inspection.sound:  # Most plans of a collection.
            if inspection.known:
                self.nothing_new += 1
            else:
                self.sound += 1
        else:
            for rule, number in Counter((each.rule, each.grade) for each in inspection.told).items():
                self.by_grade[rule[1]] += number
                counts = self.by_rule.setdefault(rule, [0, 0])
                counts[0] += number
                counts[1] += 1
            if inspection.findings:
                counts = self.by_owner.setdefault(inspection.owner, [0, 0])
                counts[0] += len(inspection.told)
                counts[1] += 1
            self.unread += not inspection.whole
        self.accepted += len(inspection.accepted)
        self.known += len(inspection.known)

    def rows(self) -> list[tuple[str, Grade, int, int]]:
        """Rule, grade, findings, plans: the worst grade first, then the most findings."""
        rows = [(rule, grade, found, plans) for (rule, grade), (found, plans) in self.by_rule.items()]
        return sorted(rows, key=lambda row: (-row[1], -row[2], row[0]))

    def owners(self) -> list[tuple[str, int, int]]:
        """Owner, findings, plans: the most findings first."""
        rows = [(owner, found, plans) for owner, (found, plans) in self.by_owner.items()]
        return sorted(rows, key=lambda row: (-row[1], row[0]))

    @property
    def whole(self) -> bool:
        """Whether everything could be read and inspected."""
        return not (self.unread or self.paths or self.troubles)

    def exit_status(self, lowest: Grade) -> int:
        """0 clean, 1 something found at ``lowest`` or worse, 2 not everything could be read and inspected."""
        if not self.whole:
            return 2
        return 1 if any(count for grade, count in self.by_grade.items() if grade >= lowest) else 0


Write = Callable[[str], object]
"""Takes the next words of a report."""


class Report(Protocol):
    """A report that grows with each plan. It keeps no plan longer than it must."""

    def add(self, name: str, inspection: Inspection) -> None:
        """The next plan; ``name`` is its path from the root of the collection."""

    def end(self, tally: Tally) -> None:
        """Nothing comes any more; ``tally`` has the counts."""
