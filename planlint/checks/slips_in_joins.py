"""Words of joins that are likely slips: a place unlike that of a twin, or the name of a part copied along."""

from collections.abc import Collection, Iterator
from operator import itemgetter
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.join_details import Placing
from planlint.model.like_parts import alike, are_twins
from planlint.model.plan import Join, Part
from planlint.placement.retold_joins import fellow_joins, other_ends
from planlint.text.source import Span


class Slip(NamedTuple):
    """Words of a join at ``span`` that may be meant to be others, and the part that then lies elsewhere."""

    join: Join
    part: Part
    span: Span
    words: str


def misnamed(piece: Piece, names: Collection[str], *, twice_told: bool) -> Iterator[Slip]:
    """Joins of some parts that name one held by both its ends and by this side as none like it is, or joined so already
    (``twice_told``); and one of that stock that is joined by this side to nothing: those told near one another first.
    """
    slips: list[tuple[int, Slip]] = []
    for join in _own(piece, names):
        for (part, side), (other, its), at in _named(piece, join):
            theirs = [each for each in piece.graph.joins_of(part) if each is not join]
            twice = twice_told and any(
                each.side_of(part) is side and alike(each.other(part), other) for each in theirs
            )
            both = {each.side_of(part) for each in theirs} >= {*part.ends} and not part.is_end(side)
            if not twice and (not both or _usual(piece, part, side)):
                continue
            for meant in piece.plan.parts:
                free = all(each.side_of(meant) is not side for each in piece.graph.joins_of(meant))
                if not free or meant.stock is not part.stock or meant in join.parts:
                    continue
                if (twice and are_twins(meant, part)) or _joined_so(piece, meant, side, other, its, join):
                    slips.append((abs(meant.index - part.index), Slip(join, other, at, meant.name)))
    return (slip for _, slip in sorted(slips, key=itemgetter(0)))


def _usual(piece: Piece, part: Part, side: Side) -> bool:
    """Whether one like a part is joined by that side."""
    return any(by is side and are_twins(one, part) for each in piece.plan.joins for one, by in each.sides)


def _joined_so(piece: Piece, part: Part, side: Side, other: Part, its: Side, join: Join) -> bool:
    """Whether a part is joined by its other end as it would be here, or one like it is to the same part."""
    return any(
        at.axis is its.axis
        and (
            (holds is part and by is side.opposite and alike(met, other))
            or (are_twins(holds, part) and by is side and met is other)
        )
        for each in piece.plan.joins
        if each is not join
        for holds, by, met, at in each.both_ways
    )


def unlike_twins(piece: Piece, names: Collection[str]) -> Iterator[Slip]:
    """The words of joins of some parts that lay a part unlike its twin, those written last first: told as that is, or
    as its image, where it is told from the side across and as far otherwise."""
    text = piece.plan.provenance.tree.source.text
    for join in _own(piece, names):
        for twin in fellow_joins(piece.graph, join):
            if twin.side_a is join.side_a:
                for placing, meant in _laid_unlike(join, twin):
                    words = text[slice(*meant.span)]
                    if placing.side is not meant.side and placing.inset != meant.inset:
                        assert placing.side is not None and meant.side is not None
                        image = words.replace(meant.side.value, placing.side.value)
                        yield Slip(join, join.part_a, placing.span, image)
                    yield Slip(join, join.part_a, placing.span, words)


def ends_unlike(piece: Piece, names: Collection[str]) -> Iterator[tuple[Slip, Slip]]:
    """The words that lay one end of a part and its other otherwise on parts alike: each told as the other is."""
    text, joins = piece.plan.provenance.tree.source.text, _own(piece, names)
    own = {each.index for each in joins}
    pairs = ((join, across) for join in joins for across in other_ends(piece.graph, join))
    for one, other in pairs:
        ends = other.index in own and one.side_b is other.side_b.opposite
        if ends and alike(one.part_b, other.part_b):
            for here, there in _laid_unlike(one, other):
                yield (
                    Slip(one, one.part_a, here.span, text[slice(*there.span)]),
                    Slip(other, one.part_a, there.span, text[slice(*here.span)]),
                )


def upside_down(piece: Piece, names: Collection[str]) -> Iterator[Slip]:
    """Joins that lay a part flush at the bottom, or the top, where all others of its stock are flush at the other."""
    text = piece.plan.provenance.tree.source.text
    for join in _own(piece, names):
        alike = (each for each in piece.plan.joins if each.part_a.stock is join.part_a.stock)
        theirs = [its for each in alike if not join.span.also_tells(each.span) for its in each.placings]
        others = {its.side for its in theirs if its.flush and its.axis is Axis.Z}
        for mine in (each for each in join.placings if each.flush and each.side):
            if mine.side is not None and others == {mine.side.opposite}:
                words = text[slice(*mine.span)].replace(mine.side.value, mine.side.opposite.value)
                yield Slip(join, join.part_a, mine.span, words)


def _own(piece: Piece, names: Collection[str]) -> list[Join]:
    """The joins of some parts that the plan's own text tells as they are, those written last first."""
    said = piece.plan.provenance
    return [
        join
        for join in reversed(piece.plan.joins)
        if not {part.name for part in join.parts}.isdisjoint(names)
        and said.is_own(said.joins[join.index].statement)
        and not (said.joins[join.index].flips or said.joins[join.index].like)
    ]


def _named(piece: Piece, join: Join) -> Iterator[tuple[tuple[Part, Side], tuple[Part, Side], Span]]:
    """The two parts of a join, each with the other, and where the text has its name."""
    said = piece.plan.provenance.joins[join.index]
    for one, other, node in zip(join.sides, join.sides[::-1], (said.line.a, said.line.b), strict=True):
        if node.part is not None:
            at = said.statement.at(node.part.start, node.part.end)
            if piece.plan.provenance.tree.source.text[slice(*at)] == one[0].name:
                yield one, other, at


def _laid_unlike(join: Join, other: Join) -> Iterator[tuple[Placing, Placing]]:
    """The words of two joins that lay their parts unlike along one axis, and along no other axis at one alone."""
    told = {each.side.axis: each for each in other.placings if each.side is not None}
    for placing in join.placings:
        meant = told.get(placing.side.axis) if placing.side is not None else None
        if meant is not None and (meant.side, meant.inset) != (placing.side, placing.inset):
            axes = (
                {each.axis for each in of.placings if each.span == said.span}
                for of, said in ((join, placing), (other, meant))
            )
            if next(axes) == next(axes):
                yield placing, meant
