"""What is sent to a worker, and what stands for a plan that came to nothing: light, for a run without any work."""

from typing import NamedTuple

from planlint.budget.allowance import Budget
from planlint.collection.inspection_record import Record, record_of
from planlint.inspection.inspection_result import Inspection, Trouble
from planlint.model.workshop import Settings
from planlint.text.source import PlanText


class Task(NamedTuple):
    """One plan to inspect, with everything that takes: no file is opened for it."""

    called: str
    data: bytes
    settings: Settings
    budget: Budget
    fixes: bool = False
    """Whether to look for repairs of the text too."""


def troubled(called: str, trouble: Trouble, source: PlanText | None = None) -> Inspection:
    """The inspection of a plan that came to nothing."""
    return Inspection(called, source or PlanText(called, ""), crashed=(trouble,))


def lost(called: str, says: str) -> Record:
    """The record of a plan that no worker brought back."""
    return record_of(troubled(called, Trouble("worker", says)))
