"""What is known of a plan after its inspection: plain data, without the machinery that makes it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from planlint.budget.alarm import memory_ran_out
from planlint.findings.finding import Finding, Identity, Repair
from planlint.findings.one_cause import one_a_cause
from planlint.text.resources import PACKAGE
from planlint.text.source import Mistake, PlanText, Position, Span

if TYPE_CHECKING:
    # A collection that has not changed is told from memory: nothing is placed or checked.
    from planlint.geometry.piece import Piece

FAILED, ABSENT = "failed", "absent"
"""A workshop's own rule that failed at a plan; one that cannot be had for any."""
_NOWHERE = "an unknown place"
_START = Span(0, 0)


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that kept an inspection from being whole, and that is no fault of the plan."""

    what: str
    """A rule's name, or the step that failed."""
    says: str
    rules: tuple[str, ...] = ()
    """The rules that were not checked to their end because of it."""
    kind: str = ""
    """``FAILED`` or ``ABSENT``, of a workshop's own rule."""

    @property
    def own(self) -> bool:
        """Whether it is the trouble of a workshop's own rule."""
        return bool(self.kind)


class About(NamedTuple):
    """What a report says of a plan that was read."""

    title: str
    unit: str
    parts: int
    joins: int


@dataclass(frozen=True)
class Inspection:
    """All that is known of one plan.

    A plan with mistakes in it has no findings: half a plan would raise false alarms. It is ``sound`` when
    it was read and inspected whole and nothing was found.
    """

    path: str
    source: PlanText
    findings: tuple[Finding, ...] = ()
    """At every joint, in the order of their places in the text; ``told`` has one a cause."""
    accepted: tuple[Finding, ...] = ()
    """Findings that the plan's own ``accept`` lines take away."""
    known: tuple[Finding, ...] = ()
    """Findings that a ledger of earlier ones takes away."""
    unread: tuple[Mistake, ...] = ()
    no_plan: bool = False
    """Whether the path led to no file that could be read: what is ``unread`` is the path itself."""
    crashed: tuple[Trouble, ...] = ()
    proved: tuple[tuple[Finding, Repair], ...] = ()
    """Repairs with edits of this text, each with a finding that it takes away; right together. Only where asked for."""
    left_out: tuple[str, ...] = ()
    """A workshop's own rules that were not checked here, since they failed at an earlier plan of the run."""
    newly_accepted: tuple[Finding, ...] | None = None
    """Of the accepted those that were not before a change; ``None`` where nothing was compared."""
    owner: str = ""
    """Whose plan it is, as the settings say by folder."""
    about: About | None = None
    """Where the plan could be read."""
    piece: Piece | None = None
    """The piece as it stands: only where it was inspected in this process, just now."""

    @cached_property
    def told(self) -> tuple[Finding, ...]:
        """The findings as reports tell them: one a cause, with the other joints that it spoils."""
        return one_a_cause(self.findings)

    @property
    def whole(self) -> bool:
        """Whether the plan was read and every check ran to its end."""
        return not self.unread and not self.crashed

    @property
    def sound(self) -> bool:
        return not (self.findings or self.unread or self.crashed)

    def position(self, offset: int) -> Position:
        """Line and column (from 1) of an offset in the plan's text."""
        return self.source.position(offset)


def refused(
    path: str, says: str, text: str | None = None, span: Span = _START, _name: str = ""
) -> Inspection:
    """The inspection of something that could not even be opened as a plan; ``text`` is what could be seen of it."""
    return Inspection(path, PlanText(path, text or ""), unread=(Mistake(span, says),), no_plan=text is None)


def in_text(finding: Finding) -> tuple[int, str, int, Identity, str]:
    """Sorts findings by their places in the text."""
    return finding.span.start, finding.rule, finding.span.end, finding.identity, finding.kind


def our_fault(what: str, problem: Exception, rules: tuple[str, ...] = ()) -> Trouble:
    """Our own failure in one line, with the place in our code: what a report of it needs."""
    if memory_ran_out(problem):
        return ran_out("memory", f"ran out at this: {what}", rules)
    where = _NOWHERE
    at = problem.__traceback__
    while at:
        file = Path(at.tb_frame.f_code.co_filename)
        if PACKAGE in file.parents or where == _NOWHERE:  # The innermost place that is ours says most.
            where = f"{file.name}, line {at.tb_lineno}"
        at = at.tb_next
    detail = " ".join(str(problem).split())[:200]
    return Trouble(
        what,
        f"this is a fault of planlint, not of the plan: {what} failed ({type(problem).__name__} in {where}"
        f"{': ' if detail else ''}{detail}). Whatever else could be checked was checked.",
        rules,
    )


def ran_out(what: str, how: str, rules: tuple[str, ...]) -> Trouble:
    """What a plan may take, time or memory, is spent."""
    option = f"--most-{'seconds' if what == 'time' else what}"
    advice = f"Divide the plan into smaller ones, or allow more by {option}"
    return Trouble(what, f"the {what} for one plan {how}. {advice}.", rules)
