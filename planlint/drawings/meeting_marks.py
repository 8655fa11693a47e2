"""Where other parts meet a side of a part without being let in: what a builder marks on it before they come there."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from planlint.drawings.primitives import Item, Text, words_wide
from planlint.drawings.view_window import HAIR
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.box_index import bounding_box
from planlint.geometry.shapes.cells import Box
from planlint.geometry.shapes.polygons import area, box_faces
from planlint.model.directions import Side
from planlint.reports.safe_words import visible
from planlint.text.rounding import ROUNDING

_SIZE = 2.5
"""Height of the names of what meets a part, in mm."""
MOST_NAMED = 40
"""Parts that are named on one side. Basis: our own judgement."""


class MetPart(NamedTuple):
    """Another part where it meets a side, in the frame of the part that it meets."""

    name: str
    side: Side
    patches: tuple[tuple[Vector, ...], ...]
    box: Box
    square: bool
    """Whether it is a rectangle along the part."""


@of_piece
def met_places(piece: Piece) -> dict[int, list[MetPart]]:
    """By the index of a part what meets it on part of a side; what covers a side whole needs no marks."""
    found: dict[int, list[MetPart]] = {part.index: [] for part in piece.plan.parts}
    for join in piece.plan.joins:
        contact = piece.contact(join) if piece.trusted(join) else None
        if contact is None or not contact.patches or contact.gap < -ROUNDING:
            continue
        for (part, side), other in zip(join.sides, reversed(join.parts), strict=True):
            body = piece.body(part)
            patches = tuple(tuple(map(body.to_own, patch)) for patch in contact.patches)
            box = bounding_box([corner for patch in patches for corner in patch])
            if all(box.high[i] - box.low[i] > body.size[i] - ROUNDING for i in range(3) if i != side.axis):
                continue
            rim = [face for face in box_faces(box) if area(face) > ROUNDING][:1]
            square = bool(rim) and abs(sum(map(area, patches)) - area(rim[0])) < HAIR
            met = MetPart(visible(other.name), side, tuple(rim) if square else patches, box, square)
            found[part.index].append(met)
    return found


def named(met: MetPart, place: Sequence[SeenAt]) -> Iterator[list[Item]]:
    """The ways to write its name in or beside its outline on paper, the best first."""
    xs, ys = zip(*place, strict=True)
    left, top, right, base = min(xs), min(ys), max(xs), max(ys)
    x, y = (left + right) / 2, (top + base) / 2
    wide, high = right - left, base - top
    lying = [(x + share * wide, at, 0.0) for share in (0.0, 0.25, -0.25) for at in (y, base + 2.3, top - 1.9)]
    upright = [
        (at, y + share * high, 90.0) for share in (0.0, 0.25, -0.25) for at in (x, right + 2.3, left - 1.9)
    ]
    spots = [*upright, *lying] if wide < min(words_wide(met.name, _SIZE), high) else [*lying, *upright]
    for u, v, turn in spots:
        # In a narrow outline it would lie on its lines.
        if min(wide, high) > _SIZE + 1.0 or not (left < u < right and top < v < base):
            yield [Text((u + 0.9, v) if turn else (u, v + 0.9), met.name, _SIZE, "middle", turn)]
    yield [Text((left - 1.2, y + 0.9), met.name, _SIZE, "end")]
    yield [Text((right + 1.2, y + 0.9), met.name, _SIZE)]
