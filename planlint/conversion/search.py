"""The choice of part and face, by trying each against all the rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from planlint.conversion.change import Change
from planlint.conversion.choices import Choice, choices_for, shifted
from planlint.conversion.rewrite import rewritten
from planlint.conversion.sites import Sites
from planlint.findings.finding import Finding, Grade
from planlint.geometry.piece import Piece
from planlint.inspection.inspect import Inspection, inspect_text
from planlint.model.directions import Side
from planlint.model.plan import Join, Plan
from planlint.model.settings import Settings
from planlint.placement.results import Placement

Key = tuple[int, int]
"""A new join: the number of the old one, and which of its outputs it is."""


@dataclass(frozen=True)
class Trial:
    """One way to drill a joint, and what the rules say of it."""

    choice: Choice
    part: str
    """The part drilled."""
    findings: tuple[Finding, ...]

    @property
    def cost(self) -> tuple[int, int, int, int]:
        """Stops, cautions, pieces of advice, and plugs to make: the least is best."""
        grades = Counter(finding.grade for finding in self.findings)
        plugs = self.choice.count if self.choice.plugged else 0
        return grades[Grade.STOP], grades[Grade.CAUTION], grades[Grade.ADVICE], plugs

    @property
    def clean(self) -> bool:
        return not self.findings


@dataclass(frozen=True)
class Drilled:
    """How one new join is drilled: the way taken, and all that were tried, the best first."""

    join: Join
    taken: Trial
    tried: tuple[Trial, ...]


def new_joins(plan: Plan, change: Change) -> dict[Key, Join]:
    """The joins of the new plan that come of those converted."""
    by_sides: dict[tuple[object, ...], Join] = {}
    for join in plan.joins:
        by_sides.setdefault((join.part_a.name, join.side_a, join.part_b.name, join.side_b), join)
    found = {}
    for index in sorted(change.converted):
        for number, each in enumerate(change.outputs[index]):
            join = by_sides.get((each.a.name, each.side_a, each.b.name, each.side_b))
            if join is not None:
                found[index, number] = join
    return found


def search(
    sites: Sites, change: Change, bare: Inspection, placement: Placement, settings: Settings
) -> dict[Key, Drilled]:
    """Choose for each new join by trying all its ways, those around it held fixed; joins apart are tried at once.

    ``bare`` is the inspection of the new plan before any pocket is drilled in the new joins.
    """
    piece = bare.piece
    assert piece is not None
    joins = {key: join for key, join in new_joins(piece.plan, change).items() if not join.pockets}
    ways = {key: choices_for(piece, join) for key, join in joins.items()}
    tried: dict[Key, list[Trial]] = {key: [] for key in joins}
    current: dict[Key, Choice | None] = {key: ways[key][0] if ways[key] else None for key in joins}
    names = {join.name: key for key, join in joins.items()}
    before = Counter(_mark(finding) for finding in bare.findings)
    for number in range(_PASSES):
        settled = dict(current)
        if number:
            _set_out_anew(piece, joins, ways, tried, current)
        for group in _apart(joins):
            open_ = [key for key in group if ways[key] and (not number or not _settled(tried[key], current[key]))]
            rounds: list[tuple[int, list[Finding]]] = []
            for turn in range(max((len(ways[key]) for key in open_), default=0)):
                asked: dict[Key, Choice | None] = dict(current)
                for key in open_:
                    asked[key] = ways[key][min(turn, len(ways[key]) - 1)]
                text = rewritten(sites, change, asked, placement)
                rounds.append((turn, list(inspect_text(text, settings).findings)))
            for key in open_:
                shared = _in_every(found for _, found in rounds)
                trials = [
                    Trial(way, _part(joins[key], way), _about(key, joins[key], found, names, before, shared))
                    for way, (_, found) in zip(ways[key], rounds, strict=False)
                ]
                tried[key] = [*trials, *(_with_plugs(trial) for trial in trials if _seen(trial))]
            for key in open_:
                alike = _drilled_alike(key, joins, current)
                best = min(tried[key], key=lambda trial: (trial.cost, (trial.part, trial.choice.face) not in alike))  # noqa: B023
                current[key] = best.choice
        if number and current == settled:
            break
    return {
        key: Drilled(
            join,
            next(trial for trial in tried[key] if trial.choice == current[key]),
            tuple(sorted(tried[key], key=lambda trial: trial.cost)),
        )
        for key, join in joins.items()
        if current[key] is not None and tried[key]
    }


_PASSES = 3
"""Times that the choices are gone through: each sees what the one before chose. Basis: own judgement."""


_BY_PLACE = frozenset({"screws-meet", "near-end", "close-spacing", "breakout", "mitre-breakout", "hole-in-sight"})
"""Rules that pockets set out otherwise may satisfy."""


def _set_out_anew(
    piece: Piece,
    joins: Mapping[Key, Join],
    ways: dict[Key, list[Choice]],
    tried: Mapping[Key, list[Trial]],
    current: Mapping[Key, Choice | None],
) -> None:
    """More ways for the joints that no plain layout serves: the same faces with the pockets elsewhere."""
    for key, join in joins.items():
        if _settled(tried[key], current[key]):
            continue
        plain = [way for way in ways[key] if not way.at]
        for trial in tried[key]:
            rules = {finding.rule for finding in trial.findings}
            if trial.choice in plain and rules & (_BY_PLACE - {"hole-in-sight"}) and rules <= _BY_PLACE:
                more = [way for way in shifted(piece, join, trial.choice) if way not in ways[key]]
                ways[key] += more


def _settled(tried: Iterable[Trial], choice: Choice | None) -> bool:
    """Whether the first pass found a way that is clean: the second cannot better it."""
    return any(trial.choice == choice and trial.clean and not trial.choice.plugged for trial in tried)


def _seen(trial: Trial) -> bool:
    return any(finding.rule == "hole-in-sight" for finding in trial.findings)


def _with_plugs(trial: Trial) -> Trial:
    """The same pockets plugged: nobody sees them any longer, and nothing else is different."""
    kept = tuple(finding for finding in trial.findings if finding.rule != "hole-in-sight")
    return Trial(replace(trial.choice, plugged=True), trial.part, kept)


def _drilled_alike(
    key: Key, joins: Mapping[Key, Join], current: Mapping[Key, Choice | None]
) -> set[tuple[str, Side]]:
    """The faces through which the same two parts are drilled at their other joints."""
    parts = {join.name for join in joins[key].parts}
    return {
        (_part(joins[other], choice), choice.face)
        for other, choice in current.items()
        if other != key and choice is not None and _part(joins[other], choice) in parts
    }


def _apart(joins: Mapping[Key, Join]) -> list[list[Key]]:
    """Groups of joins that share no part, so that their choices do not touch."""
    groups: list[tuple[list[Key], set[str]]] = []
    for key, join in joins.items():
        parts = {join.part_a.name, join.part_b.name}
        for group, taken in groups:
            if not parts & taken:
                group.append(key)
                taken |= parts
                break
        else:
            groups.append(([key], parts))
    return [group for group, _ in groups]


def _mark(finding: Finding) -> tuple[object, ...]:
    return finding.rule, finding.joint, finding.parts


def _in_every(rounds: Iterable[list[Finding]]) -> Counter[tuple[object, ...]]:
    shared: Counter[tuple[object, ...]] | None = None
    for found in rounds:
        marks = Counter(_mark(finding) for finding in found)
        shared = marks if shared is None else shared & marks
    return shared if shared is not None else Counter()


def _about(
    key: Key,
    join: Join,
    found: Iterable[Finding],
    names: Mapping[str, Key],
    before: Counter[tuple[object, ...]],
    shared: Counter[tuple[object, ...]],
) -> tuple[Finding, ...]:
    """The findings that a joint answers for: its own, and those near it that come and go with its choice."""
    parts = {join.part_a.name, join.part_b.name}
    mine = []
    for finding in found:
        if finding.joint == join.name:
            mine.append(finding)
        elif before[_mark(finding)]:
            continue
        elif finding.joint in names:
            if names[finding.joint] != key and not shared[_mark(finding)] and parts & set(finding.parts):
                mine.append(finding)
        elif parts & set(finding.parts) and not shared[_mark(finding)]:
            mine.append(finding)
    return tuple(mine)


def _part(join: Join, choice: Choice) -> str:
    return join.part_b.name if choice.in_b else join.part_a.name
