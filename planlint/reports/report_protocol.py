"""What every report of a run does: it is given the plans one after the other, and told when they are over."""

from collections.abc import Callable
from typing import Protocol

from planlint.inspection.inspection_result import Inspection
from planlint.reports.tally import Tally

Write = Callable[[str], object]
"""Takes the next words of a report."""


class Report(Protocol):
    """A report that grows with each plan. It keeps no plan longer than it must."""

    def add(self, name: str, inspection: Inspection) -> None:
        """The next plan; ``name`` is its path from the root of the collection."""

    def end(self, tally: Tally) -> None:
        """Nothing comes any more; ``tally`` has the counts."""
