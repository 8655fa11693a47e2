"""The choice of part and face, by trying each against all the rules."""

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace

from planlint.checks.registry import tells_joints
from planlint.conversion.drilling_choices import Choice, choices_shifted, mirrored_choice
from planlint.conversion.drilling_state import DrillingState
from planlint.conversion.drilling_trials import (
    Drilled,
    Key,
    Trial,
    by_sight,
    drilled_alike,
    drilled_part,
    groups_apart,
    in_every,
    least_cost,
    misplaced,
    trial_of,
    with_plugs,
)
from planlint.conversion.joints_made_alike import alike_joins, roles, same_role
from planlint.findings.finding import Finding, Grade, Identity
from planlint.model.workshop import Settings


class Search(DrillingState):
    """The search for the best way to drill each new join: its ways are tried, those around it held fixed; joins apart
    are tried at once.

    ``bare`` is the inspection of the new plan before any pocket is drilled in the new joins. A join against whose
    likeliest way nothing stands is tried no further, unless the search is to be ``thorough``.
    """

    def at_first(self, start: Mapping[Key, Choice]) -> tuple[Finding, ...]:
        """What is found where the search begins; ``start`` is what was chosen when more joins were to be converted."""
        self.start = start
        self._start(start)
        return self.inspect(self.current)

    def run(self) -> dict[Key, Drilled]:
        """Choose for each new join, from where it was ``at_first``."""
        settled = set() if self.thorough else self._settled(self.start)
        self.groups = groups_apart({first: self.reach(first) for first in self.alike})
        for number in range(_PASSES):
            chosen = dict(self.current)
            if number and self.tries.spent:
                break
            again = self._set_out_anew() if number else set(self.alike) - settled
            for group in self.groups:
                open_ = [
                    key
                    for key in group
                    if (key in again or not self.clean(key)) and not (number and self.clean_now(key))
                ]
                if open_:
                    self._try(open_, shifts=bool(number))
            if number and self.current == chosen:
                break
        self._told_together()
        self._make_alike()
        return self._drilled()

    def under_loads(self, settings: Settings, names: Container[str]) -> dict[Key, Drilled]:
        """Choose again for the joins that bear too much, each way now under the loads; all others stay as they are."""
        heavy = {
            key for key, told in self.alike.items() if any(self.joins[each].name in names for each in told)
        }
        chosen, before = self.current, dict(self.tried)
        ways, self.ways = self.ways, dict(self.ways)
        for key in heavy:
            # Where more stops, or fewer screws go in, no load need be added for it to be worse.
            worse = [each.choice for each in before[key] if each.cost[:2] > self.taken(key).cost[:2]]
            worse.append(replace(self.current[key], plugged=False))
            self.ways[key] = [self.current[key], *(way for way in ways[key] if not (way.at or way in worse))]
        self.settings = settings
        self._asked.clear()
        for group in self.groups:
            open_ = [key for key in group if key in heavy and len(self.ways[key]) > 1]
            if open_ and not self.tries.spent:
                self._try(open_, shifts=False)
        for key in heavy:
            new = [each.choice for each in self.tried[key]]
            self.note(key, [*self.tried[key], *(each for each in before[key] if each.choice not in new)])
        self.ways = ways
        self._told_together()
        if self.current != chosen:
            self._make_alike()
        return self._drilled()

    def _drilled(self) -> dict[Key, Drilled]:
        return {
            key: Drilled(
                join,
                self.taken(key),
                tuple(sorted(self.tried[key], key=lambda trial: trial.cost)),
                len({replace(way, plugged=False) for way in self.ways[key]} - self.tried_at(key))
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
            and self.clean_now(key)
        }

    def _make_alike(self) -> None:
        """Joints that are alike are drilled alike, where the piece is none the worse for it."""
        keys = list(self.alike)
        joins = [self.joins[key] for key in keys]
        found: tuple[Finding, ...] | None = None
        for group in alike_joins(joins):
            taken = {place: self.current[keys[place]] for place in group}
            known = roles(self.piece, {place: joins[place] for place in group}, taken)
            if len(known) < 2:
                continue
            if found is None:
                found = self.inspect(self.current)
            for role, places in list(known.items())[:_ROLES_TRIED]:
                asked = self.current
                for place in group:
                    key = keys[place]
                    choice = same_role(self.piece, joins[place], self.ways[key], taken[places[0]], role)
                    if choice is None:
                        break
                    asked = self.chosen_too(asked, key, choice)
                else:
                    if self.tries.spent:
                        return
                    then = self.inspect(asked)
                    if self._marred(then, asked) <= self._marred(found, self.current):
                        self.current, found = asked, then
                        for place in group:
                            self.take(keys[place], then)
                        break

    def _marred(
        self, found: Iterable[Finding], choices: Mapping[Key, Choice]
    ) -> tuple[int, int, int, int, int]:
        stops, cautions, advice = self.total(found)
        cautions += len(by_sight(found))
        fewer = sum(choice.fewer for choice in choices.values())
        plugged = [choice for choice in choices.values() if choice.plugged]
        return stops, fewer, cautions + len(plugged), sum(choice.outward for choice in plugged), advice

    def _start(self, start: Mapping[Key, Choice]) -> None:
        """Begin from what was chosen before, where it is a way still."""
        for key in self.alike:
            choice = start.get(key)
            faces = {(way.in_b, way.face) for way in self.ways[key]}
            if choice is not None and (choice.in_b, choice.face) in faces:
                self.ways[key] += [choice] if replace(choice, plugged=False) not in self.ways[key] else []
                self.current = self.chosen_too(self.current, key, choice)

    def _try(self, open_: list[Key], *, shifts: bool) -> None:
        """All ways of joins that do not touch one another, at once, and the best of each taken.

        Of pockets set out otherwise no more are tried once each join has a way as good as it can get.
        """
        rounds: list[tuple[Finding, ...]] = []
        whole: list[tuple[Finding, ...]] = []
        least = (
            {key: least_cost(self.tried[key])[:4] for key in open_} if shifts and not self.thorough else {}
        )
        stops = self._stopped_by(open_) if least else set()
        for turn in range(max(len(self.ways[key]) for key in open_)):
            if turn and self.tries.spent:
                break
            asked = dict(self.current)
            for key in open_:
                asked = self.chosen_too(asked, key, self.ways[key][min(turn, len(self.ways[key]) - 1)])
            stopped = self.stopped_still(open_, asked, stops) if turn and stops else None
            if stopped is not None:
                rounds.append(stopped)
                continue
            rounds.append(self.inspect(asked))
            whole.append(rounds[-1])
            if least and turn:
                shared = in_every(whole)
                if all(
                    min(each.cost for each in self._trials(key, rounds, shared))[:4] <= least[key]
                    for key in open_
                ):
                    break
        shared = in_every(whole)
        for key in open_:
            self.tried[key] = self._trials(key, rounds, shared)
        for key in open_:
            likewise = drilled_alike(key, self.joins, self.current)
            best = min(
                self.tried[key],
                key=lambda trial: (trial.cost, (trial.part, trial.choice.face) not in likewise),
            )
            self.current = self.chosen_too(self.current, key, best.choice)
            self.note(key, self.tried[key])

    def _stopped_by(self, open_: Iterable[Key]) -> set[str]:
        """The rules that stop joints and look at no more than them and those beside them."""
        return {
            finding.rule
            for key in open_
            for trial in self.tried[key]
            for finding in trial.findings
            if finding.grade is Grade.STOP and tells_joints(finding.rule)
        }

    def _trials(self, key: Key, rounds: list[tuple[Finding, ...]], shared: Counter[Identity]) -> list[Trial]:
        trials = [
            trial_of(way, drilled_part(self.joins[key], way), self.about(key, found, shared))
            for way, found in zip(self.ways[key], rounds, strict=False)
        ]
        return [*trials, *(with_plugs(trial) for trial in trials if by_sight(trial.findings))]

    def _set_out_anew(self) -> set[Key]:
        """More ways for the joints that no plain layout serves: the same faces with the pockets elsewhere."""
        more = set()
        for key in self.alike:
            if self.clean(key) and not self.current[key].plugged:
                continue
            ways = self.ways[key]
            known = len(ways)
            plain = [way for way in ways if not way.at]
            for trial in self.tried[key]:
                if trial.choice in plain and misplaced(trial.findings):
                    ways += [way for way in self._shifted(key, trial.choice) if way not in ways]
            if len(ways) > known:
                more.add(key)
        return more

    def _shifted(self, first: Key, choice: Choice) -> Iterator[Choice]:
        """A way set out otherwise: where the same words tell units of unlike sizes, by the narrowest of them."""
        member = min(self.alike[first], key=lambda key: sum(self.joins[key].part_a.size))
        flips = self.flips(first, member)
        for way in choices_shifted(self.piece, self.joins[member], mirrored_choice(choice, flips)):
            yield mirrored_choice(way, flips)

    def _told_together(self) -> None:
        """What is found of each joint once all are drilled as chosen."""
        found = self.inspect(self.current)
        for key, join in self.joins.items():
            own = tuple(finding for finding in found if finding.joint == join.name)
            choice = self.current[key]
            trial = replace(self.taken(key), findings=own)
            self.tried[key] = [trial, *(each for each in self.tried[key] if each.choice != choice)]


_ROLES_TRIED = 2
"""Ways of drilling alike joints that are tried at all of them: the commonest. Basis: own judgement."""

_PASSES = 3
"""Times that the choices are gone through: each sees what the one before chose. Basis: own judgement."""
