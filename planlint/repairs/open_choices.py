"""What only the builder can decide of what mending leaves: the exact changes to choose from."""

from collections.abc import Mapping
from contextlib import suppress
from math import inf

from planlint.budget.alarm import TimeSpent
from planlint.findings.finding import Identity
from planlint.inspection.inspection_result import Inspection
from planlint.model.workshop import Settings
from planlint.repairs.mended_plan import MendStep, RepairMade
from planlint.repairs.mending import mend

MOST_CHOICES = 3
"""Changes to choose from that are told for one finding. Basis: own judgement; nobody weighs more."""
MOST_FINDINGS = 8
"""Findings of a plan whose changes are sought. Basis: own judgement; each costs a few inspections."""
_MOST_INSPECTIONS = 8
"""Inspections that the choices for one finding may cost. Basis: own judgement."""

Choices = Mapping[Identity, tuple[RepairMade, ...]]
"""By a finding the changes that would each take it away, every one proved by an inspection."""


def open_choices(left: Inspection, settings: Settings, seconds: float = inf) -> Choices:
    """The choices for what is left of a plan; of a finding for which none is proved, or no time left, nothing."""
    found: dict[Identity, tuple[RepairMade, ...]] = {}
    for finding in left.told[:MOST_FINDINGS]:
        ways: list[RepairMade] = []

        def refuse(step: MendStep, ways: list[RepairMade] = ways) -> tuple[RepairMade, ...] | None:
            ways.extend(step.changes)
            return () if len(ways) < MOST_CHOICES else None

        asked = finding.identity
        with suppress(TimeSpent):
            mend(
                left.source,
                settings,
                lambda each, asked=asked: each.identity == asked,  # type: ignore[misc]
                refuse,
                _MOST_INSPECTIONS,
                asked=True,
                seconds=seconds / MOST_FINDINGS,
                known=(left,),
            )
        if ways:
            found[asked] = tuple(ways[:MOST_CHOICES])
    return found
