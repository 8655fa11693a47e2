"""The demo plans against kernels that nobody here wrote: solids, places, contact, overlaps and sight lines.

Solids are built by manifold3d from the words of the plan (``tests/solids.py``); rays are cast by manifold3d, and for
every fourth pocket a second time by trimesh.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache, cached_property, lru_cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import trimesh
from manifold3d import CrossSection, Manifold, OpType

from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import body_polyhedra
from planlint.geometry.shapes.overlaps import overlaps
from planlint.geometry.shapes.polygons import volume
from planlint.geometry.sight.mouth_sight import Mouth, mouth_of
from planlint.inspection.inspect_plan import understand
from planlint.model.plan import Join, Part
from planlint.model.workshop import Settings, Viewer
from planlint.text.source import PlanText
from tests.scenes import RADIUS, brute, eye_heights, eyes_round, wall_solids
from tests.solids import mesh_of, solid

FOLDER = Path(__file__).parent.parent / "planlint" / "demo"
NAMES = [path.stem for path in sorted(FOLDER.glob("*.plan"))]

HAIR = 1e-6
"""How far inside their sides solids are sliced, in inches, and how much of a ray is left off at its ends."""
SLIVER = 1e-4
"""Cubic inches that two solids which only touch may share by rounding."""


class Built:
    """One demo plan: what planlint makes of it, and its solids by manifold3d."""

    def __init__(self, name: str) -> None:
        source = PlanText(name, (FOLDER / f"{name}.plan").read_text(encoding="utf-8"))
        plan, mistakes = understand(source, Settings())
        assert plan is not None
        assert not mistakes
        self.plan = plan
        self.piece = Piece(plan)
        self.solids = [solid(body.part, body.origin) for body in self.piece.bodies]

    @cached_property
    def eyes(self) -> list[Vector]:
        bounds, said = self.piece.bounds, self.plan.eye_height
        heights = eye_heights(bounds, None if said is None else float(said), Viewer())
        return eyes_round(bounds, self.plan.seen_from, heights)

    @cached_property
    def pockets(self) -> list[Pocket]:
        """All pockets of the joints that can be judged."""
        joins = [join for join in self.plan.joins if self.piece.trusted(join)]
        return [pocket for join in joins for pocket in self.piece.pockets(join)]

    def mouth(self, pocket: Pocket) -> Mouth:
        return mouth_of(pocket, self.piece.body(pocket.part), RADIUS)

    @cache  # noqa: B019 - a plan is built once, and let go with its test
    def hiding(self, part: Part) -> Manifold:
        """All that may hide a pocket of a part: the other parts, and walls against the sides nobody looks from."""
        walls = wall_solids(self.piece.bounds, self.plan.seen_from)
        others = [wood for i, wood in enumerate(self.solids) if i != part.index]
        return Manifold.batch_boolean([*others, *walls], OpType.Add)


@lru_cache(maxsize=1)
def built(name: str) -> Built:
    return Built(name)


every_plan = pytest.mark.parametrize("name", NAMES)


@every_plan
def test_wood_of_every_part(name: str) -> None:
    """Volume and bounds of every part's solid: by manifold3d and by trimesh (1e-6)."""
    demo = built(name)
    for body, wood in zip(demo.piece.bodies, demo.solids, strict=True):
        ours = sum(map(volume, body_polyhedra(body)))
        assert ours == pytest.approx(wood.volume(), rel=1e-6), body.part.name
        assert ours == pytest.approx(mesh_of(wood).volume, rel=1e-6), body.part.name
        reach = wood.bounding_box()
        assert [*body.bounds.low, *body.bounds.high] == pytest.approx(reach, abs=1e-6), body.part.name


@every_plan
def test_parts_lie_where_the_plan_says(name: str) -> None:
    """Each ``flush`` and each distance of a plan, measured between the bounds of the solids (1e-6)."""
    demo = built(name)
    untrue = {fault.join.index for fault in demo.piece.placement.misfits}
    for join in demo.plan.joins:
        if join.index in untrue or join.part_a.turn is not None or join.part_b.turn is not None:
            continue
        a, b = (demo.solids[part.index].bounding_box() for part in join.parts)
        for placing in join.placings:
            if placing.side is not None:
                at = placing.side.axis + (3 if placing.side.sign > 0 else 0)
                inside = (b[at] - a[at]) * placing.side.sign
                assert inside == pytest.approx(float(placing.inset), abs=1e-6), (join.name, placing)
            elif placing.centred is not None:
                low, high = placing.centred, placing.centred + 3
                assert a[low] + a[high] == pytest.approx(b[low] + b[high], abs=1e-6), (join.name, placing)


@every_plan
def test_contact_of_every_joint(name: str) -> None:
    """Area of a joint's patches against the shared section of both solids, a hair inside their sides (1e-4 sq in).

    A tenon's counts within the outline of the other part's side, whatever was cut for it.
    """
    demo = built(name)
    for join in demo.plan.joins:
        met = demo.piece.contact(join)
        if met.askew > 1:
            assert not met.patches
            continue
        assert met.area == pytest.approx(_shared_section(demo, join).area(), abs=1e-4), join.name


def _shared_section(demo: Built, join: Join) -> CrossSection:
    a, b = demo.piece.body(join.part_a), demo.piece.body(join.part_b)
    plane, other = a.planes[join.side_a], b.planes[join.side_b]
    wood = demo.solids[join.part_b.index]
    if demo.piece.inset(join):
        wood = solid(replace(join.part_b, removals=()), b.origin)
    # B's side looks back at A's: along A's normal it lies at minus its own offset.
    return _slice(demo.solids[join.part_a.index], plane.normal, plane.offset - HAIR) ^ _slice(
        wood, plane.normal, HAIR - other.offset
    )


def _slice(wood: Manifold, normal: Vector, at: float) -> CrossSection:
    """The section of a solid by the plane ``normal . p = at``, laid flat."""
    return wood.transform(trimesh.geometry.align_vectors(normal, (0.0, 0.0, 1.0))[:3]).slice(at)


@every_plan
def test_overlap_of_every_two_parts(name: str) -> None:
    """Every pair of parts that share wood, and how much, by manifold3d; those no joint speaks of are told."""
    demo = built(name)
    found = {(each.part_a.index, each.part_b.index): each.volume for each in overlaps(demo.piece.bodies)}
    shared = {}
    for i, j in combinations(range(len(demo.solids)), 2):
        common = (demo.solids[i] ^ demo.solids[j]).volume()
        if common > SLIVER:
            shared[i, j] = common
    assert {pair for pair, much in found.items() if much > SLIVER} == set(shared)
    for pair, common in shared.items():
        assert found[pair] == pytest.approx(common, rel=1e-5)
    told = {(each.part_a.index, each.part_b.index) for each in demo.piece.overlaps}
    let_in = {
        tuple(sorted(part.index for part in join.parts)) for join in demo.plan.joins if demo.piece.inset(join)
    }
    parts, fixed = demo.plan.parts, demo.piece.placement.fixed_together
    assert told == {(i, j) for i, j in found if (i, j) not in let_in and fixed(parts[i], parts[j])}


# ---------------------------------------------------------------- sight


@every_plan
def test_sight_of_every_pocket(name: str) -> None:
    """``in_sight`` and ``sight().share`` of every pocket: the same eyes as by manifold3d, line by line."""
    demo = built(name)
    for pocket in demo.pockets:
        seeing = sum(brute(demo.mouth(pocket), demo.eyes, [demo.hiding(pocket.part)]))
        _assert_seen_by(demo, pocket, seeing)


@every_plan
def test_sight_lines_by_trimesh(name: str) -> None:
    """The same for every fourth pocket, with rays from the mouth to the eyes cast by trimesh."""
    demo = built(name)
    for pocket in demo.pockets[::4]:
        _assert_seen_by(demo, pocket, _eyes_that_see(demo, pocket))


def _assert_seen_by(demo: Built, pocket: Pocket, seeing: int) -> None:
    which = (pocket.join.name, pocket.station)
    assert demo.piece.in_sight(pocket) == (seeing > 0), which
    assert demo.piece.sight(pocket).share == pytest.approx(seeing / max(1, len(demo.eyes)), abs=1e-12), which


def _eyes_that_see(demo: Built, pocket: Pocket) -> int:
    mouth = demo.mouth(pocket)
    eyes = [eye for eye in demo.eyes if mouth.face.depth(eye) < -1e-9]
    if not eyes:
        return 0
    starts = np.array([point for _ in eyes for point in mouth.points])
    ways = np.repeat(np.array(eyes), len(mouth.points), axis=0) - starts
    # From a hair before the face to a hair past the eye: it may stand just in the plane of a wall's corner.
    starts += ways * HAIR
    reach = np.linalg.norm(ways, axis=1)
    caster = mesh_of(demo.hiding(pocket.part)).ray
    places, hit, _ = caster.intersects_location(starts, ways, multiple_hits=True)
    blocked = np.zeros(len(starts), bool)
    if len(hit):
        blocked[hit[np.linalg.norm(places - starts[hit], axis=1) < reach[hit]]] = True
    return int((~blocked).reshape(len(eyes), -1).any(axis=1).sum())
