"""Ways to drill a joint as they were tried, with what the rules say of each, and how they are weighed."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from math import inf
from time import monotonic

from planlint.checks.registry import By, hangs_on
from planlint.conversion.drilling_choices import Choice, mirrored_choice
from planlint.conversion.size_changes import Change
from planlint.findings.finding import Finding, Grade, Identity
from planlint.model.directions import Axis, Flips, Side
from planlint.model.plan import Join, Plan

Key = tuple[int, int]
"""A new join: the number of the old one, and which of its outputs it is."""

_Cost = tuple[int, int, int, bool, int, int, float]

_HARDLY_MORE_SEEN = 1 / 2
"""Share of all eyes by which plugs in an upright face are told apart: where they are seen hardly more, they may still
lie at the likeliest place. Basis: own judgement. In a low tray the eyes look over one side onto the inside of the
other."""


@dataclass(frozen=True)
class Trial:
    """One way to drill a joint, and what the rules say of it."""

    choice: Choice
    part: str
    """The part drilled."""
    findings: tuple[Finding, ...]

    seen: float = 0.0
    """The share of all eyes that see its pockets, or would if they had no plugs."""

    @property
    def cost(self) -> _Cost:
        """Stops, screws fewer than asked for, cautions, whether plugs show on the outside, advice, plugs to make, and
        how much of those is seen: the least is best. Plugs count as a caution, for they show on the face that people
        see, and a hole there as two. A short bit is advice: it is taken before plugs on the outside.
        """
        grades = Counter(finding.grade for finding in self.findings)
        plugs = self.choice.count if self.choice.plugged else 0
        holes = len(by_sight(self.findings))
        marred = grades[Grade.CAUTION] + holes + (plugs > 0)
        shows = self.choice.plugged and self.choice.outward
        advice = grades[Grade.ADVICE]
        # Over and under a shelf, what shows least is best.
        step = 0.01 if self.choice.face.axis is Axis.Z else _HARDLY_MORE_SEEN
        seen = round(self.seen / step) * step
        return grades[Grade.STOP], self.choice.fewer, marred, shows, advice, plugs, seen

    @property
    def clean(self) -> bool:
        return not self.findings


@dataclass(frozen=True)
class Drilled:
    """How one new join is drilled: the way taken, and all that were tried, the best first."""

    join: Join
    taken: Trial
    tried: tuple[Trial, ...]
    untried: int = 0
    """Ways that were not tried, since the search had gone on long enough."""


Watch = Callable[[int, int], None]
"""Told how many ways were tried, and how many may be."""


class Tries:
    """How often a piece may still be tried while one plan is converted, and for how long.

    ``watch`` is told how many were tried, of how many at the most.
    """

    def __init__(self, most: int, seconds: float = inf, watch: Watch | None = None) -> None:
        self.left = self._most = most
        self._end = monotonic() + seconds
        self._watch = watch

    def spend(self) -> None:
        """One more is tried."""
        self.left -= 1
        if self._watch is not None:
            self._watch(self._most - self.left, self._most)

    @property
    def spent(self) -> bool:
        return self.left <= 0 or self.late

    @property
    def late(self) -> bool:
        return monotonic() > self._end


MOST_TRIES = 150
"""Trials of a whole piece in converting one plan. Basis: own judgement, of time: 30 parts are done within seconds."""


def new_joins(plan: Plan, change: Change) -> dict[Key, Join]:
    """The joins of the new plan that come of those converted."""
    by_sides: dict[tuple[object, ...], Join] = {}
    for join in plan.joins:
        by_sides.setdefault((join.part_a.name, join.side_a, join.part_b.name, join.side_b), join)
    found = {}
    for index in sorted(change.converted):
        for number, each in enumerate(change.outputs[index]):
            new = by_sides.get((each.a.name, each.side_a, each.b.name, each.side_b))
            if new is not None:
                found[index, number] = new
    return found


def misplaced(findings: Iterable[Finding]) -> bool:
    """Whether pockets set out otherwise may satisfy what stops, or else all that is found but that they are seen."""
    stops = {finding.rule for finding in findings if finding.grade is Grade.STOP}
    if stops:
        return all(hangs_on(rule, By.PLACES) or rule in _BESIDE_CUTS for rule in stops)
    rules = {finding.rule for finding in findings if not hangs_on(finding.rule, By.SIGHT)}
    return any(hangs_on(rule, By.PLACES) for rule in rules)


def by_sight(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What is found only since it is seen."""
    return tuple(finding for finding in findings if hangs_on(finding.rule, By.SIGHT))


_BESIDE_CUTS = frozenset({"thin-cover", "stepped-face"})
"""Rules that hang on places where a part is grooved or rabbeted."""


def trial_of(way: Choice, part: str, findings: tuple[Finding, ...]) -> Trial:
    seen = [finding.measured or 0.0 for finding in by_sight(findings)]
    return Trial(way, part, findings, max(seen, default=0.0))


def as_told_of(trial: Trial, join: Join, flips: Flips) -> Trial:
    """A trial of one join as that of another that the same words tell, or that is its mirror image."""
    choice = mirrored_choice(trial.choice, flips)
    return replace(trial, choice=choice, part=drilled_part(join, choice))


def with_plugs(trial: Trial) -> Trial:
    """The same pockets plugged: nobody sees them any longer, and nothing else is different."""
    kept = tuple(finding for finding in trial.findings if not hangs_on(finding.rule, By.SIGHT))
    return replace(trial, choice=replace(trial.choice, plugged=True), findings=kept)


def drilled_alike(
    key: Key, joins: Mapping[Key, Join], current: Mapping[Key, Choice]
) -> set[tuple[str, Side]]:
    """The faces through which the same two parts are drilled at their other joints."""
    parts = {join.name for join in joins[key].parts}
    return {
        (drilled_part(joins[other], choice), choice.face)
        for other, choice in current.items()
        if other != key and drilled_part(joins[other], choice) in parts
    }


Reach = tuple[tuple[float, ...], tuple[float, ...]]
"""Low and high corner of where two parts meet, in inches."""

ANYWHERE: Reach = ((-inf,) * 3, (inf,) * 3)

_BESIDE = 6.0
"""Inches between joints of one part within which screws of both may meet. Basis: own judgement; twice a long screw."""


def groups_apart(joins: Mapping[Key, list[tuple[str, Reach]]]) -> list[list[Key]]:
    """Groups of joins of which none lies beside another in one part, so that their choices do not touch."""
    groups: list[tuple[list[Key], list[tuple[str, Reach]]]] = []
    for key, rooms in joins.items():
        for group, taken in groups:
            if not any(one == other and _beside(a, b) for one, a in rooms for other, b in taken):
                group.append(key)
                taken.extend(rooms)
                break
        else:
            groups.append(([key], list(rooms)))
    return [group for group, _ in groups]


def _beside(one: Reach, other: Reach) -> bool:
    return all(
        one[0][axis] - other[1][axis] < _BESIDE and other[0][axis] - one[1][axis] < _BESIDE for axis in Axis
    )


def least_cost(tried: Iterable[Trial]) -> _Cost:
    """What a join costs at least, however its pockets are set out: what stops is taken as mended."""
    mended = [
        replace(each, findings=tuple(found for found in each.findings if found.grade is not Grade.STOP))
        for each in tried
    ]
    return min(each.cost for each in mended)


def in_every(rounds: Iterable[Iterable[Finding]]) -> Counter[Identity]:
    shared: Counter[Identity] | None = None
    for found in rounds:
        marks = Counter(finding.identity for finding in found)
        shared = marks if shared is None else shared & marks
    return shared if shared is not None else Counter()


def drilled_part(join: Join, choice: Choice) -> str:
    return join.part_b.name if choice.in_b else join.part_a.name
