"""The choice of part and face, by trying each against all the rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from planlint.checks.registry import judges_alone, tells_joints
from planlint.conversion.drilling_choices import Choice, choices_for, mirrored_choice, shifted
from planlint.conversion.drilling_trials import (
    ANYWHERE,
    Drilled,
    Key,
    Room,
    Trial,
    Tries,
    apart,
    as_good,
    as_told_of,
    drilled_alike,
    drilled_part,
    in_every,
    is_seen,
    least_cost,
    misplaced,
    new_joins,
    trial_of,
    with_plugs,
)
from planlint.conversion.joints_made_alike import alike, roles, same_role
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding, Grade, Identity
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import found_in
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import Flips
from planlint.model.plan import Join, PocketRow, ScrewChoice

NOTHING_CHOSEN: Mapping[Key, Choice] = {}


def search(
    sites: Sites,
    change: Change,
    bare: Inspection,
    tries: Tries,
    start: Mapping[Key, Choice] = NOTHING_CHOSEN,
    *,
    thorough: bool = False,
) -> dict[Key, Drilled]:
    """Choose for each new join by trying its ways, those around it held fixed; joins apart are tried at once.

    ``bare`` is the inspection of the new plan before any pocket is drilled in the new joins, ``start`` what was chosen
    when more joins were to be converted. A join against whose likeliest way nothing stands is tried no further, unless
    the search is to be ``thorough``.
    """
    return _Search(sites, change, bare, tries, thorough=thorough).run(start)


class _Search:
    """The choices while they are made."""

    def __init__(
        self, sites: Sites, change: Change, bare: Inspection, tries: Tries, *, thorough: bool
    ) -> None:
        assert bare.piece is not None
        self.sites, self.change, self.tries, self.thorough = sites, change, tries, thorough
        self.piece = bare.piece
        self.joins = {
            key: join for key, join in new_joins(bare.piece.plan, change).items() if not join.pockets
        }
        self.ways = {key: ways for key, join in self.joins.items() if (ways := choices_for(bare.piece, join))}
        self.joins = {key: self.joins[key] for key in self.ways}
        self.alike = self._alike()
        for first, members in self.alike.items():
            for key in members:
                if key != first:
                    self.ways[key] = [
                        mirrored_choice(way, self._flips(first, key)) for way in self.ways[first]
                    ]
        self.tried: dict[Key, list[Trial]] = {key: [] for key in self.joins}
        self.current: dict[Key, Choice] = {key: ways[0] for key, ways in self.ways.items()}
        self.before = Counter(finding.identity for finding in bare.findings)
        self._made: dict[tuple[Key, Choice], Join] = {}
        self._pieces: list[Piece] = []
        self._asked: dict[frozenset[tuple[Key, Choice]], tuple[Finding, ...]] = {}

    def _alike(self) -> dict[Key, list[Key]]:
        """Joins that can only be drilled alike: one line of an assembly tells them for all units, or they are mirror
        images."""
        found: dict[tuple[object, ...], list[Key]] = {}
        for key in self.joins:
            site, join = self.sites.joins[key[0]], self.sites.plan.joins[key[0]]
            unit = bool(site.path) and isinstance(site.path[0], str)
            together = unit or len(self.sites.mates(join)) > 1
            found.setdefault((self.sites.mark(join), key[1], together or key), []).append(key)
        return {members[0]: members for members in found.values()}

    def _flips(self, first: Key, member: Key) -> Flips:
        """How a join is the mirror image of the first of those told by the same words."""
        return self.sites.flips[first[0]] ^ self.sites.flips[member[0]]

    def _with(self, choices: Mapping[Key, Choice], first: Key, choice: Choice) -> dict[Key, Choice]:
        asked = {key: mirrored_choice(choice, self._flips(first, key)) for key in self.alike[first]}
        return {**choices, **asked}

    def _note(self, first: Key, trials: list[Trial]) -> None:
        """What was tried of a join was tried of all that the same words tell."""
        for key in self.alike[first]:
            flips, join = self._flips(first, key), self.joins[key]
            self.tried[key] = trials if key == first else [as_told_of(each, join, flips) for each in trials]

    def run(self, start: Mapping[Key, Choice]) -> dict[Key, Drilled]:
        self._start(start)
        settled = set() if self.thorough else self._settled(start)
        for number in range(_PASSES):
            chosen = dict(self.current)
            if number and self.tries.spent:
                break
            again = self._set_out_anew() if number else set(self.alike) - settled
            for group in apart({first: self._reach(first) for first in self.alike}):
                open_ = [
                    key
                    for key in group
                    if (key in again or not self._clean(key)) and not (number and self._clean_now(key))
                ]
                if open_:
                    self._try(open_, shifts=bool(number))
            if number and self.current == chosen:
                break
        self._prefer_likeliest()
        self._untangle()
        self._make_alike()
        return {
            key: Drilled(
                join,
                self._taken(key),
                tuple(sorted(self.tried[key], key=lambda trial: trial.cost)),
                len({replace(way, plugged=False) for way in self.ways[key]} - self._tried_at(key))
                if self.tries.spent
                else 0,
            )
            for key, join in self.joins.items()
        }

    def _settled(self, start: Mapping[Key, Choice]) -> set[Key]:
        """The joins against whose likeliest way, or the one chosen before, nothing stands: no other could be better."""
        return {
            key
            for key in self.alike
            if (self.current[key] == self.ways[key][0] or (key in start and not self.current[key].plugged))
            and self._clean_now(key)
        }

    def _clean_now(self, key: Key) -> bool:
        """Whether nothing stands against the way that is taken as all joins are drilled now; then that is noted."""
        choice = self.current[key]
        if choice.plugged or self._about(key, self._inspect(self.current), Counter()):
            return False
        trial = Trial(choice, drilled_part(self.joins[key], choice), ())
        self._note(key, [trial, *(each for each in self.tried[key] if each.choice != choice)])
        return True

    def _tried_at(self, key: Key) -> set[Choice]:
        return {replace(trial.choice, plugged=False) for trial in self.tried[key]}

    def _make_alike(self) -> None:
        """Joints that are alike are drilled alike, where the piece is none the worse for it."""
        keys = list(self.alike)
        joins = [self.joins[key] for key in keys]
        found: tuple[Finding, ...] | None = None
        for group in alike(joins):
            taken = {place: self.current[keys[place]] for place in group}
            known = roles(self.piece, {place: joins[place] for place in group}, taken)
            if len(known) < 2:
                continue
            if found is None:
                found = self._inspect(self.current)
            for role, places in list(known.items())[:_ROLES_TRIED]:
                asked = self.current
                for place in group:
                    key = keys[place]
                    choice = same_role(self.piece, joins[place], self.ways[key], taken[places[0]], role)
                    if choice is None:
                        break
                    asked = self._with(asked, key, choice)
                else:
                    if self.tries.spent:
                        return
                    then = self._inspect(asked)
                    if self._marred(then, asked) <= self._marred(found, self.current):
                        self.current, found = asked, then
                        for place in group:
                            self._take(keys[place], then)
                        break

    def _marred(self, found: Iterable[Finding], choices: Mapping[Key, Choice]) -> tuple[int, int, int, int]:
        stops, cautions, advice = self._total(found)
        cautions += sum(finding.rule == "hole-in-sight" for finding in found)
        fewer = sum(choice.fewer for choice in choices.values())
        return stops, fewer, cautions + sum(choice.plugged for choice in choices.values()), advice

    def _take(self, key: Key, found: Iterable[Finding]) -> None:
        """Notes the way that is taken now, with what is found of it."""
        choice = self.current[key]
        own = self._about(key, [each for each in found if each.joint is not None], Counter())
        seen = max((trial.seen for trial in self.tried[key] if trial.choice.face is choice.face), default=0.0)
        trial = Trial(choice, drilled_part(self.joins[key], choice), own, seen)
        self._note(key, [trial, *(each for each in self.tried[key] if each.choice != choice)])

    def _inspect(self, choices: Mapping[Key, Choice]) -> tuple[Finding, ...]:
        """What is found with the joins drilled so; of joins that were drilled so before, what is known is kept."""
        asked = frozenset(choices.items())
        known = self._asked.get(asked)
        if known is not None:
            return known
        self.tries.left -= 1
        drilled = {self.joins[key].index: self._drilled(key, choice) for key, choice in choices.items()}
        joins = [drilled.get(join.index, join) for join in self.piece.plan.joins]
        piece = self.piece.with_joins(joins, *self._pieces)
        found = self._asked[asked] = tuple(found_in(piece))
        self._pieces = [*self._pieces[-_PIECES_KEPT:], piece]
        return found

    def _drilled(self, key: Key, choice: Choice) -> Join:
        """The join as its lines will say it; one for each choice."""
        made = self._made.get((key, choice))
        if made is None:
            join = self.joins[key]
            row = PocketRow(
                choice.face,
                choice.in_b,
                join.span,
                count=None if choice.at else choice.count,
                at=choice.at or None,
                origin=choice.origin if choice.at else None,
                plugged=choice.plugged,
            )
            screws = join.screws or ScrewChoice(None, None, None, join.span)
            made = self._made[key, choice] = replace(join, pockets=(row,), screws=screws)
        return made

    def _start(self, start: Mapping[Key, Choice]) -> None:
        """Begin from what was chosen before, or from the inside of the piece or its outside, whichever stands better as
        a whole."""
        if start:
            for key in self.alike:
                choice = start.get(key)
                if choice is not None:
                    self.ways[key] += [choice] if replace(choice, plugged=False) not in self.ways[key] else []
                    self.current = self._with(self.current, key, choice)
            return
        outside = {key: ways[1] if len(ways) > 1 else ways[0] for key, ways in self.ways.items()}
        found = self._inspect(self.current)
        if self._total(found)[0] and self._total(self._inspect(outside)) < self._total(found):
            self.current = outside

    def _total(self, found: Iterable[Finding]) -> tuple[int, int, int]:
        """What the pockets bring upon the whole plan: stops, cautions, advice."""
        new = [finding for finding in found if not self.before[finding.identity]]
        grades = Counter(finding.grade for finding in new)
        return grades[Grade.STOP], grades[Grade.CAUTION], grades[Grade.ADVICE]

    def _try(self, open_: list[Key], *, shifts: bool) -> None:
        """All ways of joins that do not touch one another, at once, and the best of each taken.

        Of pockets set out otherwise no more are tried once each join has a way as good as it can get.
        """
        rounds: list[tuple[Finding, ...]] = []
        least = (
            {key: least_cost(self.tried[key])[:4] for key in open_} if shifts and not self.thorough else {}
        )
        for turn in range(max(len(self.ways[key]) for key in open_)):
            if turn and self.tries.spent:
                break
            asked = dict(self.current)
            for key in open_:
                asked = self._with(asked, key, self.ways[key][min(turn, len(self.ways[key]) - 1)])
            rounds.append(self._inspect(asked))
            if least and turn and all(self._best(key, rounds).cost[:4] <= least[key] for key in open_):
                break
        for key in open_:
            self.tried[key] = self._trials(key, rounds)
        for key in open_:
            likewise = drilled_alike(key, self.joins, self.current)
            best = min(
                self.tried[key],
                key=lambda trial: (trial.cost, (trial.part, trial.choice.face) not in likewise),
            )
            self.current = self._with(self.current, key, best.choice)
            self._note(key, self.tried[key])

    def _trials(self, key: Key, rounds: list[tuple[Finding, ...]]) -> list[Trial]:
        shared = in_every(rounds)
        trials = [
            trial_of(way, drilled_part(self.joins[key], way), self._about(key, found, shared))
            for way, found in zip(self.ways[key], rounds, strict=False)
        ]
        return [*trials, *(with_plugs(trial) for trial in trials if is_seen(trial))]

    def _best(self, key: Key, rounds: list[tuple[Finding, ...]]) -> Trial:
        return min(self._trials(key, rounds), key=lambda trial: trial.cost)

    def _about(self, key: Key, found: Iterable[Finding], shared: Counter[Identity]) -> tuple[Finding, ...]:
        """The findings that a joint answers for: its own, and those near it that come and go with its choice."""
        parts = self._parts(key)
        names = {self.joins[member].name for member in self.alike[key]}
        mine = []
        for finding in found:
            same = finding.identity
            near = (
                not self.before[same]
                and not shared[same]
                and parts & set(finding.parts)
                and not (finding.joint and tells_joints(finding.rule))
            )
            if finding.joint in names or finding.against in names or near:
                mine.append(finding)
        return tuple(mine)

    def _parts(self, key: Key) -> set[str]:
        return {part.name for member in self.alike[key] for part in self.joins[member].parts}

    def _reach(self, key: Key) -> list[tuple[str, Room]]:
        """The parts of a join, each with the room round it in which its screws may meet those of others."""
        found = []
        for member in self.alike[key]:
            corners = [corner for patch in self.piece.contact(self.joins[member]).patches for corner in patch]
            if corners:
                low, high = (tuple(each(axis) for axis in zip(*corners, strict=True)) for each in (min, max))
                found += [(part.name, (low, high)) for part in self.joins[member].parts]
            else:
                found += [(part.name, ANYWHERE) for part in self.joins[member].parts]
        return found

    def _clean(self, key: Key) -> bool:
        """Whether a way is taken that nothing stands against, though it may need plugs."""
        return any(trial.choice == self.current[key] and trial.clean for trial in self.tried[key])

    def _set_out_anew(self) -> set[Key]:
        """More ways for the joints that no plain layout serves: the same faces with the pockets elsewhere."""
        more = set()
        for key in self.alike:
            join = self.joins[key]
            if self._clean(key) and not self.current[key].plugged:
                continue
            ways = self.ways[key]
            known = len(ways)
            plain = [way for way in ways if not way.at]
            for trial in self.tried[key]:
                if trial.choice in plain and misplaced(trial.findings):
                    ways += [way for way in shifted(self.piece, join, trial.choice) if way not in ways]
            if len(ways) > known:
                more.add(key)
        return more

    def _prefer_likeliest(self) -> None:
        """Where another way costs the same, the likeliest one (hidden inside, underneath, behind) is taken instead."""
        wanted: dict[str, list[tuple[Key, Choice]]] = {}
        for key in self.alike:
            cost = self._taken(key).cost
            for trial in self.tried[key]:
                likeliest = replace(trial.choice, plugged=False) == self.ways[key][0]
                if likeliest and as_good(trial.cost, cost, trial.choice.face):
                    if trial.choice != self.current[key]:
                        wanted.setdefault(trial.part, []).append((key, trial.choice))
                    break
        drilled = Counter(drilled_part(self.joins[key], self.current[key]) for key in self.alike)
        # A part drilled half from one face and half from the other is no better.
        wanted = {part: group for part, group in wanted.items() if len(group) == drilled[part]}
        if not wanted:
            return
        total = self._total(self._inspect(self.current))
        everything = [each for group in wanted.values() for each in group]
        against: tuple[Finding, ...] = ()
        for group in (everything, *list(wanted.values())[:_MOST_UNTANGLING]):
            asked = self.current
            for key, choice in group:
                asked = self._with(asked, key, choice)
            if asked == self.current:
                continue
            found = self._inspect(asked)
            if self._total(found) <= total:
                self.current = asked
            elif group is everything:
                against = found
        for key, choice in everything:
            if self.current[key] != choice:
                self._tell_against(key, choice, self._about(key, against, Counter()))

    def _tell_against(self, key: Key, choice: Choice, findings: tuple[Finding, ...]) -> None:
        """What stands against a way once the other joints are drilled likewise: alone it looked as good."""
        told = [
            replace(trial, findings=findings or trial.findings) if trial.choice == choice else trial
            for trial in self.tried[key]
        ]
        self._note(key, told)

    def _untangle(self) -> None:
        """Where joints still stop one another, change one after another for as long as the whole gets better."""
        found = self._inspect(self.current)
        total = self._total(found)
        limit = self.tries.left - _MOST_UNTANGLING
        while total[0]:
            parts = {
                part
                for finding in found
                if finding.grade is Grade.STOP
                and not self.before[finding.identity]
                and self._may_be_mended(finding)
                for part in finding.parts
            }
            near = [key for key in self.alike if parts & self._parts(key)]
            better = self._better(near, total, limit)
            if better is None:
                break
            found, total = better
        for key, join in self.joins.items():
            own = tuple(finding for finding in found if finding.joint == join.name)
            choice = self.current[key]
            trial = replace(self._taken(key), findings=own)
            self.tried[key] = [trial, *(each for each in self.tried[key] if each.choice != choice)]

    def _may_be_mended(self, finding: Finding) -> bool:
        """Whether other choices may take a stop away: it hangs on more than one joint, or not every way stops."""
        own = [key for key in self.alike if self.joins[key].name == finding.joint]
        return not judges_alone(finding.rule) or any(
            not trial.cost[0] for key in own for trial in self.tried[key]
        )

    def _better(
        self, near: Iterable[Key], total: tuple[int, int, int], limit: int
    ) -> tuple[tuple[Finding, ...], tuple[int, int, int]] | None:
        for key in near:
            ways = [trial.choice for trial in self.tried[key] if trial.choice != self.current[key]]
            for way in ways:
                if self.tries.spent or self.tries.left <= limit:
                    return None
                asked = self._with(self.current, key, way)
                found = self._inspect(asked)
                if self._total(found)[0] < total[0]:
                    self.current = asked
                    return found, self._total(found)
        return None

    def _taken(self, key: Key) -> Trial:
        return next(trial for trial in self.tried[key] if trial.choice == self.current[key])


_MOST_UNTANGLING = 24
"""Inspections spent at most on joints that stop one another. Basis: own judgement."""

_ROLES_TRIED = 2
"""Ways of drilling alike joints that are tried at all of them: the commonest. Basis: own judgement."""

_PIECES_KEPT = 12
"""Pieces tried before of which what is known of joins drilled likewise is kept. Basis: own judgement; memory."""

_PASSES = 3
"""Times that the choices are gone through: each sees what the one before chose. Basis: own judgement."""
