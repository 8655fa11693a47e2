"""What is to be finished before a step of the work, since no brush reaches it afterwards."""

from collections.abc import Collection, Sequence
from functools import cached_property
from typing import NamedTuple

from planlint.geometry.join_holds import glued
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.box_index import BoxTree
from planlint.model.directions import Side
from planlint.model.plan import Join, Part

_COVERED = 1 / 4
"""A face of which a step covers this share, or more, is finished before. Basis: our own judgement."""
_HAND = 4.0
"""Inches before a face that a hand with a brush needs over most of it. Basis: our own judgement."""


class Finish(NamedTuple):
    """A side of a part, or all of it where ``side`` is ``None``, that no brush reaches once a step is made; ``glued``
    where glue is to hold on it."""

    part: Part
    side: Side | None
    glued: bool = False


@of_piece
def floating(piece: Piece) -> frozenset[int]:
    """The joints whose side A, a panel or lid, lies loose in what holds it: thin, or with nothing but loose joints, two
    edges among them."""
    firm: set[int] = set()
    loose: dict[int, list[Join]] = {}
    for join in piece.plan.joins:
        if join.made is None or not join.made.floats or join.glue or join.pockets or join.fastenings:
            firm |= {part.index for part in join.parts}
        else:
            firm.add(join.part_b.index)
            loose.setdefault(join.part_a.index, []).append(join)
    return frozenset(
        join.index
        for i, joins in loose.items()
        for join in joins
        if join.part_a.stock.sheet
        or join.part_a.is_edge(join.side_a)
        or join.part_a.thickness <= join.part_b.thickness / 2
        or (i not in firm and sum(each.part_a.is_edge(each.side_a) for each in joins) > 1)
    )


class Finishing:
    """What has been finished of one piece, step by step."""

    def __init__(self, piece: Piece) -> None:
        self._piece = piece
        self._told: set[tuple[int, Side | None]] = set()
        # What is glued or screwed elsewhere is a rail in a channel, no panel.
        self._held = {
            part.index
            for join in piece.plan.joins
            if join.pockets or (join.glue and not (join.made and join.made.floats))
            for part, side in join.sides
            if not part.is_face(side)
        }
        self._faces = [(part, side) for part in piece.plan.parts for side in Side if side in part.finished]

    @cached_property
    def _tree(self) -> BoxTree:
        return BoxTree([body.bounds for body in self._piece.bodies])

    def before(
        self, joins: Sequence[Join], laid_on: Collection[int], present: Collection[int]
    ) -> list[Finish]:
        """What is to be finished before some joints are made; ``laid_on`` are parts that are laid on with a face, and
        ``present`` all that are there afterwards."""
        found = [
            Finish(join.part_a, None)
            for join in joins
            if join.index in floating(self._piece) and join.part_a.index not in self._held
        ]
        for part, side in self._faces:
            if part.index not in present or (part.index, None) in self._told:
                continue
            own = [join for join in joins if (part, side) in join.sides]
            area = sum(self._piece.contact(join).area for join in own if self._piece.trusted(join))
            covered = area >= _COVERED * float(part.length * part.width)
            if covered or (own and part.index in laid_on) or self._shut_in(part, side, present):
                found.append(Finish(part, side, any(glued(join) for join in own)))
        new = [each for each in dict.fromkeys(found) if (each.part.index, each.side) not in self._told]
        self._told.update((each.part.index, each.side) for each in new)
        return new

    def _shut_in(self, part: Part, side: Side, present: Collection[int]) -> bool:
        """Whether other wood stands so near before most of a face that no hand comes in."""
        body, axis = self._piece.bodies[part.index], side.axis
        if body.rotation is not None:
            return False
        at = (body.bounds.high if side.sign > 0 else body.bounds.low)[axis]
        slab = body.bounds.between(axis, *((at, at + _HAND) if side.sign > 0 else (at - _HAND, at)))
        u, v = (i for i in range(3) if i != axis)
        shared = 0.0
        for i in self._tree.near(slab):
            if i == part.index or i not in present or self._piece.bodies[i].rotation is not None:
                continue
            over = slab.shared(self._piece.bodies[i].bounds)
            shared += over[u] * over[v] * (min(over) > 0)
        return shared >= (slab.high[u] - slab.low[u]) * (slab.high[v] - slab.low[v]) / 2
