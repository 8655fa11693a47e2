"""Gaps in guards that a child's body goes through and its head does not."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import inf
from typing import NamedTuple

from planlint.checks.piece_purpose import LONG, Deck, bodies_together, decks, purpose
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.openings import Guard, Opening, Rect, guards
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.text.rounding import ROUNDING

NEAR = 8.0
"""Inches from the edge of a bed within which a guard belongs to it. Basis: our own judgement."""
ROW = 3
"""So many bars alike are a row of slats. Basis: our own judgement."""


class Gaps(NamedTuple):
    """Openings of one guard that are too wide, the widest first, and the bars beside the widest."""

    what: str
    """``crib``, ``bunk bed``, ``lower bunk``, ``guard``, ``stair guard`` or ``children``."""
    where: str
    """``front``, ``back``, ``left``, ``right`` or ``middle`` of the piece; empty where it is all guard."""
    openings: tuple[Opening, ...]
    bars: tuple[Part, ...]
    bar: float
    """How much of the guard one of these bars takes up, across the gap."""
    upright: bool
    """Whether these bars are."""
    most: float
    passes: float
    """From here on a whole child gets through: no trap."""


def guard_gap(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Openings between slats and rails of what the plan says is a crib, a bunk bed, a guard, or for children."""
    what = purpose(piece.plan) or ("children" if piece.plan.for_children else None)
    if what is None:
        return
    bodies = bodies_together(piece)
    if not bodies:
        return
    beds = list(decks(bodies)) if what in {"crib", "bunk bed", "loft bed"} else []
    for axis in (Axis.Y, Axis.X):
        for guard in guards(bodies, axis):
            for zone, low, high in _zones(piece, rule, what, beds, guard):
                yield from _judged(piece, rule, zone, guard, low, high)


def _zones(
    piece: Piece, rule: Rule, what: str, beds: Sequence[Deck], guard: Guard
) -> Iterator[tuple[str, float, float]]:
    """What a guard is, and between which heights: nothing where it is none."""
    if what in {"guard", "stair guard", "children"}:
        yield what, -inf, inf
        return
    if not beds:
        if what == "crib" and max(piece.bounds.high[i] - piece.bounds.low[i] for i in (0, 1)) >= LONG:
            yield what, -inf, inf
        return
    if what == "crib":
        if _beside(beds[-1], guard):
            yield "crib", beds[-1].top, inf
        return
    floor = min(body.bounds.low[2] for body in piece.bodies)
    high = [
        bed for bed in beds if bed.underside - floor > rule.limit("bed height", piece.settings) + ROUNDING
    ]
    for bed in high[-1:]:
        if _beside(bed, guard):
            yield "bunk bed", bed.top, inf
        below = [other for other in beds if other.top < bed.underside - ROUNDING]
        if below and guard.axis is bed.along and _beside(below[-1], guard):
            yield "lower bunk", below[-1].top, bed.underside


def _beside(bed: Deck, guard: Guard) -> bool:
    low, high = bed.box.low[guard.axis], bed.box.high[guard.axis]
    return (
        low - NEAR < guard.low <= guard.high < low + NEAR
        or high - NEAR < guard.low <= guard.high < high + NEAR
    )


def _judged(piece: Piece, rule: Rule, what: str, guard: Guard, low: float, high: float) -> Iterator[Finding]:
    named = "bunk bed" if what == "lower bunk" else what
    most = rule.limit(named, piece.settings)
    passes = rule.limit("passes whole", piece.settings) if what in {"lower bunk", "children"} else inf
    slats = {part.name for row in _rows(guard) for part in row}
    wide = [
        each
        for each in (*guard.openings, *_between_slats(guard), *_between_raked(piece, guard))
        if most + ROUNDING < each.size < passes - ROUNDING
        and low < (each.whole.low[1] + each.whole.high[1]) / 2 < high
        and (what not in {"children", "crib"} or low > -inf or _in_a_row(guard, each, slats, what))
    ]
    if not wide:
        return
    beside = {each: _bars_beside(guard, each) for each in wide}
    wide.sort(
        key=lambda each: (
            -round(each.size, 4),
            -len(slats & {part.name for part in beside[each]}),
            each.whole,
        )
    )
    bars = beside[wide[0]]
    (u0, v0), (u1, v1) = wide[0].whole
    upright = u1 - u0 <= v1 - v0
    bar = _takes_up(guard, bars, 0 if upright else 1)
    yield rule.finding(
        fact=Gaps(what, _where(piece, guard), tuple(wide), bars, bar, upright, most, passes),
        kind=what.replace(" ", "-"),
        span=bars[0].span,
        parts=[part.name for part in bars],
        measured=wide[0].size,
        limit=most,
        basis=named,
    )


def _rows(guard: Guard) -> Iterator[list[Part]]:
    """Bars of a guard that are alike and stand side by side."""
    alike: dict[tuple[object, ...], list[Part]] = {}
    for part in guard.bars:
        if part.grain is not guard.axis:
            alike.setdefault((part.stock.name, part.length, part.grain), []).append(part)
    yield from (row for row in alike.values() if len(row) >= ROW)


def _between_slats(guard: Guard) -> Iterator[Opening]:
    """Gaps between neighbours of a row that no wood closes off at their ends, or none that lies square."""
    boxes = {part.name: rect for part, rect in guard.wood}
    known = [rect for part, rect in guard.wood if part.turn is None] + [each.whole for each in guard.openings]
    raked = [boxes[rail.name] for rail in _raked(guard)]
    beside = [
        part
        for part in guard.bars
        if part.grain is Axis.Z and any(_meets(boxes[part.name], rail) for rail in raked)
    ]
    seen: set[Rect] = set()
    for row in (*_rows(guard), beside):
        across = 0 if row and row[0].grain is Axis.Z else 1
        rects = sorted(
            (boxes[part.name] for part in row if part.turn is None), key=lambda rect: rect.low[across]
        )
        for one, other in pairwise(rects):
            gap = other.low[across] - one.high[across]
            low = max(one.low[1 - across], other.low[1 - across])
            high = min(one.high[1 - across], other.high[1 - across])
            middle = ((one.high[across] + other.low[across]) / 2, (low + high) / 2)
            at = middle if across == 0 else (middle[1], middle[0])
            if gap < ROUNDING or high - low < gap or any(_meets(rect, Rect(at, at)) for rect in known):
                continue
            ends = ((one.high[across], low), (other.low[across], high))
            (u0, v0), (u1, v1) = ends if across == 0 else tuple((v, u) for u, v in ends)
            whole = Rect((u0, v0), (u1, v1))
            if whole not in seen:
                seen.add(whole)
                yield Opening(whole, gap)


def _raked(guard: Guard) -> list[Part]:
    """Rails that run aslant in the guard, as beside a stair."""
    return [part for part in guard.bars if part.turn is not None and part.turn.axis is guard.axis]


def _meets(one: Rect, other: Rect) -> bool:
    return all(
        a < d + ROUNDING and c < b + ROUNDING
        for a, b, c, d in zip(one.low, one.high, other.low, other.high, strict=True)
    )


def _between_raked(piece: Piece, guard: Guard) -> Iterator[Opening]:
    """Gaps between rails that run aslant side by side, as far as no uprights stand closer in them."""
    alike: dict[tuple[float, ...], list[tuple[float, Part]]] = {}
    u = Axis.Y if guard.axis is Axis.X else Axis.X
    for part in _raked(guard):
        body = piece.body(part)
        way = body.grain if body.grain[u] > 0 else scaled(body.grain, -1.0)
        square = -way[2] * body.middle[u] + way[u] * body.middle[2]
        alike.setdefault((round(way[u], 6), round(way[2], 6)), []).append((square, part))
    boxes = {part.name: rect for part, rect in guard.wood}
    uprights = [boxes[part.name] for part in guard.bars if part.grain is Axis.Z and part.turn is None]
    for rails in alike.values():
        for (low, one), (high, other) in pairwise(sorted(rails, key=lambda each: each[0])):
            gap = high - low - (_thick(guard, one) + _thick(guard, other)) / 2
            rects = boxes[one.name], boxes[other.name]
            between = sorted(each for each in uprights if all(_meets(each, rect) for rect in rects))
            clear = [b.low[0] - a.high[0] for a, b in pairwise(between)]
            if ROUNDING < gap <= max(clear, default=gap):  # Else uprights close it further.
                u0, v0 = (sum(rect.low[i] + rect.high[i] for rect in rects) / 4 - gap / 2 for i in (0, 1))
                yield Opening(Rect((u0 - ROUNDING, v0), (u0 + gap + ROUNDING, v0 + gap)), gap)


def _thick(guard: Guard, part: Part) -> float:
    """How much of the guard a rail takes up, square to its run."""
    return float(part.width if part.facing.axis is guard.axis else part.thickness)


def _in_a_row(guard: Guard, opening: Opening, slats: set[str], what: str) -> bool:
    """Whether slats stand on both sides of an opening; of a crib a slat and a post count as two."""
    return sum(part.name in slats for part in _bars_beside(guard, opening)) >= 2 - (what == "crib")


def _bars_beside(guard: Guard, opening: Opening) -> tuple[Part, ...]:
    """The parts that close an opening off."""
    (u0, v0), (u1, v1) = opening.whole
    beside = {part.name: part for part, rect in guard.wood if _meets(rect, opening.whole)}
    found = sorted(beside.values(), key=lambda part: part.index)
    upright = u1 - u0 <= v1 - v0
    runs = Axis.Z if upright else Axis.Y if guard.axis is Axis.X else Axis.X
    bars = [part for part in found if part.grain is runs]
    return tuple(bars if len(bars) > 1 else found)


def _takes_up(guard: Guard, bars: Sequence[Part], which: int) -> float:
    names = {part.name for part in bars}
    return min(rect.high[which] - rect.low[which] for part, rect in guard.wood if part.name in names)


def _where(piece: Piece, guard: Guard) -> str:
    low, high = (piece.bounds.low[guard.axis], piece.bounds.high[guard.axis])
    if high - low < NEAR:
        return ""
    middle = (guard.low + guard.high) / 2
    if low + (high - low) / 4 < middle < high - (high - low) / 4:
        return "middle"
    words = ("front", "back") if guard.axis is Axis.Y else ("left", "right")
    return words[middle > (low + high) / 2]
