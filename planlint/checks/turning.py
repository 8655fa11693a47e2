"""A joint that one screw holds: can it turn?"""

from __future__ import annotations

from collections.abc import Iterator

from planlint.checks.rows import NIL, Row, rows
from planlint.checks.spacing import least_end
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule, rule_book
from planlint.geometry.piece import Piece
from planlint.geometry.types import Vector
from planlint.geometry.vectors import dot, length, minus, plus
from planlint.model.plan import Join, Part

LOOSE_TRADITIONS = frozenset({"butt", "mitre", "resting"})
"""Joints that hold nothing by their shape alone."""
MOST_PARTS_ROUND = 60
"""Parts looked at on the way round from one part of a joint to the other. A ring longer than this holds
nothing still. Basis: our own judgement."""


def lone_screw(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """One screw in a contact with room for two, and neither glue, shape nor the rest of the piece keeps it."""
    needed = rule.limit("screws", piece.settings)
    for row in rows(piece):
        join = row.join
        if len(piece.pockets(join)) >= needed or join.glue or _shaped(join):
            continue
        room = room_for_two(row)
        if room is None or _held_by_others(row):
            continue
        yield rule.finding(
            span=row.asked.span,
            joint=join.name,
            parts=row.names,
            says=f"One screw holds {row.joint} over a width of {row.length(row.width)}: the joint can turn on it.",
            measured=1,
            limit=needed,
            unit="screws",
            repairs=[
                f"Drill 2 pockets in {row.asked.face.value}, at {row.setting_out(room)}.",
                "Or glue the joint, or add a dowel beside the screw.",
            ],
        )


def room_for_two(row: Row) -> tuple[float, float] | None:
    """Where two pockets would go, as far apart as is usual; ``None`` where there is no room for a second.

    Room means: wood between the bores and at both sides as the other rules ask for it, and the receiving
    wood not split at its end.
    """
    piece, book = row.piece, rule_book()
    low, high = piece.allowed(row.join, row.number)
    apart = (
        book["close-spacing"].limit("wood between bores", piece.settings)
        + piece.settings.profile.bit_diameter
    )
    screw = row.screws[0]
    least = least_end(book["near-end"], piece, screw.diameter)
    body = piece.body(row.into)
    if row.into.stock.material.solid and not row.into.is_end(row.entered):
        slope = dot(body.grain, row.frame.across)
        if abs(slope) > 0.5:
            for end in row.into.ends:
                plane = body.planes[end]
                rise = -dot(plane.normal, row.frame.across)
                deep = plane.depth(row.frame.base) - least * abs(dot(plane.normal, body.grain))
                if rise > NIL:
                    low = max(low, -deep / rise)
                elif rise < -NIL:
                    high = min(high, deep / -rise)
    if high - low < apart - NIL:
        return None
    quarter = row.width / 4
    first, last = max(low, quarter), min(high, row.width - quarter)
    return (first, last) if last - first >= apart else (low, high)


def _shaped(join: Join) -> bool:
    """Whether the joint is made so that its shape, pegs or glue keep it from turning."""
    return join.tradition is not None and join.tradition.kind not in LOOSE_TRADITIONS


def _holds(join: Join) -> bool:
    return bool(join.pockets or join.glue) or _shaped(join)


def _held_by_others(row: Row) -> bool:
    """Whether the rest of the piece keeps the two parts from turning against one another about the screw.

    It does if a way of joints leads from the one part round to the other that takes hold of both *off* the
    line of the screw: by half the contact's width or more. So a slat screwed once at each end lies still, and
    a rail with one screw at each end does not: both lie on one line.
    """
    join, piece = row.join, row.piece
    lever = row.width / 2
    line, along = row.screws[0].pocket.exit, piece.contact(join).normal
    starts = _hold_off_line(piece, join, join.part_a, line, along, lever)
    goals = _hold_off_line(piece, join, join.part_b, line, along, lever)
    if join.part_b in starts:
        return True
    seen = {join.part_a.name, join.part_b.name}
    wanted = {part.name for part in goals} - seen
    waiting = [part for part in starts if part.name not in seen]
    seen.update(part.name for part in waiting)
    walls = (
        [part for part in piece.plan.parts if part.fixed_to_wall]
        if any(p.fixed_to_wall for p in join.parts)
        else []
    )
    if join.part_a.fixed_to_wall:
        waiting += [part for part in walls if part.name not in seen]
    if join.part_b.fixed_to_wall:
        wanted.update(part.name for part in walls)
    while waiting and len(seen) < MOST_PARTS_ROUND:
        part = waiting.pop(0)
        if part.name in wanted:
            return True
        for other in piece.graph.joins_of(part):
            if _holds(other):
                for beyond in other.parts:
                    if beyond.name not in seen:
                        seen.add(beyond.name)
                        waiting.append(beyond)
    return False


def _hold_off_line(
    piece: Piece, but: Join, part: Part, line: Vector, along: Vector, lever: float
) -> list[Part]:
    """The parts that take hold of a part off a line by at least ``lever``."""
    found = []
    for join in piece.graph.joins_of(part):
        if join is but or not _holds(join):
            continue
        patches = piece.contact(join).patches
        if not patches:
            continue
        points = [point for patch in patches for point in patch]
        middle: Vector = (
            sum(p[0] for p in points) / len(points),
            sum(p[1] for p in points) / len(points),
            sum(p[2] for p in points) / len(points),
        )
        off = minus(middle, line)
        if length(plus(off, along, -dot(off, along))) >= lever - NIL:
            found.append(join.part_b if join.part_a is part else join.part_a)
    return found
