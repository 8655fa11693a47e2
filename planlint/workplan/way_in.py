"""Whether the parts of a piece can be brought together at all: with every joint made along a way that it allows, past
the wood that is there by then, and with room to drive its screws.

Found backwards, as parts taken off the finished piece. What can be taken off a set can be taken off any part of that
set too, so nothing is lost by taking off what comes off first: sets that stay have no way in.
"""

from collections.abc import Collection, Iterable, Sequence
from itertools import combinations, pairwise
from math import atan2, pi
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, scaled, unit
from planlint.model.plan import Join
from planlint.placement.joint_graph import groups_of
from planlint.workplan.blocking_graph import Motions, Move
from planlint.workplan.blocking_graph import motions as motions_of
from planlint.workplan.build_order import Access, knots
from planlint.workplan.joint_freedom import SQUARE
from planlint.workplan.set_ups import Ways, reached, set_ups

_MOST_PARTS = 40
"""Parts of a set that is told in fewer: trying each costs the square of them. Basis: our own judgement."""


class Off(NamedTuple):
    """A set of parts that comes off what else is there, and how; with ``spread`` all parts of a ring at once,
    ``tilted`` with one end up."""

    group: frozenset[int]
    move: Move | None
    spread: bool = False
    tilted: bool = False


def held_together(present: Iterable[int], joins: Iterable[Join]) -> list[frozenset[int]]:
    """The sets into which parts fall that some joins hold together, by their first parts."""
    there = frozenset(present)
    ends = [(join.part_a.index, join.part_b.index) for join in joins]
    ties = [(a, b) for a, b in ends if a in there and b in there]
    if not ties:
        return [frozenset((i,)) for i in sorted(there)]
    return [frozenset(group) for group in groups_of(sorted(there), ties)]


def joins_within(join: Join, group: frozenset[int]) -> bool:
    return join.part_a.index in group and join.part_b.index in group


def ties_in(joins: Sequence[Join], kept: Sequence[frozenset[int]]) -> list[Join]:
    """The joins inside the sets that stay together."""
    home = {i: number for number, each in enumerate(kept) for i in each}
    return [join for join in joins if home.get(join.part_a.index, -1) == home.get(join.part_b.index, -2)]


class Apart:
    """Takes sets of parts of one piece apart; ``access`` tells how screws are reached."""

    def __init__(self, piece: Piece, access: Access, moves: Motions | None = None) -> None:
        self.piece = piece
        self.access = access
        self.motions = moves or motions_of(piece)
        self._hard: dict[int, Ways] = {}

    def joins_in(self, present: frozenset[int]) -> list[Join]:
        """The joins with both ends among some parts, in the order of the plan."""
        found = {
            join.index: join
            for i in present
            for join in self.motions.joins_of[i]
            if join.part_a.index in present and join.part_b.index in present
        }
        return [found[index] for index in sorted(found)]

    def fast(self, present: frozenset[int], joins: Sequence[Join] | None = None) -> list[Join]:
        """The joints whose screws cannot be driven while all of these parts are there; ``joins`` are all those
        between them, where these are known."""
        joins = self.joins_in(present) if joins is None else joins
        hard = self._hard
        for join in joins:
            if join.index not in hard:
                hard[join.index] = self.access(join)
        return [join for join in joins if (ways := hard[join.index]) and not reached(ways, present)]

    def shut(self, present: frozenset[int]) -> bool:
        """Whether anything at all might keep a set from being brought together."""
        pieces = self.piece.bodies
        joins = self.joins_in(present)
        # Plain boxes that nothing but their sides guides come apart one by one along any axis: no box lies over one
        # that lies over it, directly or through others.
        return any(not pieces[i].plain for i in present) or any(
            ((free := self.motions.freedom(join)) is not None and not free.loose) or self.access(join)
            for join in joins
        )

    # ------------------------------------------------------------ what comes off

    def sets_off(
        self, groups: Sequence[frozenset[int]], present: frozenset[int], *, straight: bool = False
    ) -> list[Off]:
        """The least sets of two or more groups that come off by a straight move; then, where there is none, and more
        than ``straight`` ones are asked for, round a corner; then a ring pressed together all at once."""
        found: list[Off] = []
        if len(groups) < 2:
            return found
        for way in self.motions.ways(present):
            move = Move(way)
            found += [Off(each, move) for each in self.motions.least_sets(groups, move)]
        if found or straight:
            return found
        for move in self.motions.turned_moves(present):
            sets = self.motions.least_sets(groups, move)
            if sets:
                return [Off(each, move) for each in sets]
        return [Off(groups[0], None, spread=True)] if self._spreads(groups, present) else []

    def _spreads(self, groups: Sequence[frozenset[int]], present: frozenset[int]) -> bool:
        """Whether groups make one ring whose joints all close at once, by itself or round what it frames: mitres drawn
        up by a band.

        Each joint closes along its own way; in a plane such ways can all be gone together just where no half of the
        plane holds them all. Round a panel, each side of the ring comes to that, and all as fast.
        """
        home = {i: number for number, group in enumerate(groups) for i in group}
        leaves: dict[tuple[int, int], Vector] = {}
        for join in self.joins_in(present):
            a, b = home[join.part_a.index], home[join.part_b.index]
            if a == b:
                continue
            free = self.motions.freedom(join)
            if free is None or (free.only and not free.allows(free.out)) or (a, b) in leaves:
                return False
            leaves[a, b], leaves[b, a] = free.out, scaled(free.out, -1.0)
        every = range(len(groups))
        beside = [[there for there in every if (here, there) in leaves] for here in every]
        framed = next((n for n, others in enumerate(beside) if len(others) == len(groups) - 1 > 2), None)
        if framed is not None:
            speeds = [leaves.get((n, framed), (0.0, 0.0, 0.0)) for n in every]
            apart = {(a, b): minus(speeds[a], speeds[b]) for a, b in combinations(every, 2)}
            return all(
                (a, b) not in leaves
                if norm(way) < SQUARE
                else all(self.motions.stopped_by(i, Move(unit(way))).isdisjoint(groups[b]) for i in groups[a])
                for (a, b), way in apart.items()
            )
        if any(len(others) != 2 for others in beside):
            return False
        # Round the ring, each way from one group to the next.
        ring = [0]
        while len(ring) == 1 or ring[-1] != 0:
            ring.append(next(n for n in beside[ring[-1]] if n not in ring[-2:-1]))
        return len(ring) == len(groups) + 1 and _round_about([leaves[each] for each in pairwise(ring)])

    def off(self, present: frozenset[int]) -> Off | None:
        """One set that comes off, without looking for the best; ``None`` where nothing does."""
        groups = held_together(present, self.fast(present))
        if len(groups) < 2:
            return None
        for group in groups:
            move = self.motions.move_off(group, present)
            if move is not None:
                return Off(group, move)
        found = self.sets_off(groups, present)
        return found[0] if found else None

    # ------------------------------------------------------------ what stays

    def stuck(self, present: frozenset[int]) -> list[frozenset[int]]:
        """The sets inside a set that no order brings together, by their first parts."""
        found, waiting = [], [present]
        while waiting:
            self.piece.tick()
            here = self._one_by_one(waiting.pop())
            parts = held_together(here, self.joins_in(here))
            if len(parts) > 1:
                waiting += [each for each in parts if len(each) > 1]
                continue
            if len(here) < 2:
                continue
            off = self.off(here)
            if off is None:
                found.append(here)
            elif not off.spread:
                waiting += [each for each in (off.group, here - off.group) if len(each) > 1]
            else:
                waiting += [each for each in held_together(here, self.fast(here)) if len(each) > 1]
        return sorted(found, key=min)

    def least_stuck(self, stuck: frozenset[int]) -> frozenset[int]:
        """The same fault in fewer parts: parts are left away one by one while a set inside has no way in."""
        here = stuck
        while len(here) <= _MOST_PARTS:
            smaller = next((each for i in sorted(here) for each in self.stuck(here - {i})), None)
            if smaller is None:
                break
            here = smaller
        return here

    def _one_by_one(self, present: frozenset[int]) -> frozenset[int]:
        """What is left of a set when every part that comes off alone has been taken off, one after the other.

        A part that does not come off waits for one of those that stop it, way by way.
        """
        left = set(present)
        waiting: dict[int, list[int]] = {}
        asked = sorted(present)
        while asked:
            i = asked.pop()
            if i not in left:
                continue
            stops = self._stops(i, left)
            if stops is None:
                left.discard(i)
                asked += waiting.pop(i, [])
                continue
            for each in stops:
                waiting.setdefault(each, []).append(i)
        return frozenset(left)

    def _stops(self, i: int, left: set[int]) -> set[int] | None:
        """For a part that does not come off alone, one part for each thing that stops it; ``None`` if it does."""
        found = set()
        for join in self.motions.joins_of[i]:
            if join.part_a.index in left and join.part_b.index in left:
                for screw in self.access(join):
                    if not any(way.isdisjoint(left) for way in screw):
                        found |= {min(way & left) for way in screw}
                        found.add((join.part_b if join.part_a.index == i else join.part_a).index)
        if found:
            return found
        for way in self.motions.ways((i,)):
            stops = self.motions.stop((i,), left, Move(way))
            if stops is None:
                return None
            found.add(stops)
        return found


def shut_out_sets(piece: Piece) -> tuple[frozenset[int], ...]:
    """The sets of parts that no order brings together for want of a way in, though their screws could be driven."""
    return _left(piece)[1]


def in_with_another(piece: Piece) -> tuple[frozenset[int], ...]:
    """The sets that come together only with another bit or driver than the usual ones, though these reach each screw
    in some order: not in one in which the parts come in."""
    usual, every = _left(piece)
    return tuple(each for each in usual if not any(left <= each for left in every))


def usual_serves(piece: Piece) -> bool:
    """Whether the usual bit and driver serve in some order, if not in the one that a builder would take."""
    return not _left(piece)[0] and not knots(piece)


@of_piece
def _left(piece: Piece) -> tuple[tuple[frozenset[int], ...], tuple[frozenset[int], ...]]:
    """The sets that do not come together with the usual bit and driver, and those that do with none."""
    reach = set_ups(piece)
    knotted = {join.index for stuck in knots(piece) for join in stuck.joins}
    sets = [each for each in held_together(range(len(piece.plan.parts)), piece.plan.joins) if len(each) > 1]
    usual: list[frozenset[int]] = []
    every: list[frozenset[int]] = []
    for whole in sets:
        left = [whole]
        for access in (reach.straight, reach.usual, reach.every):
            if access == reach.every:
                usual += left
            # What is in the way of screws is told as that.
            apart = Apart(piece, access_less(access, knotted))
            left = [stuck for each in left if apart.shut(each) for stuck in apart.stuck(each)]
            if not left:
                break
        every += left
    return tuple(usual), tuple(every)


def access_less(access: Access, free: Collection[int]) -> Access:
    """The same with some joins' screws out of the reckoning."""
    return (lambda join: () if join.index in free else access(join)) if free else access


def _round_about(ways: Sequence[Vector]) -> bool:
    """Whether unit vectors lie in one plane and no half of it, edge included, holds them all."""
    first = ways[0]
    square = next((unit(s) for way in ways if norm(s := cross(first, way)) > SQUARE), None)
    if square is None or any(abs(dot(square, way)) > SQUARE for way in ways):
        return False
    beside = cross(square, first)
    turns = sorted(atan2(dot(beside, way), dot(first, way)) for way in ways)
    gaps = [b - a for a, b in zip(turns, [*turns[1:], turns[0] + 2 * pi], strict=True)]
    return max(gaps) < pi - SQUARE
