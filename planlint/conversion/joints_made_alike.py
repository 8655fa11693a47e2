"""Joints that are alike in the piece: both ends of an apron, all corners of a box. They are best drilled alike."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from planlint.conversion.drilling_choices import Choice, inward
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.like_parts import section
from planlint.model.plan import Join, Part
from planlint.text.grouping import grouped
from planlint.text.rounding import ROUNDING

Role = tuple[object, ...]
"""How a joint is drilled, told so that it means the same at one alike: in which of the two parts, broad face or edge,
toward the middle of the piece or away from it, how many, where, plugged or not."""


def alike_joins(joins: Iterable[Join]) -> list[list[int]]:
    """Places of joins that are alike, in groups of two and more: parts of the same section that meet the same way."""
    groups = grouped(
        ((*_kind(join.part_a, join.side_a), *_kind(join.part_b, join.side_b)), place)
        for place, join in enumerate(joins)
    )
    return [group for group in groups.values() if len(group) > 1]


def _kind(part: Part, side: Side) -> tuple[object, ...]:
    return *section(part), part.is_end(side), part.is_face(side)


def role_of(piece: Piece, join: Join, choice: Choice) -> Role:
    """The part that a choice plays at its joint."""
    part = join.part_b if choice.in_b else join.part_a
    towards = inward(piece, part, choice.face)
    return (
        choice.in_b,
        part.is_face(choice.face),
        choice.face if abs(towards) < ROUNDING else towards > 0,
        choice.count,
        choice.plugged,
        choice.at,
    )


def same_role(piece: Piece, join: Join, ways: Iterable[Choice], like: Choice, role: Role) -> Choice | None:
    """The choice at another joint that plays the same part; ``None`` where there is none."""
    for way in ways:
        if way.at or way.plugged:
            continue
        asked = replace(
            way, count=like.count, plugged=like.plugged, at=like.at, origin=like.origin, fewer=like.fewer
        )
        if like.origin is not None and like.origin.axis in {way.face.axis, _side(join, way).axis}:
            continue
        if role_of(piece, join, asked) == role:
            return asked
    return None


def _side(join: Join, way: Choice) -> Side:
    return join.side_b if way.in_b else join.side_a


def roles(piece: Piece, joins: Mapping[int, Join], taken: Mapping[int, Choice]) -> dict[Role, list[int]]:
    """The roles that joints have, the commonest first."""
    found = grouped((role_of(piece, join, taken[place]), place) for place, join in joins.items())
    return dict(sorted(found.items(), key=lambda each: -len(each[1])))
