"""How each screw can be driven: with the shop's usual bit and driver, or with another pair, straight or leaning."""

from collections.abc import Collection, Iterable, Sequence
from itertools import chain
from typing import NamedTuple

from planlint.geometry.drilling.closed_hollows import Hollows
from planlint.geometry.drilling.driver_reach import Corridor, corridor, corridors, in_the_way
from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.kept_facts import of_joint, of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import makes_panel
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp
from planlint.placement.joint_graph import leaders_of
from planlint.text.grouping import grouped

Ways = tuple[tuple[frozenset[int], ...], ...]
"""For each screw of a joint, or each that differs, the ways to drive it, each by the parts that stand in that way. A
screw can be driven while all parts of one of its ways are not there."""

_BOX = 6
"""Parts that close a hollow, at least. Basis: geometry, of boards that are flat."""


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


def shut_among(piece: Piece, join: Join, parts: Iterable[Part]) -> list[str]:
    """Which of some parts, were they not there, would let a hand into the closed hollow that a joint is driven in."""
    shut = set_ups(piece).shut_in(join)
    return [part.name for part in parts if part.index in shut]


class Driving(NamedTuple):
    """One way to drive a screw, and the parts, other than the joint's own, that stand in it."""

    set_up: SetUp
    blocked_by: frozenset[int]


class SetUps:
    """The ways to drive the screws of one piece; found when asked for, and kept."""

    def __init__(self, piece: Piece) -> None:
        self._piece = piece
        self._ways: dict[int, Ways] = {}
        self._out: dict[tuple[int, int], Ways] = {}

    def straight(self, join: Join) -> Ways:
        """The usual pair, straight behind its screw; nothing for a joint whose screws it always reaches."""
        return once(self._piece.blocking(join)) or self._let_out(
            join, self._piece.settings.profile.set_ups[:1]
        )

    def usual(self, join: Join) -> Ways:
        """The usual pair, leaning if need be; nothing for a joint whose screws it always reaches."""
        pairs = self._piece.settings.profile.set_ups[:1]
        return _ways(_drivings(self._piece, join, pairs)) or self._let_out(join, pairs)

    def of(self, join: Join, also: SetUp) -> Ways:
        """The usual pair and one other."""
        pairs = dict.fromkeys((self._piece.settings.profile.set_ups[0], also))
        return _ways(_drivings(self._piece, join, pairs)) or self._let_out(join, tuple(pairs))

    def every(self, join: Join) -> Ways:
        """Any pair of the shop's; nothing for a joint whose screws one of them always reaches."""
        found = self._ways.get(join.index)
        if found is None:
            found = _ways(self.drivings(join)) or self._let_out(join, self._piece.settings.profile.set_ups)
            self._ways[join.index] = found
        return found

    def shut_in(self, join: Join) -> frozenset[int]:
        """The parts round a closed hollow that a joint is driven in, of which one must not be there yet; none where
        the hollow is open."""
        pairs = self._piece.settings.profile.set_ups
        return frozenset(i for screw in self._let_out(join, pairs) for way in screw for i in way)

    def _let_out(self, join: Join, pairs: Sequence[SetUp]) -> Ways:
        """For a joint that is driven in a closed hollow: the parts of which one must not be there yet."""
        if not (join.pockets or join.driven):
            return ()
        key = join.index, len(pairs)
        if key not in self._out:
            piece = self._piece
            pockets = (*piece.pockets(join), *(screw.pocket for screw in piece.drives(join)))
            self._out[key] = let_out(piece, join, pockets, pairs) if piece.trusted(join) else ()
        return self._out[key]

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


def let_out(piece: Piece, join: Join, pockets: Iterable[Pocket], pairs: Sequence[SetUp]) -> Ways:
    """For pockets of a joint that would be driven in a closed hollow: the parts of which one must not be there yet."""
    hollows, own = _hollows(piece)[join.part_a.index], {part.index for part in join.parts}
    if hollows is None:
        return ()
    rows: dict[tuple[int, Vector], Pocket] = {}
    for pocket in pockets:
        rows.setdefault((pocket.row, pocket.direction), pocket)
    found: dict[tuple[frozenset[int], ...], None] = {}
    for pocket in rows.values():
        ways = (corridor(pocket, piece.settings.profile, pair) for pair in pairs)
        way = next((way for way in ways if not piece.blockers.of_way(pocket, way)), None)
        if way is not None:
            opened = hollows.opened_by(plus(scaled(way.bit_end, 0.5), way.drill_end, 0.5))
            found[tuple(each for each in opened if each.isdisjoint(own))] = None
    return tuple(each for each in found if each)


@of_piece
def room(piece: Piece) -> Hollows:
    """The room round all parts of a piece, each by itself."""
    return Hollows(piece.bodies, {i: i for i in range(len(piece.bodies))})


@of_piece
def _hollows(piece: Piece) -> tuple[Hollows | None, ...]:
    """By part the hollows of all that it is firmly held to; ``None`` where too few parts are there to close one."""
    everything = range(len(piece.plan.parts))
    firm = [join for join in piece.plan.joins if not join.rests and not join.hangs]
    panels = [join for join in firm if makes_panel(join)]
    home, unit_of = (
        leaders_of(everything, ((join.part_a.index, join.part_b.index) for join in ties))
        for ties in (firm, panels)
    )
    together = grouped((home[i], piece.bodies[i]) for i in everything)
    found = {
        leader: Hollows(bodies, unit_of) if len(bodies) >= _BOX else None
        for leader, bodies in together.items()
    }
    return tuple(found[home[i]] for i in everything)


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
