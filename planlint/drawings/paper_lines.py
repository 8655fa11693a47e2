"""The lines of a view as they are inked: each place once, what is seen before what is hidden."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from math import hypot

from planlint.drawings.hidden_lines import Span, Stretch
from planlint.drawings.viewpoints import Flat

Inked = dict[str, list[tuple[Flat, Flat]]]
"""Segments by kind of line."""


def inked(stretches: Iterable[Stretch], kinds: list[tuple[str, list[int] | None, bool]]) -> Inked:
    """Segments for each kind of line. ``kinds``, the first over the others, are names with the parts whose lines they
    are (``None``: all) and whether for hidden lines. What lies on a line of a kind before is left out."""
    lines: defaultdict[tuple[int, int, int], list[tuple[float, float, Stretch, Flat, Flat]]] = defaultdict(
        list
    )
    for each in stretches:
        (x0, y0), (x1, y1) = each.a, each.b
        far = hypot(x1 - x0, y1 - y0)
        if far < 1e-4:
            continue
        ux, uy = (x1 - x0) / far, (y1 - y0) / far
        if ux < -1e-6 or (abs(ux) <= 1e-6 and uy < 0):
            ux, uy = -ux, -uy
        foot = x0 * -uy + y0 * ux
        low, high = sorted((x0 * ux + y0 * uy, x1 * ux + y1 * uy))
        key = (round(ux * 1e4), round(uy * 1e4), round(foot * 1e3))
        lines[key].append((low, high, each, (ux, uy), (-uy * foot, ux * foot)))
    found: Inked = {name: [] for name, _, _ in kinds}
    members = [None if parts is None else frozenset(parts) for _, parts, _ in kinds]
    for entries in lines.values():
        way, foot_at = entries[0][3], entries[0][4]
        taken: list[Span] = []
        for (name, _, hidden), parts in zip(kinds, members, strict=True):
            mine = [
                (a, b)
                for a, b, each, _, _ in entries
                if each.hidden is hidden and (parts is None or each.part in parts)
            ]
            if not mine:
                continue
            for low, high in _less(_union(mine), taken):
                if high - low > 1e-4:
                    a = foot_at[0] + low * way[0], foot_at[1] + low * way[1]
                    b = foot_at[0] + high * way[0], foot_at[1] + high * way[1]
                    found[name].append((a, b))
            taken = _union([*taken, *mine])
    for segments in found.values():
        segments.sort(key=_in_order)
    return found


def _in_order(segment: tuple[Flat, Flat]) -> tuple[float, ...]:
    """By where it starts, then where it ends; a hair's difference in a sum changes no order."""
    (a, b), (c, d) = segment
    return round(a, 5), round(b, 5), round(c, 5), round(d, 5)


def _union(spans: list[Span]) -> list[Span]:
    joined: list[Span] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + 1e-4:
            joined[-1] = joined[-1][0], max(joined[-1][1], high)
        else:
            joined.append((low, high))
    return joined


def _less(spans: list[Span], gone: list[Span]) -> list[Span]:
    left = spans
    for a, b in gone:
        left = [
            piece
            for low, high in left
            for piece in ((low, min(high, a)), (max(low, b), high))
            if piece[1] > piece[0]
        ] if any(a < high and b > low for low, high in left) else left  # fmt: skip
    return left
