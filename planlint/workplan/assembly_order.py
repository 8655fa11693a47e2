"""In what order a builder would put a piece together, with each part brought in as its joints allow.

Found backwards: of the finished piece that is taken off first which ranks last (``order_costs``) among all that comes
off; what is made up as one (``natural_units``) stays together as long as anything else comes off. Whatever comes off
may be taken, so preferring loses nothing: if there is an order, one is found.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import takewhile
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Join
from planlint.workplan import order_costs as costing
from planlint.workplan.blocking_graph import Move
from planlint.workplan.group_ranks import GroupRanks, Tied
from planlint.workplan.helped_in import Help, helped_off, tilted_off
from planlint.workplan.natural_units import kinds, natural_units, volumes
from planlint.workplan.order_costs import BETWEEN, CLOSES, FIRST, HUNG, LID
from planlint.workplan.set_ups import set_ups
from planlint.workplan.way_in import Apart, Off, held_together, splits, ties_in, within


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
        self.next: list[frozenset[int]] = []
        while len(rest) > 1:
            self.piece.tick()
            if rest in self.by_themselves and rest != whole:
                break  # A unit is made by itself.
            off, helped = self._one_more(rest) or self._best(rest, joins, before), None
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
                own = [join for join in joins if not any(within(join, g) for g in groups)]
                found.append(BroughtTogether(groups[-1], tuple(groups[:-1]), tuple(own)))
                break
            left = [join for join in joins if within(join, stay)]
            tied = self.ranks.tied(off.group)
            if tied.spans and costing.across_all(off.group, tied.ties, joins):
                tied, left = Tied(self.ranks, off.group, (*tied.ties, *left)), []
            parts = held_together(stay, left)
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

    def _one_more(self, rest: frozenset[int]) -> Off | None:
        """The next of what is alike and comes off one after the other, if it does."""
        group = self.next.pop(0) if self.next else frozenset[int]()
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
            self._kind(top, ()) != self._kind(off.group, ())
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
        late = self._late(groups, rest, joins, barring, before)
        if straight:
            order = sorted(groups, key=late, reverse=True)
            for group in order:
                move = apart.motions.move_off(group, rest)
                if move is not None:
                    free = apart is self.levels[0] and not fast and len(groups) == len(rest)
                    if free and group is order[0] and self.ranks.tied(group).manner == before:
                        self.next = self._alike_on_top(order, late)
                    return Off(group, move)
                if len(group) == 1 and late(group)[0] == costing.LOOSE:
                    (i,) = group
                    move = tilted_off(self.piece, i, rest)
                    if move is not None:
                        return Off(group, move, tilted=True)
        found = apart.sets_off(groups, rest, straight=straight)
        ring = next((each for each in found if each.spread), None)
        return ring or max(found, key=lambda each: late(each.group), default=None)

    def _alike_on_top(
        self, order: Sequence[frozenset[int]], late: Callable[[frozenset[int]], tuple[float, ...]]
    ) -> list[frozenset[int]]:
        """What is laid on alike after the first of some parts, each to the same others, which are no lids: while three
        are left, nothing falls apart without them that did not before, and nothing comes to rank before them."""
        on = self._laid_on(order[0])
        if len(on) < 2 or any(map(self.ranks.may_be_lid, on)) or costing.UNDER in {late(g)[2] for g in order}:
            return []
        first = late(order[0])[:-3]
        alike = takewhile(lambda each: late(each)[:-3] == first and self._laid_on(each) == on, order)
        return list(alike)[1:-2]

    def _laid_on(self, lid: frozenset[int]) -> set[int]:
        """The parts that a lid is fixed to."""
        tied = self.ranks.tied(lid)
        loose = tied.ranked != LID or any(join.rests or join.hangs for join in tied.ties)
        return set() if loose or self.ranks.shut_in(tied) else {met.other.index for met in tied.own}

    def _late(
        self,
        groups: Sequence[frozenset[int]],
        rest: frozenset[int],
        joins: Sequence[Join],
        barring: set[int],
        before: frozenset[Side] | None,
    ) -> Callable[[frozenset[int]], tuple[float, ...]]:
        """How late each group of a set is put on."""
        known = {group: self.ranks.tied(group) for group in groups}
        home = {i: group for group in groups for i in group}
        spoils = splits({group: [home[met.other.index] for met in tied.own] for group, tied in known.items()})
        ranks = {group: tied.ranked for group, tied in known.items()}
        laid = {group: known[group].laid for group, ranked in ranks.items() if ranked == LID}
        ranks |= costing.under_others({group: box for group, box in laid.items() if box is not None})
        closing = [group for group in groups if ranks[group] == CLOSES]
        if len(closing) == 1:
            # The rest is built up on it where all of it meets it, or where it is no unit but what screws keep together.
            (base,) = closing
            met = {home[met.other.index] for met in known[base].own}
            if len(met) == len(groups) - 1 or (len(base) > 1 and base not in self.ranks.natural):
                ranks[base] = FIRST
        # What is in the way of screws comes late, and with it what is alike and joined to the same.
        kinds = {
            group: self._kind(group, known[group].ties) for group in groups if barring and len(group) == 1
        }
        in_the_way = {kinds.get(group) for group in groups if not barring.isdisjoint(group)} - {None}
        wood, pair = volumes(self.piece), len(groups) == 2
        whole = sum(wood[i] for i in rest)
        if len(rest) == 2:
            # Of two boards the larger lies there, though it be one that is laid on.
            large = max(groups, key=lambda group: sum(wood[i] for i in group))
            if ranks[large] == LID:
                ranks[large] = FIRST

        def late(group: frozenset[int]) -> tuple[float, ...]:
            tied = known.get(group) or self.ranks.tied(group)
            ranked = ranks.get(group, tied.ranked)
            ends = spoils.get(group)
            if ends is None:
                left = [j for j in joins if not (j.part_a.index in group or j.part_b.index in group)]
                ends = len(held_together(rest - group, left)) - 1
            # Of two sets the one with fewer parts or less wood comes, and of what rests the upper one.
            most = 2 * len(group) > len(rest) and 2 * sum(wood[i] for i in group) > whole
            ends += most and ranked < HUNG
            ends = 0 if ends and tied.spans and costing.across_all(group, tied.ties, joins) else ends
            frees = not barring.isdisjoint(group) or kinds.get(group) in in_the_way
            return tied.late(ranked, ends, frees, pair, tied.manner == before)

        return late

    def _kind(self, group: frozenset[int], ties: Sequence[Join]) -> object:
        """What parts have in common with those that come with them: their shapes, and what they are joined to."""
        like = kinds(self.piece)
        return tuple(sorted(like[i] for i in group)), frozenset(
            p.index for join in ties for p in join.parts
        ) - group


def _inside(meetings: Sequence[BroughtTogether]) -> list[frozenset[int]]:
    """The units that come to a chain of meetings made up, not made by one of them."""
    made = {meeting.made for meeting in meetings}
    units = (unit for each in meetings if not each.stuck for unit in (*each.standing, each.added))
    return [unit for unit in units if len(unit) > 1 and unit not in made]
