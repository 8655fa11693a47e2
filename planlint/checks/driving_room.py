"""Drivers that cannot reach a screw, and pieces that no order of work puts together."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from math import dist
from typing import NamedTuple

from planlint.checks.row_trial import behind, has_room, set_out_freely, shows, shut_throughout, would_show
from planlint.checks.row_view import Row, rows, rows_of
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.driver_reach import corridor, corridors, in_the_way
from planlint.geometry.joint_facts import Pocket
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp
from planlint.text.source import Span
from planlint.workplan.build_order import Access, Stuck, knots, least_stuck, stuck_sets
from planlint.workplan.set_ups import Ways, barred, set_ups
from planlint.workplan.way_in import Apart, in_with_another

_MOST_KNOTS = 24
"""Knots of one set of parts that are told: each costs a search of the whole set. Basis: our own judgement."""
MOST_UNDONE = 24
"""Joints of a knot tried for the one that undoes it: each costs a search of the knot. Basis: our own judgement."""


class OutOfReach(NamedTuple):
    """Pockets of a row, by their stations, that the usual driver is kept from by a part of the joint itself."""

    row: Row
    by: Part
    """The part that receives the screw, or the drilled one under a driver that is too wide for its bit."""
    stations: Sequence[float]
    fits: SetUp | None
    """The bit and driver of the shop's that reach them all the same."""
    places: Sequence[float] | None
    """Where along the joint there is room."""


class NoOrder(NamedTuple):
    """Parts that no order puts together, their joints that are in one another's way, and one that would undo it."""

    join: Join
    row: Row | None
    """Its pockets; ``None`` where its screws go through a face."""
    parts: Sequence[Part]
    joins: Sequence[Join]
    fits: SetUp | None
    """The bit and driver of the shop's with which there is an order."""
    places: Sequence[float] | None
    """Where along the joint of the row there is room."""


class ShutHollow(NamedTuple):
    """Boards that close a hollow in which all of them are screwed, and the one that had best come last."""

    parts: Sequence[Part]
    last: Part
    joins: Sequence[Join]
    """Those of its joints that are driven in the hollow."""
    through: bool
    """Whether it lies on the others with its face, so that it can be screwed from outside."""


def others_than_joined(row: Row, parts: Iterable[Part]) -> list[Part]:
    """Of some parts those that are not the joint's own."""
    return [part for part in parts if part not in row.join.parts]


def no_room_to_drive(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The part that a screw goes into stands itself where the driver for it must stand, or the drilled one does."""
    for row in rows(piece):
        shut, by = [pocket for pocket in row.pockets if piece.into_in_the_way(pocket)], row.into
        if not shut:
            shut, by = [pocket for pocket in row.pockets if _rubs(piece, pocket)], row.part
        if not shut:
            continue
        found = _past_its_own(piece, shut)
        if found is not None and found == piece.settings.profile.set_ups[0]:
            continue
        places = _places_with_room(row, ()) if by is row.into else None
        yield row.found(
            rule,
            OutOfReach(row, by, [pocket.station for pocket in shut], found, places),
            grade=None if found is None else min(rule.grade, Grade.ADVICE),
        )


def _rubs(piece: Piece, pocket: Pocket) -> bool:
    """Whether the usual driver, at the end of its bit, is so wide that it runs into the face that is drilled."""
    profile = piece.settings.profile
    cosine, sine = profile.slope
    beyond = profile.bits[0] - dist(pocket.shoulder, pocket.mouth)
    if beyond * sine >= profile.drivers[0][1] / 2 * cosine:
        return False
    return barred(piece, pocket, corridor(pocket, profile))


def _past_its_own(piece: Piece, shut: Sequence[Pocket]) -> SetUp | None:
    """The first bit and driver, straight or leaning, that pass the joint's own parts at every pocket of some; the usual
    ones pass the drilled part unless they are too wide for it, as they are taken to at every pocket."""
    profile = piece.settings.profile

    def passes(pocket: Pocket, set_up: SetUp) -> bool:
        ways = corridors(pocket, profile, (set_up,))
        if set_up == profile.set_ups[0] and not _rubs(piece, pocket):
            return not all(in_the_way(way, piece.body(pocket.into)) for _, way in ways)
        return not all(barred(piece, pocket, way) for _, way in ways)

    return next(
        (set_up for set_up in profile.set_ups if all(passes(pocket, set_up) for pocket in shut)), None
    )


def no_build_order(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A set of parts in which every way to take the last joint apart is blocked by a part of the set.

    Each knot is told at one of its joints. That one then counts as free, and the search goes on for the next knot.
    """
    yield from _only_with_another(piece, rule)
    if not knots(piece):
        return
    at_part: defaultdict[int, list[Join]] = defaultdict(list)
    for join in piece.plan.joins:
        at_part[join.part_a.index].append(join)
    free: set[int] = set()
    reach = set_ups(piece)

    def access(join: Join) -> Ways:
        return () if join.index in free else reach.usual(join)

    for stuck in knots(piece):
        waiting, told = [stuck], 0
        while waiting and told < _MOST_KNOTS:
            piece.tick()
            here = _by_place(piece, waiting.pop())
            inner = _inside(here.parts, at_part)
            knot = least_stuck(here, inner, access)
            case = _Knot(piece, knot, tuple(_inside(knot.parts, at_part)), access)
            hollow = case.hollow()
            if hollow is not None:
                yield _shut_hollow(piece, rule, hollow)
                free.update(join.index for join in hollow.joins)
                told += 1
                waiting += stuck_sets(here.parts, inner, access)
                continue
            join, places = _way_out(case)
            row, fits = _first_row(piece, join), case.set_up()
            yield _no_order(piece, rule, NoOrder(join, row, knot.parts, case.told, fits, places))
            free.add(join.index)
            told += 1
            waiting += stuck_sets(here.parts, inner, access)


def _only_with_another(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Sets whose screws the usual pair could drive, but not in the order in which their parts come in."""
    reach = set_ups(piece)
    for stuck in in_with_another(piece):
        least = Apart(piece, reach.usual).least_stuck(stuck)
        inner = tuple(Apart(piece, reach.usual).fast(least))
        parts = tuple(piece.plan.parts[i] for i in sorted(least))
        for join in sorted(inner, key=lambda join: _place(piece, join))[:1]:
            pairs = piece.settings.profile.set_ups
            serves = (pair for pair in pairs if not Apart(piece, partial(reach.of, also=pair)).stuck(least))
            fits = next(serves, pairs[-1])
            yield _no_order(piece, rule, NoOrder(join, _first_row(piece, join), parts, inner, fits, None))


def _by_place(piece: Piece, stuck: Stuck) -> Stuck:
    """Its parts in an order that neither names nor the order of statements change."""
    parts = sorted(stuck.parts, key=lambda part: tuple(round(x, 4) for x in piece.body(part).middle[::-1]))
    return stuck._replace(parts=tuple(parts))


def _inside(parts: Iterable[Part], at_part: Mapping[int, Sequence[Join]]) -> list[Join]:
    """The joints with both ends among some parts, in the order of the plan."""
    present = {part.index for part in parts}
    found = [join for i in present for join in at_part.get(i, ()) if join.part_b.index in present]
    return sorted(found, key=lambda join: join.index)


class _Knot(NamedTuple):
    """A set of parts that no order puts together, its joints, and what blocks them where earlier knots are undone."""

    piece: Piece
    stuck: Stuck
    inner: tuple[Join, ...]
    access: Access

    @property
    def told(self) -> list[Join]:
        """The joints that are in one another's way, by place."""
        return sorted(self.stuck.joins, key=lambda join: _place(self.piece, join))

    def holds(self, access: Access) -> bool:
        """Whether there is still no order with other things in the way."""
        return bool(stuck_sets(self.stuck.parts, self.inner, access))

    def hollow(self) -> ShutHollow | None:
        """What the parts close, where that alone keeps the driver out."""
        reach, parts = set_ups(self.piece), self.stuck.parts
        present = {part.index for part in parts}
        shut = [
            join
            for join in self.told
            if self.piece.blocking(join).isdisjoint(present) and not reach.shut_in(join).isdisjoint(present)
        ]
        if len(shut) < len(self.told):
            return None
        met = {part: [join for join in self.inner if part in join.parts] for part in parts}

        def late(part: Part) -> tuple[float, ...]:
            sides = {side for join in met[part] for each, side in join.sides if each is part}
            seen = any(side.opposite in self.piece.plan.seen_from for side in sides)
            laid_on = len(sides) == 1 and all(map(part.is_face, sides))
            return not laid_on, seen, min(_LATE.index(side.opposite) for side in sides)

        board = min((part for part in parts if any(part in join.parts for join in shut)), key=late)
        at_board = [join for join in shut if board in join.parts]
        return ShutHollow(parts, board, at_board, not late(board)[0])

    def set_up(self) -> SetUp | None:
        """The first bit and driver of the shop's with which, beside the usual ones, there is an order."""
        piece, reach = self.piece, set_ups(self.piece)

        def with_one(also: SetUp | None) -> Access:
            """Screws that an earlier knot undid stay so."""
            every = reach.every if also is None else (lambda join: reach.of(join, also))
            return lambda join: every(join) if self.access(join) else ()

        # What one pair more does not do, all of them may: asked last, for that takes longest.
        found = piece.settings.profile.set_ups
        one = next((set_up for set_up in found if not self.holds(with_one(set_up))), None)
        return one or (None if self.holds(with_one(None)) else found[-1])


_LATE = (Side.BACK, Side.BOTTOM, Side.TOP, Side.LEFT, Side.RIGHT, Side.FRONT)
"""On which side a builder would rather have what comes last."""


def _shut_hollow(piece: Piece, rule: Rule, hollow: ShutHollow) -> Finding:
    first = hollow.joins[0]
    return rule.finding(
        fact=hollow,
        span=_driven_at(piece, first),
        joint=first.name,
        parts=[part.name for part in hollow.parts],
    )


def _no_order(piece: Piece, rule: Rule, fact: NoOrder) -> Finding:
    join, fits, usual = fact.join, fact.fits, piece.settings.profile.set_ups[0]
    return rule.finding(
        fact=fact,
        grade=None if fits is None else min(rule.grade, Grade.ADVICE),
        span=_driven_at(piece, join),
        joint=join.name,
        parts=[part.name for part in fact.parts],
        measured=None if fits is None else usual.length,
        limit=None if fits is None else fits.length,
    )


def _first_row(piece: Piece, join: Join) -> Row | None:
    return next(iter(rows_of(piece, join)), None)


def _driven_at(piece: Piece, join: Join) -> Span:
    row = _first_row(piece, join)
    return row.asked.span if row else next(each.span for each in join.fastenings if each.driven)


def _way_out(knot: _Knot) -> tuple[Join, list[float] | None]:
    """The joint that, made in another way, undoes the knot; best one whose pockets can be moved, out of sight.

    With it the places along the joint that they can be moved to, if any.
    """
    joins = knot.told[:MOST_UNDONE]

    def undoes(free: Join) -> bool:
        return not knot.holds(lambda join: () if join is free else knot.access(join))

    undoing = [join for join in joins if undoes(join)] or joins[:1]
    moved = []
    for join in undoing:
        row = _first_row(knot.piece, join)
        if row is None:
            continue
        others, pockets = others_than_joined(row, knot.stuck.parts), behind(row)
        places = _places_with_room(row, others)
        if places is not None:
            return join, places
        if pockets and has_room(row, pockets, others):
            if not would_show(row, pockets):
                return join, None
            moved.append(join)
    return (moved or undoing)[0], None


def _place(piece: Piece, join: Join) -> tuple[float, ...]:
    """Where a joint lies: an order that neither names nor the order of statements change."""
    x, y, z = (*piece.pockets(join), *piece.turned_in(join))[0].exit
    return round(z, 4), round(x, 4), round(y, 4)


def _places_with_room(row: Row, others: Sequence[Part]) -> list[float] | None:
    """The row moved as little as is needed for a driver to pass the receiving part and ``others``.

    ``None`` where there is no such place, or only where pockets show that do not as they are.
    """
    piece = row.piece
    ground = piece.ground(row.join, row.number)
    if ground is None or ground.splits_throughout:
        return None
    if shut_throughout(row, [ground.pocket(0.0), ground.pocket(row.width)], others):
        return None
    found = set_out_freely(
        row, lambda station: has_room(row, (ground.pocket(station),), others) and ground.free(station)
    )
    if found is None or not would_show(row, [ground.pocket(station) for station in found]):
        return found
    return found if shows(row, row.pockets) else None
