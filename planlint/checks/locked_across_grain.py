"""Solid wood held so that it cannot move across its grain."""

from collections import deque
from collections.abc import Iterator
from math import inf
from typing import NamedTuple

from planlint.checks.solid_panels import glue_of, holds_fast, in_a_groove, made_one, solid_panels
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import dot, minus, norm, plus, scaled
from planlint.model.plan import Join, Part
from planlint.model.seasonal_movement import Movement, movement

MOST_ROUND = 60
"""Parts looked at on the way round from one hold to another. Basis: our own judgement; most pieces have fewer."""


class _Hold(NamedTuple):
    """A place where something else takes hold of a panel."""

    point: Vector
    other: Part
    join: Join


class _Held(NamedTuple):
    """Two holds of a panel and how much it moves between them, less what moves with it."""

    first: _Hold
    last: _Hold
    moves: float


class Locked(NamedTuple):
    """A panel held fast over ``apart`` inches across its grain by one or two parts: there it moves ``moves`` inches."""

    panel: tuple[Part, ...]
    held_by: tuple[str, ...]
    apart: float
    moves: float
    slot: tuple[Join, ...]
    """Joints which, slotted, let it move."""
    kept: str
    """The part that then holds it fast alone; empty where that is the panel's own."""


def locked_across_grain(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Wood moves across its grain over a season, and is held fast at places too far apart for that."""
    for panel, held in _locked(piece, rule):
        yield _finding(piece, rule, panel, held)


def _locked(piece: Piece, rule: Rule) -> Iterator[tuple[list[Part], list[_Held]]]:
    """Panels that would move too much, with the holds that keep them from it."""
    limit = rule.limit("movement", piece.settings)
    for panel in solid_panels(piece):
        if _gives(piece, panel) > limit:
            held = [each for each in _held(piece, panel, limit) if each.moves > limit]
            if held:
                yield panel, held


def _gives(piece: Piece, panel: list[Part]) -> float:
    """How much a panel moves over its whole width; nothing where that is not known."""
    season = _season(piece, panel[0], float(sum(part.width for part in panel)))
    return season.inches if season else 0.0


def _season(piece: Piece, part: Part, inches: float) -> Movement | None:
    return movement(part.stock.material, inches, piece.settings.humidity)


# ---------------------------------------------------------------- holds


def _held(piece: Piece, panel: list[Part], limit: float) -> Iterator[_Held]:
    """Holds between which a panel is kept from moving."""
    inside = {part.name for part in panel}
    holds = [
        hold
        for part in panel
        for join in piece.graph.joins_of(part)
        if holds_fast(piece, join)
        for hold in _holds_of(piece, part, join)
        if hold.other.name not in inside
    ]
    across = piece.body(panel[0]).along(panel[0].across)
    # In an order that neither names nor the order of statements change.
    holds.sort(key=lambda hold: tuple(round(each, 4) for each in (dot(hold.point, across), *hold.point)))
    for first, last in _far_apart(holds, across):
        ring = _way_round(piece, inside, first, last, limit) or _way_round(piece, inside, first, last)
        moves = _strain_between(piece, panel[0], ring, first, last) if ring else None
        if moves is not None:
            yield _Held(first, last, moves)


def _holds_of(piece: Piece, part: Part, join: Join) -> Iterator[_Hold]:
    other = join.other(part)
    for pocket in piece.pockets(join) if not join.slotted else ():
        yield _Hold(pocket.exit, other, join)
    for screw in piece.drives(join) if not join.slotted else ():
        yield _Hold(screw.pocket.exit, other, join)
    contact = piece.contact(join)
    if glue_of(join) == "all":
        yield from (_Hold(point, other, join) for point in contact.points)
    elif join.glue:
        yield from (_Hold(middle(patch), other, join) for patch in contact.patches)


def _far_apart(holds: list[_Hold], across: Vector) -> Iterator[tuple[_Hold, _Hold]]:
    """Pairs worth a look: for each two of the other parts, their holds farthest from one another."""
    ends: dict[str, tuple[_Hold, _Hold]] = {}
    for hold in holds:  # In their order across the grain.
        first, _ = ends.get(hold.other.name, (hold, hold))
        ends[hold.other.name] = first, hold
    for first, _ in ends.values():
        for _, last in ends.values():
            if dot(minus(last.point, first.point), across) > 0:
                yield first, last


# ---------------------------------------------------------------- what moves along


def _moved(piece: Piece, part: Part, way: Vector) -> Vector | None:
    """How two points of a part, ``way`` apart, move away from one another; ``None`` where that is not known."""
    season = _season(piece, part, 1.0)
    if season is None:
        return None
    grain = piece.body(part).grain
    return scaled(plus(way, grain, -dot(way, grain)), season.inches)


_Ring = list[tuple[Part, Vector]]
"""The parts that join one hold to the other outside of a panel, each with the point where it is left."""


def _strain_between(piece: Piece, part: Part, ring: _Ring, first: _Hold, last: _Hold) -> float | None:
    """How far a part would move between two holds, against what joins them; ``None`` where that is not known."""
    total = _moved(piece, part, minus(last.point, first.point))
    if total is None:
        return None
    at = first.point
    for each, to in ring:
        moved = _moved(piece, each, minus(to, at))
        if moved is None:
            return None
        total, at = minus(total, moved), to
    return norm(total)


def _way_round(piece: Piece, inside: set[str], first: _Hold, last: _Hold, most: float = inf) -> _Ring | None:
    """The shortest way from one hold to the other, past no part that gives more than ``most`` itself."""
    came: dict[str, tuple[Part, Join] | None] = {first.other.name: None}
    waiting = deque([first.other])
    while waiting and len(came) < MOST_ROUND:
        here = waiting.popleft()
        if here.name == last.other.name:
            return list(reversed(list(_back(piece, came, here, last.point))))
        for join in piece.graph.joins_of(here):
            other = join.other(here)
            if other.name in came or other.name in inside or join.slotted or not made_one(piece, join):
                continue
            if other is last.other or not other.stock.material.solid or _gives(piece, [other]) <= most:
                came[other.name] = here, join
                waiting.append(other)
    return None


def _back(
    piece: Piece, came: dict[str, tuple[Part, Join] | None], part: Part, left_at: Vector
) -> Iterator[tuple[Part, Vector]]:
    while True:
        yield part, left_at
        before = came[part.name]
        if before is None:
            return
        part, join = before
        left_at = middle(piece.contact(join).points)


# ---------------------------------------------------------------- what is found


def _finding(piece: Piece, rule: Rule, panel: list[Part], all_found: list[_Held]) -> Finding:
    found = _worst(all_found)
    season = _season(piece, panel[0], 1.0)
    assert season is not None
    slot, kept = _to_slot(piece, panel, all_found)
    apart = abs(dot(minus(found.last.point, found.first.point), piece.body(panel[0]).along(panel[0].across)))
    held_by = tuple(dict.fromkeys((found.first.other.name, found.last.other.name)))
    join, own = found.last.join, rule.limits["movement"].shop
    return rule.finding(
        fact=Locked(tuple(panel), held_by, apart, found.moves, tuple(slot), kept),
        span=join.pockets[0].span if join.pockets else join.span,
        joint=join.name,
        parts=list(
            dict.fromkeys((*(each.last.other.name for each in all_found), *(each.name for each in panel)))
        ),
        measured=found.moves,
        limit=rule.limit("movement", piece.settings),
        basis=season.basis if own else f"{season.basis}; what a joint takes up is our own judgement",
        judged_by="movement",
        grade=rule.grade if found.moves > rule.limit("splits", piece.settings) else Grade.CAUTION,
    )


def breadboard(join: Join) -> bool:
    return join.tradition is not None and join.tradition.kind == "breadboard end"


def _to_slot(piece: Piece, panel: list[Part], found: list[_Held]) -> tuple[list[Join], str]:
    """Which joints to slot, so that what still holds the panel fast lies on one line of its grain, and what that is."""
    inside = {part.name for part in panel}
    joins = {
        join.index: join for part in panel for join in piece.graph.joins_of(part) if holds_fast(piece, join)
    }
    outer = [join for _, join in sorted(joins.items()) if not inside.issuperset(p.name for p in join.parts)]
    grooved = [join for join in outer if in_a_groove(join)]
    if grooved:
        return grooved, ""
    alone = {held.last.other.name: held.last.other for held in found if held.first.other is held.last.other}
    if not alone:
        kept = _worst(found).first.other
        return [join for join in outer if kept not in join.parts], kept.name
    slot: list[Join] = []
    for other in alone.values():
        theirs = [join for join in outer if other in join.parts]
        if len(theirs) == 1:
            slot += theirs
            continue
        slot += theirs[: len(theirs) // 2] + theirs[len(theirs) // 2 + 1 :]
    return slot, ""


def _worst(found: list[_Held]) -> _Held:
    return max(found, key=lambda held: round(held.moves, 4))
