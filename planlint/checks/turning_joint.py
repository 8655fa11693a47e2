"""A joint that one screw holds: can it turn? And one that nothing holds."""

from collections import deque
from collections.abc import Iterator, Sequence
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.checks.screw_spacing import least_end
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.join_holds import glue_holds, glued, shaped
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import dot, minus, norm, plus
from planlint.model.directions import Side
from planlint.model.like_parts import pattern
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import leaders_of
from planlint.rulebook.limits import NIL

MOST_PARTS_ROUND = 60
"""Parts looked at on the way round from one part of a joint to the other. A ring longer than this holds
nothing still. Basis: our own judgement."""
LEAST_APART = 1.5
"""Inches between two fasteners through a face that keep a joint from turning. Basis: our own judgement."""
MOST_PIVOTS = 3
"""Joints of one screw in a ring that keeps its shape: three make a triangle, four fold. Basis: geometry."""


class LoneFastener(NamedTuple):
    """The one screw, bolt or nail through a face that holds a joint."""

    row: FastenerRow


class LoneRow(NamedTuple):
    """The row of a joint's one screw, and where two would go: the stations of both."""

    row: Row
    room: tuple[float, float]


class UsualPockets(NamedTuple):
    """A row of pockets as it is usually drilled."""

    face: Side
    of: Part | None
    """Whose face that is; ``None`` where it is the joint's first part, as is understood."""

    @property
    def where(self) -> str:
        return f"{self.of.name}.{self.face.value}" if self.of else self.face.value

    def words(self, count: int = 2) -> str:
        """Such as ``pockets 2 in back``."""
        return f"pockets {count} in {self.where}"


def lone_screw(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """One screw in a contact with room for two, and neither glue, shape nor the rest of the piece keeps it."""
    needed = rule.limit("screws", piece.settings)
    for row in rows(piece):
        join = row.join
        if len(piece.pockets(join)) >= needed or join.fastened or glue_holds(piece, join) or shaped(join):
            continue
        room = room_for_two(row)
        if room is None or _held_by_others(piece, join, row.screws[0].pocket.exit, row.width / 2):
            continue
        yield row.found(rule, LoneRow(row, room), 1, needed, unit="screws")
    yield from _lone_fasteners(piece, rule, needed)


def _lone_fasteners(piece: Piece, rule: Rule, needed: float) -> Iterator[Finding]:
    """One screw, bolt or nail through a face, with room for two: it is a pivot."""
    for join in piece.plan.joins:
        if not join.driven or join.pockets or glue_holds(piece, join) or shaped(join):
            continue
        found = piece.fasteners(join)
        holding = [row for row in found if row.fastening.holds]
        if sum(len(row.at) for row in holding) != 1 or not holding[0].drives:
            continue
        row = holding[0]
        if row.width < 2 * LEAST_APART or _held_by_others(piece, join, row.at[0], row.width / 2, flat=True):
            continue
        yield rule.finding(
            fact=LoneFastener(row),
            kind="fastener",
            span=row.fastening.span,
            at=join,
            measured=1,
            limit=needed,
            unit="screws",
        )


def room_for_two(row: Row) -> tuple[float, float] | None:
    """Where two pockets would go, as far apart as is usual; ``None`` where there is no room for a second.

    Room means: wood between the bores and at both sides as the other rules ask for it, and the receiving
    wood not split at its end.
    """
    piece = row.piece
    low, high = piece.allowed(row.join, row.number)
    apart = piece.settings.bore_spacing
    least = least_end(piece, row.screws[0].diameter)
    low, high = row.clear_of_ends(low, high, least)
    if high - low < apart - NIL:
        return None
    quarter = row.width / 4
    first, last = max(low, quarter), min(high, row.width - quarter)
    return (first, last) if last - first >= apart else (low, high)


def _holds(piece: Piece, join: Join) -> bool:
    return bool(join.pockets) or join.fastened or shaped(join) or glue_holds(piece, join)


def _stiff(piece: Piece, join: Join) -> bool:
    """Whether a joint that holds keeps its angle too: by glue, by its shape, or by two screws apart."""
    if shaped(join) or glue_holds(piece, join):
        return True
    exits = [pocket.exit for pocket in piece.pockets(join)]
    exits += [
        at
        for row in piece.fasteners(join)
        if row.fastening.holds and not row.fastening.moves
        for at in row.at
    ]
    return any(norm(minus(other, exits[0])) > NIL for other in exits[1:])


def _held_by_others(piece: Piece, join: Join, line: Vector, lever: float, *, flat: bool = False) -> bool:
    """Whether the rest of the piece keeps the two parts from turning against one another about the screw.

    It does if a way of joints leads from the one part round to the other that takes hold of both *off* the
    line of the screw, by half the contact's width or more, and if that ring does not fold: joints of one screw
    turn like this one, and four of them fold like a gate. A rail with one screw at each end is not held: both lie
    on one line. Of parts that lie ``flat`` on one another, what lies stiffly along a third needs no lever.
    """
    a, b = join.parts
    if a.fixed_to_wall and b.fixed_to_wall:
        return True
    starts, goals = (_hold_off_line(piece, join, part, line, lever, flat=flat) for part in join.parts)
    if any(part is b for part, _ in starts):
        return True
    walls = [(part, 0) for part in piece.plan.parts if part.fixed_to_wall]
    if a.fixed_to_wall:
        starts += walls
    if b.fixed_to_wall:
        goals += walls
    return _ring_stands(piece, join, starts, goals)


def _ring_stands(
    piece: Piece, join: Join, starts: list[tuple[Part, int]], goals: list[tuple[Part, int]]
) -> bool:
    """Whether a way leads from a start to a goal, past both parts of a joint, that makes a ring of few pivots with it.

    Each part comes with the pivots of the joint that ties it to the one part or the other.
    """
    last = {part.name: pivots for part, pivots in sorted(goals, key=itemgetter(1), reverse=True)}
    # The ways of fewest pivots first, so that each part is looked at once.
    waiting = deque(sorted(starts, key=itemgetter(1)))
    done = {part.name for part in join.parts}
    while waiting and len(done) < MOST_PARTS_ROUND:
        part, pivots = waiting.popleft()
        if part.name in done:
            continue
        done.add(part.name)
        # The joint asked about is a pivot of the ring itself.
        if 1 + pivots + last.get(part.name, MOST_PIVOTS) <= MOST_PIVOTS:
            return True
        for beyond, turns in _neighbours(piece, part):
            if beyond.name in done:
                continue
            if not turns:
                waiting.appendleft((beyond, pivots))
            elif pivots + 2 <= MOST_PIVOTS:
                waiting.append((beyond, pivots + 1))
    return False


def _neighbours(piece: Piece, part: Part) -> Iterator[tuple[Part, bool]]:
    """The parts that joints or the wall hold to a part, and whether it turns against them: where no joint is stiff."""
    if part.fixed_to_wall:
        yield from ((other, False) for other in piece.plan.parts if other.fixed_to_wall)
    for join in piece.graph.joins_of(part):
        if _holds(piece, join):
            yield join.other(part), not _stiff(piece, join)


def _hold_off_line(
    piece: Piece, but: Join, part: Part, line: Vector, lever: float, *, flat: bool
) -> list[tuple[Part, int]]:
    """The parts that take hold of a part off a line by at least ``lever``, or stiffly along half of its length or more
    and so wherever the line is; and the pivots they do it with: 0 or 1."""
    found, along = [], piece.contact(but).normal
    for join in piece.graph.joins_of(part):
        if join is but or not _holds(piece, join):
            continue
        points = piece.contact(join).points
        if not points:
            continue
        pivots = 0 if _stiff(piece, join) else 1
        if (flat and not pivots and _runs_along(piece, join, part, points)) or any(
            norm(plus(off, along, -dot(off, along))) >= lever - NIL
            for at in _hold_at(piece, join, part, points)
            for off in (minus(at, line),)
        ):
            found.append((join.other(part), pivots))
    return found


def _hold_at(piece: Piece, join: Join, part: Part, points: Sequence[Vector]) -> Iterator[Vector]:
    """Where a joint takes hold of a part: its middle; where it runs along half of the part's length or more, also each
    of its screws, bolts and nails that does not stand in a slot. Basis: our own judgement."""
    yield middle(points)
    if _runs_along(piece, join, part, points):
        yield from (pocket.exit for pocket in piece.pockets(join))
        yield from (at for row in piece.fasteners(join) if row.fastening.driven for at in row.at)


def _runs_along(piece: Piece, join: Join, part: Part, points: Sequence[Vector]) -> bool:
    along = [dot(point, piece.body(part).grain) for point in points]
    return not join.slotted and max(along) - min(along) >= float(part.length) / 2


# ---------------------------------------------------------------- joints that nothing holds


def unheld(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A joint with no screw, no glue and no shape that holds, between parts that nothing else ties together, or where
    its twin is held: there the line that says so was forgotten."""
    joins = [join for join in piece.plan.joins if not _holds(piece, join) and not join.rests]
    if not joins:
        return
    body = _bodies(piece)
    for join in joins:
        a, b = join.parts
        if join.screws is None and body[a.name] == body[b.name] and held_twin(piece, join) is None:
            continue
        weak = glued(join)
        yield rule.finding(
            fact=join,
            kind="glue-on-end-grain" if weak else "nothing",
            span=join.span,
            joint=join.name,
            parts=(a.name, b.name),
            basis="end grain" if weak else "judgement",
        )


def held_twin(piece: Piece, join: Join) -> Join | None:
    """The first plain joint of parts like those of a plain joint, at the same sides or those across, that is held."""
    if join.tradition is not None:
        return None

    def like(other: Join) -> bool:
        return (
            other is not join
            and other.tradition is None
            and [pattern(part) for part in join.parts] == [pattern(part) for part in other.parts]
            and (other.side_a.axis, other.side_b.axis) == (join.side_a.axis, join.side_b.axis)
        )

    return next((each for each in piece.plan.joins if like(each) and _holds(piece, each)), None)


def _bodies(piece: Piece) -> dict[str, str]:
    """For each part the name of one part that stands for all that joints and the wall hold together with it."""
    held = [(join.part_a.name, join.part_b.name) for join in piece.plan.joins if _holds(piece, join)]
    walls = [part.name for part in piece.plan.parts if part.fixed_to_wall]
    return leaders_of((part.name for part in piece.plan.parts), [*held, *pairwise(walls)])


def usual_pockets(piece: Piece, join: Join) -> UsualPockets | None:
    """Pockets that could hold the joint; ``None`` where both parts meet with a face.

    They are drilled in a face of the part that ends against the other, the one turned away from whoever looks on.
    """
    ends = [
        (not part.is_end(side), number, part)
        for number, (part, side) in enumerate(join.sides)
        if not part.is_face(side)
    ]
    if not ends:
        return None
    _, number, part = min(ends, key=itemgetter(0, 1))
    face, seen = part.facing, piece.plan.seen_from
    if face in seen or face.opposite not in seen:
        face = face.opposite
    return UsualPockets(face, part if number else None)
