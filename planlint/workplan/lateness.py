"""When each group of one set comes, beside the others that are there: what is put on last is taken off first."""

from collections.abc import Iterator, Sequence

from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Join
from planlint.workplan import order_costs as costing
from planlint.workplan.group_ranks import GroupRanks
from planlint.workplan.natural_units import part_kinds, volumes
from planlint.workplan.order_costs import CLOSES, FIRST, HUNG, LID
from planlint.workplan.way_in import held_together


class Lateness:
    """How late each group of a set is put on, the higher the later."""

    def __init__(
        self,
        piece: Piece,
        ranks: GroupRanks,
        groups: Sequence[frozenset[int]],
        rest: frozenset[int],
        joins: Sequence[Join],
        barring: set[int],
        before: frozenset[Side] | None,
    ) -> None:
        self._piece, self._ranks, self._groups, self._rest, self._joins = piece, ranks, groups, rest, joins
        self._barring, self._before = barring, before
        self._known = {group: ranks.tied(group) for group in groups}
        self.ranks = {group: tied.ranked for group, tied in self._known.items()}
        laid = {group: self._known[group].laid for group, ranked in self.ranks.items() if ranked == LID}
        self.ranks |= costing.under_others({group: box for group, box in laid.items() if box is not None})
        closing = [group for group, ranked in self.ranks.items() if ranked == CLOSES]
        if len(closing) == 1:
            # The rest is built up on it where all of it meets it, or where it is no unit but what screws keep together.
            (base,) = closing
            home = {i: group for group in groups for i in group}
            met = {home[met.other.index] for met in self._known[base].own}
            if len(met) == len(groups) - 1 or (len(base) > 1 and base not in ranks.natural):
                self.ranks[base] = FIRST
        # What is in the way of screws comes late, and with it what is alike and joined to the same.
        single = [group for group in groups if len(group) == 1] if barring else []
        self._kinds = {group: kind_of(piece, group, self._known[group].ties) for group in single}
        self._in_the_way = {self._kinds[group] for group in single if not barring.isdisjoint(group)}
        if len(rest) == 2:
            # Of two boards the larger lies there, though it be one that is laid on.
            wood = volumes(piece)
            large = max(groups, key=lambda group: sum(wood[i] for i in group))
            if self.ranks[large] == LID:
                self.ranks[large] = FIRST

    def loose_ends(self, group: frozenset[int]) -> int:
        """Into how many more sets the others fall without it; none are asked of what only rests or hangs."""
        tied, rest, ends = self._known.get(group) or self._ranks.tied(group), self._rest, 0
        if self.ranks.get(group, tied.ranked) >= HUNG:
            return 0
        if not self._ranks.in_one_without(group):
            left = [j for j in self._joins if not (j.part_a.index in group or j.part_b.index in group)]
            ends = len(held_together(rest - group, left)) - 1
        # Of two sets the one with fewer parts or less wood comes, and of what rests the upper one.
        if 2 * len(group) > len(rest):
            wood = volumes(self._piece)
            ends += 2 * sum(wood[i] for i in group) > sum(wood[i] for i in rest)
        made = self._ranks.made
        return 0 if ends and tied.spans and costing.across_all(group, tied.ties, self._joins, made) else ends

    def __call__(self, group: frozenset[int], ends: int | None = None) -> tuple[float, ...]:
        """``ends`` in place of the loose ends that it leaves."""
        tied = self._known.get(group) or self._ranks.tied(group)
        ends = self.loose_ends(group) if ends is None else ends
        frees = not self._barring.isdisjoint(group) or self._kinds.get(group) in self._in_the_way
        pair = len(self._groups) == 2
        return tied.late(self.ranks.get(group, tied.ranked), ends, frees, pair, tied.manner == self._before)

    def in_turn(self) -> Iterator[frozenset[int]]:
        """The groups, what is put on last first, as if none left loose ends."""
        for ranked in sorted(set(self.ranks.values()), reverse=True):
            alike = [group for group in self._groups if self.ranks[group] == ranked]
            yield from sorted(alike, key=lambda group: self(group, 0), reverse=True)

    def row(self, first: frozenset[int]) -> list[frozenset[int]]:
        """What is laid on after one part, alike and across the same others."""
        if self.ranks[first] != LID or not self._known[first].spans:
            return []
        kind, *kinds = (kind_of(self._piece, each, self._known[each].ties) for each in (first, *self._groups))
        alike = [
            each for each, other in zip(self._groups, kinds, strict=True) if each != first and other == kind
        ]
        return sorted(alike, key=lambda group: self(group, 0), reverse=True)


def kind_of(piece: Piece, group: frozenset[int], ties: Sequence[Join]) -> object:
    """What parts have in common with those that come with them: their shapes, and what they are joined to."""
    like = part_kinds(piece)
    return tuple(sorted(like[i] for i in group)), frozenset(p.index for j in ties for p in j.parts) - group
