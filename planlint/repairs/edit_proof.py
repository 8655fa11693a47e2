"""A set of edits tried on a plan: what the inspection of the edited text shows, finding by finding."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from planlint.checks.registry import By, hangs_on, waits
from planlint.findings.finding import Finding, Identity
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.model.workshop import Settings
from planlint.text.edits import TextEdit, apply
from planlint.text.source import PlanText


class Inspector:
    """Inspects texts and counts how often; the same text is inspected once."""

    def __init__(self, settings: Settings | None = None, *known: Inspection) -> None:
        self.settings = settings
        self.inspections = 0
        self._known = {each.source.text: each for each in known}

    def inspect(self, source: PlanText) -> Inspection:
        found = self._known.get(source.text)
        if found is None:
            self.inspections += 1
            found = self._known[source.text] = inspect_text(source, self.settings)
        return found

    def tried(self, text: str) -> bool:
        return text in self._known


@dataclass(frozen=True)
class Proof:
    """What became of a plan's findings when it was edited."""

    after: Inspection
    there: Counter[Identity]
    """Findings that there were before."""
    left: Counter[Identity]
    """Findings that were there before and still are."""
    new: tuple[Finding, ...]
    """Findings that were not there before."""

    @property
    def clean(self) -> bool:
        """Whether the edited plan was read and inspected whole, with nothing new in it."""
        return self.after.whole and not self.new


def prove(inspector: Inspector, before: Inspection, edits: Iterable[TextEdit]) -> Proof:
    """Inspect the edited text and hold its findings against those of the text before."""
    source = before.source
    text = PlanText(source.path, apply(source.text, edits), source.byte_order_mark)
    after = inspector.inspect(text)
    there = Counter(finding.identity for finding in before.findings)
    left = Counter(finding.identity for finding in after.findings)
    unsettled = any(hangs_on(finding.rule, By.PLACING) for finding in before.findings)
    return Proof(after, there, left & there, brought(after.findings, there, unsettled=unsettled))


def brought(found: Iterable[Finding], there: Counter[Identity], *, unsettled: bool) -> tuple[Finding, ...]:
    """What is found that was not there. What could not be judged as long as parts did not lie where they should
    (``unsettled``) is shown by edits, not brought."""
    now, new = Counter[Identity](), list[Finding]()
    for finding in found:
        now[finding.identity] += 1
        if now[finding.identity] > there[finding.identity] and not (unsettled and waits(finding.rule)):
            new.append(finding)
    return tuple(new)
