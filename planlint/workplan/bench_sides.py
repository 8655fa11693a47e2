"""Which side of the work lies on the bench in each step, so that turning it over, holding parts up and driving from
below cost least in all; what is built alike lies alike."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from itertools import islice
from math import inf
from typing import NamedTuple

from planlint.geometry.drilling.driver_reach import corridor
from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.cells import boxes_round
from planlint.geometry.shapes.joint_kinds import APRON_WIDTH, SQUARISH
from planlint.geometry.shapes.vectors import AXES, dot, plus, scaled
from planlint.model.directions import SIDES, Side
from planlint.model.plan import Join
from planlint.workplan import order_costs as costing
from planlint.workplan.natural_units import bounds_of, volumes
from planlint.workplan.order_costs import HUNG, LID, LOOSE, Cost
from planlint.workplan.set_ups import room

_LEVEL = 1 / 16
"""Inches by which one of two things that lie on the bench may lie higher. Basis: our own judgement."""
PoseCosts = dict[Side, tuple[Cost, ...]]
"""What it costs to work with each side of a piece down."""
_UP: dict[Side, Vector] = {down: scaled(AXES[down.axis], -float(down.sign)) for down in SIDES}


class SetDown:
    """What is together so far, as parts come to it: its size, its weight, and what it would stand on, whichever side is
    down. Lengths in inches, wood in cubic inches."""

    def __init__(self, piece: Piece, parts: Iterable[int]) -> None:
        self._piece = piece
        self.box: Box | None = None
        self.wood = 0.0
        self.count = 0
        self._moment = [0.0, 0.0, 0.0]
        self._feet = {side: _Feet(side) for side in SIDES}
        self.add(parts)

    def add(self, parts: Iterable[int]) -> None:
        for i in sorted(parts):
            self.count += 1
            box, wood = self._piece.bodies[i].bounds, volumes(self._piece)[i]
            self.wood += wood
            for axis in range(3):
                self._moment[axis] += wood * (box.low[axis] + box.high[axis]) / 2
            for feet in self._feet.values():
                feet.add(box)
            self.box = box if self.box is None else boxes_round((self.box, box))

    def turning(self) -> Cost:
        """What it costs to turn it over."""
        assert self.box is not None
        size = sorted(self.box.high[i] - self.box.low[i] for i in range(3))
        if size[1] >= costing.LARGE:
            return costing.TURNING_LARGE
        return costing.TURNING if self.count > 2 else costing.TURNING_BOARDS

    def steady(self, down: Side) -> bool:
        """Whether it stays as it lies, with blocks no higher than a block is under what does not reach the bench."""
        under = self._feet[down].under
        return all(
            under.low[i] <= self._moment[i] / self.wood <= under.high[i] for i in range(3) if i != down.axis
        )


class _Feet:
    """What a set of parts would stand on with one side down."""

    __slots__ = ("_axis", "_lowest", "_near", "_sign", "under")

    def __init__(self, down: Side) -> None:
        self._axis, self._sign = down.axis, down.sign
        self._lowest = inf
        self._near: list[tuple[float, Box]] = []

    def add(self, box: Box) -> None:
        over = -box.high[self._axis] if self._sign > 0 else box.low[self._axis]
        if over > self._lowest + costing.ON_THE_BENCH:
            return
        self._near.append((over, box))
        if over < self._lowest:
            self._lowest = over
            self._near = [each for each in self._near if each[0] <= over + costing.ON_THE_BENCH]
            self.under = boxes_round([each for _, each in self._near])
        else:
            self.under = boxes_round((self.under, box))


class Drive(NamedTuple):
    """How a row of screws is driven: the way from which the driver comes, that in which its pockets or heads look, both
    as unit vectors, and the sides of the work that would shut the hand out or in there, if it lay on them."""

    driver: Vector
    mouth: Vector
    shut: frozenset[Side]


def _driven(drive: Drive, up: Vector) -> Cost | None:
    """What it costs to drive a row of screws; ``None`` from above."""
    driver, mouth, _ = drive
    if dot(mouth, up) > 0.7 or dot(driver, up) > 0.5:
        return None
    return costing.OUT_OF_REACH if dot(mouth, up) < -0.7 or dot(driver, up) < -0.5 else costing.AWKWARD


def _over(box: Box, under: Box, down: Side) -> float:
    """Inches that a box lies over another, with one side down."""
    axis = down.axis
    return box.low[axis] - under.low[axis] if down.sign < 0 else under.high[axis] - box.high[axis]


def _on_the_bench(added: Box, every: Box, down: Side, laid_on: bool) -> bool:
    """Whether what is added reaches down to what all of it lies on; and where it is to be laid on with its face, is
    not so wide that it would have to be held there on its edge."""
    wide = added.high[down.axis] - added.low[down.axis] > APRON_WIDTH
    return _over(added, every, down) <= costing.ON_THE_BENCH and not (laid_on and wide)


def _lies_flat(piece: Piece, added: Collection[int], down: Side) -> bool:
    """Whether all that is added lies on its face, or any side of a post."""
    parts = [piece.plan.parts[i] for i in added]
    return all(
        part.facing.axis is down.axis
        or (part.grain is not down.axis and part.thickness >= SQUARISH * part.width)
        for part in parts
    )


def _carries(added: Box, every: Box, down: Side) -> bool:
    """Whether what is added is wide enough for the rest to be set on it."""
    u, v = (i for i in range(3) if i != down.axis)
    here, there = ((box.high[u] - box.low[u]) * (box.high[v] - box.low[v]) for box in (added, every))
    return here >= there / 2


def pose_costs(
    piece: Piece,
    standing: SetDown,
    beside: Box | None,
    reach: Box,
    steady: Mapping[Side, bool],
    added: Collection[int],
    comes: Vector | None,
    drives: Sequence[Drive],
    ranked: float,
    laid: Collection[Side],
    finished: Callable[[], SetDown],
) -> PoseCosts:
    """What it costs to work with each side of a piece down, whichever was down before.

    ``standing`` is the piece with what is ``added``, ``comes`` the way in which that is brought in, a unit vector.
    ``beside`` is the box round what stood there before, where nothing guides what comes to it, ``reach`` that round
    the joints; ``steady`` tells on which sides it stayed as it lay; ``laid`` are the sides by which what is added
    meets it. ``finished`` gives all that it will be.
    """
    every, coming = standing.box, bounds_of(piece, added)
    assert every is not None
    size = [every.high[i] - every.low[i] for i in range(3)]
    wood = volumes(piece)
    heavy = sum(wood[i] for i in added) >= costing.HEAVY * standing.wood
    found: PoseCosts = {}
    for down in SIDES:
        up = _UP[down]
        costs = [] if down is Side.BOTTOM or standing.count < 3 else [costing.NOT_AS_IT_STANDS]
        costs += [costing.HUNG_LYING] if ranked == HUNG and down is not Side.BOTTOM else []
        share = -1.0 if comes is None else dot(comes, up)
        if share >= -0.7:
            if ranked == LOOSE:
                costs.append(costing.FALLS)
            elif share < 0.7:
                carried = _on_the_bench(coming, every, down, ranked == LID) or ranked == costing.SLIDES_IN
                # Pushed in level over what then carries it, it lies there by itself.
                carried = carried or set(laid) == {down}
                held = (
                    costing.HELD_THERE
                    if ranked == LID
                    else costing.HELD_UP
                    if heavy
                    else costing.FROM_THE_SIDE
                )
                costs.append(costing.FROM_THE_SIDE if carried else held)
            elif _carries(coming, every, down):
                costs.append(costing.SET_ON if standing.count > len(added) + 1 else costing.SET_ON_BOARD)
            elif not _lies_flat(piece, added, down):
                costs.append(costing.FROM_BELOW)
            else:
                # What stands may lie on the bench beside it.
                under = beside is not None and _over(beside, coming, down) <= _LEVEL
                costs.append(costing.PUSHED_UNDER if under else costing.SET_ON_FLAT)
        driven = {_driven(drive, up) for drive in drives} - {None}
        if costing.OUT_OF_REACH in driven & {_driven(each, scaled(up, -1.0)) for each in drives}:
            costs.append(costing.BOTH_SIDES)
        else:
            costs += [each for each in (costing.OUT_OF_REACH, costing.AWKWARD) if each in driven][:1]
            large = costing.OUT_OF_REACH in costs and standing.turning() is costing.TURNING_LARGE
            costs += [costing.ON_ONES_BACK] if large else []
            costs += [costing.SHUT_BY_BENCH] if any(down in each.shut for each in drives) else []
        high, across = size[down.axis], [size[i] for i in range(3) if i != down.axis]
        costs += [costing.TIPPY] if high > 4 * min(across) else []
        on_edge = down is not Side.BOTTOM and high > costing.TALL and high > 2 * min(across)
        costs += [costing.ON_EDGE] if on_edge else []
        above = high - _over(reach, every, down.opposite)
        costs += [costing.OVER_HEAD] if above > costing.HIGH and ranked < HUNG else []
        if costing.HELD_UP not in costs and not (steady[down] and standing.steady(down)):
            propped = costing.PROPPED if steady[down] else costing.STILL_PROPPED
            costs.append(propped if finished().steady(down) else costing.UNSTEADY)
        found[down] = tuple(costs)
    return found


def drives_of(piece: Piece, joins: Iterable[Join], present: Collection[int], bench: Box) -> list[Drive]:
    """Each row of screws that is driven at some joints while some parts are there, with the box round these."""
    found: dict[Drive, None] = {}
    profile = piece.settings.profile

    def add(pocket: Pocket, looks: Vector) -> None:
        # Behind the bit, and clear of the face that a slanting screw goes in through.
        end, out = corridor(pocket, profile).bit_end, scaled(pocket.direction, -1.0)
        at = plus(end, looks, profile.drivers[0][1] / 4)
        hollow = list(islice(room(piece).ways_out(at, present), 2))
        shut = {
            side
            for side in SIDES
            if (bench[side.sign > 0][side.axis] - end[side.axis]) * side.sign < 0
            and dot(out, _UP[side]) < -0.5
        }
        if len(hollow) == 1 and not room(piece).lets_out(
            at, present, hollow[0], bench[hollow[0].sign > 0][hollow[0].axis]
        ):
            shut.add(hollow[0])
        found[Drive(out, looks, frozenset(shut))] = None

    for join in joins:
        if not piece.trusted(join):
            continue
        for pocket in piece.pockets(join):
            add(pocket, piece.body(pocket.part).planes[pocket.face].normal)
        for screw in piece.drives(join):
            add(screw.pocket, scaled(screw.pocket.direction, -1.0))
        if any(each.kind in {"buttons", "clips"} for each in join.fastenings):
            # They are screwed up into the top, past the rail that they hook into.
            top, side = max(join.sides, key=lambda end: end[0].length * end[0].width)
            out = piece.body(top).planes[side].normal
            found[Drive(out, out, frozenset())] = None
    return list(found)


def ahead(
    costs: Sequence[PoseCosts], turnings: Sequence[Cost], after: Mapping[Side, float]
) -> list[dict[Side, float]]:
    """For each of some steps that follow one another, by the side that was down before it, what it costs least to make
    it and all behind it; the last is what comes ``after`` all of them, by the side that is down then."""
    found = [dict(after)]
    for here, turning in zip(reversed(costs), reversed(turnings), strict=True):
        last = found[-1]
        down_on = {down: amount(here[down]) + last[down] for down in SIDES}
        found.append(
            {
                before: min(
                    cost + (turning.amount if down is not before else 0.0) for down, cost in down_on.items()
                )
                for before in SIDES
            }
        )
    return found[::-1]


def poses(
    costs: Sequence[Sequence[PoseCosts]],
    turnings: Sequence[Cost],
    before: Side | None,
    after: Mapping[Side, float],
) -> list[Side]:
    """Which side is down in each of some steps that follow one another, so that they cost least in all, with the
    ``turnings`` before each and what comes ``after`` them; of ways that cost the same the one that turns late. Of units
    built alike, each with the ``costs`` of its steps, all lie alike."""
    every = [Cost("", len(costs) * turning.amount) for turning in turnings]
    steps = [
        {down: tuple(cost for each in step for cost in each[down]) for down in SIDES}
        for step in zip(*costs, strict=True)
    ]
    way: list[Side] = []
    for here, turning, then in zip(steps, every, ahead(steps, every, after)[1:], strict=True):
        cost = {down: amount(here[down]) + then[down] for down in SIDES}
        if before is not None:
            cost |= {down: each + turning.amount for down, each in cost.items() if down is not before}
        was = before or Side.BOTTOM
        before = min(SIDES, key=lambda down: (cost[down], down is not was))
        way.append(before)
    return way


def amount(costs: Iterable[Cost]) -> float:
    """What some costs come to."""
    return sum(cost.amount for cost in costs)
