"""The parts to cut: those alike told once, by stock, by width and by length, so that fence and stop are set the least.

Sizes are those of the placed parts, exact; a length is long point to long point, as the saw's stop is set.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from planlint.model.directions import Axis, Side
from planlint.model.plan import EndCut, Part, Plan, Removal
from planlint.model.stock import Stock

PLANING = Fraction(1, 8)
"""Left on a rough board in thickness and in width, for the planer. Basis: common practice."""
ROUGH_LENGTH = Fraction(1)
"""Left on a rough part in length, for end checks and snipe. Basis: common practice."""


class EndSetting(NamedTuple):
    """How the saw stands for one end that is not square: degrees off square, the blade tilted or the fence turned."""

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


class Shaped(NamedTuple):
    """One side of a part that a traditional joint shapes: ``lets_in`` where the other part comes into it. Measures are
    the plan's, in inches."""

    side: Side
    kind: str
    measures: tuple[tuple[str, Fraction], ...]
    lets_in: bool


NOT_SHAPED = frozenset({"butt", "mitre", "resting", "glued", "dado", "rabbet"})
"""Joints that cut nothing but what the part lines say: its ends, its dadoes, its rabbets."""


@dataclass(frozen=True, slots=True)
class CutPart:
    """Parts that are cut alike. ``names`` in the order of the plan; sizes in inches, along the grain first."""

    names: tuple[str, ...]
    stock: Stock
    length: Fraction
    width: Fraction
    thickness: Fraction
    ends: tuple[EndSetting, ...]
    cut_outs: tuple[CutOut, ...]
    shaped: tuple[Shaped, ...]
    rough: bool

    @property
    def count(self) -> int:
        return len(self.names)

    @property
    def sawn(self) -> Fraction:
        """The length that the saw is first set to: that of a rough part before it is planed and cut true."""
        return self.length + ROUGH_LENGTH if self.rough else self.length

    @property
    def rough_size(self) -> tuple[Fraction, Fraction, Fraction] | None:
        """What to cut a rough part to before it is planed: length, width, thickness; ``None`` for surfaced stock."""
        if not self.rough:
            return None
        return self.sawn, self.width + PLANING, self.thickness + PLANING


@dataclass(frozen=True, slots=True)
class CutGroup:
    """All that comes out of one stock, widest first, then longest."""

    stock: Stock
    parts: tuple[CutPart, ...]


def cut_list(plan: Plan) -> tuple[CutGroup, ...]:
    """Every part once, in the order of the plan's stock lines."""
    shaped = _shaped(plan)
    alike: defaultdict[object, list[Part]] = defaultdict(list)
    for part in plan.parts:
        alike[_likeness(part, shaped[part.index])].append(part)
    by_stock: defaultdict[str, list[CutPart]] = defaultdict(list)
    stocks: dict[str, Stock] = {}
    for parts in alike.values():
        first = parts[0]
        stocks.setdefault(first.stock.name, first.stock)
        by_stock[first.stock.name].append(
            CutPart(
                tuple(part.name for part in parts),
                first.stock,
                first.length,
                first.width,
                first.thickness,
                tuple(_end_settings(first)),
                tuple(_cut_outs(first)),
                shaped[first.index],
                first.rough,
            )
        )
    order = {stock.name: number for number, stock in enumerate(plan.stocks)}
    return tuple(
        CutGroup(stocks[name], tuple(sorted(parts, key=lambda each: (-each.width, -each.length))))
        for name, parts in sorted(by_stock.items(), key=lambda each: order.get(each[0], len(order)))
    )


_TURNS = ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1))
"""A board end for end, face for face, or both: signs along its length, width and thickness."""


def _likeness(part: Part, shaped: tuple[Shaped, ...]) -> object:
    """Equal for parts that are the same board once it is turned about: of all ways to turn it, the first by order."""
    plain = (part.stock.name, part.length, part.width, part.thickness, part.rough)
    return plain, min(_worked(part, shaped, turn) for turn in _TURNS)


def _worked(part: Part, shaped: tuple[Shaped, ...], turn: tuple[int, int, int]) -> tuple[object, ...]:
    """All that is cut into a part, along its length, width and thickness, the board turned about."""
    axes = (part.grain, part.across, part.facing.axis)

    def local(side: Side) -> tuple[int, int]:
        place = axes.index(side.axis)
        return place, side.sign * turn[place]

    def spans(removal: Removal) -> Iterable[tuple[Fraction, Fraction]]:
        for axis, sign in zip(axes, turn, strict=True):
            low, high = removal.low[axis], removal.high[axis]
            yield (low, high) if sign > 0 else (part.size[axis] - high, part.size[axis] - low)

    return (
        tuple(sorted((local(cut.end), cut.angle, local(cut.long_at)) for cut in _slanted(part))),
        tuple(sorted((r.kind, tuple(spans(r))) for r in part.removals)),
        tuple(sorted((local(each.side), each.kind, each.measures, each.lets_in) for each in shaped)),
    )


def _shaped(plan: Plan) -> defaultdict[int, tuple[Shaped, ...]]:
    """What traditional joints ask of each part, by its index."""
    found: defaultdict[int, tuple[Shaped, ...]] = defaultdict(tuple)
    for join in plan.joins:
        said = join.tradition
        if said is None or said.kind in NOT_SHAPED:
            continue
        measures = tuple(said.measures.items())
        for part, side, lets_in in ((join.part_a, join.side_a, False), (join.part_b, join.side_b, True)):
            found[part.index] = (*found[part.index], Shaped(side, said.kind, measures, lets_in))
    return found


def _slanted(part: Part) -> Iterable[EndCut]:
    return (cut for cut in part.cuts if cut.angle)


def _end_settings(part: Part) -> Iterable[EndSetting]:
    for cut in _slanted(part):
        yield EndSetting(cut.end, cut.angle, cut.long_at.axis is part.facing.axis, cut.long_at)


def _cut_outs(part: Part) -> Iterable[CutOut]:
    for removal in part.removals:
        yield _cut_out(part, removal)


def _cut_out(part: Part, removal: Removal) -> CutOut:
    """A removal as it is set out: the side it is cut into, and its wall from the nearer of the sides beside."""
    spans = {axis: (removal.low[axis], removal.high[axis]) for axis in Axis}
    through = [axis for axis in Axis if not spans[axis][0] and spans[axis][1] == part.size[axis]]
    open_sides = [side for side in Side if _reaches(part, removal, side) and side.axis not in through]
    # Of the sides it opens to: a broad face first, then the one it goes into least.
    face = min(
        open_sides or [side for side in Side if _reaches(part, removal, side)] or [part.facing],
        key=lambda side: (not part.is_face(side), spans[side.axis][1] - spans[side.axis][0]),
    )
    others = [axis for axis in Axis if axis is not face.axis]
    runs = max(others, key=lambda axis: (axis in through, spans[axis][1] - spans[axis][0]))
    across = next(axis for axis in others if axis is not runs)
    low, high = spans[across]
    beside = min(
        (side for side in Side if side.axis is across),
        key=lambda side: low if side.sign < 0 else part.size[across] - high,
    )
    away = low if beside.sign < 0 else part.size[across] - high
    deep = spans[face.axis][1] - spans[face.axis][0]
    return CutOut(
        removal.kind, face, deep, high - low, beside, away, runs, *spans[runs], whole=runs in through
    )


def _reaches(part: Part, removal: Removal, side: Side) -> bool:
    """Whether a removal opens to a side of its part."""
    axis = side.axis
    return removal.low[axis] == 0 if side.sign < 0 else removal.high[axis] == part.size[axis]
