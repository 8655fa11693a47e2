"""Arches and bows as they are told: by how deep they are, by a radius, or by the points that they run through."""

from fractions import Fraction
from math import cos, sin

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import RemovalItem, TrimItem
from planlint.model.curves import Arc, arc_through, rise_of
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import distance, positive_length
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Part, Removal, Size
from planlint.model.scope import Scope
from planlint.text.rounding import ROUNDING, TOUCH


def run_of(side: Side, grain: Axis, facing: Axis) -> Axis:
    """The way a curve along a side runs: along the grain, at an end across it."""
    return grain if side.axis is not grain else Axis(3 - grain - facing)


def hollow_side(removal: Removal, part: Part) -> Side:
    """The side in which an arch is cut: the only one at which it is open over its whole length."""
    for side in SIDES:
        edge = part.size[side.axis] if side.sign > 0 else Fraction(0)
        along = run_of(side, part.grain, part.facing.axis)
        reach = removal.high if side.sign > 0 else removal.low
        if side.axis is part.facing.axis or reach[side.axis] != edge:
            continue
        ends = [list(map(float, removal.low)) for _ in range(2)]
        for end, place in zip(ends, (removal.low[along], removal.high[along]), strict=True):
            end[along], end[side.axis] = float(place), float(edge)
        if all(
            sum(n * x for n, x in zip(plane.normal, end, strict=True)) <= plane.offset + ROUNDING
            for plane in removal.planes
            for end in ends
        ):
            return side
    raise ValueError(removal)


def rise_told(
    workings: Workings, at: Expression, told: Fraction, half: float, what: str, *, radius: bool
) -> Fraction:
    """How far a curve swells over half its span: as it is told, or by its radius; half a circle at the most."""
    if not radius and told <= half + TOUCH:
        return told
    if radius and told >= half - TOUCH:
        return Fraction(rise_of(max(half, float(told)), half))
    says = f"the {what} is {workings.length(2 * half)} long, and half a circle of that span is the most: "
    says += f"{'a radius' if radius else 'no more than'} {workings.length(half)}{' or more' if radius else ' deep'}"
    raise Refusal.at(at, says)


def arc_told(
    workings: Workings,
    scope: Scope,
    item: RemovalItem | TrimItem,
    part: tuple[Axis, Axis, Size],
    *,
    swells: bool,
) -> tuple[Arc, tuple[Size, ...]]:
    """The arc that an arch or a bow of a part (its grain, the axis it faces along, its size) is told to run through,
    and its points in the part's own frame."""
    grain, facing, size = part
    side, kind = side_of_word(item.sides[0]), item.kind.text
    axis = run_of(side, grain, facing)
    told = item.depths if isinstance(item, RemovalItem) else item.sizes
    radius = positive_length(told[0], scope, "the radius") if told else None
    first, last = item.points[0], item.points[-1]
    start, end = first.deep.start, last.along.end
    wanted = 2 if told else 3
    if len(item.points) != wanted:
        says = f"an arc{' of a radius' if told else ''} is told by {wanted} points: `{kind} "
        says += "30 radius " if told else ""
        says += f"through 0 at 4, 2 at 14{'' if told else ', 1 at 30'} along {side.value}`"
        raise Refusal(start, end, says)
    places: list[Size] = []
    for point in item.points:
        deep = distance(point.deep, scope, f"how deep the {kind} is")
        along = distance(point.along, scope, "where that is")
        if along > size[axis] or deep >= size[side.axis]:
            place, whole = (along, size[axis]) if along > size[axis] else (deep, size[side.axis])
            far, most = workings.length(place), workings.length(whole)
            says = f"this point is told {far} off, and the part is only {most} that way"
            raise Refusal.at(point.deep, says, last=point.along)
        if places and along <= places[-1][axis]:
            says = "the points of an arc are told one after the other, from the left, the front or the bottom"
            raise Refusal.at(point.deep, says, last=point.along)
        at = [each / 2 for each in size]
        at[axis], at[side.axis] = along, deep if side.sign < 0 else size[side.axis] - deep
        places.append((at[0], at[1], at[2]))
    up = side.sign if swells else -side.sign
    flat = [(float(each[axis]), float(each[side.axis])) for each in places]
    found = arc_through((axis, side.axis), flat, None if radius is None else float(radius), up)
    if found is None:
        says = (
            "no arc of that radius joins these points"
            if told
            else (
                f"these points do not {'swell' if swells else 'hollow the part'} in less than half a circle: what "
                "swells is a `bow`, what is hollow an `arch`, and what is straight a `taper`"
            )
        )
        raise Refusal(start, end, says)
    if radius is not None:  # For the bench: the middle of the arc as a third point.
        turn = (found.first + found.last) / 2
        x, y = (
            centre + found.radius * way(turn) for centre, way in zip(found.middle, (cos, sin), strict=True)
        )
        at[axis], at[side.axis] = Fraction(x), Fraction(y)
        places.insert(1, (at[0], at[1], at[2]))
    return found, tuple(places)
