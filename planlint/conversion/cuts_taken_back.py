"""Cuts, holes, tapers and curves of a part that is taken back: what each becomes, or that it cannot stay what it is."""

from fractions import Fraction
from math import sqrt
from typing import NamedTuple

from planlint.conversion.exact_boxes import Slice
from planlint.conversion.statement_sites import Detail
from planlint.language.syntax_tree import RemovalItem
from planlint.model.arc_statements import run_of
from planlint.model.curves import arc_through, radius_of
from planlint.model.directions import NO_FLIPS, Axis, Flips, Side, flipped, side_of
from planlint.model.expressions import length_of
from planlint.model.plan import Part, Removal, Trim


class Kept(NamedTuple):
    """What a rabbet, groove, dado or notch becomes in a part that is taken back, or that it goes."""

    gone: bool = False
    rabbet: tuple[Fraction, Fraction] | None = None
    """A groove that now runs out at the side it is measured from (or the one opposite): from that side, and deep."""
    rabbet_side: Side | None = None
    run: tuple[Fraction, Fraction] | None = None
    """Where a stopped one now starts and stops, where that changes."""
    arc: tuple[tuple[Fraction, Fraction], ...] = ()
    """Three points of an arch of which an end goes: how deep it is there, and where along what is left."""


def removal_after(  # noqa: PLR0912 - one branch for each way a cut can change
    detail: Detail, of: Slice, number: int, flips: Flips = NO_FLIPS
) -> Kept | None:
    """What one cut, by its number in the part, becomes in a piece that is taken back; ``None`` where it would cut the
    piece through, or be another shape.

    ``flips`` tells how the part is the mirror image of what the detail says.
    """
    item, scope = detail.item, detail.scope
    assert isinstance(item, RemovalItem)
    sides = [flipped(Side(word.text), flips) for word in item.sides]
    depths = [length_of(each, scope) for each in item.depths]
    run = None
    if item.beyond is not None:
        return _hole_after(sides, of, of.part.removals[number])
    along = runs_along(item, of.part)
    if item.kind.text == "arch":
        return _arch_after(sides[0], along, of, of.part.removals[number], runs=item.run is not None)
    if item.run is not None:
        start, stop = (length_of(each, scope) for each in item.run)
        if along in flips:
            start, stop = of.part.size[along] - stop, of.part.size[along] - start
        start, stop = (each - of.cut(side_of(along, -1)) for each in (start, stop))
        now = max(start, Fraction(0)), min(stop, of.size(along))
        if now[0] >= now[1]:
            return Kept(gone=True)
        run = now if of.cut(side_of(along, -1)) or now[1] != stop else None
    if item.offset is None:
        for depth, side in zip(depths, sides, strict=True):
            left = depth - of.cut(side)
            if left <= 0:
                return Kept(gone=True)
            if left >= of.size(side.axis) and depth < of.part.size[side.axis]:
                return None
        return Kept(run=run)
    wide, deep = depths
    into, measured = sides
    near = length_of(item.offset, scope) - of.cut(measured)
    far, room = near + wide, of.size(measured.axis)
    deep -= of.cut(into)
    if deep <= 0 or far <= 0 or near >= room:
        return Kept(gone=True)
    if deep >= of.size(into.axis) or (near <= 0 and far >= room):
        return None
    if near < 0:
        return Kept(rabbet=(far, deep), rabbet_side=measured, run=run)
    if far > room:
        return Kept(rabbet=(room - near, deep), rabbet_side=measured.opposite, run=run)
    return Kept(run=run)


def runs_along(item: RemovalItem, part: Part) -> Axis:
    """Along which axis a cut runs, as far as it runs along one."""
    first = Side(item.sides[0].text)
    if item.kind.text == "arch":
        return run_of(first, part.grain, part.facing.axis)
    return Axis(3 - first.axis - Side(item.sides[1].text).axis)


def _hole_after(sides: list[Side], of: Slice, removal: Removal) -> Kept | None:
    """A hole, a slot or a cutout lies in the wood that stays, or in the wood that goes; it cannot be parted."""
    face = sides[0]
    inside = True
    for axis in Axis:
        low, high = of.cut(side_of(axis, -1)), of.part.size[axis] - of.cut(side_of(axis, 1))
        if removal.high[axis] <= low or removal.low[axis] >= high:
            return Kept(gone=True)
        if axis is not face.axis:
            inside = inside and removal.low[axis] > low and removal.high[axis] < high
    if not inside or of.cut(face):
        return None
    return Kept()


def _arch_after(side: Side, along: Axis, of: Slice, removal: Removal, *, runs: bool) -> Kept | None:
    """An arch stays the same curve: told as it was if all of it stays and it says where it ``runs``, else by points."""
    low, size = of.cut(side_of(along, -1)), of.size(along)
    start, stop = removal.low[along] - low, removal.high[along] - low
    if stop <= 0 or start >= size:
        return Kept(gone=True)
    if of.cut(side):
        return None
    if start >= 0 and stop <= size and (runs or size == of.part.size[along] or (removal.points and not low)):
        return Kept(run=(start, stop) if low else None)
    curve, start, stop = hollow(removal, side, along, of.part), max(start, Fraction(0)), min(stop, size)
    middle = (removal.low[along] + removal.high[along]) / 2 - low
    middle = middle if not removal.points and start < middle < stop else (start + stop) / 2
    return Kept(arc=tuple((curve.at(place + low), place) for place in (start, middle, stop)))


class Hollow(NamedTuple):
    """The curve of an arch: where its deepest point lies along the part, how deep that is, its radius."""

    middle: Fraction
    deep: Fraction
    radius: float

    def at(self, place: Fraction) -> Fraction:
        """How deep it is at a place along the part."""
        off = float(place - self.middle)
        return self.deep - Fraction(self.radius - sqrt(max(self.radius * self.radius - off * off, 0.0)))


def hollow(removal: Removal, side: Side, along: Axis, part: Part) -> Hollow:
    """The curve of an arch that is cut in a side of a part."""
    low, high = removal.low, removal.high
    if not removal.points:
        deep, half = high[side.axis] - low[side.axis], (high[along] - low[along]) / 2
        return Hollow(low[along] + half, deep, radius_of(float(deep), float(half)))
    edge = part.size[side.axis] if side.sign > 0 else Fraction(0)
    flat = [(float(point[along]), float(abs(point[side.axis] - edge))) for point in removal.points]
    arc = arc_through((along, side.axis), flat, None, 1)
    assert arc is not None
    return Hollow(Fraction(arc.middle[0]), Fraction(arc.middle[1] + arc.radius), arc.radius)


def trim_stays(trim: Trim, of: Slice) -> bool:
    """Whether a taper, a chamfer, a rounded corner or a bow is still what it was in a piece that is taken back; the
    place where a taper begins may move with the end that it is measured from."""
    sides = {*trim.sides}
    if trim.kind == "bow":
        low, high = (side_of(bow_along(trim, of.part), sign) for sign in (-1, 1))
        if of.number or of.cut(low) != of.cut(high):  # Its middle would lie elsewhere.
            sides |= {low, high}
    if trim.at is not None:
        sides.add(trim.at)
        if (taken := of.cut(trim.at.opposite)) and taken >= trim.sizes[1]:
            return False
    return not any(of.cut(side) for side in sides)


def bow_along(trim: Trim, part: Part) -> Axis:
    """The way a bow swells along a part."""
    return run_of(trim.sides[0], part.grain, part.facing.axis)


def bow_radius(trim: Trim, part: Part) -> Fraction:
    """The radius of a bow: with it the same curve is told of a part that is shorter at both ends."""
    half, rise = part.size[bow_along(trim, part)] / 2, trim.sizes[0]
    return radius_of(rise, half)


def bow_deep(trim: Trim, of: Slice) -> Fraction:
    """How far the ends of what is left of a bowed part lie back from its middle; to a 64th of an inch."""
    radius, half = float(bow_radius(trim, of.part)), float(of.size(bow_along(trim, of.part))) / 2
    return Fraction(round((radius - sqrt(radius * radius - half * half)) * 64), 64)
