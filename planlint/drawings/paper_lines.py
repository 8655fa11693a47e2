"""The lines of a view as they are inked: each place once, what is seen before what is hidden."""

from collections.abc import Iterable
from math import hypot
from typing import NamedTuple

from planlint.drawings.hidden_lines import EdgeRun
from planlint.drawings.view_window import HAIR
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.cells import OnLine, united
from planlint.text.rounding import ROUNDING

Inked = dict[str, list[tuple[SeenAt, SeenAt]]]
"""Segments by kind of line."""


Kinds = list[tuple[str, list[int] | None, bool]]
"""Kinds of line, the first over the others: names with the parts whose lines they are (``None``: all) and whether for
hidden lines."""


def inked(stretches: Iterable[EdgeRun], kinds: Kinds) -> Inked:
    """Segments for each kind of line. What lies on a line of a kind before is left out."""
    return inked_again(laid(stretches), kinds)


class Laid(NamedTuple):
    """Stretches that lie on one line: from where to where along it, with the part and whether hidden."""

    way: SeenAt
    foot: SeenAt
    """Where the line is nearest to the origin, from which places along it are counted."""
    runs: list[tuple[float, float, int, bool]]


def laid(stretches: Iterable[EdgeRun]) -> list[Laid]:
    """Stretches by the lines they lie on."""
    lines: dict[tuple[int, int, int], Laid] = {}
    for (x0, y0), (x1, y1), part, hidden in stretches:
        far = hypot(x1 - x0, y1 - y0)
        if far < HAIR:
            continue
        ux, uy = (x1 - x0) / far, (y1 - y0) / far
        if ux < -ROUNDING or (abs(ux) <= ROUNDING and uy < 0):
            ux, uy = -ux, -uy
        foot = x0 * -uy + y0 * ux
        low, high = x0 * ux + y0 * uy, x1 * ux + y1 * uy
        if low > high:
            low, high = high, low
        key = (round(ux * 1e4), round(uy * 1e4), round(foot * 1e3))
        line = lines.get(key)
        if line is None:
            lines[key] = line = Laid((ux, uy), (-uy * foot, ux * foot), [])
        line.runs.append((low, high, part, hidden))
    return [*lines.values()]


def inked_again(lines: Iterable[Laid], kinds: Kinds) -> Inked:
    """As ``inked``, for who inks the same stretches in several ways."""
    found: Inked = {name: [] for name, _, _ in kinds}
    members = [None if parts is None else frozenset(parts) for _, parts, _ in kinds]
    for (ux, uy), (x, y), runs in lines:
        taken: list[OnLine] = []
        for (name, _, hidden), parts in zip(kinds, members, strict=True):
            mine = [
                (low, high)
                for low, high, part, behind in runs
                if behind is hidden and (parts is None or part in parts)
            ]
            if not mine:
                continue
            for low, high in _less(united(mine, HAIR), taken):
                if high - low > HAIR:
                    found[name].append(((x + low * ux, y + low * uy), (x + high * ux, y + high * uy)))
            taken = united([*taken, *mine], HAIR)
    for segments in found.values():
        segments.sort(key=_in_order)
    return found


def _in_order(segment: tuple[SeenAt, SeenAt]) -> tuple[float, ...]:
    """By where it starts, then where it ends; a hair's difference in a sum changes no order."""
    (a, b), (c, d) = segment
    return round(a, 5), round(b, 5), round(c, 5), round(d, 5)


def _less(spans: list[OnLine], gone: list[OnLine]) -> list[OnLine]:
    left = spans
    for a, b in gone:
        left = [
            piece
            for low, high in left
            for piece in ((low, min(high, a)), (max(low, b), high))
            if piece[1] > piece[0]
        ] if any(a < high and b > low for low, high in left) else left  # fmt: skip
    return left
