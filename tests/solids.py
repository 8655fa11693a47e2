"""A part's solid built a second time, from the words of its definition, by kernels that nobody here wrote.

Solids are manifold3d's; nothing of ``planlint.geometry`` or ``planlint.placement`` is used to build them. Lengths
in inches. Also the random parts that the geometry tests share.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import radians, tan

import numpy as np
import trimesh
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from manifold3d import Manifold, OpType
from numpy.typing import NDArray

from planlint.geometry.joint_facts import Vector
from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.join_details import PocketRow
from planlint.model.plan import EndCut, HalfSpace, Join, Part, Removal, Turn
from tests.builders import NOWHERE, exactly, part, stock

Array = NDArray[np.float64]
BEYOND = 1.0
"""Tools that cut run on this far past the wood, so that no skin of no thickness is left."""


def solid(a: Part, origin: Vector = (0.0, 0.0, 0.0)) -> Manifold:
    """The wood of a part: its box, less a wedge for each cut end, less its removals; turned; then moved."""
    size = [float(each) for each in a.size]
    wood = _sawn(a, size)
    for removal in a.removals:
        wood = wood - _block(size, removal)
    return _turned(a, size, wood).translate(origin)


def taken_away(a: Part) -> Manifold:
    """What a part's rabbets, grooves and notches took from it, before its ends were cut."""
    size = [float(each) for each in a.size]
    blocks = Manifold.batch_boolean([_block(size, removal) for removal in a.removals], OpType.Add)
    return _turned(a, size, Manifold.cube(size) ^ blocks)


def _sawn(a: Part, size: list[float]) -> Manifold:
    wood = Manifold.cube(size)
    slants = [each for trim in a.trims for each in trim.slants if not each.start]
    for cut in (*a.cuts, *slants):
        wood = wood - _wedge(size, cut)
    return _within(wood, [plane for trim in a.trims for plane in trim.planes])


def _within(wood: Manifold, planes: Sequence[HalfSpace]) -> Manifold:
    for normal, offset in planes:
        wood = wood.trim_by_plane([-each for each in normal], -offset)
    return wood


def _turned(a: Part, size: list[float], wood: Manifold) -> Manifold:
    if a.turn is None:
        return wood
    middle = [each / 2 for each in size]
    axis = [float(a.turn.axis == i) for i in range(3)]
    matrix = trimesh.transformations.rotation_matrix(radians(float(a.turn.angle)), axis, middle)
    return wood.transform(matrix[:3])


def _wedge(size: list[float], cut: EndCut) -> Manifold:
    """What the saw takes off: all beyond a plane that leaves the long side at the uncut end and leans inward."""
    along, over = cut.end.axis, cut.long_at.axis
    slope = tan(radians(float(cut.angle)))
    end = size[along] if cut.end.sign > 0 else 0.0
    points = []
    for depth in (-BEYOND, size[over] + BEYOND):
        on_plane = end - cut.end.sign * slope * depth
        far = end + cut.end.sign * (slope * BEYOND + BEYOND)
        third = 3 - along - over
        for at, wide in product((on_plane, far), (-BEYOND, size[third] + BEYOND)):
            point = [0.0, 0.0, 0.0]
            point[along], point[third] = at, wide
            point[over] = size[over] - depth if cut.long_at.sign > 0 else depth
            points.append(point)
    return Manifold.hull_points(np.array(points))


def _block(size: list[float], removal: Removal) -> Manifold:
    low = [float(each) - BEYOND * (each == 0) for each in removal.low]
    high = [float(each) + BEYOND * (float(each) == size[i]) for i, each in enumerate(removal.high)]
    box = Manifold.cube([top - bottom for bottom, top in zip(low, high, strict=True)]).translate(low)
    return _within(box, removal.planes)


def mesh_of(wood: Manifold) -> trimesh.Trimesh:
    raw = wood.to_mesh64()
    return trimesh.Trimesh(np.asarray(raw.vert_properties)[:, :3], np.asarray(raw.tri_verts), process=False)


def crossings(wood: Manifold, start: Vector, end: Vector) -> list[float]:
    """Where a segment goes through the surface, as shares of its length, each place once."""
    found: list[float] = []
    for hit in wood.ray_cast(start, end):
        if not found or hit.distance - found[-1] > 1e-9:
            found.append(hit.distance)
    return found


def vector(three: Sequence[float] | Array) -> Vector:
    x, y, z = three
    return float(x), float(y), float(z)


# ---------------------------------------------------------------- parts by hand


def carved(a: Part, *removals: tuple[str, tuple[str, str, str], tuple[str, str, str]]) -> Part:
    """The part with boxes taken away: kind, low corner, high corner."""
    cut = []
    for kind, low, high in removals:
        x, y, z = (exactly(each) for each in low)
        u, v, w = (exactly(each) for each in high)
        cut.append(Removal(kind, (x, y, z), (u, v, w), NOWHERE))
    return replace(a, removals=tuple(cut))


def sheet(a: Part, species: str = "birch plywood") -> Part:
    """The same part out of a panel."""
    return replace(a, stock=replace(stock(a.thickness, None, species), sheet=True))


def row(face: str, *, count: int = 1, in_b: bool = False, plugged: bool = False) -> PocketRow:
    return PocketRow(Side(face), in_b, NOWHERE, count=count, plugged=plugged)


def join_of(a: Part, side_a: Side, b: Part, side_b: Side, *rows: PocketRow) -> Join:
    return Join(f"{a.name}.{side_a.value}", 0, a, side_a, b, side_b, NOWHERE, pockets=rows)


# ---------------------------------------------------------------- parts at random


def tried(times: int) -> settings:
    """So many examples, and half as many on the build server, where they are the same each time; no complaint about
    parts drawn in vain: many have no cut of the kind that a test is about."""
    quiet = [HealthCheck.too_slow, HealthCheck.filter_too_much]
    times = times // 2 if os.environ.get("CI") else times
    return settings(max_examples=times, deadline=None, suppress_health_check=quiet)


def sixteenths(low: float, high: float) -> st.SearchStrategy[Fraction]:
    """A length on the sixteenth of an inch."""
    return st.integers(round(low * 16), round(high * 16)).map(lambda n: Fraction(n, 16))


@st.composite
def parts(
    draw: st.DrawFn,
    *,
    name: str = "a",
    cuts: bool = True,
    removals: bool = True,
    turns: bool = True,
    longest: float = 12,
) -> Part:
    """A part of any lie, with mitres and bevels up to 60 degrees, up to three removals, and any turn."""
    grain = draw(st.sampled_from(list(Axis)))
    facing = draw(st.sampled_from([side for side in SIDES if side.axis != grain]))
    thick, wide = draw(sixteenths(0.25, 2)), draw(sixteenths(0.5, 6))
    ends: list[EndCut] = []
    lost = Fraction(0)
    if cuts:
        for end in draw(st.sampled_from([(), (-1,), (1,), (-1, 1)])):
            angle = Fraction(draw(st.one_of(st.just(45), st.integers(1, 120).map(lambda n: Fraction(n, 2)))))
            long_at = draw(st.sampled_from([side for side in SIDES if side.axis != grain]))
            over = thick if long_at.axis == facing.axis else wide
            lost += Fraction(tan(radians(float(angle)))) * over
            ends.append(EndCut(side_of(grain, end), angle, long_at, NOWHERE))
    # Long enough that two cut ends never cross.
    length = Fraction(int(lost * 16) + 1, 16) + draw(sixteenths(0.25, longest))
    turn = draw(turnings) if turns else None
    made = replace(part(name, "1 x 1 x 1", "crosswise up"), length=length, width=wide, thickness=thick)
    made = replace(made, grain=grain, facing=facing, cuts=tuple(ends), turn=turn)
    if removals:
        made = replace(made, removals=draw(removals_of(made)))
    return made


turnings = st.one_of(
    st.none(),
    st.builds(
        Turn,
        st.one_of(
            st.sampled_from([90, 180, 270]).map(Fraction), st.integers(1, 719).map(lambda n: Fraction(n, 2))
        ),
        st.sampled_from(list(Axis)),
    ),
)


@st.composite
def removals_of(draw: st.DrawFn, a: Part, most: int = 3) -> tuple[Removal, ...]:
    """Rabbets, grooves and notches in a part; they may meet or cross, and may let light through."""
    found = []
    for kind in draw(st.lists(st.sampled_from(["rabbet", "groove", "notch"]), max_size=most)):
        low, high = [Fraction(0)] * 3, list(a.size)
        axes = draw(st.permutations(list(Axis)))
        if kind == "groove":
            _inward(draw, a, axes[0], low, high)
            at = sorted(draw(st.lists(st.integers(0, 16), min_size=2, max_size=2, unique=True)))
            low[axes[1]], high[axes[1]] = (a.size[axes[1]] * each / 16 for each in at)
        else:
            for axis in axes[: 2 if kind == "rabbet" else 3]:
                _inward(draw, a, axis, low, high)
        found.append(Removal(kind, (low[0], low[1], low[2]), (high[0], high[1], high[2]), NOWHERE))
    return tuple(found)


def _inward(draw: st.DrawFn, a: Part, axis: Axis, low: list[Fraction], high: list[Fraction]) -> None:
    depth = a.size[axis] * draw(st.integers(1, 13)) / 16
    if draw(st.booleans()):
        high[axis] = depth
    else:
        low[axis] = a.size[axis] - depth


points = st.tuples(*(st.floats(-2, 14, allow_nan=False) for _ in range(3)))
