"""When the groups of one set come, as ``order_costs`` ranks them, kept while the set is taken apart: of a group nothing
changes but that its joints with others become fewer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.vectors import dot, scaled
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.workplan import order_costs as costing
from planlint.workplan.blocking_graph import motions
from planlint.workplan.finish_first import floating
from planlint.workplan.joint_freedom import skin_in_rabbet
from planlint.workplan.natural_units import Natural, bounds_of, volumes
from planlint.workplan.order_costs import (
    BETWEEN,
    CLOSES,
    HUNG,
    LID,
    LOOSE,
    NEXT,
    OPEN,
    SHUT_IN,
    SLIDES_IN,
    Met,
)
from planlint.workplan.way_in import joins_within


class Tied:
    """A group with the joints that tie it to others, and what follows from them."""

    def __init__(self, ranks: GroupRanks, group: frozenset[int], ties: tuple[Join, ...]) -> None:
        self._ranks = ranks
        self.group = group
        self.ties = ties

    @cached_property
    def own(self) -> list[Met]:
        """The joints, each seen from the group."""
        return costing.from_group(self._ranks.piece, self.group, self.ties)

    @cached_property
    def ranked(self) -> float:
        """When it comes, by what it meets in what is left, and in the whole of it."""
        return self._ranks.rank_of(self)

    @cached_property
    def _known(self) -> tuple[float, tuple[float, ...], bool, int]:
        """Its wood, twice where its middle lies, whether it lies aslant, and how deep it stands."""
        piece, group = self._ranks.piece, self.group
        wood, (low, high) = volumes(piece), bounds_of(piece, group)
        middle = tuple(round(one + other, 2) for one, other in zip(low, high, strict=True))
        aslant = any(piece.plan.parts[i].turn is not None for i in group)
        # A back is laid on wherever its edges end.
        deep = 0 if any(met.skin for met in self.own) else max(costing.depths(piece)[i] for i in group)
        return sum(wood[i] for i in group), middle, aslant, deep

    @cached_property
    def laid(self) -> Box | None:
        """The box round what is laid on from above."""
        on_top = all(met.side is Side.BOTTOM for met in self.own)
        return bounds_of(self._ranks.piece, self.group) if on_top else None

    @cached_property
    def manner(self) -> frozenset[Side]:
        """In which manner it is put on."""
        return costing.manner(self.own)

    @cached_property
    def spans(self) -> bool:
        """Whether it is laid across others."""
        return costing.laid_across(self._ranks.piece, self.own, self._ranks.made)

    def late(self, ranked: float, loose_ends: int, frees: bool, pair: bool, kin: bool) -> tuple[float, ...]:
        """The higher, the later it is put on: what leaves the rest in one, then by rank, then what is in the way of
        others' screws, what is laid across the others, the less wood it has, then what has most joints or stands deep
        among those that it ends at, then what is put on in the manner of what came last, then what lies aslant, to the
        right, behind or above. Of a ``pair`` the one with less wood comes; of what rests, the upper one; else what the
        plan joins to the other."""
        wood, (x, y, z), aslant, deep = self._known
        place = (x, y, z) if ranked == CLOSES else (aslant, z, y, x)
        if ranked in {LOOSE, HUNG}:
            sides = [met.side for met in self.own]
            told_on = all(met.join.part_a is met.part for met in self.own)
            return (ranked, (Side.BOTTOM in sides) - (Side.TOP in sides), -round(wood, 3), told_on, *place)
        amid = len(self.own) if ranked == CLOSES else -wood if frees or pair else deep
        return 0, -loose_ends, ranked, frees, self.spans, amid, kin, *place


class GroupRanks:
    """What is known of the groups of one set, as what ranks last is taken off it."""

    def __init__(self, piece: Piece, units: Iterable[Natural], whole: frozenset[int]) -> None:
        self.piece = piece
        self._motions = motions(piece)
        self.natural = {unit.parts: unit for unit in units}
        inside = [parts for parts in self.natural if parts < whole]
        self.made = [each for each in inside if not any(each < other for other in inside)]
        """The largest units that are made up before they come to the others."""
        joins_of = self._motions.joins_of
        self._every = {i: [join for join in joins_of[i] if joins_within(join, whole)] for i in whole}
        self._left = {i: {join.index: join for join in every} for i, every in self._every.items()}
        self._known: dict[frozenset[int], Tied] = {}
        self._with: defaultdict[int, list[frozenset[int]]] = defaultdict(list)
        """By part, the groups with it of which something is known."""
        self._outer: dict[frozenset[int], tuple[list[Join], list[tuple[Join, tuple[Part, Side]]]]] = {}

    def take_off(self, group: frozenset[int]) -> None:
        """Some parts are gone, and their joints with them."""
        for i in group:
            for index, join in self._left.pop(i).items():
                for part in join.parts:
                    self._left.get(part.index, {}).pop(index, None)
                    for known in self._with.pop(part.index, ()):
                        self._known.pop(known, None)

    def in_one_without(self, group: frozenset[int]) -> bool:
        """Whether what is left, which hangs together, still does without a group."""
        beside = {part.index for i in group for join in self._left[i].values() for part in join.parts} - group
        walk = sorted(beside)[:1]
        reached = {*walk, *group}
        for here in walk:
            if beside <= reached:
                break
            more = {part.index for join in self._left[here].values() for part in join.parts} - reached
            reached |= more
            walk += more
        return beside <= reached

    def tied(self, group: frozenset[int]) -> Tied:
        """What is known of a group, by its joints with what is left."""
        known = self._known.get(group)
        if known is None:
            found = {index: join for i in group for index, join in self._left[i].items()}
            ties = [
                found[index]
                for index in sorted(found)
                if len(group) == 1 or not joins_within(found[index], group)
            ]
            known = self._known[group] = Tied(self, group, tuple(ties))
            for i in group:
                self._with[i].append(group)
        return known

    def shut_in(self, tied: Tied) -> bool:
        """Whether a set is let into what lies on both sides of it: slid in between, glue and all."""
        outs: list[Vector] = []
        for join in tied.ties:
            free = self._motions.freedom(join) if join.tradition else None
            # What can only slide, as a dovetail does, is slid in whichever of the two comes last.
            if free is not None and free.deep and free.allows(free.out) and not skin_in_rabbet(join):
                outs.append(free.out if join.part_a.index in tied.group else scaled(free.out, -1.0))
        return any(dot(one, other) < -0.9 for n, one in enumerate(outs) for other in outs[:n])

    def rank_of(self, tied: Tied) -> float:
        """When a group comes, by what it meets in what is left (``ties``), and in the whole of it."""
        group, ties = tied.group, tied.ties
        natural = self.natural.get(group)
        ranked = costing.rank(self.piece, tied.own, natural)
        if ranked == SLIDES_IN and len(ties) == sum(len(self._every[i]) for i in group):
            loose = floating(self.piece)
            return OPEN if all(join.index in loose for join in ties) else ranked
        if ranked not in {LID, BETWEEN}:
            return ranked
        if ranked == BETWEEN and self.shut_in(tied):
            return SHUT_IN
        met = {join.index for join in ties}
        if group not in self._outer:
            outer = [j for i in group for j in self._every[i] if not joins_within(j, group)]
            ends = [
                (j, (p, side)) for j in outer for p, side in j.sides if p.index in group and p.is_end(side)
            ]
            self._outer[group] = outer, ends
        outer, ends = self._outer[group]
        # A shelf or rail is put in just before what closes it in at its other end, though that be of several boards.
        held = {end for join, end in ends if join.index in met}
        if ranked == BETWEEN and all(join.rests or end in held for join, end in ends):
            return ranked
        # What only rests on it once that is made closes nothing in.
        whole = [join for join in outer if not join.rests or join.index in met]
        if len(whole) == len(ties):
            return ranked
        own = costing.from_group(self.piece, group, whole)
        of_whole = costing.rank(self.piece, own, natural)
        if ranked == LID:
            # What others have left lying at one face alone is no lid.
            return LID if of_whole == LID else min(of_whole, CLOSES)
        return NEXT if of_whole == BETWEEN and not any(each.end for each in own) else ranked
