"""Counting what came out of a run, and the exit status that follows from it."""

from __future__ import annotations

from dataclasses import dataclass, field

from planlint.findings.finding import Grade
from planlint.inspection.inspect import Inspection


@dataclass
class Tally:
    """What came out of all plans so far."""

    plans: int = 0
    sound: int = 0
    by_grade: dict[Grade, int] = field(default_factory=lambda: dict.fromkeys(reversed(Grade), 0))
    """Findings, the worst grade first."""
    accepted: int = 0
    unread: int = 0
    """Plans that could not be read, or not be inspected whole."""

    def add(self, inspection: Inspection) -> None:
        self.plans += 1
        self.sound += inspection.sound
        for finding in inspection.findings:
            self.by_grade[finding.grade] += 1
        self.accepted += len(inspection.accepted)
        self.unread += not inspection.whole

    def exit_status(self, lowest: Grade) -> int:
        """0 clean, 1 something found at ``lowest`` or worse, 2 not everything could be read and inspected."""
        if self.unread:
            return 2
        return 1 if any(count for grade, count in self.by_grade.items() if grade >= lowest) else 0
