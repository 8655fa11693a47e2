"""What is wrong with a workshop's own rule is told once in a run, not with each of its plans."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from planlint.inspection.inspection_result import Inspection, Trouble
from planlint.plugins.own_rules import OWN

_NO_NUMBERS = dict.fromkeys(map(ord, "0123456789."))


def told_once(inspections: Iterable[tuple[str, Inspection]]) -> Iterator[tuple[str, Inspection]]:
    """The inspections of a run, each failure of an own rule with the first plan in which it shows itself."""
    told: set[str] = set()
    for name, inspection in inspections:
        if not inspection.crashed:
            yield name, inspection
            continue
        kept: list[Trouble] = []
        for trouble in inspection.crashed:
            alike = trouble.says.translate(_NO_NUMBERS)  # Seconds and lines of a loop differ.
            if trouble.says.startswith(OWN):
                if alike in told:
                    continue
                told.add(alike)
            kept.append(trouble)
        yield name, replace(inspection, crashed=tuple(kept))
