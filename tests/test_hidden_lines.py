"""What is seen of an edge, against rays that trimesh casts at solids that manifold3d built."""

from __future__ import annotations

from dataclasses import replace
from math import dist

import numpy as np
import pytest
import trimesh
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from manifold3d import Manifold, OpType

from planlint.drawings.hidden_lines import Scene
from planlint.drawings.true_edges import edges, faces
from planlint.drawings.viewpoints import VIEWS, View, from_eye, parallel
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.polygons import area
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, unit
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.plan import Part
from planlint.text.source import PlanText
from tests.builders import part
from tests.solids import carved, mesh_of, parts, sixteenths, solid, tried, vector

BESIDE = (2e-4, 2e-5)
"""Inches to each side of an edge at which rays start: hidden is what wood covers on both. Where the two distances do
not agree, the edge lies just behind another, and rays cannot tell."""
GRAZING = 4e-5
"""A line of sight that leans off a face by less goes by in less wood than rays are apart, 2e-4 in over the 6 in of a
part: they cannot tell."""

places = st.tuples(sixteenths(-6, 6), sixteenths(-6, 6), sixteenths(-6, 6)).map(
    lambda p: vector([float(x) for x in p])
)
aslant = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.2, 1)).map(
    lambda d: parallel("aslant", d, (0.1, 0.9, 0.2))
)
eyes = st.tuples(st.floats(-30, 30), st.floats(-50, -30), st.floats(-20, 40)).map(
    lambda e: from_eye(e, (2.0, 2.0, 2.0))
)
views = st.one_of(st.sampled_from(list(VIEWS.values())), aslant, eyes)


@st.composite
def pieces(draw: st.DrawFn) -> list[tuple[Part, Vector]]:
    """Up to four parts thrown together; where they run into one another they are as one."""
    made = [draw(parts(name=f"p{n}", longest=6)) for n in range(draw(st.integers(1, 4)))]
    return [(replace(each, index=n), draw(places)) for n, each in enumerate(made)]


@given(pieces(), views)
@settings(tried(30), phases=(Phase.explicit, Phase.reuse, Phase.generate))  # Each try casts hundreds of rays.
def test_edges_are_hidden_where_rays_meet_wood(piece: list[tuple[Part, Vector]], view: View) -> None:
    bodies = [Body(each, at) for each, at in piece]
    wood = Manifold.batch_boolean([solid(each, at) for each, at in piece], OpType.Add)
    assert _told_otherwise(bodies, mesh_of(wood), view) == []


def _told_otherwise(bodies: list[Body], mesh: trimesh.Trimesh, view: View) -> list[object]:
    """The samples of edges that the scene tells otherwise than rays do."""
    scene = Scene(bodies, view)
    planes = [
        Plane(face.normal, dot(face.normal, face.corners[0])) for body in bodies for face in faces(body)
    ]
    starts, ways, told = [], [], []
    for a, b in (edge for body in bodies for edge in edges(body)):
        spans = scene.hidden_spans(a, b)
        far = norm(minus(b, a))
        ends = [0.0, 1.0, *(end for span in spans for end in span)]
        for t in np.linspace(0.013, 0.987, 12):
            at = plus(a, minus(b, a), float(t))
            toward = view.toward if view.eye is None else unit(minus(view.eye, at))
            aside = cross(minus(b, a), toward)
            off = min(abs(t - end) for end in ends) * far
            if off < 0.01 or norm(aside) < 0.05 * far:
                continue
            leans = [abs(dot(plane.normal, toward)) for plane in planes if abs(plane.depth(at)) < 1e-5]
            # Near an end of the edge a line of sight may leave the wood before it has gone in as far as rays lie aside.
            if any(1e-9 < lean < max(GRAZING, 2 * BESIDE[1] / off) for lean in leans):
                continue
            told.append((at, any(low <= t <= high for low, high in spans)))
            for beside in BESIDE:
                for side in (beside, -beside):
                    starts.append(plus(plus(at, unit(aside), side), toward, 20 * beside))
                    ways.append(toward)
    if not starts:
        return []
    hit = mesh.ray.intersects_any(np.array(starts), np.array(ways)).reshape(-1, 2, 2).all(axis=2)
    return [
        (at, hidden)
        for (at, hidden), (wide, close) in zip(told, hit, strict=True)
        if wide == close and bool(wide) != hidden
    ]


@given(parts(longest=8), places)
# A corner at 3/128 in, where numbers that differ by a hair round to two millionths.
@example(
    carved(
        part("a", "5/8 x 1/2 x 3/8", "deep left", "front 45 right"),
        ("rabbet", ("45/128", "0", "15/32"), ("3/8", "5/8", "1/2")),
    ),
    (0.0, 0.0, 0.0),
)
@example(
    carved(
        part("a", "5/16 x 1/2 x 1/4", "crosswise front"),
        ("rabbet", ("0", "0", "0"), ("5/16", "1/32", "3/32")),
        ("groove", ("0", "1/32", "3/32"), ("5/16", "3/64", "1/2")),
    ),
    (0.0, 0.0, 0.0),
)
@tried(50)
def test_edges_and_faces_are_those_of_the_solid(a: Part, at: Vector) -> None:
    body, mesh = Body(a, at), mesh_of(solid(a, at))
    sharp = mesh.face_adjacency_angles > 1e-4
    ends = np.round(mesh.vertices[mesh.face_adjacency_edges[sharp]], 9)
    # An edge where wood meets wood corner to corner is one line, though four faces end there.
    lines = {frozenset(map(tuple, each)) for each in ends.tolist()}
    asked = sum(dist(*line) for line in lines)
    made = edges(body)
    assert sum(norm(minus(q, p)) for p, q in made) == pytest.approx(asked, abs=1e-3)
    surface = faces(body)
    assert sum(area(face.corners) for face in surface) == pytest.approx(mesh.area, abs=1e-3)
    inside = sum(dot(face.corners[0], face.normal) * area(face.corners) for face in surface) / 3
    assert inside == pytest.approx(mesh.volume, abs=1e-3)
    for face in surface:
        x, y, z = np.array(face.corners), np.roll(face.corners, -1, axis=0), np.array(face.normal)
        assert np.cross(x, y).sum(axis=0) @ z > 0
    middles = np.array([scaled(plus(a, b), 0.5) for a, b in made])
    assert trimesh.proximity.closest_point(mesh, middles)[1].max() < 1e-5


def test_a_groove_behind_shows_dashed_whichever_way_its_board_is_taken_apart() -> None:
    """Its walls lie just in the seams between the convex pieces of the board."""
    board = carved(
        part("a", "12 x 4 x 3/4", "crosswise front"), ("groove", ("0", "1/2", "1"), ("12", "3/4", "1-1/2"))
    )
    found = Scene([Body(board, (0.0, 0.0, 0.0))], VIEWS["front"]).stretches()
    hidden = {tuple(sorted((each.a, each.b))) for each in found if each.hidden}
    assert {((0.0, 1.0), (12.0, 1.0)), ((0.0, 1.5), (12.0, 1.5))} <= hidden
    seen = {tuple(sorted((each.a, each.b))) for each in found if not each.hidden}
    assert ((0.0, 1.0), (12.0, 1.0)) not in seen


def test_a_curve_that_runs_out_into_a_side_leaves_no_line_there() -> None:
    """Through its thickness a board has three corners left beside a rounded one, and two at the ends of an arch."""
    plan = PlanText(
        "a.plan",
        'plan "A"\nstock board of pine, 3/4 x 4\npart a of board, 12 long, crosswise, facing front\n'
        "    rounded 1 at left top\n    arch 1 deep along bottom, from 3 to 9\n",
    )
    piece = inspect_text(plan).piece
    assert piece is not None
    through = {(round(p[0], 1), round(p[2], 1)) for p, q in edges(piece.bodies[0]) if abs(p[1] - q[1]) > 0.5}
    assert through == {(0.0, 0.0), (3.0, 0.0), (9.0, 0.0), (12.0, 0.0), (12.0, 4.0)}


def test_views_lie_as_in_third_angle_projection() -> None:
    """What is nearest to the front view's side of a view is what they share."""
    left_front_low: Vector = (0.0, 0.0, 0.0)
    assert VIEWS["front"].flat((2.0, 5.0, 3.0)) == (2.0, 3.0)
    assert VIEWS["top"].flat((2.0, 5.0, 3.0)) == (2.0, 5.0)
    assert VIEWS["right"].flat((2.0, 5.0, 3.0)) == (5.0, 3.0)
    assert VIEWS["left"].flat((2.0, 5.0, 3.0)) == (-5.0, 3.0)
    assert VIEWS["bottom"].flat((2.0, 5.0, 3.0)) == (2.0, -5.0)
    assert VIEWS["back"].flat(left_front_low) == (0.0, 0.0)
