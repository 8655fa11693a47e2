"""What own rules find in a piece, each held to what a rule may do, in a copy of this process."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from planlint.budget.alarm import TimeSpent, memory_ran_out
from planlint.budget.copied_process import CAN_COPY, Ended, Late, each_apart
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.plugins.own_rules import OwnCheck, innermost, own_rules, problem_told, said_beside, traced
from planlint.text.source import Span

if TYPE_CHECKING:
    from planlint.geometry.piece import Piece

_MOST_FINDINGS = 500
"""Of one plan: as many as any rule may tell."""


class Failed(NamedTuple):
    """An own rule that raised something, gave what is no finding, or ended its process."""

    says: str
    """What happened, and where in its own code."""


class Stopped(NamedTuple):
    """An own rule that took too long."""

    where: str
    """In its own code, where that is known."""


_Outcome = list[Finding] | Failed | Stopped | None
"""``None`` where there was too little memory."""


def ask_own(
    piece: Piece, rules: Mapping[str, Rule], names: Iterable[str], seconds: Callable[[int], float]
) -> Iterator[tuple[str, _Outcome]]:
    """What each rule finds, all of it, or why nothing of it is told. Never raises for one of them.

    ``seconds`` gives the time for the next of so many.
    """
    checks = own_rules().checks

    def ask(names: tuple[str, ...]) -> Iterator[_Outcome]:
        if CAN_COPY:
            piece.tick = lambda: None  # The clock is on the other side.
        for name in names:
            with said_beside():
                outcome = _outcome(checks[name], piece, rules[name])
            yield outcome

    for name, told in each_apart(names, ask, seconds):
        if isinstance(told, Late):
            yield name, Stopped(innermost(told.places, checks[name].folder))
        elif isinstance(told, Ended):
            yield name, Failed(f"it ended the process that it ran in, {told}{checks[name].start}")
        else:
            yield name, told


def _outcome(check: OwnCheck, piece: Piece, rule: Rule) -> _Outcome:
    found: dict[Finding, None] = {}
    try:
        for number, finding in enumerate(check.ask(piece, rule), 1):
            wrong = _wrong(finding, rule, len(piece.plan.source.text))
            if number > _MOST_FINDINGS:
                wrong = f"more than {_MOST_FINDINGS} findings of one plan"
            if wrong:
                return Failed(f"it gave {wrong}{check.start}")
            found[replace(finding, fact=None)] = None
    except TimeSpent as problem:
        return Stopped(innermost(traced(problem.__traceback__), check.folder))
    except BaseException as problem:
        if not CAN_COPY and not isinstance(problem, Exception | SystemExit):
            raise  # It may be meant for us.
        if memory_ran_out(problem):
            return None
        where = innermost(traced(problem.__traceback__), check.folder) or check.start
        if isinstance(problem, SystemExit):
            return Failed(f"it tried to end the program{where}")
        return Failed(problem_told(problem, where))
    return list(found)


def _wrong(finding: object, rule: Rule, long: int) -> str:
    """What is wrong with what a check gave, for a plan of so many characters; nothing where it is right."""
    if not isinstance(finding, Finding) or finding.rule != rule.name:
        return "something that is no finding of its rule"
    span: object = finding.span
    if not (
        isinstance(span, Span)
        and all(isinstance(each, int) for each in span)
        and 0 <= span.start <= span.end <= long
    ):
        return "a finding whose span lies outside of the plan's text"
    words = (finding.says, finding.basis, finding.kind, *(each.says for each in finding.repairs))
    names = (*finding.parts, *(each for each in (finding.joint, finding.against) if each is not None))
    if not all(isinstance(each, str) for each in (*words, *names)) or not isinstance(
        finding.unit, str | None
    ):
        return "a finding whose words or names are no text"
    if not all(each is None or isfinite(each) for each in (finding.measured, finding.limit)):
        return "a finding with a measure that is no number"
    return "" if finding.says.strip() else "a finding with no words"
