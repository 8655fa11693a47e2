"""How solid boards are laid together, finished and surfaced."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.solid_panels import made_one, panel_joins, solid_panels
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import BAND_WIDTH
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import groups_of
from planlint.text.rounding import TOUCH

STRAIGHT_RINGS = frozenset({"quarter", "rift"})
"""Ways of sawing that leave growth rings standing on the face: such a board hardly cups. Basis: common practice."""


WIDEST_BOARD = 12.0
"""Inches: what is wider was glued up of boards that the plan does not tell. Basis: common practice."""


class WideBoards(NamedTuple):
    """Boards of one panel that are wider than the limit."""

    boards: tuple[Part, ...]


class RingsAlike(NamedTuple):
    """Boards that lie side by side in one panel with their growth rings curving the same way."""

    boards: tuple[Part, ...]


class OneFace(NamedTuple):
    """The boards of a panel that is finished on one face only, and how wide it is in all."""

    boards: tuple[Part, ...]
    face: Side
    wide: float
    upright: bool


class RoughWood(NamedTuple):
    """Rough parts alike, and the joints at their edges or faces."""

    parts: tuple[Part, ...]
    joins: tuple[Join, ...]


def wide_boards(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Solid boards wider than the limit joined edge to edge."""
    limit = rule.limit("width", piece.settings)
    joined = [
        join
        for join in panel_joins(piece)
        if any(_too_wide(part, limit) for part in join.parts) and _of_boards(join) and made_one(piece, join)
    ]
    for boards in _together(joined):
        wide = tuple(part for part in boards if _too_wide(part, limit))
        yield rule.finding(
            fact=WideBoards(wide),
            span=wide[0].span,
            parts=[part.name for part in wide],
            measured=float(max(part.width for part in wide)),
            limit=limit,
        )


def _too_wide(part: Part, limit: float) -> bool:
    wide = limit + TOUCH < part.width <= max(WIDEST_BOARD, limit)
    return wide and part.stock.material.sawn not in STRAIGHT_RINGS


def _of_boards(join: Join) -> bool:
    """Whether a panel is made of both: as thick, and neither a lipping nor so wide that it was glued up itself."""
    a, b = join.parts
    return a.thickness == b.thickness and all(BAND_WIDTH < part.width <= WIDEST_BOARD for part in join.parts)


def rings_not_alternated(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Neighbouring boards of one panel whose growth rings are said to curve the same way."""
    if not any(part.rings for part in piece.plan.parts):
        return
    alike = [join for join in panel_joins(piece) if _rings_alike(*join.parts) and made_one(piece, join)]
    for boards in _together(alike):
        yield rule.finding(
            fact=RingsAlike(tuple(boards)),
            span=boards[0].span,
            parts=[part.name for part in boards],
            basis="common practice",
        )


def _rings_alike(a: Part, b: Part) -> bool:
    if a.rings not in {"up", "down"} or b.rings not in {"up", "down"}:
        return False
    if a.stock.material.sawn in STRAIGHT_RINGS or b.stock.material.sawn in STRAIGHT_RINGS:
        return False
    # Of boards on edge, rings curve toward the face or away from it; of flat ones, up or down.
    turned = a.facing.axis is not Axis.Z and a.facing is not b.facing
    return a.facing.axis is b.facing.axis and (a.rings == b.rings) is not turned


def _together(joins: list[Join]) -> Iterator[list[Part]]:
    """The parts of these joints, those that hang together in one list, in the order of the plan."""
    parts = {part.index: part for join in joins for part in join.parts}
    for group in groups_of(sorted(parts), [(join.part_a.index, join.part_b.index) for join in joins]):
        yield [parts[index] for index in group]


def one_face_finish(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A solid top or door of which one broad face alone is finished."""
    if all(_one_finished(part) is None for part in piece.plan.parts):
        return
    limit = rule.limit("width", piece.settings)
    for panel in solid_panels(piece):
        faces = {_one_finished(part) for part in panel}
        face = next(iter(faces))
        wide = float(sum(part.width for part in panel))
        if len(faces) > 1 or face is None or wide <= limit + TOUCH or panel[0].thickness * 3 > wide:
            continue
        upright = panel[0].facing.axis is not Axis.Z
        if upright and not _hangs_free(piece, panel):
            continue
        boards = tuple(sorted(panel, key=lambda part: part.index))
        yield rule.finding(
            fact=OneFace(boards, face, wide, upright),
            span=boards[0].span,
            parts=[part.name for part in boards],
            measured=wide,
            limit=limit,
        )


def _one_finished(part: Part) -> Side | None:
    """The one broad face that is finished; ``None`` where both are, or where the plan says nothing of them."""
    return next(iter(part.finished)) if len(part.finished) == 1 else None


def _hangs_free(piece: Piece, panel: list[Part]) -> bool:
    """Whether nothing holds a panel flat but itself: a door, not the side of a case."""
    inside = {part.name for part in panel}
    return all(
        join.rests or _hinged(join) or inside.issuperset(part.name for part in join.parts)
        for each in panel
        for join in piece.graph.joins_of(each)
    )


def _hinged(join: Join) -> bool:
    return (
        bool(join.fastenings)
        and all(each.moves for each in join.fastenings)
        and not (join.pockets or join.glue)
    )


def rough_edge(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Rough wood joined at its edge or face: sawn faces are neither flat nor square."""
    found: dict[str, tuple[list[Part], list[Join]]] = {}
    for part in piece.plan.parts:
        if not part.rough:
            continue
        joins = [join for join in piece.graph.joins_of(part) if _joined_along(join, part)]
        if joins:
            parts, all_joins = found.setdefault(part.stock.name, ([], []))
            parts.append(part)
            all_joins += [join for join in joins if join not in all_joins]
    for parts, joins in found.values():
        yield rule.finding(
            fact=RoughWood(tuple(parts), tuple(joins)),
            span=parts[0].span,
            parts=[part.name for part in parts],
            basis="common practice",
        )


def _joined_along(join: Join, part: Part) -> bool:
    side = join.side_of(part)
    return not part.is_end(side) and not join.rests and not _hinged(join)
