"""Measures of traditional joints that cannot be true, told before anything is converted.

What the rule poor-fit finds at a joint it tells; beside that stands what only counts where the joint is converted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction

from planlint.checks.joint_wood import NoWood
from planlint.checks.poor_fit import PoorFit
from planlint.conversion.equivalents import CROSSED
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.text.measures import length
from planlint.text.source import Mistake, Span

_SAID = {
    "thick": ("thick",),
    "wide": ("wide",),
    "insert-thick": ("thick",),
    "mortise-shallow": ("deep",),
    "slot-deep": ("deep",),
    "no-floor": ("deep", "long"),
}
"""The kinds of joints that leave no wood of which a measure cannot be, and which."""


def bad_measures(before: Inspection, sites: Sites, joins: Iterable[Join]) -> list[Mistake]:
    """Every measure of these joints that does not add up, in the order of their places."""
    checks = {join.name: _MeasureCheck(sites, join) for join in joins if join.tradition is not None}
    found = [
        mistake
        for each in before.findings
        if each.rule == "poor-fit" and each.joint in checks
        for mistake in checks[each.joint].found(each)
    ]
    taken: dict[tuple[str, Axis], dict[object, Join]] = defaultdict(dict)
    for check in checks.values():
        found += check.mistakes()
        join = check.join
        lies_in = join.part_a.is_face(join.side_a) or check.tradition.joint.form in CROSSED
        if join.part_a.is_end(join.side_a) or not lies_in:
            taken[join.part_a.name, join.side_a.axis][join.side_a] = join
    for (name, axis), by_side in taken.items():
        whole = sites.plan.part_by_name[name].size[axis]
        total = sum((join.inset for join in by_side.values()), Fraction(0))
        if total >= whole:
            takes, only = length(total, sites.unit), length(whole, sites.unit)
            says = f"the joints of {name} take {takes} of it {axis.words}, and it is only {only}: nothing would be left"
            found.append(Mistake(checks[next(iter(by_side.values())).name].place(), says))
    return sorted(dict.fromkeys(found))


class _MeasureCheck:
    """The measures of one joint against the sizes of its two parts."""

    def __init__(self, sites: Sites, join: Join) -> None:
        assert join.tradition is not None
        self.sites, self.join, self.tradition = sites, join, join.tradition
        self.a, self.b = join.part_a, join.part_b
        self.whole = self.b.size[join.side_b.axis]
        """How deep B is where A is let into it."""

    def length(self, inches: Fraction) -> str:
        return length(inches, self.sites.unit)

    def place(self, *words: str) -> Span:
        """Where a measure is written, or else the joint's name."""
        found = self.sites.tradition(self.join)
        if found is None:
            return self.tradition.span
        statement, item = found
        for measure in item.measures:
            if measure.word.text in words:
                return statement.at(measure.value.start, measure.word.end)
        return statement.at(item.kind.start, item.kind.end)

    def found(self, found: Finding) -> Iterator[Mistake]:
        """What is found of it that stops a conversion, with its place."""
        fact = found.fact
        if isinstance(fact, PoorFit):
            channel = fact.removal is not None and fact.removal.kind in {"dado", "groove"}
            lap = found.kind in {"lap-thick", "lap-gap"} and "thick" in self.tradition.measures
            if lap or found.kind == "shallow" or (found.kind == "narrow" and channel):
                yield Mistake(found.span, found.says)
        # A dowel or spline that is just too thick for the wood goes all the same.
        elif (
            isinstance(fact, NoWood)
            and found.kind in _SAID
            and (found.kind != "insert-thick" or fact.amount >= fact.most)
        ):
            yield Mistake(self.place(*_SAID[found.kind]), found.says)

    def mistakes(self) -> Iterator[Mistake]:
        inset, axis = self.tradition.inset, self.join.side_b.axis
        if self.tradition.joint.form in CROSSED:
            yield from self._lap()
        elif (
            "through" in self.tradition.words
            and self.tradition.kind == "mortise and tenon"
            and inset < self.whole
        ):
            says = (
                f"a through tenon {self.length(inset)} long does not come through {self.b.name}, which is "
                f"{self.length(self.whole)} {axis.words}"
            )
            yield Mistake(self.place("long"), says)

    def _lap(self) -> Iterator[Mistake]:
        crossed, inset = self.tradition.kind == "cross lap", self.tradition.inset
        if crossed and inset > self.a.size[self.join.side_a.axis]:
            says = (
                f"{self.a.name} is let in {self.length(inset)} deep and is only "
                f"{self.length(self.a.size[self.join.side_a.axis])} that way: the laps do not add up"
            )
            yield Mistake(self.place("deep"), says)
        if (
            not crossed
            and self.a.is_end(self.join.side_a)
            and inset < self.whole
            and inset <= self.a.thickness
        ):
            # A lap may stop short of the far edge, or stand past it; so short a one is what is cut out of each.
            says = (
                f"the lap is {self.length(inset)} long and {self.b.name} {self.length(self.whole)} across: "
                f"it stops {self.length(self.whole - inset)} short, so the laps do not add up"
            )
            yield Mistake(self.place("long", "deep"), says)
        wide = self.tradition.measures.get("wide")
        across = self.b.grain if crossed else self.a.across
        if wide is not None and across is not self.join.side_a.axis and wide != self.a.size[across]:
            says = (
                f"the lap is {self.length(wide)} wide and {self.a.name} {self.length(self.a.size[across])}: "
                "the laps do not add up"
            )
            yield Mistake(self.place("wide"), says)
