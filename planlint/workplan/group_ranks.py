"""When the groups of one set come, as ``order_costs`` ranks them, kept while the set is taken apart: of a group nothing
changes but that its joints with others become fewer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.vectors import dot, scaled
from planlint.model.directions import Side
from planlint.model.plan import Join
from planlint.workplan import order_costs as costing
from planlint.workplan.blocking_graph import motions
from planlint.workplan.finish_first import floating
from planlint.workplan.joint_freedom import skin_in_rabbet
from planlint.workplan.natural_units import Natural, bounds_of
from planlint.workplan.order_costs import BETWEEN, CLOSES, LID, NEXT, OPEN, SHUT_IN, SLIDES_IN
from planlint.workplan.way_in import within

_Tied = tuple[frozenset[int], int]
"""A group, and how many joints it has with others."""
_How = tuple[float, int, bool, bool, bool, int, bool]
"""What else ``order_costs.last`` asks of it."""


class GroupRanks:
    """What is known of the groups of one set."""

    def __init__(self, piece: Piece, units: Iterable[Natural], whole: frozenset[int]) -> None:
        self._piece = piece
        self._motions = motions(piece)
        self._units = {unit.parts: unit for unit in units}
        joins_of = self._motions.joins_of
        self._every = {i: [join for join in joins_of[i] if within(join, whole)] for i in whole}
        self._ranked: dict[_Tied, float] = {}
        self._manners: dict[_Tied, tuple[frozenset[Side], bool, int]] = {}
        self._laid: dict[_Tied, Box | None] = {}
        self._last: dict[object, tuple[float, ...]] = {}
        self._outer: dict[frozenset[int], tuple[list[Join], bool, list[int]]] = {}

    def manner(self, group: frozenset[int], ties: Sequence[Join]) -> tuple[frozenset[Side], bool, int]:
        """In which manner a group is put on, whether across others, and how deep it stands among them."""
        key = group, len(ties)
        if key not in self._manners:
            across, deep = costing.spans(self._piece, group, ties), costing.depths(self._piece)
            self._manners[key] = costing.manner(group, ties), across, max(deep[i] for i in group)
        return self._manners[key]

    def last(self, group: frozenset[int], ties: Sequence[Join], *how: *_How) -> tuple[float, ...]:
        """How late a group comes among others."""
        key = group, len(ties), how
        if key not in self._last:
            self._last[key] = costing.last(self._piece, group, ties, *how)
        return self._last[key]

    def laid(self, group: frozenset[int], ties: Sequence[Join]) -> Box | None:
        """The box round what is laid on from above."""
        key = group, len(ties)
        if key not in self._laid:
            on_top = all(side is Side.BOTTOM for _, side, _, _ in costing.from_group(group, ties))
            self._laid[key] = bounds_of(self._piece, group) if on_top else None
        return self._laid[key]

    def shut_in(self, group: frozenset[int], ties: Iterable[Join]) -> bool:
        """Whether a set is let into what lies on both sides of it: slid in between, glue and all."""
        outs: list[Vector] = []
        for join in ties:
            free = self._motions.freedom(join)
            # What can only slide, as a dovetail does, is slid in whichever of the two comes last.
            if free is not None and free.deep and free.allows(free.out) and not skin_in_rabbet(join):
                outs.append(free.out if join.part_a.index in group else scaled(free.out, -1.0))
        return any(dot(one, other) < -0.9 for n, one in enumerate(outs) for other in outs[:n])

    def rank(self, group: frozenset[int], ties: Sequence[Join]) -> float:
        """When a group comes, by what it meets in what is left (``ties``), and in the whole of it."""
        key = group, len(ties)
        if key not in self._ranked:
            self._ranked[key] = self._rank_of(group, ties)
        return self._ranked[key]

    def _rank_of(self, group: frozenset[int], ties: Sequence[Join]) -> float:
        natural = self.natural(group)
        ranked = costing.rank(self._piece, group, ties, natural)
        if ranked == SLIDES_IN and len(ties) == sum(len(self._every[i]) for i in group):
            loose = floating(self._piece)
            return OPEN if all(join.index in loose for join in ties) else ranked
        if ranked not in {LID, BETWEEN}:
            return ranked
        if ranked == BETWEEN and self.shut_in(group, ties):
            return SHUT_IN
        if group not in self._outer:
            outer = [j for i in group for j in self._every[i] if not within(j, group)]
            at_ends = [j.index for j in outer if any(p.index in group and p.is_end(s) for p, s in j.sides)]
            self._outer[group] = outer, any(j.rests for j in outer), at_ends
        whole, rests, at_ends = self._outer[group]
        if rests:
            # What only rests on it once that is made closes nothing in.
            met = {join.index for join in ties}
            whole = [j for j in whole if not j.rests or j.index in met]
        if len(whole) == len(ties):
            return ranked
        of_whole = costing.rank(self._piece, group, whole, natural)
        if ranked == LID:
            # What others have left lying at one face alone is no lid.
            return LID if of_whole == LID else min(of_whole, CLOSES)
        # A shelf or rail is put in just before what closes it in at its other end.
        closed = {j.index for j in whole}.intersection(at_ends).difference(j.index for j in ties)
        return NEXT if closed and of_whole == BETWEEN and not costing.takes_ends(group, whole) else ranked

    def natural(self, group: frozenset[int]) -> Natural | None:
        """The unit that a group is."""
        return self._units.get(group)
