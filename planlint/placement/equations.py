"""What each join asks of the places of its two parts, as linear equations.

One equation reads ``normal . (p_B - p_A) = value``, p being where a part's own frame lies. All lengths are
*scaled*: multiplied by ``Equations.scale`` so that those of an ordinary plan are whole numbers, which are ten
times faster to add than fractions and just as exact.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import atan2, degrees, hypot, lcm, sqrt
from typing import NamedTuple

from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.join_details import Placing
from planlint.model.plan import EndCut, Join, Part
from planlint.model.wood_cuts import Scalar, Triple, plane_of
from planlint.placement.elimination import divided
from planlint.placement.joint_graph import JointGraph, said_in_order
from planlint.placement.part_frames import (
    Matrix,
    direction_to_piece,
    half,
    rotate,
    rotation,
    turned_about_middle,
)
from planlint.text.rounding import STILL

LARGEST_SCALE = 10**18
"""Beyond this whole numbers grow longer than a machine word, and fractions do as well (own judgement)."""
_PARALLEL = 1e-9
"""By how much less than 1 the cosine between two directions is that are one: rounding, and no turn that is written."""
MUCH_LONGER = 3
"""Times as long as another a line is beyond whose middle the two may meet (own judgement)."""
_LEAST_AGREEMENT = 0.5 - STILL
"""Cosine between the in-plane directions of two named sides below which they cannot be called flush: more than 60
degrees apart (own judgement), whichever way round they are drawn."""


class Equation(NamedTuple):
    """``normal . (p_b - p_a) = value``, scaled.

    Along an axis, ``axis`` is set and ``normal`` is ``sign`` times that axis; ``value`` then is
    ``p_b - p_a`` along the axis itself. Else ``axis`` is ``None`` and ``normal`` any direction.
    ``a`` and ``b`` number the parts. The normal looks out of A's side: more than ``value`` is a gap.
    """

    join: Join
    placing: Placing | None
    """The words that ask for it; ``None`` for the contact of the two sides."""
    a: int
    b: int
    axis: Axis | None
    sign: int
    normal: Triple
    value: Scalar

    @property
    def norm(self) -> float:
        x, y, z = self.normal
        return sqrt(x * x + y * y + z * z)


class Askew(NamedTuple):
    """A join whose two sides do not look at one another, by ``angle`` degrees."""

    join: Join
    angle: float


class PartShape(NamedTuple):
    """A part as the equations see it, scaled."""

    part: Part
    size: Triple
    matrix: Matrix | None
    taper: EndCut | None = None
    """The slant by which it meets the other part of a join, where its side has a flat as well."""
    start: Scalar = 0

    @property
    def middle(self) -> Triple:
        x, y, z = self.size
        return half(x), half(y), half(z)

    def way(self, axis: Axis) -> Triple:
        """The direction of one of the box's own axes, turned."""
        along = _NORMALS[side_of(axis, 1)]
        return along if self.matrix is None else rotate(self.matrix, along)

    def plane(self, side: Side) -> tuple[Triple, Triple]:
        """A side with its cut, turned: a point from the part's place, and the normal."""
        part = self.part
        if self.taper is not None and self.taper.end is side:
            return self._turned(plane_of(self.size, side, self.taper, self.start))
        return self._turned(plane_of(self.size, side, part.cut_at(side) if part.slants else None))

    def box_plane(self, side: Side) -> tuple[Triple, Triple]:
        """The same of the uncut box."""
        return self._turned(plane_of(self.size, side, None))

    def _turned(self, plane: tuple[Triple, Triple]) -> tuple[Triple, Triple]:
        if self.matrix is None:
            return plane
        return turned_about_middle(self.matrix, self.size, plane[0]), rotate(self.matrix, plane[1])


class Equations:
    """All equations of a plan, in the order in which they are best taken in.

    ``along_axes``: contacts first, then the words of placing, each in the order of the plan, and at last the contacts
    of what lies loose on pins, or runs on slides: a drawer is to fit its opening. ``slanted``, all others: join by
    join, so that each part is settled before the next one hangs on it, and rows stay short. ``weighed``: in the order
    of ``JointGraph.weighed``, for a plan of which some equation has to give way: not that which happens to be last.
    """

    def __init__(self, graph: JointGraph, *, weighed: bool = False) -> None:
        self._most_askew = graph.limits["askew", "angle"]
        self.scale = _scale(graph)
        self.shapes = [_shape(part, self.scale) for part in graph.parts]
        self.askew: list[Askew] = []
        self.along_axes: list[Equation] = []
        self.slanted: list[Equation] = []
        along_placings: list[Equation] = []
        loose: list[Equation] = []
        for number in graph.weighed if weighed else range(len(graph.ties)):
            join, (a, b) = graph.ties[number], graph.ends[number]
            if a == b:
                continue
            contact = self._contact(join, a, b) if join.touches else None
            if contact is not None:
                along = loose if join.on_pins or join.slides else self.along_axes
                (self.slanted if contact.axis is None else along).append(contact)
            for placing in sorted(join.placings, key=said_in_order) if weighed else join.placings:
                equation = self.placing(join, placing, a, b)
                if equation is not None:
                    (self.slanted if equation.axis is None else along_placings).append(equation)
        self.along_axes += [*along_placings, *loose]

    def __iter__(self) -> Iterator[Equation]:
        yield from self.along_axes
        yield from self.slanted

    def _contact(self, join: Join, a: int, b: int) -> Equation | None:
        """The two sides lie in one plane, A's let into B's by its traditional joint."""
        shape_a, shape_b = self._meeting(join, a, b)
        side_a, side_b = join.side_a, join.side_b
        axis, sign = side_a.axis, side_a.sign
        deep = _scaled(join.inset, self.scale) if join.tradition is not None or join.gap else 0
        if shape_a.matrix is None and shape_b.matrix is None and self._butts(join, shape_a, shape_b):
            value = shape_a.size[axis] - deep if sign > 0 else deep - shape_b.size[axis]
            return Equation(join, None, a, b, axis, sign, _NORMALS[side_a], value)
        point_a, normal_a = shape_a.plane(side_a)
        point_b, normal_b = shape_b.plane(side_b)
        angle = askew_by(normal_a, normal_b)
        if angle > self._most_askew:
            self.askew.append(Askew(join, angle))
            return None
        # The smaller side lies on the plane of the larger: what they are askew counts only where they meet.
        larger = _area(join.part_a, side_a) >= _area(join.part_b, side_b)
        normal = normal_a if larger else _scale_by(normal_b, -1)
        value = _dot(normal, point_a) - _dot(normal, point_b)
        if deep:
            value -= deep * sqrt(_dot(normal, normal))
        return _equation(join, None, (a, b), normal, value)

    def _meeting(self, join: Join, a: int, b: int) -> tuple[PartShape, PartShape]:
        """Both parts, each with the slant of a taper by which it meets the other."""
        shape_a, shape_b = self.shapes[a], self.shapes[b]
        if shape_a.part.tapers or shape_b.part.tapers:
            on_a, on_b = on_tapers(join)
            shape_a, shape_b = self._on(shape_a, on_a), self._on(shape_b, on_b)
        return shape_a, shape_b

    def _on(self, shape: PartShape, taper: EndCut | None) -> PartShape:
        return shape if taper is None else shape._replace(taper=taper, start=_scaled(taper.start, self.scale))

    def _butts(self, join: Join, shape_a: PartShape, shape_b: PartShape) -> bool:
        """Whether the two sides are opposed sides of boxes: neither has a slanted cut."""
        side_a, side_b = join.side_a, join.side_b
        if side_b.axis is not side_a.axis or side_a is side_b or shape_a.taper or shape_b.taper:
            return False
        part_a, part_b = shape_a.part, shape_b.part
        return not (part_a.slants and part_a.cut_at(side_a)) and not (part_b.slants and part_b.cut_at(side_b))

    def facing(self, join: Join, a: int, b: int) -> Equation:
        """The contact of two sides that are askew, as near as they come: a place to draw them in."""
        shape_a, shape_b = self._meeting(join, a, b)
        point, normal = shape_a.plane(join.side_a)
        other = shape_b.plane(join.side_b)[0]
        return _equation(join, None, (a, b), normal, _dot(normal, point) - _dot(normal, other))

    def placing(self, join: Join, placing: Placing, a: int, b: int) -> Equation | None:
        """What one placing asks; ``None`` where its direction runs square to the joint and aligns nothing."""
        if self.shapes[a].matrix is None and self.shapes[b].matrix is None:
            axis = placing.axis
            if axis is join.side_a.axis and self._butts(join, *self._meeting(join, a, b)):
                return None
            return self._square(join, placing, a, b)
        return self._turned(join, placing, a, b)

    def _square(self, join: Join, placing: Placing, a: int, b: int) -> Equation:
        """Between parts that are not turned: their uncut boxes are compared, along the axis."""
        size_a, size_b = self.shapes[a].size, self.shapes[b].size
        if placing.side is None:
            axis = placing.axis
            value = half(size_a[axis] - size_b[axis])
            side = side_of(axis, 1)
        else:
            side, axis = placing.side, placing.side.axis
            inset = _scaled(placing.inset, self.scale) if placing.inset else 0
            value = size_a[axis] - size_b[axis] + inset if side.sign > 0 else -inset
        return Equation(join, placing, a, b, axis, side.sign, _NORMALS[side], value)

    def _turned(self, join: Join, placing: Placing, a: int, b: int) -> Equation | None:
        """Where one is turned: the lines in which the named sides cut the plane of the joint are compared.

        Lines that are not parallel are compared where the parts meet: at the middle of the shorter, square to the
        longer; of two much alike, square to that of the larger of the two sides.
        """
        shape_a, shape_b = self._meeting(join, a, b)
        if placing.side is not None:
            line_a = _corner(shape_a, join.side_a, placing.side)
            line_b = _corner(shape_b, join.side_b, placing.side)
            if line_a is None or line_b is None:
                return None
            agreement = _dot(line_a[0], line_b[0])
            if abs(float(agreement)) < _LEAST_AGREEMENT:
                return None
            sign = 1 if agreement > 0 else -1
            along = self._across(join, placing, line_a[0], line_b[0], sign)
            value = _dot(along, line_a[1]) - _dot(along, line_b[1])
            inset = _scaled(placing.inset, self.scale)
            return _equation(join, placing, (a, b), along, value + sign * inset)
        axis = placing.axis
        strip_a, strip_b = _strip(shape_a, join.side_a, axis), _strip(shape_b, join.side_b, axis)
        if strip_a is None:
            return None
        along, middle_a = strip_a
        middle_b = shape_b.middle
        agreement = 0 if strip_b is None else _dot(along, strip_b[0])
        if strip_b is not None and abs(float(agreement)) >= _LEAST_AGREEMENT:
            sign = 1 if agreement > 0 else -1
            along, middle_b = self._across(join, placing, along, strip_b[0], sign), strip_b[1]
        return _equation(join, placing, (a, b), along, _dot(along, middle_a) - _dot(along, middle_b))

    @staticmethod
    def _across(join: Join, placing: Placing, along_a: Triple, along_b: Triple, sign: int) -> Triple:
        """The direction in which two lines in the plane of a joint are compared, out of A's side."""
        parallel = abs(float(_dot(along_a, along_b))) > 1 - _PARALLEL
        long_a, long_b = (_line_length(part, side, placing.axis) for part, side in join.sides)
        if max(long_a, long_b) < MUCH_LONGER * min(long_a, long_b):
            long_a, long_b = (_area(part, side) for part, side in join.sides)
        if parallel or long_a >= long_b:
            return along_a
        return _scale_by(along_b, sign)


_NORMALS: dict[Side, Triple] = {side: plane_of((0, 0, 0), side, None)[1] for side in SIDES}


def _scale(graph: JointGraph) -> int:
    """A factor that makes every length and half of it a whole number; 1 if that gets too large."""
    found = {part.length.denominator for part in graph.parts}
    for part in graph.parts:
        found.add(part.width.denominator)
        found.add(part.thickness.denominator)
    for join in graph.ties:
        for placing in join.placings:
            if placing.inset:
                found.add(placing.inset.denominator)
        if join.tradition is not None or join.gap:
            found.add(join.inset.denominator)
    scale = 2
    for denominator in found:
        scale = lcm(scale, denominator * 2)
        if scale > LARGEST_SCALE:
            return 1
    return scale


def _shape(part: Part, scale: int) -> PartShape:
    x, y, z = part.size
    matrix = None if part.turn is None else rotation(part)
    return PartShape(part, (_scaled(x, scale), _scaled(y, scale), _scaled(z, scale)), matrix)


def _scaled(value: Fraction, scale: int) -> int | Fraction:
    """A length times the scale, as a whole number if it is one."""
    over, beneath = value.as_integer_ratio()
    whole, rest = divmod(over * scale, beneath)
    return value * scale if rest else whole


def _corner(shape: PartShape, contact: Side, side: Side) -> tuple[Triple, Triple] | None:
    """The line in which a side's box plane cuts the plane of the joint.

    Gives the direction in the joint plane square to that line and out of the side, and the middle of the line.
    ``None`` where the two planes are parallel.
    """
    point, normal = shape.box_plane(side)
    base, out = shape.plane(contact)
    slant = _dot(normal, out)
    along = normal
    if slant:
        share = divided(slant, _dot(out, out))
        along = _add(normal, out, -share)
        size = sqrt(_dot(along, along))
        if size < STILL * 1e6:
            return None
        along = along[0] / size, along[1] / size, along[2] / size
    # From the middle of the part along it to the middle of the joined side, then within the joint to the named side.
    middle, way = shape.middle, shape.way(contact.axis)
    drop = divided(_dot(out, base) - _dot(out, middle), _dot(out, way))
    foot = _add(middle, way, drop)
    step = divided(_dot(normal, point) - _dot(normal, foot), _dot(normal, along))
    return along, _add(foot, along, step)


def _strip(shape: PartShape, contact: Side, axis: Axis) -> tuple[Triple, Triple] | None:
    """The direction of a part's axis in the joint plane and the middle between its two sides there."""
    low = _corner(shape, contact, side_of(axis, -1))
    high = _corner(shape, contact, side_of(axis, 1))
    if low is None or high is None:
        return None
    x, y, z = _add(low[1], high[1], 1)
    return high[0], (half(x), half(y), half(z))


def _equation(
    join: Join, placing: Placing | None, ends: tuple[int, int], normal: Triple, value: Scalar
) -> Equation:
    """An equation along an axis if its direction is one."""
    a, b = ends
    kept = [number for number in range(3) if abs(float(normal[number])) > STILL]
    if len(kept) > 1:
        return Equation(join, placing, a, b, None, 1, normal, value)
    axis = Axis(kept[0])
    share = normal[axis]
    sign = 1 if share > 0 else -1
    direction = _NORMALS[side_of(axis, sign)]
    return Equation(join, placing, a, b, axis, sign, direction, divided(value, share))


def on_tapers(join: Join) -> tuple[EndCut | None, EndCut | None]:
    """The slants by which two parts meet, where a side tapers only from somewhere on: flat or slant, whichever looks at
    the other part."""
    ways = [
        [None, *(cut for cut in part.tapers if cut.end is side)] if part.cut_at(side) is None else [None]
        for part, side in join.sides
    ]

    def apart(pair: tuple[EndCut | None, EndCut | None]) -> float:
        first, second = (
            direction_to_piece(part, plane_of(part.size, side, cut or part.cut_at(side))[1])
            for (part, side), cut in zip(join.sides, pair, strict=True)
        )
        return askew_by(first, second)

    return min(((one, other) for one in ways[0] for other in ways[1]), key=apart)


def askew_by(normal: Triple, other: Triple) -> float:
    """Degrees by which two outward normals fail to be opposed."""
    a, b, c = (float(share) for share in normal)
    d, e, f = (float(share) for share in other)
    cross = hypot(b * f - c * e, c * d - a * f, a * e - b * d)
    return degrees(atan2(cross, -(a * d + b * e + c * f)))


def _dot(one: Triple, other: Triple) -> Scalar:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _scale_by(vector: Triple, times: Scalar) -> Triple:
    return vector[0] * times, vector[1] * times, vector[2] * times


def _area(part: Part, side: Side) -> Fraction:
    """How large a side of an uncut part is: square inches."""
    one, other = (size for axis, size in zip(Axis, part.size, strict=True) if axis is not side.axis)
    return one * other


def _line_length(part: Part, contact: Side, across: Axis) -> Fraction:
    """How long the line is in which a side square to ``across`` cuts the joined side of an uncut part: inches."""
    return max(size for axis, size in zip(Axis, part.size, strict=True) if axis not in {contact.axis, across})


def _add(one: Triple, other: Triple, times: Scalar) -> Triple:
    return one[0] + times * other[0], one[1] + times * other[1], one[2] + times * other[2]
