"""The parts to cut: those alike told once, by stock, by width and by length, so that fence and stop are set the least.

Sizes are those of the placed parts, exact; a length is long point to long point, as the saw's stop is set.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from math import ceil
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.model.arc_statements import hollow_side, run_of
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part, Size, Trim
from planlint.model.stock import Stock
from planlint.sheet.joint_setouts import Shaped, shaped_parts
from planlint.text.grouping import grouped
from planlint.text.measures import INCH_PER_UNIT, in_inches

PLANING = {True: Fraction(1, 8), False: 3 * INCH_PER_UNIT["mm"]}
"""Left on a rough board in thickness and in width, for the planer, in plans in inches and in others. Basis: common
practice."""
ROUGH_LENGTH = {True: Fraction(1), False: 25 * INCH_PER_UNIT["mm"]}
"""Left on a rough part in length, for end checks and snipe. Basis: common practice."""
ROUGH_STEP = {True: Fraction(1, 8), False: INCH_PER_UNIT["mm"]}
"""What a rough size goes up by: nobody saws it finer. Basis: own judgement."""


def rough_of(size: Fraction, over: dict[bool, Fraction], unit: str) -> Fraction:
    """A size with what is left on it before it is planed, up to the next step."""
    step = ROUGH_STEP[in_inches(unit)]
    return ceil((size + over[in_inches(unit)]) / step) * step


class EndSetting(NamedTuple):
    """How the saw stands for one end, or long edge, that is not square: degrees off square, the blade tilted or the
    fence turned."""

    end: Side
    angle: Fraction
    tilted: bool
    """The cut slants through the thickness (a bevel); else across the width (a mitre)."""
    long_at: Side


class CutOut(NamedTuple):
    """Wood taken from a part once it has its size: into ``face``, along ``runs``; inches."""

    kind: str
    face: Side
    deep: Fraction
    wide: Fraction
    measured: Side
    """The side its near wall is measured from."""
    away: Fraction
    runs: Axis
    start: Fraction
    stop: Fraction
    whole: bool
    """Whether it runs from one side of the part to the other."""
    through: bool
    """Whether it goes right through from its face."""
    points: tuple[Size, ...] = ()
    """What an arch is told to run through."""


@dataclass(frozen=True, slots=True)
class CutPart:
    """Parts that are cut alike. ``names`` in the order of the plan; sizes in inches, along the grain first.

    ``unit`` is that of its plan, ``first`` the part as whose sides are called; ``like`` is equal for all that are cut
    alike once they are turned about, ``mirrored`` is what the mirror image has as ``like``.
    """

    names: tuple[str, ...]
    stock: Stock
    length: Fraction
    width: Fraction
    thickness: Fraction
    ends: tuple[EndSetting, ...]
    cut_outs: tuple[CutOut, ...]
    shaped: tuple[Shaped, ...]
    rough: bool
    unit: str
    first: Part
    like: object
    mirrored: object

    @property
    def worked(self) -> bool:
        """Whether anything is cut into it once it has its size."""
        return bool(self.ends or self.cut_outs or self.shaped or self.first.trims or self.first.taped)

    @property
    def count(self) -> int:
        return len(self.names)

    @property
    def sawn(self) -> Fraction:
        """The length that the saw is first set to: that of a rough part before it is planed and cut true."""
        return rough_of(self.length, ROUGH_LENGTH, self.unit) if self.rough else self.length

    @property
    def rough_size(self) -> tuple[Fraction, Fraction, Fraction] | None:
        """What to cut a rough part to before it is planed: length, width, thickness; ``None`` for surfaced stock."""
        if not self.rough:
            return None
        width, thickness = (rough_of(each, PLANING, self.unit) for each in (self.width, self.thickness))
        return self.sawn, width, thickness


@dataclass(frozen=True, slots=True)
class CutGroup:
    """All that comes out of one stock, widest first, then longest."""

    stock: Stock
    parts: tuple[CutPart, ...]


def cut_list(piece: Piece) -> tuple[CutGroup, ...]:
    """Every part once, in the order of the plan's stock lines."""
    plan, shaped = piece.plan, shaped_parts(piece)
    alike = grouped(
        ((part.stock.name, _likeness(part, shaped.get(part.index, ()))), part) for part in plan.parts
    )
    by_stock: defaultdict[str, list[CutPart]] = defaultdict(list)
    stocks: dict[str, Stock] = {}
    for (name, like), parts in alike.items():
        first = parts[0]
        stocks.setdefault(name, first.stock)
        joints = shaped.get(first.index, ())
        by_stock[name].append(
            CutPart(
                tuple(part.name for part in parts),
                first.stock,
                first.length,
                first.width,
                first.thickness,
                tuple(_end_settings(first)),
                tuple(cut_outs(first)),
                joints,
                any(part.rough for part in parts),
                plan.unit,
                first,
                like,
                _likeness(first, joints, mirrored=True),
            )
        )
    order = {stock.name: number for number, stock in enumerate(plan.stocks)}
    return tuple(
        CutGroup(stocks[name], _in_order(parts))
        for name, parts in sorted(by_stock.items(), key=lambda each: order.get(each[0], len(order)))
    )


def _in_order(parts: Iterable[CutPart]) -> tuple[CutPart, ...]:
    """The widest first, then the longest: fence and stop are set the least."""
    return tuple(sorted(parts, key=lambda each: (-each.width, -each.length)))


def merged(parts: Iterable[CutPart]) -> tuple[CutPart, ...]:
    """Parts of several plans: those that are cut alike told once."""
    alike: dict[object, CutPart] = {}
    for part in parts:
        known = alike.get(part.like)
        alike[part.like] = part if known is None else replace(known, names=(*known.names, *part.names))
    return _in_order(alike.values())


_Turned = tuple[tuple[int, int, int], tuple[int, int, int]]
"""A board laid another way: which of its length, width and thickness comes where; which are the other way round."""
_TURNS = tuple(
    (order, signs)
    for order, parity in (((0, 1, 2), 1), ((0, 2, 1), -1))
    for signs in product((1, -1), (1, -1), (1, -1))
    if signs[0] * signs[1] * signs[2] == parity
)
"""End for end, face for face, or both; of a square section a quarter round, too."""


def _likeness(part: Part, shaped: tuple[Shaped, ...], *, mirrored: bool = False) -> object:
    """Equal for parts that are the same board once it is turned about: of all ways to turn it, the first by order."""
    plain = (part.length, part.width, part.thickness)
    turns = _TURNS if part.width == part.thickness else _TURNS[:4]
    return plain, min(_worked(part, shaped, turn, mirrored=mirrored) for turn in turns)


def _worked(part: Part, shaped: tuple[Shaped, ...], turn: _Turned, *, mirrored: bool) -> tuple[object, ...]:
    """All that is cut into a part, along its length, width and thickness, the board turned about."""
    lies = (part.grain, part.across, part.facing.axis)
    axes = [lies[place] for place in turn[0]]
    # Length, width and thickness of one part may run as its neighbour's do in a mirror.
    hand = 1 if lies in _RIGHT_HANDED else -1
    signs = (turn[1][0] * hand * (-1 if mirrored else 1), *turn[1][1:])

    def local(side: Side) -> tuple[int, int]:
        place = axes.index(side.axis)
        return place, side.sign * signs[place]

    def spans(low: Size, high: Size) -> Iterable[tuple[Fraction, Fraction]]:
        for axis, sign in zip(axes, signs, strict=True):
            yield (
                (low[axis], high[axis])
                if sign > 0
                else (
                    part.size[axis] - high[axis],
                    part.size[axis] - low[axis],
                )
            )

    def told(points: tuple[Size, ...]) -> tuple[object, ...]:
        """What an arc runs through, from whichever end it is told."""
        return tuple(sorted(tuple(spans(point, point)) for point in points))

    return (
        tuple(sorted((local(cut.end), cut.angle, local(cut.long_at)) for cut in part.cuts if cut.angle)),
        tuple(sorted((r.kind, tuple(spans(r.low, r.high)), told(r.points)) for r in part.removals)),
        tuple(sorted((*_trimmed(trim, local), told(trim.points)) for trim in part.trims)),
        tuple(sorted(map(local, part.taped))),
        tuple(
            sorted(
                (
                    local(each.side),
                    each.kind,
                    each.makes,
                    _told(each),
                    each.words,
                    each.lets_in and each.makes == "fingers",
                    tuple(spans(each.low, each.high)) if each.low and each.high else (),
                    () if each.haunch is None else local(each.haunch),
                )
                for each in shaped
            )
        ),
    )


def _trimmed(trim: Trim, local: Callable[[Side], tuple[int, int]]) -> tuple[object, ...]:
    """A taper, a chamfer … of a board turned about; of a corner each side with what goes there."""
    sizes = (
        trim.sizes * len(trim.sides) if trim.kind in {"chamfer", "rounding"} else (None,) * len(trim.sides)
    )
    sides = tuple(sorted(zip(map(local, trim.sides), map(str, sizes), strict=False)))
    return (
        trim.kind,
        trim.sizes if trim.kind in {"taper", "bow"} else (),
        sides,
        local(trim.at) if trim.at else (),
    )


def _told(shaped: Shaped) -> tuple[tuple[str, Fraction], ...]:
    """What of a joint's measures is not in its box already."""
    if shaped.low is None or not shaped.boxed:
        return shaped.measures
    return (("thick", Fraction("thick" in shaped.said)),)


_RIGHT_HANDED = ((Axis.X, Axis.Y, Axis.Z), (Axis.Y, Axis.Z, Axis.X), (Axis.Z, Axis.X, Axis.Y))


def _end_settings(part: Part) -> Iterable[EndSetting]:
    for cut in (each for each in part.cuts if each.angle):
        yield EndSetting(cut.end, cut.angle, cut.long_at.axis is part.facing.axis, cut.long_at)


def cut_outs(part: Part) -> Iterable[CutOut]:
    """All that is taken out of a part, as it is set out."""
    for removal in part.removals:
        axis = part.facing.axis
        through = not removal.low[axis] and removal.high[axis] == part.size[axis]
        into = part.facing if removal.kind in {"hole", "slot"} and through else None
        if removal.kind != "arch":
            yield cut_out(part, removal.kind, removal.low, removal.high, into)
            continue
        into = hollow_side(removal, part)
        cut = cut_out(part, removal.kind, removal.low, removal.high, into)
        # An arch runs along its curve, though its wood goes right through the other way.
        runs = run_of(into, part.grain, part.facing.axis)
        yield cut._replace(
            runs=runs,
            start=removal.low[runs],
            stop=removal.high[runs],
            whole=not removal.low[runs] and removal.high[runs] == part.size[runs],
            points=removal.points,
        )


def cut_out(part: Part, kind: str, low: Size, high: Size, into: Side | None = None) -> CutOut:
    """Wood that is taken out as it is set out: the side it is cut ``into``, and its wall from the nearer of the sides
    beside."""
    spans = {axis: (low[axis], high[axis]) for axis in Axis}
    through = [axis for axis in Axis if not spans[axis][0] and spans[axis][1] == part.size[axis]]
    reached = [side for side in Side if not part.inside(side, low, high)]
    open_sides = [side for side in reached if side.axis not in through]
    # Of the sides it opens to: a broad face first, then the one it goes into least.
    face = into or min(
        open_sides or reached or [part.facing],
        key=lambda side: (not part.is_face(side), spans[side.axis][1] - spans[side.axis][0]),
    )
    others = [axis for axis in Axis if axis is not face.axis]
    runs = max(others, key=lambda axis: (axis in through, spans[axis][1] - spans[axis][0]))
    across = next(axis for axis in others if axis is not runs)
    left, right = spans[across]
    beside = part.nearer(across, low, high)
    deep = spans[face.axis][1] - spans[face.axis][0]
    return CutOut(
        kind,
        face,
        deep,
        right - left,
        beside,
        part.inside(beside, low, high),
        runs,
        *spans[runs],
        whole=runs in through,
        through=deep == part.size[face.axis],
    )
