"""All checks over one piece: ours first, then those of the workshop, each of which gets its share of the time left."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from time import monotonic

from planlint.budget.alarm import TimeSpent, alarm
from planlint.checks import registry
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece
from planlint.inspection.acceptance import OWN_RULES
from planlint.inspection.inspection_result import Trouble, our_fault, ran_out
from planlint.plugins.own_rules import OWN, OwnRuleFailed, own_rules

_Check = Callable[[Piece, Rule], Iterator[Finding]]
_TOLD_ONCE = "All else was checked; for the other plans of a run this is not told again."
_SLACK = 0.001
"""Seconds by which an alarm may ring early: it counts in other steps than the clock."""


class Clock:
    """The time of one plan, and of the check that is at work."""

    def __init__(self, budget: float) -> None:
        self.budget = budget
        self._deadline = self._end = monotonic() + budget

    def tick(self) -> None:
        """Raises ``TimeSpent`` where the check that is at work has had its time."""
        if monotonic() > self._end:
            raise TimeSpent

    def share(self, among: int) -> float:
        """Give the next check an equal share of what is left; returns it."""
        start = monotonic()
        self._end = start + max(0.0, (self._deadline - start) / among)
        return self._end - start

    @property
    def rang(self) -> bool:
        """Whether the check that is at work has had its time."""
        return monotonic() > self._end - _SLACK

    @property
    def over(self) -> bool:
        """Whether the plan has."""
        return monotonic() > self._deadline


@dataclass
class Checked:
    """What came of the checks so far."""

    piece: Piece
    rules: Mapping[str, Rule]
    clock: Clock
    found: list[Finding] = field(default_factory=list)
    crashed: list[Trouble] = field(default_factory=list)
    short: list[str] = field(default_factory=list)
    """Rules for which there was not enough memory."""

    def check(self, name: str, check: _Check) -> TimeSpent | None:
        """Ask the piece the question of one rule; gives what broke it off where its time was over."""
        try:
            for finding in check(self.piece, self.rules[name]):
                self.found.append(finding)
                self.clock.tick()
        except TimeSpent as problem:
            if not self.clock.rang:  # Not by our clock: whoever asked for this inspection has no more time.
                raise
            return problem
        except OwnRuleFailed as problem:
            self.crashed.append(Trouble(name, f"{OWN} {name} failed ({problem}). {_TOLD_ONCE}", (name,)))
        except Exception as problem:
            trouble = our_fault(name, problem, (name,))
            if trouble.what == "memory":
                self.short.append(name)
            else:
                self.crashed.append(trouble)
        return None


def check_all(piece: Piece, rules: Mapping[str, Rule], off: frozenset[str], clock: Clock) -> Checked:
    """Every check of a rule that is not off. Never raises for a check; ``TimeSpent`` only if it is not the clock's."""
    own = own_rules()
    checked = Checked(piece, rules, clock)
    checked.crashed += [_not_brought(name, says) for name, says in own.faults if name not in off]
    ours = [name for name in registry.CHECKS if name not in OWN_RULES and name not in off]
    theirs = [name for name in own.checks if name not in off]
    for number, name in enumerate(ours):
        checked.check(name, registry.CHECKS[name])
        if clock.over:
            late = (*ours[number:], *theirs)
            checked.crashed.append(ran_out("time", _before(late, clock), late))
            theirs = []
            break
    for number, name in enumerate(theirs):
        if clock.over:  # Where no alarm rings, one of them may have taken more than its share.
            late = tuple(theirs[number:])
            checked.crashed.append(ran_out("time", _before(late, clock), late, divide=False))
            break
        share = clock.share(len(theirs) - number)
        try:
            with alarm(share):
                broken = checked.check(name, own.checks[name])
        except TimeSpent as problem:  # It rang as the check was just about to end.
            if not clock.rang:
                raise
            broken = problem
        if broken:
            checked.crashed.append(_stopped(name, str(broken), share, clock.budget))
    if checked.short:
        checked.crashed.append(ran_out("memory", _before(checked.short), tuple(checked.short)))
    return checked


def _before(names: Sequence[str], clock: Clock | None = None) -> str:
    much = f"({clock.budget:g} seconds) " if clock else ""
    return f"{much}ran out before these rules were checked: {', '.join(names)}"


def _not_brought(name: str, says: str) -> Trouble:
    return Trouble(name, f"{OWN} {name} cannot be used, and is checked in no plan: {says}.", (name,))


def _stopped(name: str, where: str, share: float, budget: float) -> Trouble:
    says = (
        f"{OWN} {name} was stopped{where}: its share of the time that one plan may take "
        f"({share:.2g} of {budget:g} seconds) was over. "
        f"Look there for a loop that does not end, or allow more by --most-seconds. {_TOLD_ONCE}"
    )
    return Trouble(name, says, (name,))
