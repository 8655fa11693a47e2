"""Which change closes a ring that stays open: the likeliest first, each proved by solving the plan again.

A length that closes one ring may open another that the same part lies in: four legs, say, of which one is set back
otherwise than its fellow. So what is told is a change that leaves fewer faults, where one is found.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, islice

from planlint.model.directions import Side
from planlint.model.like_parts import akin
from planlint.model.plan import Join, Part, Plan
from planlint.model.written_sums import common_name, counted_off, counts
from planlint.placement.contradictions import Tried, solved
from planlint.placement.copied_names import copied_names, other_names
from planlint.placement.drawer_fits import drawer_fits
from planlint.placement.joint_graph import JointGraph
from planlint.placement.likely_lengths import between, ends_forgotten, fellows, level_twins, roundness, slip
from planlint.placement.misread_units import other_units
from planlint.placement.placement_results import Closing, Copied, Misfit, Retold, Unlike
from planlint.placement.retold_joins import (
    cut_there,
    disagreeing,
    fellow_joins,
    may_be_across,
    other_ends,
    remade_joins,
    retold_joins,
    told_across,
)

MOST_SOLVED = 20_000
"""Joins solved again to see what closes rings, twice more for each fault left (measured): half a second (judgement)."""
FEW_ALIKE = 1
"""Parts that measure as one does, with which it may still have been measured wrong (own judgement)."""
_MOST_FAULTS = 12
"""Faults of a plan among whose joins names copied from others are looked for (own judgement)."""
FIRST_NAMES = 4
"""Names that are joined so already, tried before them; the others after (own judgement: each plan that is solved takes
time)."""
_MOST_NAMES = 24
"""Other names tried for what the joins of a ring meet, where no length is likely (own judgement)."""
MOST_RETOLD = 8
"""Joins of a ring that are laid in trial as others like them are (own judgement)."""


class Closings:
    """Chooses among the changes that might close a plan's rings."""

    def __init__(self, graph: JointGraph, faults: int, lines: int) -> None:
        self._graph, self._faults, self._lines = graph, faults, lines
        self._may_solve = MOST_SOLVED
        self._relaid: dict[tuple[str, Side, Fraction], Tried | None] = {}

    def told(self, fault: Misfit, closings: Sequence[Closing]) -> Misfit:
        """A misfit with what closes it; where nothing is known to leave fewer faults, with the nearest length."""
        if self._may_solve < 0:
            return fault._replace(closing=next(iter(closings), None))
        if (known := self._known(fault)) is not None:
            return known
        likely = self._likely(fault, closings)
        unlikes = self._unlike(fault)
        lined = self._faults > 1 and any(self._fewer_by(self._laid(each)) == self._faults for each in unlikes)
        copied = None if lined else self._copied(fault, likely)
        if copied is not None:
            heals, best = self._heals_named(copied), self._best(likely)
            if best is None or best.heals <= heals:
                return fault._replace(cause=copied, closing=best)
        ways = retold_joins(self._graph, fault)[:MOST_RETOLD] if self._faults <= _MOST_FAULTS else []
        retold = next((each for each in ways if each.placing is None and self._heals_retold(each)), None)
        if retold is not None:
            return fault._replace(cause=retold)
        fault = self._with_unlike(fault, unlikes)
        proved = self._best(likely)
        if fault.cause is not None:
            # One slip tells it better than several parts that would have to be made otherwise.
            whole = proved is not None and proved.heals == self._faults and not proved.others
            return fault._replace(closing=proved if whole and not fault.doubts else None)
        if proved is None or self._rank(fault, proved)[:2] >= (True, 0):
            # No length is any likelier than another: a distance or a side may be.
            fault = self._with_distance(fault, proved)
            if fault.cause is not None:
                return fault
            retold = next((each for each in ways if each.placing and self._heals_retold(each)), None)
            if retold is not None:
                back = (each for each in ways if (each.join, each.other) == (retold.other, retold.join))
                contrary = tuple(islice(filter(self._heals_retold, back), 1))
                return fault._replace(cause=retold, doubts=contrary, closing=proved)
        if proved is None:
            return fault._replace(closing=next(iter(likely), None))
        other = self._as_likely(fault, proved, likely)
        if other is not None and slip(self._graph.plan.unit, other.part, proved.part, proved.by):
            proved = other
        elif other is not None and not slip(self._graph.plan.unit, proved.part, other.part, other.by):
            fault = fault._replace(doubts=(other, *fault.doubts))
        sure = not self._rank(fault, proved)[0]
        return fault._replace(closing=self._called(proved)._replace(sure=sure))

    def _known(self, fault: Misfit) -> Misfit | None:
        """A misfit whose cause no length is: of a drawer, or a join made otherwise than those like it."""
        drawer = next((fit for fit, then in drawer_fits(self._graph, fault) if self._healed(then)), None)
        if drawer is not None:
            return fault._replace(cause=drawer)
        for each in remade_joins(self._graph, fault.loop, fault.axis):
            tried = self._tried(each.told(self._graph.plan))
            if tried and tried.solution.lines < self._lines:  # Two ends that one line lays are one fault.
                return fault._replace(cause=each)
        return None

    def _copied(self, fault: Misfit, likely: Sequence[Closing]) -> Copied | None:
        """A join told for the wrong twin: one that is joined so already, or any where no length is likely."""
        copied = iter(copied_names(self._graph, fault) if self._faults <= _MOST_FAULTS else ())
        names: Iterator[Copied] = copied
        if not any(each.slight for each in likely):
            names = chain(
                islice(copied, FIRST_NAMES), islice(other_names(self._graph, fault), _MOST_NAMES), copied
            )
        return next(filter(self._heals_named, names), None)

    def _with_unlike(self, fault: Misfit, unlikes: list[Unlike]) -> Misfit:
        """A misfit with a distance that closes it told as at the other end of its part, or as its fellow's: of the two
        that by which it lies in the cut that is there for it, or level with one like it; both, where nothing tells."""
        rest = iter(unlikes)
        unlike = next(filter(self._heals, rest), None)
        if unlike is None:
            return fault
        even = (
            each
            for each in rest
            if (
                each.join is unlike.other or each.join.part_a is unlike.other.part_a is not unlike.join.part_a
            )
            and self._alike(each) == self._alike(unlike)
        )
        other = next(filter(self._heals, even), None)
        if other is None:
            return fault._replace(cause=unlike)
        for each in (unlike, other):
            told = other_units(self._graph, each.join.parts)
            if any(odd.placing.span == each.placing.span and odd.read == each.inset for odd in told):
                return fault._replace(cause=each)
        likely, its = ((cut_there(each), self._level(fault, each)) for each in (unlike, other))
        if likely == its:
            return fault._replace(cause=unlike, doubts=(other,))
        return fault._replace(cause=unlike if likely > its else other)

    def _called(self, closing: Closing) -> Closing:
        """With the name by which all are told that have to be made so."""
        parts = [closing.part, *closing.others]
        name = common_name(self._graph.plan, parts, "wide" if closing.wide else "long") if parts[1:] else ""
        return closing._replace(name=name)

    def _as_likely(self, fault: Misfit, proved: Closing, likely: Sequence[Closing]) -> Closing | None:
        """Another change that heals as much, of no more parts, and is as likely by all that is known: of twins whatever
        is rounder."""
        mine = self._rank(fault, proved)
        for each in likely:
            # Where nothing is known to be forgotten, at how many ends a part is joined tells little; of a mitred frame
            # and the panel in it nothing tells which is wrong.
            framed = fault.axis is None and each.wide is not proved.wide
            upto = 1 if framed else 2 if mine[0] else -1 if akin(each.part, proved.part) else None
            as_wrong = self._rank(fault, each)[:upto] == mine[:upto]
            if as_wrong and each.part not in (proved.part, *proved.others):
                other = self._healing(each)
                as_few = framed or len(other.others) <= len(proved.others)
                if other.heals == proved.heals and as_few and proved.part not in other.others:
                    return other
        return None

    def _likely(self, fault: Misfit, closings: Sequence[Closing]) -> list[Closing]:
        """The likelier first: what counts a thickness of the ring once too often or too seldom, then what makes a part
        like its fellows, then what makes a length rounder."""
        return sorted(closings, key=lambda each: self._rank(fault, each))

    def _rank(self, fault: Misfit, closing: Closing) -> tuple[bool, int, int, int, int, Fraction]:
        joined = len({side for side, _ in between(self._graph, closing)})
        takes = {size for part in fault.loop_parts for size in (part.thickness, part.width)}
        word, by = "wide" if closing.wide else "long", closing.by
        off, rounder = False, Fraction(0)
        if isinstance(by, Fraction):
            off = counted_off(self._graph.plan, closing.part, word, by, takes, joined)
            rounder = roundness(self._graph.plan.unit, closing.now + by) - roundness(
                self._graph.plan.unit, closing.now
            )
        more, among_all = fellows(self._graph.parts, closing)
        lines = {
            each.span for each in self._graph.parts if akin(each, closing.part) and each.length == closing.now
        }
        few = max(more, -len(lines - {closing.part.span})) >= -FEW_ALIKE
        sums = counts(self._graph.plan, closing.part, word)
        each_end = any(times * size == by and abs(times) >= joined for times, size, _ in sums)
        ends = ends_forgotten(self._graph, closing) if few and not each_end else 0
        return not (off or ends), -more, -ends, -among_all, -joined, -rounder

    def _with_distance(self, fault: Misfit, proved: Closing | None) -> Misfit:
        """A misfit with the one distance told in its ring that closes it, where that is as likely wrong as a length;
        where none is, `flush` may be said by mistake."""
        amount = fault.amount if isinstance(fault.amount, Fraction) else Fraction(0)
        said = {placing.inset for join in self._graph.joins for placing in join.placings}
        ways = [
            Unlike(join, placing, placing.inset + by, join)
            for join in fault.loop
            for placing in join.placings
            for by in (amount, -amount)
            if placing.side and placing.side.axis is fault.axis
            if (placing.inset > -by and (placing.inset > 0 or proved is None))
            or (placing.inset + by == -placing.inset and -placing.inset in said)
            or (placing.flush and may_be_across(self._graph, Unlike(join, placing, by, join)))
        ]
        heals = [self._fewer_by(self._laid(each)) for each in ways]
        found = [way for way, many in zip(ways, heals, strict=True) if many == max(heals) > 0]
        two = disagreeing(self._graph.plan.unit, found)
        if two is not None:
            return fault._replace(cause=two[0], doubts=(two[1],))
        as_said = [each for each in found if each.inset and each.inset in said]
        found = as_said if len({each.placing.span for each in as_said}) == 1 else found
        distance = found[0] if len({each.placing.span for each in found}) == 1 else None
        if distance is None:
            return fault
        # Flush with the one end lies as far from the other: by the thickness of a board it may well be meant so.
        usual = distance.inset in said or any(distance.inset == part.thickness for part in self._graph.parts)
        from_across = () if usual and not distance.placing.inset else told_across(distance)
        across = next((each for each in from_across if self._heals_retold(each) >= max(heals)), None)
        # Flush at the one side or the other by no chance, and yet a part may rather have another length: asked about.
        flush = distance.placing.flush and any(told_across(distance))
        either = (proved,) if proved and flush and proved.slight else ()
        cause = fault._replace(cause=across or distance, doubts=either)
        if across is not None:
            return cause
        likelier = Fraction(1)
        # One counted the other way, as is said elsewhere, leaves it open by just twice itself: by no chance.
        if proved is not None and distance.inset != -distance.placing.inset:
            # More than 0 where a distance is rather wrong than a length, less where the length is.
            _, fewer, _, _, _, less_round = self._rank(fault, proved)
            unit = self._graph.plan.unit
            rounder = roundness(unit, distance.inset) - roundness(unit, distance.placing.inset)
            tells = (Fraction(cut_there(distance)), Fraction(fewer), rounder + less_round)
            likelier = next(filter(None, tells), Fraction(0))
        return fault if likelier < 0 else cause if likelier else fault._replace(doubts=(distance,))

    def _unlike(self, fault: Misfit) -> list[Unlike]:
        """Distances that differ at the two ends of a part by what is missing: those with most fellows first."""
        found = [each for join in fault.loop for each in self._otherwise(fault, join)]
        return sorted(found, key=lambda each: (-self._alike(each), each.join is not fault.join))

    def _otherwise(self, fault: Misfit, join: Join) -> Iterator[Unlike]:
        least = self._graph.limits["misfit", "length"]
        ends = other_ends(self._graph, join)
        for other in (*ends, *(fellow_joins(self._graph, join) if self._faults <= _MOST_FAULTS else ())):
            pairs = [
                (mine, said) for mine in join.placings for said in other.placings if mine.side is said.side
            ]
            for placing, said in pairs:
                if placing.side is None or placing.side.axis is not fault.axis:
                    continue
                if abs(abs(said.inset - placing.inset) - abs(float(fault.amount))) < least:
                    yield Unlike(join, placing, said.inset, other)
                    if other in ends:
                        yield Unlike(other, said, placing.inset, join)

    def _alike(self, unlike: Unlike) -> int:
        """At how many other joints parts of the same stock lie at that distance from a side along that axis."""
        assert unlike.placing.side is not None
        return sum(
            1
            for join in self._graph.ties
            if join.part_a.stock is unlike.join.part_a.stock and join.part_a.name != unlike.join.part_a.name
            for placing in join.placings
            if placing.side is not None
            and placing.inset == unlike.inset
            and placing.flush == (not unlike.inset)
        )

    # ------------------------------------------------------------ proof

    def _level(self, fault: Misfit, unlike: Unlike) -> int:
        """With how many parts like it a part lies in line, laid so; -1 where it would lie past what it is joined to."""
        axis, part, tried = fault.axis, unlike.join.part_a, self._laid(unlike)
        if axis is None or tried is None or unlike.inset >= unlike.join.part_b.size[axis]:
            return -1
        return level_twins(tried.graph, tried.solution.system.place, part, (axis,))

    def _heals(self, unlike: Unlike) -> bool:
        return self._fewer_by(self._laid(unlike)) > 0

    def _laid(self, unlike: Unlike) -> Tried | None:
        """The plan solved with a distance as at the other end: kept, since several questions are asked of it."""
        join, placing, inset, other = unlike
        by, side = inset - placing.inset, placing.side
        assert side is not None
        from_end = other in other_ends(self._graph, join) and not join.span.also_tells(other.span)

        def moved(each: Join) -> Join:
            """Laid so, and in each turn of a loop as at the other end of what that lays."""
            said = [
                own
                for end in other_ends(self._graph, each)
                if from_end
                for own in end.placings
                if own.side is side
            ]
            lone = sum(old.side is side for old in each.placings) == len(said) == 1
            ways = ((old, said[0].inset if lone else old.inset + by) for old in each.placings)
            laid = (replace(old, inset=to, flush=not to) if old.side is side else old for old, to in ways)
            return replace(each, placings=tuple(laid))

        key = join.name, side, by
        if key not in self._relaid:
            self._relaid[key] = self._tried(self._graph.plan.with_line(join, moved))
        return self._relaid[key]

    def _heals_retold(self, retold: Retold) -> int:
        tried, parts = self._tried(retold.told(self._graph.plan)), retold.join.parts
        place = tried.solution.system.place if tried is not None else None
        twins = tried and place and any(level_twins(tried.graph, place, part) for part in parts)
        return 0 if twins else self._fewer_by(tried)

    def _heals_named(self, copied: Copied) -> int:
        """How many fewer faults a join of the twin that is meant leaves."""

        def meant(join: Join) -> Join:
            """The same join, or one that its line tells in another turn of a loop."""
            named = join.part_b if copied.of_b else join.part_a
            same = join is copied.join or (copied.other is None and named is copied.named)
            return copied._replace(join=join).made() if same else join

        return self._healed(self._graph.plan.with_line(copied.join, meant))

    def _best(self, closings: Sequence[Closing]) -> Closing | None:
        """The change that takes most faults away, of equals the likelier; ``None`` where none takes any."""
        best: Closing | None = None
        for each in map(self._healing, closings):
            if each.heals > (best.heals if best else 0):
                best = each
            if each.heals == self._faults:
                break
        return self._meeting(best, closings) if best and best.heals == self._faults else best

    def _meeting(self, best: Closing, closings: Sequence[Closing]) -> Closing:
        """Of changes that take every fault away that by which fewest parts then lie past one another."""
        if not self._apart(best):
            return best
        ways = [each for each in map(self._healing, closings[:MOST_RETOLD]) if each.heals == self._faults]
        return min([best, *ways], key=self._apart)

    def _apart(self, closing: Closing) -> int:
        tried = self._tried(closing.told(self._graph.plan))
        return tried.apart if tried is not None else 0

    def _healing(self, closing: Closing) -> Closing:
        """A part made so with how many faults that takes away: alone, or with what measures alike: those that its line
        makes with it, those between the same parts, those of its stock, all that lie the same way."""
        plan, part, ends = self._graph.plan, closing.part, between(self._graph, closing)
        lined = plan.lined_with(part)
        alike = [
            other
            for other in plan.parts
            if other.name != part.name
            and closing._replace(part=other).now == closing.now
            and (other.across is part.across if closing.wide else other.grain is part.grain)
        ]
        sets: tuple[list[Part], ...] = (
            [],
            [each for each in alike if each in lined],
            [each for each in alike if ends and between(self._graph, closing._replace(part=each)) == ends],
            [each for each in alike if each.stock is part.stock],
            alike,
        )
        best = closing
        for number, others in enumerate(sets):
            if others in sets[:number]:
                continue
            way = closing._replace(others=tuple(others))
            heals = self._healed(way.told(plan))
            if heals > best.heals:
                best = way._replace(heals=heals)
            if heals == self._faults:
                break
        return best

    def _healed(self, plan: Plan) -> int:
        """How many fewer faults a changed plan has; 0 where too much was solved already."""
        return self._fewer_by(self._tried(plan))

    def _fewer_by(self, tried: Tried | None) -> int:
        return max(0, self._faults - tried.solution.faults) if tried is not None else 0

    def _tried(self, plan: Plan) -> Tried | None:
        """A changed plan solved; none where too much was solved already."""
        if self._may_solve < 0:
            return None
        graph = JointGraph(plan, self._graph.limits)
        tried = Tried(graph, *solved(graph))
        self._may_solve -= len(plan.joins) * (1 + 2 * tried.solution.faults)
        return tried
