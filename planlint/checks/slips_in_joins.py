"""Words of joins that are likely slips: a place unlike that of a twin, or the name of a part copied along."""

from collections.abc import Collection, Iterator
from typing import NamedTuple

from planlint.checks.loose_end import alike
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.text.source import Span


class Slip(NamedTuple):
    """Words of a join at ``span`` that may be meant to be others, and the part that then lies elsewhere."""

    join: Join
    part: Part
    span: Span
    words: str


def slips_in_joins(piece: Piece, names: Collection[str]) -> Iterator[Slip]:
    """Those of joins of some parts, in the plan's own text: places first, of what was written last."""
    said = piece.plan.provenance
    joins = [
        join
        for join in reversed(piece.plan.joins)
        if not {part.name for part in join.parts}.isdisjoint(names)
        and said.is_own(said.joins[join.index].statement)
        and not (said.joins[join.index].flips or said.joins[join.index].like)
    ]
    for join in joins:
        yield from _unlike_a_twin(piece, join)
    for join in joins:
        yield from _copied_along(piece, join)


def _unlike_a_twin(piece: Piece, join: Join) -> Iterator[Slip]:
    text = piece.plan.provenance.tree.source.text
    for twin in piece.plan.joins:
        if twin.side_a is join.side_a and twin.side_b.axis is join.side_b.axis and _of_like_parts(twin, join):
            told = {each.side.axis: each for each in twin.placings if each.side is not None}
            for placing in join.placings:
                meant = told.get(placing.side.axis) if placing.side is not None else None
                if meant is not None and (meant.side, meant.inset) != (placing.side, placing.inset):
                    yield Slip(join, join.part_a, placing.span, text[slice(*meant.span)])


def _of_like_parts(one: Join, other: Join) -> bool:
    return all(a is not b and alike(a, b) for a, b in zip(one.parts, other.parts, strict=True))


def _copied_along(piece: Piece, join: Join) -> Iterator[Slip]:
    """Where the same side of a part is joined to one like the other already: the nearest like it of which none is."""
    said = piece.plan.provenance.joins[join.index]
    for (part, side), (other, _), node in zip(
        join.sides, join.sides[::-1], (said.line.a, said.line.b), strict=True
    ):
        here = [
            each for each in piece.graph.joins_of(part) if each.side_of(part) is side and each is not join
        ]
        if node.part is None or not any(alike(each.other(part), other) for each in here):
            continue
        at = said.statement.at(node.part.start, node.part.end)
        if piece.plan.provenance.tree.source.text[slice(*at)] != part.name:
            continue
        fellows = [each for each in piece.plan.parts if alike(each, part) and each not in join.parts]
        for meant in sorted(fellows, key=lambda each: abs(each.index - part.index)):
            if all(each.side_of(meant) is not side for each in piece.graph.joins_of(meant)):
                yield Slip(join, other, at, meant.name)
