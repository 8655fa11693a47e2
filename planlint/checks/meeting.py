"""Screws and bores of different joints that run into one another, or into another joint's tenon."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from planlint.checks.rows import NIL, Row, rows
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.meeting import Rod, by_joints, meetings, nearest_rods, wood_to_tenon
from planlint.geometry.piece import Piece
from planlint.geometry.types import Screw
from planlint.geometry.vectors import plus
from planlint.model.plan import Join

FURTHEST_SHIFT = 2.0
"""How far along its joint a row is moved to clear another, in inches. Basis: our own judgement."""


def screws_meet(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two pockets of different rows leave too little wood between their bores or screws."""
    found = rows(piece)
    yield from _with_one_another(piece, rule, found)
    yield from _with_tenons(piece, rule, found)


def _with_one_another(piece: Piece, rule: Rule, found: Sequence[Row]) -> Iterator[Finding]:
    limit, bit = rule.limit("wood between screws", piece.settings), piece.settings.profile.bit_diameter / 2
    screws = [screw for row in found for screw in row.screws]
    row_of = {(row.join.index, row.number): row for row in found}
    fixed = piece.placement.fixed_together
    for meeting in by_joints(
        each
        for each in meetings(screws, bit, limit - NIL)
        if fixed(each.first.screw.pocket.part, each.second.screw.pocket.part)
    ):
        ends = sorted((meeting.first, meeting.second), key=_where)
        mine, theirs = (row_of[rod.screw.pocket.join.index, rod.screw.pocket.row] for rod in ends)
        yield rule.finding(
            span=mine.asked.span,
            joint=mine.join.name,
            parts=tuple(dict.fromkeys((*mine.names, *theirs.names))),
            says=(
                f"The {_whose(mine, ends[0])} and the {_whose(theirs, ends[1])} "
                + (
                    f"run into one another, by {mine.length(-meeting.wood)}."
                    if meeting.wood < 0
                    else f"leave only {mine.length(meeting.wood)} of wood between them."
                )
            ),
            measured=meeting.wood,
            limit=limit,
            unit="in",
            repairs=_apart(mine, theirs, bit, limit, meeting.wood),
        )


def _where(rod: Rod) -> tuple[float, ...]:
    """An order of two rods that neither names nor the order of statements change."""
    x, y, z = rod.screw.pocket.exit
    return round(z, 4), round(x, 4), round(y, 4)


def _whose(row: Row, rod: Rod) -> str:
    what = "screw" if rod.what == "screw" else "bore"
    return f"{what} of {row.joint} {row.setting_out([rod.screw.pocket.station])}"


def _apart(mine: Row, theirs: Row, bit: float, limit: float, worst: float) -> list[str]:
    """One row moved along its joint until it clears the other; else shorter screws; else parts moved."""
    repairs = []
    for row, other in ((mine, theirs), (theirs, mine)):
        stations = _staggered(row, other.screws, bit, limit)
        if stations is not None:
            repairs.append(
                f"Stagger them: set the pockets of {row.joint} out at {row.setting_out(stations)}."
            )
            break
    for row, other in ((mine, theirs), (theirs, mine)):
        length = _shorter(row, other.screws, bit, limit)
        if length is not None:
            repairs.append(
                f"{'Or use' if repairs else 'Use'} {row.length(length)} screws at {row.joint}: they end short of it."
            )
            break
    if mine.into is theirs.into and mine.entered is theirs.entered.opposite:
        # Both come from opposite sides: in thicker stock their points end further apart.
        least = ceil((float(mine.into.size[mine.entered.axis]) + limit - worst) * 16 - NIL) / 16
        repairs.append(
            f"{'Or make' if repairs else 'Make'} {mine.into.name} {mine.length(least)} or more through from "
            f"{mine.entered.value} to {theirs.entered.value}."
        )
    if not repairs:
        repairs.append(
            f"Move {mine.part.name} or {theirs.part.name} further from the other, or join one of the two with glue, "
            "dowels or a tenon."
        )
    return repairs


def _staggered(row: Row, others: Sequence[Screw], bit: float, limit: float) -> list[float] | None:
    """The row moved as little as is needed, its bores still within their wood and its screws within theirs."""
    low, high = row.piece.allowed(row.join, row.number)
    ground = row.piece.ground(row.join, row.number)
    steps = [sign * n / 16 for n in range(1, int(FURTHEST_SHIFT * 16) + 1) for sign in (1, -1)]
    for shift in steps:
        stations = [pocket.station + shift for pocket in row.pockets]
        if not low - NIL <= stations[0] or not stations[-1] <= high + NIL:
            continue
        moved = [_moved(row, screw, shift) for screw in row.screws]
        if any(nearest_rods(a, b, bit).wood < limit - NIL for a in moved for b in others):
            continue
        if ground is not None and all(map(ground.free, stations)):
            return stations
    return None


def _moved(row: Row, screw: Screw, shift: float) -> Screw:
    pocket, across = screw.pocket, row.frame.across
    at = pocket._replace(
        station=pocket.station + shift,
        exit=plus(pocket.exit, across, shift),
        shoulder=plus(pocket.shoulder, across, shift),
        mouth=plus(pocket.mouth, across, shift),
    )
    return screw._replace(pocket=at, tip=plus(screw.tip, across, shift))


def _shorter(row: Row, others: Sequence[Screw], bit: float, limit: float) -> float | None:
    """The longest screw of the shop, shorter than the row's, that clears the other row and still holds."""
    now = row.screws[0]
    for length in sorted(row.piece.settings.screws.lengths, reverse=True):
        if length >= now.length:
            continue
        shorter = [row.screw(pocket, length) for pocket in row.pockets]
        if row.piece.grip(shorter[0]) < HOLDS * now.diameter:
            return None
        if all(nearest_rods(a, b, bit).wood >= limit - NIL for a in shorter for b in others):
            return length
    return None


HOLDS = 4.0
"""Diameters of thread that hold: the limit of short-grip. Basis: our own judgement."""


# ---------------------------------------------------------------- tenons


def _with_tenons(piece: Piece, rule: Rule, found: Sequence[Row]) -> Iterator[Finding]:
    limit, bit = rule.limit("wood beside a tenon", piece.settings), piece.settings.profile.bit_diameter / 2
    if not piece.tenons:
        return
    for row in found:
        for other in piece.tenons_beside(row.join):
            join = other.join
            (wood, what), screw = min(
                ((wood_to_tenon(screw, other, bit), screw) for screw in row.screws),
                key=lambda each: (round(each[0][0], 6), each[1].pocket.station),
            )
            if wood >= limit - NIL:
                continue
            said = (
                f"runs {row.length(-wood)} into"
                if wood < 0
                else f"leaves only {row.length(wood)} of wood beside"
            )
            yield rule.finding(
                span=row.asked.span,
                joint=row.join.name,
                parts=tuple(dict.fromkeys((*row.names, join.part_a.name))),
                says=(
                    f"The {what} of {row.joint} {row.setting_out([screw.pocket.station])} {said} the "
                    f"{_tongue(join.tradition.kind if join.tradition else '')} of {join.part_a.name} in "
                    f"{join.part_b.name}."
                ),
                measured=wood,
                limit=limit,
                unit="in",
                repairs=[_past_the_tenon(row, join)],
                basis="wood beside a tenon",
            )


def _tongue(kind: str) -> str:
    return "tenon" if kind == "mortise and tenon" else "tongue" if kind in TONGUES else "end"


TONGUES = frozenset({"tongue and groove", "cope and stick", "sliding dovetail"})


def _past_the_tenon(row: Row, other: Join) -> str:
    free = row.free_words()
    if free:
        return f"Set the pockets of {row.joint} out where they clear it: {free}."
    return (
        f"No place along {row.joint} clears it: make the {_tongue(other.tradition.kind if other.tradition else '')} of "
        f"{other.part_a.name} shorter, or set {row.part.name} further from {other.part_a.name}."
    )
