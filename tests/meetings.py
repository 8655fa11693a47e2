"""Pairs of parts whose sides meet flat, at random: square, mitred, scarfed, and leaning."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import radians, tan
from typing import NamedTuple

from hypothesis import strategies as st

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot, minus, plus
from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.plan import EndCut, Part, Turn
from tests.builders import NOWHERE
from tests.solids import parts, removals_of


class Meeting(NamedTuple):
    """Two parts and the sides that are to meet."""

    a: Part
    side_a: Side
    b: Part
    side_b: Side


@st.composite
def meetings(draw: st.DrawFn) -> Meeting:
    """Square sides (both parts turned alike), mitres, scarfs, and a cut end on a turned part's square side."""
    kind = draw(st.sampled_from(["square", "mitre", "scarf", "leaning"]))
    if kind == "square":
        a, b = draw(parts()), draw(parts(name="b", turns=False))
        side = draw(
            st.sampled_from([s for s in SIDES if a.cut_at(s) is None and b.cut_at(s.opposite) is None])
        )
        return Meeting(a, side, replace(b, turn=a.turn), side.opposite)
    bare = draw(parts(cuts=False, turns=False, removals=False))
    end, sign = side_of(bare.grain, draw(st.sampled_from([-1, 1]))), draw(st.sampled_from([-1, 1]))
    over = draw(st.sampled_from([axis for axis in Axis if axis != bare.grain]))
    long_at = side_of(over, sign)
    angle = Fraction(draw(st.integers(30, 60) if kind == "mitre" else st.integers(1, 60)))
    a = _cut(bare, end, angle, long_at)
    b = draw(parts(name="b", cuts=False, turns=False, removals=False))
    if kind == "mitre":
        b = _with_grain(b, over)
        b, side_b = _cut(b, long_at, 90 - angle, end), long_at
    elif kind == "scarf":
        b = _with_grain(b, bare.grain)
        b, side_b = _cut(b, end.opposite, angle, long_at.opposite), end.opposite
    else:
        third = Axis(3 - bare.grain - over)
        cyclic = 1 if (bare.grain + 1) % 3 == over else -1
        b, side_b = replace(b, turn=Turn(angle * -end.sign * cyclic * sign, third)), end.opposite
    a = replace(a, removals=draw(removals_of(a, 2)))
    return Meeting(a, end, replace(b, removals=draw(removals_of(b, 2))), side_b)


def _with_grain(b: Part, grain: Axis) -> Part:
    facing = b.facing if b.facing.axis != grain else side_of(b.grain, 1)
    return replace(b, grain=grain, facing=facing)


def _cut(a: Part, end: Side, angle: Fraction, long_at: Side) -> Part:
    lost = Fraction(tan(radians(float(angle)))) * a.size[long_at.axis]
    return replace(
        a, length=a.length + Fraction(int(lost * 16) + 1, 16), cuts=(EndCut(end, angle, long_at, NOWHERE),)
    )


def put_together(m: Meeting, slide: Vector, gap: float) -> tuple[Body, Body]:
    """A at the origin, B with its plane ``gap`` beyond A's, the middles of the two sides together but for ``slide``."""
    a, b = Body(m.a, (0.0, 0.0, 0.0)), Body(m.b, (0.0, 0.0, 0.0))
    n = a.planes[m.side_a].normal
    beside = plus(minus(_middle_of(a, m.side_a), _middle_of(b, m.side_b)), slide)
    # Across the joint the planes decide, along it the middles.
    out = a.planes[m.side_a].offset + b.planes[m.side_b].offset + gap
    return a, Body(m.b, plus(beside, n, out - dot(n, beside)))


def _middle_of(body: Body, side: Side) -> Vector:
    """Where the line through the middle of the part, along the side's axis, leaves its plane."""
    way = body.direction_to_piece((float(side.axis == 0), float(side.axis == 1), float(side.axis == 2)))
    plane = body.planes[side]
    return plus(body.middle, way, plane.depth(body.middle) / dot(plane.normal, way))
