"""Random joints drilled and screwed as solids, against every verdict of breakout, cover, tip and meeting.

Bores, pilots and screws are solids of manifold3d. What lies outside a part is built from the words of its definition:
a slab beyond each square side, a wedge beyond each cut end, a block for each rabbet, groove and notch. The verdicts
must be the same except in a band round each limit: ``BAND`` inches, for the 64 flat sides of the meshed rounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import pi, radians

import numpy as np
import trimesh
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from planlint.geometry.body import Body
from planlint.geometry.clearance import clearance
from planlint.geometry.meeting import ScrewMap, meetings as meetings_of, nearest_rods, rods
from planlint.geometry.screws import screw_in, tip_cover
from planlint.geometry.types import Screw, Vector
from planlint.model.directions import SIDES, Side
from planlint.model.plan import Part
from planlint.model.settings import Settings
from tests.meetings import meetings
from tests.solids import Array, _block, _turned, _wedge, vector
from tests.test_geometry_pockets import PILOT, RADIUS, Drilled, drillings

BAND = 0.01
FACETS = 64
COVER, TIP, APART = 1 / 8, 1 / 16, 1 / 8
SHOP = Settings()
FAR = 40.0


def outside(body: Body, but: set[Side]) -> Iterator[Manifold]:
    """What is not wood round a part, left open beyond the sides ``but``."""
    part, size = body.part, [float(each) for each in body.part.size]
    for side in SIDES:
        if side in but:
            continue
        cut = part.cut_at(side)
        if cut is not None:
            yield _placed(part, size, _wedge(size, cut), body.origin)
            continue
        low, high = [-FAR] * 3, [each + FAR for each in size]
        if side.sign > 0:
            low[side.axis] = size[side.axis]
        else:
            high[side.axis] = 0.0
        slab = Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(low)
        yield _placed(part, size, slab, body.origin)


def taken(body: Body) -> Iterator[Manifold]:
    part, size = body.part, [float(each) for each in body.part.size]
    for removal in part.removals:
        yield _placed(part, size, Manifold.cube(size) ^ _block(size, removal), body.origin)


def _placed(part: Part, size: list[float], wood: Manifold, origin: Vector) -> Manifold:
    return _turned(part, size, wood).translate(origin)


def ring(centre: Vector, axis: Vector, radius: float) -> Array:
    """Points round a circle square to an axis."""
    way = np.array(axis)
    u = np.cross(way, [0.31, 0.47, 0.83])
    u /= np.linalg.norm(u)
    v = np.cross(way, u)
    turns = np.linspace(0, 2 * pi, FACETS, endpoint=False)
    return np.array(centre) + radius * (np.outer(np.cos(turns), u) + np.outer(np.sin(turns), v))


def bore_solid(d: Drilled) -> Manifold:
    """From the flat shoulder out to the drilled face, which it leaves in an ellipse."""
    shoulder = ring(d.pocket.shoulder, d.pocket.direction, RADIUS)
    face = d.body.planes[d.pocket.face]
    out = np.array(face.normal)
    sine = -float(np.array(d.pocket.direction) @ out)
    mouth = shoulder - np.outer((face.offset - shoulder @ out) / sine, np.array(d.pocket.direction))
    return Manifold.hull_points(np.concatenate([shoulder, mouth]))


def pilot_solid(d: Drilled) -> Manifold:
    ends = [ring(point, d.pocket.direction, PILOT) for point in (d.pocket.shoulder, d.pocket.exit)]
    return Manifold.hull_points(np.concatenate(ends))


def screw_solid(screw: Screw) -> Manifold:
    """In the receiving part: a shank, and a cone over its last two diameters."""
    past = screw.length - screw.pocket.setback
    exit_, tip, axis = (np.array(each) for each in (screw.pocket.exit, screw.tip, screw.pocket.direction))
    neck = tip - axis * min(past, 2 * screw.diameter)
    rims = [ring(vector(point), vector(axis), screw.diameter / 2) for point in (exit_, neck)]
    return Manifold.hull_points(np.concatenate([*rims, tip[None, :]]))


def gap(solid: Manifold, others: list[Manifold]) -> float:
    """Least distance to any of some solids; 0 where they share wood."""
    found = FAR
    for other in others:
        if (solid ^ other).volume() > 1e-9:
            return 0.0
        found = min(found, solid.min_gap(other, found))
    return found


def agree(ours: float, theirs: float, limit: float) -> bool:
    """The same verdict, or a measure so near the limit that the meshes decide."""
    return (ours < limit) == (theirs < limit) or abs(theirs - limit) < BAND


@given(drillings(removals=True))
@settings(max_examples=700, deadline=None)
def test_breakout_and_cover(d: Drilled) -> None:
    """Bore and pilot against the sides (breakout, mitre-breakout) and against cuts and removals (thin-cover)."""
    found = clearance(d.pocket, d.frame, d.body, SHOP.profile)
    holes = list(taken(d.body))
    bore, pilot = bore_solid(d), pilot_solid(d)
    assume(bore.volume() > 1e-6)
    # Before the joint plane only the shoulder counts: the bore's flat end must not come through.
    toward = list(outside(d.body, {d.pocket.face}))
    away = list(outside(d.body, {d.pocket.face, d.pocket.side}))
    assert agree(found.bore, gap(bore, [*toward, *holes]), COVER)
    assert agree(found.pilot, gap(pilot, [*away, *holes]), COVER)


@given(drillings(removals=True), st.sampled_from([1.0, 1.25, 1.5, 2.0, 2.5]))
@settings(max_examples=700, deadline=None)
def test_tip(d: Drilled, length: float) -> None:
    """The screw in what is really left of the receiving part."""
    entered = d.join.side_b
    screw = screw_in(d.pocket, d.into, entered, None, SHOP)
    tip = vector(np.array(d.pocket.shoulder) + length * np.array(d.pocket.direction))
    screw = screw._replace(length=length, tip=tip, reach=d.into.planes[entered].depth(tip))
    assume(screw.reach > 0.05)
    solid = screw_solid(screw)
    cover, _ = tip_cover(screw, d.into, entered)
    others = [*outside(d.into, {entered}), *taken(d.into)]
    assert agree(cover, gap(solid, others), TIP)


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Screw, Screw]:
    """Two pockets of different joints near one another: each of its own random joint, the second brought close."""
    screws = []
    for _ in range(2):
        d = draw(drillings())
        screw = screw_in(d.pocket, d.into, d.join.side_b, None, SHOP)
        screws.append(screw._replace(pocket=d.pocket._replace(join=replace(d.join, index=len(screws)))))
    first, second = screws
    # Somewhere along the first: its bore, its shoulder, its point.
    share = draw(st.floats(0, 1))
    aim = np.array(first.pocket.mouth) * (1 - share) + np.array(first.tip) * share
    there = draw(st.floats(0, 1))
    has = np.array(second.pocket.mouth) * (1 - there) + np.array(second.tip) * there
    off = np.array([draw(st.floats(-0.45, 0.45)) for _ in range(3)])
    move = aim - has + off
    at = second.pocket
    moved = at._replace(**{n: vector(np.array(getattr(at, n)) + move) for n in ("exit", "shoulder", "mouth")})
    return first, second._replace(pocket=moved, tip=vector(np.array(second.tip) + move))


def capsule(start: Vector, end: Vector, radius: float) -> Manifold:
    ball = Manifold.sphere(radius, FACETS)
    return Manifold.batch_hull([ball.translate(start), ball.translate(end)])


@given(pairs())
@settings(max_examples=700, deadline=None)
def test_meeting(pair: tuple[Screw, Screw]) -> None:
    """Bores and screws, round at both ends, against one another: all four pairs, and the verdict over all of them."""
    mine, theirs = (
        [capsule(rod.start, rod.end, rod.radius) for rod in rods(screw, RADIUS)] for screw in pair
    )
    least = min(gap(one, theirs) for one in mine)
    assert agree(nearest_rods(*pair, RADIUS).wood, least, APART)
    told = meetings_of(pair, RADIUS, APART)
    assert (len(told) == 1) == (nearest_rods(*pair, RADIUS).wood < APART)


@given(pairs())
@settings(max_examples=300, deadline=None)
def test_meeting_never_passes_bores_as_they_are_drilled(pair: tuple[Screw, Screw]) -> None:
    """Flat-ended bores and pointed screws lie inside the round ones: two that touch are always told."""
    def drilled(screw: Screw) -> list[Manifold]:
        pocket = screw.pocket
        rims = [ring(point, pocket.direction, RADIUS) for point in (pocket.mouth, pocket.shoulder)]
        body = ring(pocket.shoulder, pocket.direction, screw.diameter / 2)
        return [
            Manifold.hull_points(np.concatenate(rims)),
            Manifold.hull_points(np.concatenate([body, screw_solid(screw).to_mesh64().vert_properties[:, :3]])),
        ]

    mine, theirs = drilled(pair[0]), drilled(pair[1])
    if any((a ^ b).volume() > 1e-6 for a in mine for b in theirs):
        assert nearest_rods(*pair, RADIUS).wood < BAND


@given(st.lists(pairs(), min_size=1, max_size=8))
@settings(max_examples=60, deadline=None)
def test_the_index_leaves_no_pair_out(found: list[tuple[Screw, Screw]]) -> None:
    screws = [screw for pair in found for screw in pair]
    screws = [s._replace(pocket=s.pocket._replace(join=replace(s.pocket.join, index=n))) for n, s in enumerate(screws)]
    told = {(m.first.screw.pocket.join.index, m.second.screw.pocket.join.index) for m in meetings_of(screws, RADIUS, APART)}
    every = {
        (i, j)
        for j in range(len(screws))
        for i in range(j)
        if nearest_rods(screws[i], screws[j], RADIUS).wood < APART
    }
    assert told == every
    near = ScrewMap(screws, RADIUS).pairs()
    assert len(near) == len(set(near))
