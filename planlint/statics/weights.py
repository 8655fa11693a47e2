"""Weight and centre of gravity of parts and of the piece, from their solids."""

from collections.abc import Iterable
from itertools import pairwise
from math import prod
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, body_polyhedra
from planlint.geometry.shapes.polygons import Polygon
from planlint.geometry.shapes.vectors import cross, dot, minus, plus, scaled
from planlint.model.plan import Part
from planlint.statics.wood_strength import USUAL_GRAVITY, WATER, density


class Weight(NamedTuple):
    """Pounds, where they act, and the woods among them whose weight is not known but taken for a usual one."""

    pounds: float
    centre: Vector
    guessed: tuple[str, ...] = ()


def _solid(pieces: Iterable[list[Polygon]]) -> tuple[float, Vector]:
    """Volume in cubic inches and centroid of convex polyhedra that do not overlap, each as its faces."""
    total, moment = 0.0, (0.0, 0.0, 0.0)
    for faces in pieces:
        apex = faces[0][0]
        for face in faces:
            a = minus(face[0], apex)
            for second, third in pairwise(face[1:]):
                b, c = minus(second, apex), minus(third, apex)
                part = abs(dot(a, cross(b, c))) / 6
                middle = plus(apex, plus(plus(a, b), c), 0.25)
                total, moment = total + part, plus(moment, middle, part)
    return total, scaled(moment, 1 / total) if total else moment


def volume_of(body: Body) -> tuple[float, Vector]:
    """Volume of a part less its cuts, and its centroid."""
    if body.plain:
        return prod(body.size), body.middle
    return _solid(body_polyhedra(body))


@of_piece
def part_weight(piece: Piece, part: Part) -> Weight:
    """What a part weighs at the shop's humidity."""
    volume, centre = volume_of(piece.body(part))
    found = density(part.stock.material, piece.settings.humidity)
    heavy = WATER * USUAL_GRAVITY if found is None else found.value
    return Weight(volume * heavy, centre, () if found else (part.stock.material.name,))


def together(weights: Iterable[Weight]) -> Weight:
    """Several weights as one."""
    total, moment = 0.0, (0.0, 0.0, 0.0)
    guessed: dict[str, None] = {}
    for each in weights:
        total, moment = total + each.pounds, plus(moment, each.centre, each.pounds)
        guessed |= dict.fromkeys(each.guessed)
    return Weight(total, scaled(moment, 1 / total) if total else moment, tuple(guessed))


def piece_weight(piece: Piece) -> Weight:
    """What the whole piece weighs, and its centre of gravity in the piece's axes."""
    return together(part_weight(piece, part) for part in piece.plan.parts)
