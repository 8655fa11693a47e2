"""Where the pads of a clamp go: on the far sides of a joint's two parts, or of what stands already beyond them."""

from collections.abc import Container, Iterable
from dataclasses import dataclass

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.box_index import BoxTree
from planlint.geometry.shapes.vectors import dot
from planlint.language.joint_table import Comes, Form
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.workplan.finish_first import floating

_DRAWN = frozenset({"nails", "bolts"})
"""What is hammered home, or draws its joint up by itself."""
_REACH = 60.0
"""Inches beyond which no pad is put. Basis: common practice, from memory: few shops have longer clamps."""
_COVERED = 1 / 2
"""Share of the joint's outline that a part must cover where a pad would go, to be pressed on in its place. Basis: our
own judgement."""

Outline = tuple[float, float, float, float]
"""A rectangle on the two axes across a clamp: low and high on the first, low and high on the second."""


@dataclass(frozen=True)
class Clamp:
    """Where a clamp's two pads go, pressing the joint together. ``flush`` are the sides at which both parts of the
    joint are pressed flat, so that their faces stay in one plane while the screws go in."""

    part_a: Part
    pad_a: Side
    part_b: Part
    pad_b: Side
    flush: tuple[Side, ...]
    through: bool = False
    """Whether a pad goes on another part than the joint's own two."""
    corner: bool = False
    """Whether it holds a mitred corner, with a pad on the outside of each part."""
    lap: Side | None = None
    """The side from which another one presses the cheeks of a lap together."""
    again: bool = False
    """Whether it is the clamp of an earlier joint of the same step, which holds this one too."""

    def span(self, piece: Piece) -> float | None:
        """How far apart its pads stand, in inches; ``None`` where they do not look at one another."""
        a, b = piece.body(self.part_a).planes[self.pad_a], piece.body(self.part_b).planes[self.pad_b]
        return a.offset + b.offset if dot(a.normal, b.normal) < OPPOSED else None


OPPOSED = -0.999
"""The cosine between two sides that a clamp's pads lie flat on. Basis: our own judgement."""


class Clamping:
    """The clamps of one piece."""

    def __init__(self, piece: Piece) -> None:
        self._piece = piece
        self._tree = BoxTree([body.bounds for body in piece.bodies])

    def of_step(self, joins: Iterable[Join], present: Container[int]) -> list[Clamp | None]:
        """A clamp for each joint of one step; ``present`` tells the parts that are there once the step is made."""
        found: list[Clamp | None] = []
        put_on: list[tuple[frozenset[tuple[int, Side]], Outline]] = []
        for join in joins:
            drawn = all(each.kind in _DRAWN for each in join.fastenings)
            held = join.pockets or join.glue or not join.fastenings or (join.driven and not drawn)
            if not held or join.index in floating(self._piece) or (join.tradition is not None and join.rests):
                found.append(None)
                continue
            outside = _outside(join)
            if outside is not None:
                found.append(
                    Clamp(join.part_a, outside[0], join.part_b, outside[1], _flush(join), corner=True)
                )
                continue
            one = self._far_side(join.part_a, join.side_a.opposite, join, present)
            other = self._far_side(join.part_b, join.side_b.opposite, join, present)
            pads = frozenset((part.index, side) for part, side in (one, other))
            outline = self._outline(join, join.side_a.axis)
            again = any(pads == before and _shared(outline, there) > 0 for before, there in put_on)
            put_on.append((pads, outline))
            through = (one[0], other[0]) != join.parts
            found.append(Clamp(*one, *other, _flush(join), through, lap=_lap(join), again=again))
        return found

    def _far_side(self, part: Part, side: Side, join: Join, present: Container[int]) -> tuple[Part, Side]:
        """From one part of a joint on through parts that are there already, to a side that a pad can be put on."""
        bodies, axis, snug = self._piece.bodies, side.axis, self._piece.limits["apart", "length"]
        outline = self._outline(join, axis)
        whole = _shared(outline, outline)
        begun: float | None = None
        while bodies[part.index].rotation is None and whole > 0:
            bounds = bodies[part.index].bounds
            at = (bounds.high if side.sign > 0 else bounds.low)[axis]
            begun = at if begun is None else begun
            if abs(at - begun) > _REACH:
                break
            beyond: list[tuple[float, int]] = []
            for i in self._tree.near(_slab(outline, axis, at, snug)):
                body = bodies[i]
                low, high = body.bounds.low[axis], body.bounds.high[axis]
                # It begins where the last one ends, or takes its end in: a tenon in its mortise.
                on = low <= at + snug < high if side.sign > 0 else low < at - snug <= high
                if i in present and body.part not in join.parts and body.rotation is None and on:
                    beyond.append((_shared(outline, _across(body.bounds, axis)), -i))
            covered, number = max(beyond, default=(0.0, 0))
            if covered <= _COVERED * whole or bodies[-number].part is part:
                break
            part = bodies[-number].part
        return part, side

    def _outline(self, join: Join, axis: int) -> Outline:
        """Where the boxes of both parts lie over one another, seen along an axis."""
        (a0, a1, b0, b1), (p0, p1, q0, q1) = (
            _across(self._piece.body(part).bounds, axis) for part in join.parts
        )
        return max(a0, p0), min(a1, p1), max(b0, q0), min(b1, q1)


def _outside(join: Join) -> tuple[Side, Side] | None:
    """The outer sides of a mitred corner, where the long points are; ``None`` for any other joint."""
    cut_a, cut_b = join.part_a.cut_at(join.side_a), join.part_b.cut_at(join.side_b)
    if cut_a is None or cut_b is None or cut_a.long_at.axis is cut_b.long_at.axis:
        return None
    return cut_a.long_at, cut_b.long_at


def _lap(join: Join) -> Side | None:
    """The face through which the cheeks of a lap are pressed, where the joint itself is told at its end."""
    cheek = join.part_a.facing
    cheeked = join.form is Form.BRIDLE or (join.made is not None and join.made.comes is Comes.OFF_CHEEKS)
    return cheek if cheeked and cheek.axis is not join.side_a.axis else None


def _flush(join: Join) -> tuple[Side, ...]:
    drilled = {row.face.axis for row in join.pockets}
    return tuple(
        placing.side
        for placing in join.placings
        if placing.flush and placing.side is not None and placing.side.axis in drilled
    )


def _across(box: Box, axis: int) -> Outline:
    u, v = (i for i in range(3) if i != axis)
    return box.low[u], box.high[u], box.low[v], box.high[v]


def _slab(outline: Outline, axis: int, at: float, snug: float) -> Box:
    a0, a1, b0, b1 = outline
    low, high = [a0, b0], [a1, b1]
    low.insert(axis, at - snug)
    high.insert(axis, at + snug)
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _shared(one: Outline, other: Outline) -> float:
    """The area that two outlines share."""
    a0, a1, b0, b1 = one
    p0, p1, q0, q1 = other
    return max(0.0, min(a1, p1) - max(a0, p0)) * max(0.0, min(b1, q1) - max(b0, q0))
