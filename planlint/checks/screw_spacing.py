"""How the screws of a joint are set out: from one another, from the joint's ends, from the end of the wood."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import ceil

from planlint.checks.row_view import NIL, Row, at_least, rows
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.facts import Pocket
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.segments import segment_to_segment
from planlint.geometry.shapes.vectors import dot
from planlint.text.measures import to_sixteenth

PANEL_AND_EDGE = frozenset({"panel corner", "panel tee", "edge to edge", "edge band"})
"""Kinds of joint that open at an end where no screw is near it."""


def wide_spacing(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Neighbouring screws of a joint lie further apart than the limit."""
    limit = rule.limit("spacing", piece.settings)
    for row, line in _lines(piece):
        gaps = [after - before for before, after in pairwise(line)]
        if not gaps or (widest := max(gaps)) <= limit + NIL:
            continue
        at = gaps.index(widest)
        stations = _close_enough(row, line, limit)
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=(
                f"The screws of {row.joint} lie up to {row.length(widest)} apart (between those at "
                f"{row.setting_out(line[at : at + 2])}): the joint can open between them."
            ),
            measured=widest,
            limit=limit,
            unit="in",
            repairs=[f"Set {len(stations)} pockets out at {row.setting_out(stations)}."],
        )


def _close_enough(row: Row, line: Sequence[float], limit: float) -> list[float]:
    """The joint set out with as many pockets as the limit asks for, between the outer ones as they are; or, where
    those then leave an end of a panel unheld, over the whole width with half a space at each end."""
    length = line[-1] - line[0]
    count = ceil(length / limit - NIL) + 1
    step = length / (count - 1)
    base = row.piece.limits["far-from-end", "from the end"]
    ends = max(line[0], row.width - line[-1])
    if ends > base + step / 2 + NIL and row.piece.kind(row.join).name in PANEL_AND_EDGE:
        count = ceil(row.width / limit - NIL)
        return _set_out(row, lambda n: [row.width * (2 * i + 1) / (2 * n) for i in range(n)], count, limit)
    return _set_out(row, _evenly(line[0], length), count, limit)


def _set_out(row: Row, spread: Callable[[int], list[float]], count: int, limit: float) -> list[float]:
    """A spread of pockets on the marks of a rule, no further apart than the limit; of one pocket more where the marks
    do not allow it. Away from other screws where one or two marks will do."""
    ground = row.piece.ground(row.join, row.number)
    for n in (count, count + 1):
        for free in (*(() if ground is None else (ground.free,)), _anywhere):
            found = row.marked(spread(n), free, most=limit)
            if found is not None:
                return found
    return spread(count + 1)


def _anywhere(_station: float) -> bool:
    return True


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
        said = f"break into one another by {row.length(-least)}"
        if least >= 0:
            said = f"leave only {row.length(least)} of wood between them"
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=f"Neighbouring bores in {row.part.name}, at {row.joint}, {said}: that splits when the screws go in.",
            measured=least,
            limit=limit,
            unit="in",
            repairs=[_spread(row, len(pockets), limit + bit, rule)],
        )


def far_from_end(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The first or last screw of a panel or edge joint leaves too much of its end unheld."""
    base = rule.limit("from the end", piece.settings)
    for row, line in _lines(piece):
        if len(line) < 2 or (line[0] <= base and row.width - line[-1] <= base):
            continue
        low, high = line[0], row.width - line[-1]
        limits = base + (line[1] - line[0]) / 2, base + (line[-1] - line[-2]) / 2
        over = low - limits[0], high - limits[1]
        if max(over) <= NIL or piece.kind(row.join).name not in PANEL_AND_EDGE:
            continue
        at_high = over[1] > over[0]
        measured, limit = (high, limits[1]) if at_high else (low, limits[0])
        end = row.end(at_high).value
        inset = min(base, row.width / 4)
        between = row.width - 2 * inset
        most = piece.limits["wide-spacing", "spacing"]
        count = ceil(between / most - NIL) + 1
        spread = _set_out(row, _evenly(inset, between), count, most)
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=(
                f"The screw of {row.joint} nearest the {end} end lies {row.length(measured)} from it: "
                "the joint can open at that end."
            ),
            measured=measured,
            limit=limit,
            unit="in",
            repairs=[f"Set {len(spread)} pockets out at {row.setting_out(spread)}."],
        )


def _evenly(first: float, length: float) -> Callable[[int], list[float]]:
    return lambda n: [first + length * i / (n - 1) for i in range(n)]


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
        limit = least_end(piece, screw.diameter)
        needed, advised = (
            at_least(inches, row.unit)
            for inches in (limit, rule.limit("advised end distance", piece.settings) * screw.diameter)
        )
        along = abs(dot(piece.body(row.into).grain, row.frame.across)) > 0.5
        what = "Set that pocket out" if along else f"Move {row.part.name}"
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=(
                f"A screw of {row.joint} enters {row.into.name} {row.length(distance)} from its end, along the grain: "
                f"{row.into.stock.material.name} splits there."
            ),
            measured=distance,
            limit=limit,
            unit="in",
            repairs=[
                f"{what} so that its screw enters {needed} or more from the end of {row.into.name} "
                f"({advised} is advised where it carries a load)."
            ],
        )


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


def _spread(row: Row, count: int, apart: float, rule: Rule) -> str:
    """How to set bores further apart, or with fewer of them."""
    low, high = row.piece.allowed(row.join, row.number)
    fits = int((high - low) / apart + NIL) + 1 if high >= low else 0
    if fits < 1:
        return f"Leave {row.length(apart)} from middle to middle."
    keep = min(count, fits)
    first, last = (low, high) if keep > 1 else ((low + high) / 2, (low + high) / 2)
    if keep > 1:
        inset = min(row.width / (2 * keep), (high - low - apart * (keep - 1)) / 2 + low)
        first, last = max(low, inset), min(high, row.width - inset)
    spread = [first + (last - first) * i / max(1, keep - 1) for i in range(keep)]
    on_marks = row.marked(spread, lambda station: low - NIL <= station <= high + NIL, apart)
    if on_marks is None and keep > 1:  # So many fit, but not on the marks of a rule.
        return _spread(row, keep - 1, apart, rule)
    spread = on_marks or spread
    advised = rule.limit("advised spacing", row.piece.settings) * row.screws[0].diameter
    return (
        f"Drill {keep} pocket{'' if keep == 1 else 's'}, at {row.setting_out(spread)}: at least {row.length(apart)} "
        f"from middle to middle ({to_sixteenth(advised, row.unit)} is advised where the joint carries a load)."
    )
