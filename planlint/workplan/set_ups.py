"""How each screw can be driven: with the shop's usual bit and driver, or with another pair, straight or leaning."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import chain
from typing import NamedTuple

from planlint.geometry.drilling.driver_reach import Corridor, corridors, in_the_way
from planlint.geometry.facts import Pocket
from planlint.geometry.kept_facts import of_joint, of_piece
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp

Ways = tuple[tuple[frozenset[int], ...], ...]
"""For each screw of a joint, or each that differs, the ways to drive it, each by the parts that stand in that way. A
screw can be driven while all parts of one of its ways are not there."""


def reached(ways: Ways, present: Collection[int]) -> bool:
    """Whether every screw can be driven while some parts are there."""
    return all(any(way.isdisjoint(present) for way in screw) for screw in ways)


def once(blocked_by: frozenset[int]) -> Ways:
    """Screws that can be driven in one way, with these parts in it."""
    return ((blocked_by,),) if blocked_by else ()


def blockers_among(piece: Piece, join: Join, parts: Iterable[Part]) -> list[str]:
    """Which of some parts stand in the usual driver's way at a joint, in the order of the plan."""
    within = {part.index for part in parts}
    return [piece.plan.parts[i].name for i in sorted(piece.blocking(join)) if i in within]


class Driving(NamedTuple):
    """One way to drive a screw, and the parts, other than the joint's own, that stand in it."""

    set_up: SetUp
    blocked_by: frozenset[int]


class SetUps:
    """The ways to drive the screws of one piece; found when asked for, and kept."""

    def __init__(self, piece: Piece) -> None:
        self._piece = piece
        self._ways: dict[int, Ways] = {}

    def straight(self, join: Join) -> Ways:
        """The usual pair, straight behind its screw; nothing for a joint whose screws it always reaches."""
        return once(self._piece.blocking(join))

    def usual(self, join: Join) -> Ways:
        """The usual pair, leaning if need be; nothing for a joint whose screws it always reaches."""
        return _ways(_drivings(self._piece, join, self._piece.settings.profile.set_ups[:1]))

    def of(self, join: Join, also: SetUp) -> Ways:
        """The usual pair and one other."""
        pairs = dict.fromkeys((self._piece.settings.profile.set_ups[0], also))
        return _ways(_drivings(self._piece, join, pairs))

    def every(self, join: Join) -> Ways:
        """Any pair of the shop's; nothing for a joint whose screws one of them always reaches."""
        found = self._ways.get(join.index)
        if found is None:
            self._ways[join.index] = found = _ways(self.drivings(join))
        return found

    def drivings(self, join: Join) -> tuple[tuple[Driving, ...], ...]:
        """For each screw that something stands behind: the ways to drive it, the usual pair first."""
        return _drivings(self._piece, join, self._piece.settings.profile.set_ups)

    def taken(self, join: Join, present: Collection[int]) -> tuple[SetUp, ...]:
        """What drives a joint's screws while some parts are there, if the usual pair does not: one pair for all of
        them where one serves; nothing where the usual one does."""
        if self._piece.blocking(join).isdisjoint(present):
            return ()
        open_to = [
            list(dict.fromkeys(each.set_up for each in screw if each.blocked_by.isdisjoint(present)))
            for screw in self.drivings(join)
        ]
        usual = self._piece.settings.profile.set_ups[0]
        short = [each for each in open_to if each and usual not in each]
        if not short:
            return ()
        for set_up in short[0]:
            if all(set_up in each for each in short):
                return (set_up,)
        return tuple(dict.fromkeys(each[0] for each in short))


def _drivings(piece: Piece, join: Join, pairs: Iterable[SetUp]) -> tuple[tuple[Driving, ...], ...]:
    """For each screw that something stands behind: the ways to drive it with some pairs, the usual one first."""
    if not piece.blocking(join):
        return ()
    screws = zip(*(_with_pair(piece, join, pair) for pair in pairs), strict=True)
    ways = (tuple(chain.from_iterable(each)) for each in screws)
    return tuple(each for each in ways if each[0].blocked_by)


@of_joint
def _with_pair(piece: Piece, join: Join, pair: SetUp) -> tuple[tuple[Driving, ...], ...]:
    """For each screw of a joint: the ways to drive it with one bit and driver, the straight one first."""
    screws = (*piece.pockets(join), *piece.turned_in(join))
    return tuple(_ways_of(piece, pocket, pair) for pocket in screws)


def _ways_of(piece: Piece, pocket: Pocket, pair: SetUp) -> tuple[Driving, ...]:
    found = list[Driving]()
    fixed, parts = piece.placement.fixed_together, piece.plan.parts
    usual = pair == piece.settings.profile.set_ups[0]
    piece.tick()
    for _, way in corridors(pocket, piece.settings.profile, (pair,)):
        if not usual and barred(piece, pocket, way):
            continue
        behind = piece.blockers.of_way(pocket, way)
        blocked_by = frozenset(i for i in behind if fixed(pocket.part, parts[i]))
        if not any(each.blocked_by <= blocked_by for each in found):
            found.append(Driving(pair, blocked_by))
            if not blocked_by:
                break
    return tuple(found)


def barred(piece: Piece, pocket: Pocket, way: Corridor) -> bool:
    """Whether the joint's own parts stand in a way: the drilled one where the driver itself would be."""
    behind = way._replace(shoulder=way.bit_end)
    own, into = piece.body(pocket.part), piece.body(pocket.into)
    return in_the_way(behind, own) or in_the_way(way, into)


def _ways(screws: Iterable[Iterable[Driving]]) -> Ways:
    """What stands in the ways to drive some screws: of each the least, and screws that are always reached left out."""
    found: dict[tuple[frozenset[int], ...], None] = {}
    for screw in screws:
        ways = {each.blocked_by for each in screw}
        if frozenset() not in ways:
            least = [way for way in ways if not any(other < way for other in ways)]
            found[tuple(sorted(least, key=sorted))] = None
    return tuple(found)


@of_piece
def set_ups(piece: Piece) -> SetUps:
    """The set-ups of a piece."""
    return SetUps(piece)
