"""Where on a drawn side of a part the sign of its grain lies well."""

from collections.abc import Sequence

from planlint.checks.row_view import Row
from planlint.drawings.broken_axis import BrokenAxis
from planlint.drawings.drawn_view import Room
from planlint.drawings.face_marks import Flatwise, Paper
from planlint.drawings.fastener_marks import taken_up
from planlint.drawings.name_spots import away
from planlint.drawings.primitives import Item, Line, grain_mark
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.vectors import plus, scaled

GRAIN_CLEAR = 3.0
"""Millimetres from all lines at which the sign of the grain lies well. Basis: our own judgement."""


def flat_grain_sign(
    axis: BrokenAxis, lying: Flatwise, mine: Sequence[Row], box: Room, paper: Paper, there: Sequence[Item]
) -> list[Item]:
    """The sign of the grain in the widest stretch without a mouth, on wood and clear of lines."""
    busy = []
    for row in mine:
        own = row.piece.body(row.part)
        for pocket in row.pockets:
            ends = [lying.flat(own.to_own(p))[0] for p in (pocket.tail, pocket.exit)]
            busy.append((min(ends) - 0.3, max(ends) + 0.3))
    for point in (*taken_up(lying.fasteners), *(end for met in lying.met for end in met.box)):
        x, _ = lying.flat(point)
        busy.append((x - 0.3, x + 0.3))
    stretches: list[tuple[float, float]] = []
    for low, high in axis.kept:
        at = low
        for a, b in sorted(busy):
            if b <= at or a >= high:
                continue
            stretches.append((at, max(at, a)))
            at = max(at, b)
        stretches.append((at, high))
    drawn = {"seen", "hidden", "neighbour"}
    lines = [item.points for item in there if isinstance(item, Line) and item.kind in drawn]
    # Distances of fasteners run across the middle.
    heights = (0.82, 0.18, 0.66, 0.34) if lying.fasteners else (0.5, 0.75, 0.25, 0.9, 0.1)
    best: tuple[float, SeenAt] = (0.0, (0.0, 0.0))
    for low, high in sorted(stretches, key=lambda each: each[0] - each[1])[:3]:
        for share in (0.5, 0.25, 0.75) if (high - low) * axis.scale >= 6.0 else ():
            x = low + share * (high - low)
            for height in heights:
                spot = x, box[1] + (box[3] - box[1]) * height
                middle = paper(spot)
                marked = [(middle[0] + off, middle[1]) for off in (-5.0, -2.5, 0.0, 2.5, 5.0)]
                near = [ends for ends in lines if away(middle, *ends) < GRAIN_CLEAR + 5.0]
                clear = min((away(at, *ends) for at in marked for ends in near), default=GRAIN_CLEAR)
                if clear > best[0] + 0.2 and _wood_at(lying, spot):
                    best = clear, middle
                if best[0] >= GRAIN_CLEAR:
                    return grain_mark(best[1], (1.0, 0.0), 10.0)
    return grain_mark(best[1], (1.0, 0.0), 10.0) if best[0] else []


def _wood_at(lying: Flatwise, at: SeenAt) -> bool:
    """Whether a place of the side that is drawn is wood, not a hole or beside a curve."""
    view = lying.view
    deep = lying.body.own_planes[lying.side].depth
    flat = plus(scaled(view.right, at[0]), view.up, at[1])
    return lying.body.holds(plus(flat, view.toward, deep(flat) - 0.01))
