"""One conversion while it is worked out: joints are refused one after another until the rest stands."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from planlint.checks.locked_across_grain import Locked
from planlint.checks.registry import CHECKS, By, hangs_on, waits
from planlint.conversion.conversion_result import Conversion
from planlint.conversion.conversion_words import reasons_of
from planlint.conversion.drilling_choices import Choice
from planlint.conversion.drilling_search import Search
from planlint.conversion.drilling_trials import Drilled, Key, Trial, Tries, new_joins
from planlint.conversion.images_told_apart import images_that_differ
from planlint.conversion.join_lines import Choices
from planlint.conversion.joins_like_others import WrittenOut
from planlint.conversion.joint_records import Verdict, joints_told
from planlint.conversion.kept_joints import crate, kept, narrow
from planlint.conversion.lap_changes import Lap, find_laps, hanging_together
from planlint.conversion.plan_rewrite import Accepted, UnitsDiffer, idle_acceptances, rewritten
from planlint.conversion.refused_joints import refusal
from planlint.conversion.same_piece import parts_moved
from planlint.conversion.size_changes import Change, Conflict, work_out
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.language.syntax_tree import Statement
from planlint.model.plan import Join
from planlint.model.workshop import Settings
from planlint.rulebook.grades import OFF
from planlint.text.sayings import named
from planlint.text.source import PlanText

_ONLY_IN_MIRROR = "it is told only as a mirror image: place its unit as it is told too, or tell it by itself"
_IMAGE_STAYS = "{name} is told by the same words, as its mirror image, and stays"
_UNIT_STAYS = "{name} is told by the same words, of another unit, and stays"
_FAR = "convert it there (--placed-in), or in a copy of its assembly here (--own-copy)"

_UNITS_DIFFER = (
    "the units of its assembly would have to be told differently, and one assembly tells them all: convert them alike, "
    "or tell this unit on its own"
)


class ImagesDiffer(Exception):  # noqa: N818 - they differ; nothing is wrong with the program
    """Parts would no longer be the mirror images as which they are told; each with what it is the image of."""

    def __init__(self, names: Mapping[str, str]) -> None:
        super().__init__()
        self.names = names


class Asked(NamedTuple):
    """What is asked of a conversion, whatever the text; ``likes`` tells joins as others again, as they were told."""

    settings: Settings
    only: frozenset[str] | None
    """The joints that were named one by one: then those are converted too that are better left."""
    tries: Tries
    likes: WrittenOut | None
    thorough: bool


class Run:
    """One conversion while it is worked out: joints are refused one after another until the rest stands."""

    def __init__(
        self, before: Inspection, sites: Sites, joins: list[Join], asked: Asked, *, images_apart: bool
    ) -> None:
        assert before.piece is not None and before.source is not None
        self.source, self.before, self.piece, self.sites = before.source, before, before.piece, sites
        self.joins, self.asked, self.images_apart = joins, asked, images_apart
        # Whether `ImagesDiffer` is raised where mirror images stop being alike; else what makes them so stays.
        self.settings, self.tries = asked.settings, asked.tries
        self.chosen: dict[Key, Choice] = {}
        """What was chosen when more joints were to be converted."""
        self.refused: dict[int, str] = {}
        self.tried: dict[int, tuple[Trial, ...]] = {}
        self.better_left: set[int] = set()
        self.laps: Mapping[int, Lap] = {}
        self.other_way: set[int] = set()
        """Laps of which the other part is to run through, since the first way stopped."""
        loads = dict.fromkeys(filter(waits, CHECKS), OFF)
        self.without_loads = replace(self.settings, grades={**self.settings.grades, **loads})
        """Loads are solved for each way only where screws bear too much."""

    def run(self) -> Conversion:
        self._refuse_at_once()
        while True:
            change = self._change()
            if not change.converted:
                return self._told(change, {}, self.source, self.before)
            try:
                bare_text = rewritten(self.sites, change, {}, self.piece.placement)
            except UnitsDiffer as differ:
                self._give_up(self._told_in(change, differ.assembly), _UNITS_DIFFER)
                continue
            bare = inspect_text(bare_text, self.without_loads)
            if not self._stands(change, bare):
                continue
            search = Search(self.sites, change, bare, self.tries, thorough=self.asked.thorough)
            if self._locks(change, search.at_first(self.chosen), boards_alone=True):
                continue
            drilled = search.run()
            taken = self._taken(change, bare, drilled)
            if taken and (heavy := self._overloaded(change, taken[1])):
                drilled = search.under_loads(self.settings, heavy)
                taken = self._taken(change, bare, drilled)
            if taken:
                return self._told(change, drilled, *taken)

    def _taken(
        self, change: Change, bare: Inspection, drilled: Mapping[Key, Drilled]
    ) -> tuple[PlanText, Inspection] | None:
        """The new plan, drilled so; nothing where that has joints refused."""
        self.chosen = {key: each.taken.choice for key, each in drilled.items()}
        if self._refuse_undrillable(change, bare, drilled):
            return None
        text, after = self._rewritten(change, self.chosen | self._anew(change, bare))
        if after.piece is None:
            self._give_up(change.converted, "the plan around it could not be rewritten")
            return None
        again = [self._breaks_others(change, after), self._locks(change, after.findings)]
        return None if any(again) or self._pockets_fail(change, after) else (text, after)

    def _refuse_at_once(self) -> None:
        for join in self.joins:
            mates = self.sites.mates(join)
            if not all(map(self.sites.follows, mates)):
                why = refusal(self.piece, join)
            elif self.sites.own_join(join):
                why = _ONLY_IN_MIRROR
            else:
                why = f"{named(join.part_a)} would change and stands in another file: {_FAR}"
            if why:
                self.refused[join.index] = why
        if self.asked.only is None:
            for join, why in kept(self.piece, self._open()):
                self._keep(join.index, why)

    def _rewritten(self, change: Change, choices: Choices) -> tuple[PlanText, Inspection]:
        """The new plan and what is found in it; an acceptance is told only where it accepts something."""
        idle = idle_acceptances(self.before)
        text = self._text(change, choices, idle)
        while True:
            after = inspect_text(text, self.settings)
            idle |= idle_acceptances(after)
            again = self._text(change, choices, idle)
            if again == text:
                return text, after
            text = again

    def _text(self, change: Change, choices: Choices, idle: frozenset[Accepted]) -> PlanText:
        text = rewritten(self.sites, change, choices, self.piece.placement, idle)
        likes = self.asked.likes
        return text if likes is None else likes.told_again(text, self.settings)

    def _keep(self, index: int, why: str) -> None:
        """Leave a joint that is better left, unless it is asked for."""
        if index not in self.refused:
            self.refused[index] = why
            self.better_left.add(index)

    def _out_of_reach(self, change: Change) -> Iterator[tuple[list[int], str]]:
        """Parts and joints that would change where they cannot: in another file, or told as mirror images; with the
        joints that change them."""
        for name in dict.fromkeys((*change.slices, *change.remains)):
            part = self.piece.plan.part_by_name[name]
            if self.sites.elsewhere(part):
                why = f"{named(name)} would change and stands in another file: {_FAR}"
                yield self._near(change, {name}), why
        differ = dict(images_that_differ(self.piece, self.sites, change))
        if differ and self.images_apart:
            raise ImagesDiffer(differ)
        for name, other in differ.items():
            yield (
                self._near(change, {name, other}),
                f"{named(name)} is told as the mirror image of {named(other)}, and would be so no longer: tell each by "
                "itself first",
            )
        for index in change.outputs:
            if not self.sites.own_join(self.piece.plan.joins[index]):
                near = [index] if index in change.converted else list(change.converted)
                yield near, f"{named(self.piece.plan.joins[index])} stands in another file: {_FAR}"

    def _anew(self, change: Change, bare: Inspection) -> dict[Key, Choice]:
        """Joints that keep their pockets, but not their screws: those no longer suit where the parts now meet."""
        assert bare.piece is not None
        found = {}
        for key, join in new_joins(bare.piece.plan, change).items():
            if any(
                finding.joint == join.name and hangs_on(finding.rule, By.SCREWS) for finding in bare.findings
            ):
                found[key] = Choice(in_b=False, face=join.pockets[0].face, count=0)
        return found

    def _pockets_fail(self, change: Change, after: Inspection) -> bool:
        """Whether pockets that the plan has already stop in the new joint and did not in the old: it stays."""
        assert after.piece is not None
        known = {(finding.rule, finding.joint) for finding in self.before.findings}
        again = False
        for key, join in new_joins(after.piece.plan, change).items():
            old = self.piece.plan.joins[key[0]]
            if not old.pockets:
                continue
            for finding in after.findings:
                worse = finding.joint == join.name and finding.grade is Grade.STOP
                if worse and (finding.rule, old.name) not in known:
                    self._give_up([key[0]], f"with the pockets that the plan has: {named(finding.says)}")
                    again = True
        return again

    def _overloaded(self, change: Change, after: Inspection) -> frozenset[str]:
        """The new joins of which a load is more than their screws take."""
        assert after.piece is not None
        names = {join.name for join in new_joins(after.piece.plan, change).values()}
        heavy = {each.joint for each in after.findings if waits(each.rule)}
        return frozenset(name for name in heavy if name in names)

    def _open(self) -> list[Join]:
        """The joins not refused; those that the same words tell, in the mirror or of another unit, stay with one that
        is."""
        for join in self.joins:
            mates = self.sites.mates(join)
            together = mates if len(mates) > 1 else self.sites.in_units(join)
            stays = next((each for each in together if each.index in self.refused), None)
            if stays is not None and join.index not in self.refused:
                why = (_IMAGE_STAYS if stays in mates else _UNIT_STAYS).format(name=named(stays))
                if stays.index in self.better_left:
                    self._keep(join.index, why)
                self.refused.setdefault(join.index, f"{why}: {self.refused[stays.index]}")
        return [join for join in self.joins if join.index not in self.refused]

    def _change(self) -> Change:
        while True:
            laps = find_laps(self.piece, self._open(), frozenset(self.other_way))
            self.laps = laps.laps
            self.refused.update(laps.refused)
            if self.asked.only is None and self._crates(laps.laps):
                continue
            wanted = self._open()
            change = work_out(self.piece, self.sites, wanted, laps.laps)
            if isinstance(change, Conflict):
                self._give_up(change.joins, change.why)
                continue
            far = next(iter(self._out_of_reach(change)), None)
            if far is None:
                return change
            self._give_up(*far)

    def _crates(self, laps: Mapping[int, Lap]) -> bool:
        """Whether laps hang together of which too many would be cut up, or would leave narrow bars: they are left."""
        left = [(lap.join, narrow(self.piece, lap.join, lap.split)) for lap in laps.values()]
        for group in hanging_together([lap.join for lap in laps.values()]):
            why = crate(laps[join.index] for join in group)
            left += [(join, why) for join in group]
        for join, why in left:
            if why:
                self._keep(join.index, why)
        return any(why for _, why in left)

    def _told_in(self, change: Change, assembly: Statement) -> Iterable[int]:
        """The converted joints that touch what an assembly tells."""
        start, end = assembly.span.start, max(each.span.end for each in (assembly, *assembly.details))
        for index in change.converted:
            sites = [
                self.sites.joins[index],
                *(self.sites.parts[p.name] for p in self.piece.plan.joins[index].parts),
            ]
            if any(start <= site.statement.span.start <= end for site in sites):
                yield index

    def _near(self, change: Change, names: set[str]) -> list[int]:
        """The converted joints of any of these parts."""
        joins = ((index, self.piece.plan.joins[index]) for index in change.converted)
        return [index for index, join in joins if any(part.name in names for part in join.parts)]

    def _give_up(self, joins: Iterable[int], why: str) -> None:
        for index in joins:
            self.refused.setdefault(index, why)

    def _turn(self, joins: Iterable[int]) -> set[int]:
        """Those of the joins that are laps of which the other part may run through yet: it is to, from now on."""
        turned = {index for index in joins if index in self.laps and index not in self.other_way}
        self.other_way |= turned
        return turned

    def _stands(self, change: Change, bare: Inspection) -> bool:
        """Whether every part lies where it did; else the joints of those that do not are refused."""
        if bare.piece is None:
            said = bare.unread[0].says if bare.unread else "it could not be placed"
            self._give_up(change.converted, f"the plan would no longer read: {said}")
            return False
        astray = set(parts_moved(self.piece, bare.piece, change))
        if not astray:
            return True
        why = "its parts would not stay where they are: the plan places them in a way that cannot be rewritten exactly"
        self._give_up(self._near(change, astray) or change.converted, why)
        return False

    def _refuse_undrillable(self, change: Change, bare: Inspection, drilled: Mapping[Key, Drilled]) -> bool:
        assert bare.piece is not None
        again = False
        for key, join in new_joins(bare.piece.plan, change).items():
            found = drilled.get(key)
            if join.pockets or (found is not None and not found.taken.cost[0]):
                continue
            again = True
            if found is None:
                self._give_up([key[0]], "the parts meet face on face, where no pocket can be drilled")
            elif not self._turn([key[0]]):
                self.tried[key[0]] = tried = found.tried
                why = "every way of drilling it stops"
                if found.untried:
                    why = f"no way to drill it was found before the search was broken off, {found.untried} untried"
                elif not all(trial.cost[0] for trial in tried):
                    why, tried = f"beside the joints next to it {why}", (found.taken,)
                self._give_up([key[0]], f"{why}: {reasons_of(tried, self.sites.unit)}")
        return again

    def _breaks_others(self, change: Change, after: Inspection) -> bool:
        """Whether a joint that is not converted now stops, and did not before: what did it is taken back."""
        assert after.piece is not None
        known = Counter(finding.identity for finding in self.before.findings)
        whole = {each.name: each.part.name for pieces in change.slices.values() for each in pieces}
        told = {(finding.rule, frozenset(finding.parts)) for finding in self.before.findings}
        new_names = {join.name for join in new_joins(after.piece.plan, change).values()}
        again = False
        for finding in after.findings:
            if finding.grade is not Grade.STOP or finding.joint in new_names or known[finding.identity]:
                continue
            parts = frozenset(whole.get(name, name) for name in finding.parts)
            if parts != frozenset(finding.parts) and (finding.rule, parts) in told:
                continue  # It was found of the part when that was one.
            near = [
                index
                for index in change.converted
                if any(
                    each.a.name in finding.parts or each.b.name in finding.parts
                    for each in change.outputs[index]
                )
            ]
            if near:
                where = finding.joint or ", ".join(finding.parts)
                why = f"it would bring {finding.rule} upon {named(where)}: {named(finding.says)}"
                self._give_up(near, why)
                again = True
        return again

    def _locks(self, change: Change, found: Iterable[Finding], *, boards_alone: bool = False) -> bool:
        """Whether screws would hold wood fast that is free to move: boards in tongues move each by itself.

        However those are drilled they become one panel (``boards_alone``): they need not be tried.
        """
        known = Counter(finding.identity for finding in self.before.findings)
        again = False
        for finding in found:
            if finding.rule != "locked-across-grain" or known[finding.identity]:
                continue
            fact = finding.judged(Locked)
            panel = {part.name for part in fact.panel}
            ends = [
                (index, {each.a.name, each.b.name})
                for index in change.converted
                for each in change.outputs[index]
            ]
            near = [index for index, names in ends if names <= panel]
            if not near and not boards_alone:
                near = [index for index, names in ends if names & panel and names & set(fact.held_by)]
            turned = self._turn(near)
            if near:
                why = f"screws would hold wood that is free to move now: {named(finding.says)}"
                self._give_up([index for index in near if index not in turned], why)
                again = True
        return again

    def _told(
        self, change: Change, drilled: Mapping[Key, Drilled], text: PlanText, after: Inspection
    ) -> Conversion:
        verdict = Verdict(self.refused, self.tried, frozenset(self.better_left))
        joints, elsewhere = joints_told(self.before, self.sites, change, self.joins, drilled, after, verdict)
        source, unit, late = self.source, self.sites.unit, self.tries.late
        pieces = (each for slices in change.slices.values() for each in slices if each.number)
        cut_from = {each.name: each.part.name for each in pieces}
        return Conversion(
            source, text, joints, (), after.crashed, self.before, after, elsewhere, unit, cut_from, late=late
        )
