"""Whether a piece stands: its weight against the edges of its footprint, and what hangs on a wall."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.flat_shapes import Flat, outline
from planlint.geometry.shapes.layers import round_all
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.statics.carried_loads import Standing, holders
from planlint.statics.joint_ties import LEVEL, Kind, Tie
from planlint.statics.solved_loads import Force
from planlint.statics.weights import Weight, part_weight, together

IN_FROM_TOP = 0.75
"""Inches below the top of what is fixed to a wall at which its upper screws sit. Basis: common practice."""


class _Edge(NamedTuple):
    """A line on the floor that the piece could tip over: how far inside it the weight acts, in inches (less than 0:
    outside), and the side that it would fall to."""

    inside: float
    out: Flat
    falls: Side


def footprint(ties: Iterable[Tie]) -> list[Flat]:
    """The corners of what stands on the floor, against the clock seen from above; fewer than 3 where it is a line."""
    points = {(round(tie.point[0], 4), round(tie.point[1], 4)) for tie in ties if tie.kind is Kind.FLOOR}
    return outline(points)


def footing_edges(corners: Sequence[Flat], centre: Vector) -> Iterator[_Edge]:
    """The edges of a footprint, and how far inside of each a weight acts."""
    for (ax, ay), (bx, by) in pairwise((*corners, corners[0])):
        long = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        out = ((by - ay) / long, -(bx - ax) / long)
        inside = out[0] * (ax - centre[0]) + out[1] * (ay - centre[1])
        yield _Edge(inside, out, _side(out))


def _side(out: Flat) -> Side:
    if abs(out[0]) > abs(out[1]):
        return Side.RIGHT if out[0] > 0 else Side.LEFT
    return Side.BACK if out[1] > 0 else Side.FRONT


def loaded_weight(piece: Piece, standing: Standing) -> Weight:
    """Weight and loads of a unit together, and where they act."""
    loads = [Weight(-force.pounds[2], _acts_at(standing, force)) for force in standing.bears]
    return together([*(part_weight(piece, part) for part in standing.parts), *loads])


class Balance(NamedTuple):
    """What keeps a loaded piece from tipping over an edge of its footprint, and what its loads that push to a side turn
    it over by, both in inch-pounds."""

    edge: _Edge
    keeps: float
    turns: float


def balance(piece: Piece, standing: Standing) -> tuple[Balance, ...]:
    """By the edges of what it stands on, the one that it tips over soonest first: of a line
    both sides of it; none where it stands on a point."""
    corners = footprint(standing.structure.ties)
    if len(corners) < 2:
        return ()
    whole = loaded_weight(piece, standing)
    found = (
        Balance(edge, whole.pounds * edge.inside, _pushed_aside(standing, edge))
        for edge in footing_edges(corners, whole.centre)
    )
    return tuple(sorted(found, key=lambda each: each.keeps - each.turns))


def _pushed_aside(standing: Standing, edge: _Edge) -> float:
    return sum(
        (force.pounds[0] * edge.out[0] + force.pounds[1] * edge.out[1])
        * (_acts_at(standing, force)[2] - standing.floor)
        for force in standing.bears
    )


def _acts_at(standing: Standing, force: Force) -> Vector:
    beam = standing.structure.beams[force.part.name]
    return beam.at(beam.length / 2) if force.point is None else force.point


class Hanging(NamedTuple):
    """A piece on a wall: all that hangs there, in pounds; ``pull`` is what its fixing must hold out of the wall, at
    ``lever`` inches above where the piece bears against it."""

    pounds: float
    weighs: float
    loads: float
    pull: float
    lever: float
    held_by: tuple[Part, ...]
    wide: float
    """Inches of wall along which it is held."""


def what_hangs(piece: Piece, standing: Standing) -> Hanging | None:
    """What hangs on the wall; ``None`` where a piece stands."""
    held = holders(standing.parts)
    if not standing.hung or not held:
        return None
    whole = loaded_weight(piece, standing)
    box = round_all(piece.body(part) for part in standing.parts)
    boxes = [piece.body(part).bounds for part in held]
    wall = max(each.high[1] for each in boxes)
    behind = [each for part in standing.parts if (each := piece.body(part).bounds).high[1] > wall - LEVEL]
    lever = max(max(each.high[2] for each in boxes) - IN_FROM_TOP - min(each.low[2] for each in behind), 1.0)
    fixed = any(part.fixed_to_wall for part in held)
    wide = max(each.high[0] - each.low[0] for each in boxes) if fixed else box.high[0] - box.low[0]
    pull = whole.pounds * max(0.0, wall - whole.centre[1]) / lever
    return Hanging(whole.pounds, standing.weighs, standing.pounds, pull, lever, tuple(held), wide)
