"""In what order a builder would put a piece together, with each part brought in as its joints allow.

Found backwards: of the finished piece that is taken off first which ranks last (``order_costs``) among all that comes
off; what is made up as one (``natural_units``) stays together as long as anything else comes off. Whatever comes off
may be taken, so preferring loses nothing: if there is an order, one is found.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Join
from planlint.workplan import order_costs as costing
from planlint.workplan.blocking_graph import Move
from planlint.workplan.group_ranks import GroupRanks, Tied
from planlint.workplan.lateness import Lateness, kind_of
from planlint.workplan.natural_units import natural_units
from planlint.workplan.order_costs import BETWEEN, CLOSES, LID
from planlint.workplan.set_ups import set_ups
from planlint.workplan.tilted_or_sprung_in import Help, helped_off, tilted_off
from planlint.workplan.way_in import Apart, Off, held_together, joins_within, ties_in


class BroughtTogether(NamedTuple):
    """Units brought together by one move: ``added`` comes to ``standing``, each of which hangs together by itself.

    ``move`` is how ``added`` would leave again; ``None`` for a ring that closes all at once, and for a ``stuck`` set.
    """

    added: frozenset[int]
    standing: tuple[frozenset[int], ...]
    joins: tuple[Join, ...]
    move: Move | None = None
    stuck: bool = False
    ranked: int = BETWEEN
    """When ``added`` comes, as ``order_costs`` ranks it."""
    help: Help | None = None
    """How it is brought in, where no straight move does it."""

    @property
    def made(self) -> frozenset[int]:
        return self.added.union(*self.standing)


class Building(NamedTuple):
    """How one set of parts is made: first each of ``inside`` by itself, then the meetings in their order."""

    parts: frozenset[int]
    inside: tuple[Building, ...]
    meetings: tuple[BroughtTogether, ...]


@of_piece
def assembly_order(piece: Piece) -> tuple[Building, ...]:
    """How each set of parts that hang together is made, in the order of their first parts."""
    order = _Order(piece)
    sets = held_together(range(len(piece.plan.parts)), piece.plan.joins)
    return tuple(order.building(each) for each in sets if len(each) > 1)


class _Order:
    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        reach = set_ups(piece)
        self.levels = [Apart(piece, access) for access in (reach.straight, reach.usual, reach.every)]
        self.units = natural_units(piece)
        self.by_themselves = {unit.parts for unit in self.units}

    def building(self, whole: frozenset[int]) -> Building:
        """How a set is made; sets inside sets are worked off a list, for a piece may be as deep as it has parts."""
        chains: dict[frozenset[int], list[BroughtTogether]] = {}
        waiting = [whole]
        while waiting:
            here = waiting.pop()
            chains[here] = self._chain(here)
            waiting += [unit for unit in _inside(chains[here]) if unit not in chains]
        done: dict[frozenset[int], Building] = {}
        for here, meetings in sorted(chains.items(), key=lambda each: len(each[0])):
            done[here] = Building(here, tuple(done[unit] for unit in _inside(meetings)), tuple(meetings))
        return done[whole]

    def _chain(self, whole: frozenset[int]) -> list[BroughtTogether]:
        """The meetings that make a set, the last of them first found: until what is left is one part, or a set that is
        made by itself."""
        found: list[BroughtTogether] = []
        rest = whole
        before: frozenset[Side] | None = None
        joins = self.levels[0].joins_in(whole)
        self.ranks = GroupRanks(self.piece, self.units, whole)
        self.row: list[frozenset[int]] = []
        while len(rest) > 1:
            self.piece.tick()
            if rest in self.by_themselves and rest != whole:
                break  # A unit is made by itself.
            off, helped = self._next_in_row(rest) or self._best(rest, joins, before), None
            if off is None and (more := helped_off(self.levels[-1], rest, joins)) is not None:
                off, helped = more
            if off is None:
                fast = self.levels[-1].fast(rest, joins)
                found.append(
                    BroughtTogether(rest, (), (*fast, *(j for j in joins if j not in fast)), stuck=True)
                )
                break
            stay = rest - off.group
            if off.spread:
                groups = held_together(rest, self.levels[-1].fast(rest))
                own = [join for join in joins if not any(joins_within(join, g) for g in groups)]
                found.append(BroughtTogether(groups[-1], tuple(groups[:-1]), tuple(own)))
                break
            gone = {join.index for i in off.group for join in self.levels[0].motions.joins_of[i]}
            left = [join for join in joins if join.index not in gone]
            tied = self.ranks.tied(off.group)
            if tied.spans and costing.across_all(off.group, tied.ties, joins, self.ranks.made):
                inside = ties_in(left, self.ranks.made)
                beside = [join for join in left if join not in inside]
                tied, left = Tied(self.ranks, off.group, (*tied.ties, *beside)), inside
            whole_still = len(left) and self.ranks.in_one_without(off.group)
            parts = [stay] if whole_still else held_together(stay, left)
            comes = held_together(off.group, joins) if len(off.group) > 1 else [off.group]
            said = {costing.NEXT: BETWEEN, costing.SHUT_IN: BETWEEN, costing.OPEN: costing.SLIDES_IN}
            helped = Help("tilted") if off.tilted else helped
            how = off.move, False, said.get(tied.ranked, int(tied.ranked)), helped
            found.append(BroughtTogether(comes[0], (*parts, *comes[1:]), tied.ties, *how))
            if len(parts) > 1 or len(comes) > 1:
                break
            before = tied.manner
            self.ranks.take_off(off.group)
            rest = parts[0]
            joins = left
        return found[::-1]

    def _next_in_row(self, rest: frozenset[int]) -> Off | None:
        """The next of what is laid on alike, one after the other, if it comes off."""
        group = self.row.pop(0) if self.row else frozenset[int]()
        move = group and self.levels[0].motions.move_off(group, rest)
        return Off(group, move) if move else None

    def _best(
        self, rest: frozenset[int], joins: Sequence[Join], before: frozenset[Side] | None
    ) -> Off | None:
        """What comes off a set and ranks last; for less than a lid, units are broken up, other bits and drivers taken
        and corners turned only where nothing else comes off, or only what is shut in."""
        inside = [left for unit in self.units if len(left := unit.parts & rest) > 1 and left < rest]
        # Of a unit that had to be broken up, what is left is still made by itself.
        straight, leaning, every = self.levels
        inside = [
            each
            for each in inside
            if each in self.by_themselves or len(held_together(each, straight.joins_in(each))) == 1
        ]
        self.by_themselves.update(inside)
        largest = [each for each in inside if not any(each < other for other in inside)]
        tried: list[tuple[list[Join], bool, bool]] = []
        second: Off | None = None
        for move_straight in (True, False):
            for levels in ((straight, leaning), (every,)):
                for broken_up in (False, True) if largest else (True,):
                    for apart in levels:
                        fast = apart.fast(rest, joins)
                        if (fast, broken_up, move_straight) in tried:
                            continue
                        tried.append((fast, broken_up, move_straight))
                        kept = [] if broken_up else ties_in(joins, largest)
                        groups = held_together(rest, [*fast, *kept])
                        off = self._off(apart, groups, rest, joins, fast, before, move_straight)
                        if off is None:
                            continue
                        tied = self.ranks.tied(off.group)
                        if not self.ranks.shut_in(tied):
                            ranked = tied.ranked
                            if apart is straight and fast and ranked < CLOSES:
                                # Rather the bit leant than a shelf put in when its case is closed.
                                free = leaning.fast(rest, joins)
                                sets = held_together(rest, [*free, *kept])
                                leant = self._off(leaning, sets, rest, joins, free, before, move_straight)
                                if leant and self.ranks.tied(leant.group).ranked >= CLOSES:
                                    off, ranked = leant, CLOSES
                            early = apart is not every and fast and ranked < LID
                            if early or (fast and ranked == LID and self._topped(off, rest)):
                                return self._lid(rest, joins, ties_in(joins, largest)) or off
                            return off
                        second = second or off
                        if not fast:
                            return second
        return second

    def _topped(self, off: Off, rest: frozenset[int]) -> bool:
        """Whether a top is left, unlike what comes off, whose screws the usual pair does not reach then either."""
        usual = self.levels[0]
        left = usual.fast(rest - off.group)
        home = {i: unit.parts for unit in self.units if unit.parts < rest for i in unit.parts}
        tops = {home.get(part.index, frozenset((part.index,))) for join in left for part in join.parts}
        return any(
            kind_of(self.piece, top, ()) != kind_of(self.piece, off.group, ())
            and self.ranks.tied(top).ranked == LID
            and all(join in left for join in usual.fast(rest, self.ranks.tied(top).ties))
            for top in tops
        )

    def _lid(self, rest: frozenset[int], joins: Sequence[Join], kept: Sequence[Join]) -> Off | None:
        """A top or back that comes off with another bit or driver: rather that than building on it piece by piece."""
        every, fast = self.levels[-1], self.levels[-1].fast(rest, joins)
        groups = held_together(rest, [*fast, *kept])
        off = self._off(every, groups, rest, joins, fast, None, True)
        if off is None or (len(off.group) > 1 and off.group not in self.ranks.natural):
            return None
        return off if self.ranks.tied(off.group).ranked == LID else None

    def _off(
        self,
        apart: Apart,
        groups: Sequence[frozenset[int]],
        rest: frozenset[int],
        joins: Sequence[Join],
        fast: Sequence[Join],
        before: frozenset[Side] | None,
        straight: bool,
    ) -> Off | None:
        if len(groups) < 2:
            return None
        barring = {i for join in fast for i in self.piece.blocking(join)}
        late = Lateness(self.piece, self.ranks, groups, rest, joins, barring, before)
        if straight:
            # Whether the rest falls apart without one is asked last: of each, it would take longer than all else.
            apart_without: list[Off] = []
            for group in late.in_turn():
                move = apart.motions.move_off(group, rest)
                off = Off(group, move)
                if move is None and len(group) == 1 and late.ranks[group] == costing.LOOSE:
                    off = Off(group, tilted_off(self.piece, min(group), rest), tilted=True)
                if off.move is None:
                    continue
                if late.loose_ends(group):
                    apart_without.append(off)
                    continue
                if not fast and len(groups) == len(rest) and self.ranks.tied(group).manner == before:
                    self.row = late.row(group)[:-2]
                return off
            if apart_without:
                return max(apart_without, key=lambda off: late(off.group))
        found = apart.sets_off(groups, rest, straight=straight)
        ring = next((each for each in found if each.spread), None)
        return ring or max(found, key=lambda each: late(each.group), default=None)


def _inside(meetings: Sequence[BroughtTogether]) -> list[frozenset[int]]:
    """The units that come to a chain of meetings made up, not made by one of them."""
    made = {meeting.made for meeting in meetings}
    units = (unit for each in meetings if not each.stuck for unit in (*each.standing, each.added))
    return [unit for unit in units if len(unit) > 1 and unit not in made]
