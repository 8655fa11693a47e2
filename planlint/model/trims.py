"""What is cut off a part and leaves it without a hollow: tapers, chamfers, rounded corners and ends, bows."""

from collections.abc import Iterable
from fractions import Fraction
from math import atan2, degrees, hypot, pi
from typing import NamedTuple

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import TrimItem
from planlint.model.arc_statements import arc_told, rise_told, run_of
from planlint.model.curves import TRUE, Arc, Slants, arc_over
from planlint.model.cuts import noted
from planlint.model.directions import Axis, Side, side_of
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import distance, positive_length
from planlint.model.mistake_log import Refusal
from planlint.model.plan import EndCut, HalfSpace, Size, Trim
from planlint.model.provenance import TrimSaid
from planlint.model.scope import Scope
from planlint.text.measures import in_words
from planlint.text.source import Span


class _TrimTold(NamedTuple):
    """A trim as it is told, and the part it is cut from: its grain, the axis its face looks along, its size."""

    workings: Workings
    scope: Scope
    item: TrimItem
    grain: Axis
    facing: Axis
    size: Size
    slants: Slants
    span: Span

    @property
    def across(self) -> Axis:
        return Axis(3 - self.grain - self.facing)

    def length(self, number: int, what: str) -> Fraction:
        return positive_length(self.item.sizes[number], self.scope, what)

    def edge(self, side: Side) -> float:
        """Where a side lies along its axis."""
        return float(self.size[side.axis]) if side.sign > 0 else 0.0

    def too_much(self, at: Expression, taken: Fraction, side: Side, what: str) -> Refusal:
        length, whole = self.workings.length, self.size[side.axis]
        says = (
            f"the {what} takes {length(taken)} in from {side.value}, and the part is only {length(whole)} "
            f"{side.axis.words}: make it smaller"
        )
        return Refusal.at(at, says)


def trimmed(
    workings: Workings, items: Iterable[TrimSaid], grain: Axis, facing: Axis, size: Size, slants: Slants
) -> tuple[Trim, ...]:
    """What is cut off, each as planes in the part's own frame; raises ``FollowOn`` once a mistake is noted."""

    def made(said: TrimSaid) -> list[Trim]:
        asked = _TrimTold(workings, said.scope, said.item, grain, facing, size, slants, said.span)
        return _MAKERS[said.item.kind.text](asked)

    return noted(workings, items, made, "of these in one part")


# ---------------------------------------------------------------- tapers


def _taper(asked: _TrimTold) -> list[Trim]:
    item, grain, size = asked.item, asked.grain, asked.size
    assert item.at is not None
    foot, origin = (side_of_word(word) for word in item.at)
    for word, side in zip(item.at, (foot, origin), strict=True):
        if side.axis is not grain:
            ends = in_words((side_of(grain, -1).value, side_of(grain, 1).value))
            raise Refusal.at(word, f"a taper runs along the part, whose ends are {ends}: name one of them")
    sides = [side_of_word(word) for word in item.sides]
    for word, side in zip(item.sides, sides, strict=True):
        if side.axis is grain or sides.count(side) > 1:
            raise Refusal.at(
                word, f"a part tapers on its long sides, each told once, and {side.value} is none"
            )
    left = asked.length(0, "the width at the foot of the taper")
    start = distance(item.sizes[1], asked.scope, "where the taper starts")
    long = size[grain]
    if origin is foot:
        start = long - start
    if not 0 <= start < long:
        told = tuple(map(asked.workings.length, (start, long)))
        says = f"the taper starts {told[0]} along, and the part is {told[1]} long"
        raise Refusal.at(item.sizes[1], says, last=item.at[1])
    planes: list[HalfSpace] = []
    slants: list[EndCut] = []
    for side in sides:
        whole = size[side.axis]
        if left >= whole:
            says = (
                f"the part is {asked.workings.length(whole)} {side.axis.words}, so it cannot taper to "
                f"{asked.workings.length(left)} there"
            )
            raise Refusal.at(item.sizes[0], says)
        lost = (whole - left) / (2 if side.opposite in sides else 1)
        angle = degrees(atan2(lost, long - start))
        slants.append(EndCut(side, Fraction(angle), foot.opposite, asked.span, start))
        if start == 0:
            continue
        run = float(long - start)
        slope = hypot(run, float(lost))
        normal = [0.0, 0.0, 0.0]
        normal[side.axis], normal[grain] = side.sign * run / slope, foot.sign * float(lost) / slope
        # It leaves the side where it starts.
        at = float(start) if foot.sign > 0 else float(long - start)
        planes.append(_through(normal, {side.axis: asked.edge(side), grain: at}))
    return [Trim("taper", (left, start), tuple(sides), tuple(planes), asked.span, foot, tuple(slants))]


def _through(normal: list[float], point: dict[Axis, float]) -> HalfSpace:
    return HalfSpace((normal[0], normal[1], normal[2]), sum(normal[axis] * at for axis, at in point.items()))


# ---------------------------------------------------------------- corners


def _corner(asked: _TrimTold) -> tuple[Side, Side]:
    first, second = asked.item.sides
    one, other = side_of_word(first), side_of_word(second)
    if one.axis is other.axis:
        says = f"{one.value} and {other.value} do not meet at a corner: name two sides that do"
        raise Refusal.at(first, says, last=second)
    return one, other


def _chamfer(asked: _TrimTold) -> list[Trim]:
    sides = _corner(asked)
    sizes = tuple(asked.length(n, "the chamfer") for n in range(len(asked.item.sizes)))
    # Told once, it takes as much from both sides.
    for taken, at, side in zip(sizes * 2, asked.item.sizes * 2, sides, strict=False):
        if taken > asked.size[side.axis]:
            raise asked.too_much(at, taken, side, "chamfer")
    one, other = float(sizes[0]), float(sizes[-1])
    slope = hypot(one, other)
    normal = [0.0, 0.0, 0.0]
    normal[sides[0].axis], normal[sides[1].axis] = sides[0].sign * other / slope, sides[1].sign * one / slope
    point = {sides[0].axis: asked.edge(sides[0]) - sides[0].sign * one, sides[1].axis: asked.edge(sides[1])}
    return [Trim("chamfer", sizes, sides, (_through(normal, point),), asked.span)]


def _rounded(asked: _TrimTold) -> list[Trim]:
    radius = asked.length(0, "the radius")
    if not asked.item.end:
        return [_rounding(asked, _corner(asked), radius)]
    ends = [side_of(asked.grain, sign) for sign in (-1, 1)]
    if asked.item.sides:
        word = asked.item.sides[0]
        if side_of_word(word) not in ends:
            says = f"{word.text} is not an end of this part: its ends are {ends[0].value} and {ends[1].value}"
            raise Refusal.at(word, says)
        ends = [side_of_word(word)]
    wide = asked.size[asked.across]
    if 2 * radius > wide:
        says = (
            f"an end that is {asked.workings.length(wide)} wide is rounded by a radius of half that, "
            f"{asked.workings.length(wide / 2)}, at the most; a flatter curve is a `bow 1 deep along {ends[0].value}`"
        )
        raise Refusal.at(asked.item.sizes[0], says)
    return [_rounding(asked, (end, side_of(asked.across, sign)), radius) for end in ends for sign in (-1, 1)]


def _rounding(asked: _TrimTold, sides: tuple[Side, Side], radius: Fraction) -> Trim:
    for side in sides:
        if radius > asked.size[side.axis]:
            raise asked.too_much(asked.item.sizes[0], radius, side, "rounding")
    one, other = sides
    middle = tuple(asked.edge(side) - side.sign * float(radius) for side in sides)
    first = {(1, 1): 0.0, (-1, 1): pi / 2, (-1, -1): pi, (1, -1): 3 * pi / 2}[one.sign, other.sign]
    arc = Arc((one.axis, other.axis), (middle[0], middle[1]), float(radius), first, first + pi / 2)
    return Trim("rounding", (radius,), sides, arc.inside(asked.slants), asked.span)


def _bow(asked: _TrimTold) -> list[Trim]:
    side = side_of_word(asked.item.sides[0])
    run = run_of(side, asked.grain, asked.facing)
    half = float(asked.size[run]) / 2
    if asked.item.points:
        return [_bow_through(asked, side, run)]
    size = asked.item.sizes[0]
    told = asked.length(0, "the bow")
    rise = rise_told(asked.workings, size, told, half, "bow", radius=asked.item.radius)
    if rise >= asked.size[side.axis]:
        raise asked.too_much(size, rise, side, "bow")
    arc = arc_over(side, run, 0.0, 2 * half, asked.edge(side), float(rise))
    return [Trim("bow", (rise,), (side,), arc.inside(asked.slants), asked.span)]


def _bow_through(asked: _TrimTold, side: Side, run: Axis) -> Trim:
    part = asked.grain, asked.facing, asked.size
    arc, points = arc_told(asked.workings, asked.scope, asked.item, part, swells=True)
    first, last, length = asked.item.points[0], asked.item.points[-1], asked.workings.length
    if points[0][run] or points[-1][run] != asked.size[run]:
        says = f"a bow runs from end to end: its first point is at 0, its last at {length(asked.size[run])}"
        raise Refusal.at(first.deep, says, last=last.along)
    past = arc.rise(side.sign) - side.sign * asked.edge(side)
    if past > TRUE:
        says = (
            f"at its highest this arc stands out {length(past)} past the {side.value}: lay its points deeper"
        )
        raise Refusal.at(first.deep, says, last=last.along)
    rise = max(
        asked.size[side.axis] - each[side.axis] if side.sign > 0 else each[side.axis] for each in points
    )
    return Trim("bow", (rise,), (side,), arc.inside(asked.slants), asked.span, points=points)


_MAKERS = {"taper": _taper, "chamfer": _chamfer, "rounded": _rounded, "bow": _bow}
