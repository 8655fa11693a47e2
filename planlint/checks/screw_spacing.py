"""How the screws of a joint are set out: from one another, from the joint's ends, from the end of the wood."""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.segments import segment_to_segment
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.rulebook.limits import NIL

PANEL_AND_EDGE = frozenset({"panel corner", "panel tee", "edge to edge", "edge band"})
"""Kinds of joint that open at an end where no screw is near it."""


class WideGap(NamedTuple):
    """Screws on one line, by their stations, with too wide a gap behind one of them."""

    row: Row
    line: tuple[float, ...]
    behind: int


def wide_spacing(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Neighbouring screws of a joint lie further apart than the limit. A row laid out past what is in its way is not to
    blame where so many would do, laid evenly."""
    limit = rule.limit("spacing", piece.settings)
    for row, line in _lines(piece):
        gaps = [after - before for before, after in pairwise(line)]
        if not gaps or (widest := max(gaps)) <= limit + NIL:
            continue
        if row.asked.count is not None and (line[-1] - line[0]) / len(gaps) <= limit + NIL:
            continue
        yield row.found(rule, WideGap(row, tuple(line), gaps.index(widest)), widest, limit)


class CloseBores(NamedTuple):
    """Bores of one joint in one part, ``many`` of them, with too little wood between two; and one row of them."""

    row: Row
    many: int


def close_spacing(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Too little wood is left between two neighbouring bores of a part."""
    limit = rule.limit("wood between bores", piece.settings)
    bit = piece.settings.profile.bit_diameter
    for group in _by_part(piece):
        row = group[0]
        pockets = sorted(
            (p for each in group for p in each.pockets), key=lambda p: dot(row.frame.across, p.exit)
        )
        wood = [_wood_between(a, b) - bit for a, b in pairwise(pockets)]
        if not wood or (least := min(wood)) >= limit - NIL:
            continue
        kind = "thin" if least >= 0 else "into-one-another"
        yield row.found(rule, CloseBores(row, len(pockets)), least, limit, kind=kind)


class FarEnd(NamedTuple):
    """A row of screws, and the end of the drilled part that none is near."""

    row: Row
    end: Side


def far_from_end(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The first or last screw of a panel or edge joint leaves too much of its end unheld."""
    base = rule.limit("from the end", piece.settings)
    for row, line in _lines(piece):
        if len(line) < 2:
            continue
        low, high = line[0], row.width - line[-1]
        limits = base + (line[1] - line[0]) / 2, base + (line[-1] - line[-2]) / 2
        over = low - limits[0], high - limits[1]
        if max(over) <= NIL or piece.kind(row.join).name not in PANEL_AND_EDGE:
            continue
        at_high = over[1] > over[0]
        measured, limit = (high, limits[1]) if at_high else (low, limits[0])
        yield row.found(rule, FarEnd(row, row.end(at_high)), measured, limit)


class NearEnd(NamedTuple):
    """The screw of a row that enters nearest the end of the wood that takes it."""

    row: Row
    screw: Screw


def near_end(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A screw enters solid wood so near the end of its grain that it splits it."""
    for row in rows(piece):
        if not row.into.stock.material.solid:
            continue
        found = [
            (distance, screw)
            for screw in row.screws
            if (distance := piece.end_distance(screw)) is not None
            and distance < least_end(piece, screw.diameter) - NIL
        ]
        if not found:
            continue
        distance, screw = min(found, key=lambda each: each[0])
        yield row.found(rule, NearEnd(row, screw), distance, least_end(piece, screw.diameter))


def least_end(piece: Piece, diameter: float) -> float:
    """The limit of near-end in inches for a screw."""
    return piece.limits["near-end", "end distance"] * diameter


# ---------------------------------------------------------------- the screws of a joint on one line


def _lines(piece: Piece) -> Iterator[tuple[Row, list[float]]]:
    """For each joint and direction: its first row, and the stations of all its screws on that line, in order."""
    waiting: list[Row] = []
    for row in (*rows(piece), None):
        if waiting and (row is None or row.join is not waiting[0].join):
            for group in _grouped(waiting):
                yield group[0], sorted(pocket.station for each in group for pocket in each.pockets)
            waiting = []
        if row is not None:
            waiting.append(row)


def _grouped(found: list[Row]) -> list[list[Row]]:
    """Rows that run the same way."""
    if len(found) == 1:
        return [found]
    groups: list[list[Row]] = []
    for row in found:
        for group in groups:
            if abs(dot(group[0].frame.across, row.frame.across)) > 0.99:
                group.append(row)
                break
        else:
            groups.append([row])
    return groups


def _by_part(piece: Piece) -> Iterator[list[Row]]:
    """Rows of one joint that are drilled in the same part."""
    groups: dict[tuple[int, int], list[Row]] = {}
    for row in rows(piece):
        groups.setdefault((row.join.index, row.part.index), []).append(row)
    yield from groups.values()


def _wood_between(a: Pocket, b: Pocket) -> float:
    """Least distance between the axes of two bores."""
    if a.row == b.row:
        return abs(b.station - a.station)
    return segment_to_segment(a.mouth, a.shoulder, b.mouth, b.shoulder)
