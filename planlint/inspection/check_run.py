"""All checks over one piece: ours first, then those of the workshop, each of which gets its share of the time left."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from time import monotonic

from planlint.budget.alarm import TimeSpent
from planlint.checks.line_slips import meant_line
from planlint.checks.registry import Judge
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.overlaps import MOST_OVERLAPS
from planlint.inspection.inspection_result import ABSENT, FAILED, Trouble, our_fault, ran_out
from planlint.plugins.own_rules import OWN, own_rules
from planlint.rulebook.grades import OFF
from planlint.wording.words_by_rule import worded

_TOLD_ONCE = "All else was checked; in the plans behind this one the rule is left out."


_MOST_OF_A_RULE = MOST_OVERLAPS
"""Findings of one rule that are told for one plan: nobody reads more, and memory has an end."""


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
    def over(self) -> bool:
        """Whether the plan has."""
        return monotonic() > self._deadline


@dataclass
class Checked:
    """What came of the checks so far."""

    piece: Piece
    judge: Judge
    clock: Clock
    found: list[Finding] = field(default_factory=list)
    crashed: list[Trouble] = field(default_factory=list)
    short: list[str] = field(default_factory=list)
    """Rules for which there was not enough memory."""

    def check(self, name: str, asked: Iterable[Finding] = ()) -> None:
        """Ask the piece the question of one rule of the book, or another that it is told by."""
        try:
            for number, finding in enumerate(asked or self.judge.ask(self.piece, name)):
                if number == _MOST_OF_A_RULE:
                    self.crashed.append(_too_many(name))
                    break
                self.found.append(worded(self.piece, finding))
                self.clock.tick()
        except TimeSpent:
            if not self.clock.over:  # Not by our clock: whoever asked for this inspection has no more time.
                raise
        except Exception as problem:
            trouble = our_fault(name, problem, (name,))
            if trouble.what == "memory":
                self.short.append(name)
            else:
                self.crashed.append(trouble)

    def check_own(self, names: Sequence[str]) -> None:
        """Ask the questions of a workshop's own rules; of one that fails nothing else is told."""
        from planlint.plugins.own_rules_asked import Failed, Stopped, ask_own  # noqa: PLC0415 - few have any

        share = 0.0

        def seconds(among: int) -> float:
            nonlocal share
            share = self.clock.share(among)
            return share

        for name, outcome in ask_own(self.piece, self.judge.rules, names, seconds):
            if isinstance(outcome, Failed):
                says = f"{OWN} {name} failed ({outcome.says}). {_TOLD_ONCE}"
                self.crashed.append(Trouble(name, says, (name,), FAILED))
            elif isinstance(outcome, Stopped):
                self.crashed.append(_stopped(name, outcome.where, share, self.clock.budget))
            elif outcome is None:
                self.short.append(name)
            else:
                self.found += outcome


def check_all(piece: Piece, judge: Judge, clock: Clock) -> Checked:
    """Every check of a rule in force. Never raises for a check; ``TimeSpent`` only if it is not the clock's."""
    own, off = own_rules(), piece.settings.grades
    checked = Checked(piece, judge, clock)
    for name, says in own.faults:
        if off.get(name) != OFF:
            # Where another rule has the name, that one is checked.
            unchecked = () if name in judge else (name,)
            checked.crashed.append(_not_brought(name, "cannot be used", says, unchecked))
    for name, says in piece.settings.not_installed:
        checked.crashed.append(_not_brought(name, "is not installed here", says, (name,)))
    ours = judge.names()
    theirs = [name for name in own.checks if name in judge]
    for number, name in enumerate(ours):
        checked.check(name)
        if clock.over:
            late = (*ours[number:], *theirs)
            checked.crashed.append(ran_out("time", _before(late, clock), late))
            theirs = []
            break
    else:
        if "misfit" in judge:
            checked.check("misfit", meant_line(piece, checked.found, judge.rules["misfit"]))
    if theirs:
        checked.check_own(theirs)
    if checked.short:
        checked.crashed.append(ran_out("memory", _before(checked.short), tuple(checked.short)))
    return checked


def _before(names: Sequence[str], clock: Clock | None = None) -> str:
    much = f"({clock.budget:g} seconds) " if clock else ""
    return f"{much}ran out before these rules were checked: {', '.join(names)}"


def _too_many(name: str) -> Trouble:
    says = (
        f"{name} finds more than {_MOST_OF_A_RULE} faults in this plan, and only so many are told: mend first what "
        "they have in common."
    )
    return Trouble(name, says, (name,))


def _not_brought(name: str, what: str, says: str, unchecked: tuple[str, ...]) -> Trouble:
    return Trouble(name, f"{OWN} {name} {what}, and is checked in no plan: {says}.", unchecked, ABSENT)


def _stopped(name: str, where: str, share: float, budget: float) -> Trouble:
    says = (
        f"{OWN} {name} was stopped{where}: its share of the time that one plan may take "
        f"({share:.2g} of {budget:g} seconds) was over. "
        f"Look there for a loop that does not end, or allow more by --most-seconds. {_TOLD_ONCE}"
    )
    return Trouble(name, says, (name,), FAILED)
