"""The arches and bows of a part as they are told and drawn: along which side they run, how deep, on what radius."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.model.arc_statements import run_of
from planlint.model.curves import radius_of, radius_through
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part, Size, Trim
from planlint.sheet.cut_list import CutOut, cut_outs


class ArcShape(NamedTuple):
    """A curve along ``side`` that hollows a part, or to which it swells; inches in the part's own frame."""

    side: Side
    run: Axis
    start: Fraction
    stop: Fraction
    deep: Fraction
    """How far the part is hollowed, or how far its corners lie inside the side."""
    swells: bool
    points: tuple[Size, ...]
    """What it is told to run through."""

    @property
    def level(self) -> Axis:
        """The axis along which it is seen as a curve."""
        return Axis(3 - self.side.axis - self.run)

    def place(self, run: float, deep: float, level: float) -> Vector:
        """A place of the part, told along the curve, along the axis of its side, and across both."""
        at = {self.run: run, self.side.axis: deep, self.level: level}
        return at[Axis.X], at[Axis.Y], at[Axis.Z]

    @property
    def radius(self) -> float:
        """Inches."""
        if self.points:
            return radius_through([(float(at[self.run]), float(at[self.side.axis])) for at in self.points])
        return radius_of(float(self.deep), float(self.stop - self.start) / 2)


def arch_shape(cut: CutOut) -> ArcShape:
    return ArcShape(cut.face, cut.runs, cut.start, cut.stop, cut.deep, swells=False, points=cut.points)


def bow_shape(part: Part, trim: Trim) -> ArcShape:
    side = trim.sides[0]
    run = run_of(side, part.grain, part.facing.axis)
    return ArcShape(side, run, Fraction(0), part.size[run], trim.sizes[0], swells=True, points=trim.points)


def arc_shapes(part: Part) -> Iterator[ArcShape]:
    yield from (arch_shape(cut) for cut in cut_outs(part) if cut.kind == "arch")
    yield from (bow_shape(part, trim) for trim in part.trims if trim.kind == "bow")
