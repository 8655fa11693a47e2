"""Random joints drilled and screwed as solids, against every verdict of breakout, cover, tip and meeting.

Bores, pilots and screws are solids of manifold3d. What lies outside a part is built from the words of its definition:
a slab beyond each square side, a wedge beyond each cut end, a block for each rabbet, groove and notch. The verdicts
must be the same except in a band round each limit: ``BAND`` inches, for the 32 flat sides of the meshed rounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import pi

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.bore_clearance import clearance
from planlint.geometry.drilling.pocket_layout import pocket_at
from planlint.geometry.drilling.screw_choice import screw_in, tip_cover
from planlint.geometry.drilling.screw_clashes import clear, nearest_rods
from planlint.geometry.drilling.screw_clashes import screw_meetings as meetings_of
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.cells import Plane
from planlint.model.directions import SIDES, Side
from planlint.model.plan import Part
from planlint.model.workshop import Settings
from tests.solids import Array, _block, _turned, _wedge, tried, vector
from tests.test_geometry_pockets import PILOT, RADIUS, Drilled, drillings

BAND = 0.01
FACETS = 32
COVER, TIP, APART = 1 / 8, 1 / 16, 1 / 8
SHOP = Settings()
FAR = 20.0


def outside(body: Body, but: set[Side]) -> Iterator[Manifold]:
    """What is not wood round a part, as far as the planes of the sides ``but``, beyond which it is open: the faces that
    are there, not their planes run on through the air before a slanted end."""
    for solid in _half_spaces(body, but):
        yield _within(solid, body, but)


def _within(solid: Manifold, body: Body, sides: set[Side]) -> Manifold:
    """What of a solid lies on the wood's own side of the planes of some sides."""
    for side in sides:
        plane = body.planes[side]
        solid = solid.trim_by_plane([-each for each in plane.normal], -plane.offset)
    return solid


def _half_spaces(body: Body, but: set[Side]) -> Iterator[Manifold]:
    part, size = body.part, [float(each) for each in body.part.size]
    for side in SIDES:
        if side in but:
            continue
        cut = part.cut_at(side)
        if cut is not None:
            # Beyond the tip of the long side too, where the wedge has its end.
            yield _placed(part, size, _wedge(size, cut), body.origin)
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


def along(d: Drilled) -> Iterator[Drilled]:
    """The same joint with its pocket at eight places, from end to end."""
    for share in (-0.05, 0.03, 0.11, 0.24, 0.37, 0.55, 0.78, 0.93):
        pocket = pocket_at(d.frame, share * d.frame.high, d.join, 0, d.body, d.into, d.pocket.side)
        yield d._replace(pocket=pocket)


def ring(centre: Vector, axis: Vector, radius: float) -> Array:
    """Points round a circle square to an axis."""
    way = np.array(axis)
    u = np.cross(way, [0.31, 0.47, 0.83])
    u /= np.linalg.norm(u)
    v = np.cross(way, u)
    turns = np.linspace(0, 2 * pi, FACETS, endpoint=False)
    round_: Array = np.array(centre) + radius * (np.outer(np.cos(turns), u) + np.outer(np.sin(turns), v))
    return round_


def bore_solid(d: Drilled) -> Manifold:
    """From the flat shoulder out to the drilled face, which it leaves in an ellipse."""
    shoulder = ring(d.pocket.shoulder, d.pocket.direction, RADIUS)
    face = d.body.planes[d.pocket.face]
    out = np.array(face.normal)
    sine = -float(np.array(d.pocket.direction) @ out)
    mouth = shoulder - np.outer((face.offset - shoulder @ out) / sine, np.array(d.pocket.direction))
    return Manifold.hull_points(np.concatenate([shoulder, mouth]))


def pilot_solid(d: Drilled) -> Manifold:
    """From the shoulder to the joint plane, in which it ends aslant where that leans."""
    start, end = (ring(point, d.pocket.direction, PILOT) for point in (d.pocket.shoulder, d.pocket.exit))
    return Manifold.hull_points(np.concatenate([start, slid(end, d.pocket.direction, d.frame.meeting)]))


def slid(points: Array, axis: Vector, plane: Plane) -> Array:
    """The points, each along an axis to where it meets a plane."""
    along, toward = np.array(axis), np.array(plane.normal)
    return points + np.outer((plane.offset - points @ toward) / (along @ toward), along)


def screw_solid(screw: Screw, entered: Plane | None = None) -> Manifold:
    """In the receiving part, from the plane where it enters that: a shank, and a cone over its last two diameters."""
    past = screw.length - screw.pocket.setback
    exit_, tip, axis = (np.array(each) for each in (screw.pocket.exit, screw.tip, screw.pocket.direction))
    neck = tip - axis * min(past, 2 * screw.diameter)
    rims = [ring(vector(point), vector(axis), screw.diameter / 2) for point in (exit_, neck)]
    if entered is not None:
        rims[0] = slid(rims[0], vector(axis), entered)
    return Manifold.hull_points(np.concatenate([*rims, tip[None, :]]))


def gap(solid: Manifold, others: list[Manifold]) -> float:
    """Least distance to any of some solids, as far as a limit is concerned; 0 where they share wood."""
    found = max(COVER, APART) + 2 * BAND
    for other in others:
        found = min(found, solid.min_gap(other, found))
        if found == 0.0:
            break
    return found


def agree(ours: float, theirs: float, limit: float) -> bool:
    """The same verdict, or a measure so near the limit that the meshes decide."""
    return (ours < limit) == (theirs < limit) or abs(theirs - limit) < BAND


@given(drillings(removals=True))
@tried(250)
def test_breakout_and_cover(d: Drilled) -> None:
    """Bore and pilot against the sides (breakout, mitre-breakout) and against cuts and removals (thin-cover).

    Stock of 5/8 and over: in thinner wood the shoulder's disc reaches out of the drilled face.
    """
    assume(d.frame.thickness >= 0.65)
    holes = list(taken(d.body))
    # What a cut takes away past a slanted end is air anyway, where the pilot has left the part.
    beside = [_within(hole, d.body, {d.pocket.side}) for hole in holes]
    # Before the joint plane only the shoulder counts: the bore's flat end must not come through.
    toward = list(outside(d.body, {d.pocket.face}))
    away = list(outside(d.body, {d.pocket.face, d.pocket.side}))
    for at in along(d):
        found = clearance(at.pocket, d.frame, d.body, SHOP)
        assert agree(found.bore.wood, gap(bore_solid(at), [*toward, *holes]), COVER)
        assert agree(found.pilot.wood, gap(pilot_solid(at), [*away, *beside]), COVER)


@given(drillings(removals=True), st.sampled_from([1.0, 1.25, 1.5, 2.0, 2.5]))
@tried(250)
def test_tip(d: Drilled, length: float) -> None:
    """The screw in what is really left of the receiving part."""
    entered = d.join.side_b
    plane = d.into.planes[entered]
    inward = [-each for each in plane.normal]
    # What a cut takes away beyond the joint, past a slanted end, is air anyway.
    others = [
        *outside(d.into, {entered}),
        *(each.trim_by_plane(inward, -plane.offset) for each in taken(d.into)),
    ]
    for at in along(d):
        tip = vector(np.array(at.pocket.shoulder) + length * np.array(at.pocket.direction))
        reach = d.into.planes[entered].depth(tip)
        if reach > 0.05:
            screw = Screw(at.pocket, "coarse", length, 8, 0.164, tip, reach, chosen=False)
            cover, _ = tip_cover(screw, d.into, entered)
            assert agree(cover, gap(screw_solid(screw, plane), others), TIP)


@st.composite
def pairs(draw: st.DrawFn) -> list[tuple[Screw, Screw]]:
    """Two pockets of different random joints brought near one another, in ten ways; drilled in one part, or in two."""
    screws = []
    for index in range(2):
        d = draw(drillings())
        screw = screw_in(d.pocket, d.into, d.join.side_b, None, SHOP)
        screws.append(screw._replace(pocket=d.pocket._replace(join=replace(d.join, index=index))))
    first, second = screws
    if draw(st.booleans()):
        second = second._replace(pocket=second.pocket._replace(part=first.pocket.part))
    chance = np.random.default_rng(draw(st.integers(0, 2**32)))
    found = []
    for _ in range(10):
        # Somewhere along the one to somewhere along the other, and a little off.
        share, there = chance.random(2)
        aim = np.array(first.pocket.mouth) * (1 - share) + np.array(first.tip) * share
        has = np.array(second.pocket.mouth) * (1 - there) + np.array(second.tip) * there
        move = aim - has + chance.uniform(-0.4, 0.4, 3)
        at = second.pocket
        exit_, shoulder, mouth, tail = (
            vector(np.array(each) + move) for each in (at.exit, at.shoulder, at.mouth, at.tail)
        )
        moved = at._replace(exit=exit_, shoulder=shoulder, mouth=mouth, tail=tail)
        found.append((first, second._replace(pocket=moved, tip=vector(np.array(second.tip) + move))))
    return found


@given(pairs())
@tried(50)
def test_meeting(found: list[tuple[Screw, Screw]]) -> None:
    """Bores, flat at the shoulder and aslant at the face, and pointed screws: the verdict over all pairs of solids.

    The bores of two parts have wood of their own round them.
    """
    for mine, theirs in found:
        (bore, screw), (other_bore, other_screw) = drilled(mine), drilled(theirs)
        pairs_of = [(bore, other_screw), (screw, other_bore), (screw, other_screw)]
        if mine.pocket.part is theirs.pocket.part:
            pairs_of.append((bore, other_bore))
        ours = nearest_rods(mine, theirs, RADIUS).wood
        assert agree(ours, min(gap(one, [other]) for one, other in pairs_of), APART)
        assert len(meetings_of((mine, theirs), RADIUS, APART)) == (ours < APART)
        assert clear(mine, theirs, RADIUS, APART) == (ours >= APART)
        if any((one ^ other).volume() > 1e-6 for one, other in pairs_of):
            assert ours < BAND


def drilled(screw: Screw) -> list[Manifold]:
    """The bore from its flat end to the face, and the whole screw with its point."""
    pocket = screw.pocket
    neck = np.array(screw.tip) - 2 * screw.diameter * np.array(pocket.direction)
    along, long = np.array(pocket.direction), np.array(pocket.mouth) - np.array(pocket.tail)
    inward = along - long * (along @ long) / (long @ long)
    inward /= np.linalg.norm(inward)
    behind = vector(np.array(pocket.shoulder) - 12 * along)
    bore = [ring(point, pocket.direction, RADIUS) for point in (behind, pocket.shoulder)]
    shank = [ring(vector(point), pocket.direction, screw.diameter / 2) for point in (pocket.shoulder, neck)]
    return [
        Manifold.hull_points(np.concatenate(bore)).trim_by_plane(inward, inward @ np.array(pocket.mouth)),
        Manifold.hull_points(np.concatenate([*shank, np.array([screw.tip])])),
    ]


@given(st.lists(pairs(), min_size=1, max_size=3))
@tried(10)
def test_the_index_leaves_no_pair_out(found: list[list[tuple[Screw, Screw]]]) -> None:
    screws = [screw for pairs_ in found for pair in pairs_ for screw in pair]
    screws = [
        s._replace(pocket=s.pocket._replace(join=replace(s.pocket.join, index=n)))
        for n, s in enumerate(screws)
    ]
    told = {
        (m.first.screw.pocket.join.index, m.second.screw.pocket.join.index)
        for m in meetings_of(screws, RADIUS, APART)
    }
    every = {
        (i, j) for j in range(len(screws)) for i in range(j) if not clear(screws[i], screws[j], RADIUS, APART)
    }
    assert told == every
