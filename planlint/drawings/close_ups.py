"""What close-ups share: lines and wood inside a window of a view, and a measure with its limit written on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import atan2, cos, hypot, pi, sin
from typing import Any, NamedTuple

from planlint.checks.row_view import Row
from planlint.drawings.drawn_view import Room
from planlint.drawings.hidden_lines import Scene
from planlint.drawings.ink import ARROW, Area, Frame, Item, Line, Text, arrow, arrows, ring, words_wide
from planlint.drawings.margin_labels import Label
from planlint.drawings.name_spots import spot
from planlint.drawings.paper_lines import inked
from planlint.drawings.true_edges import faces
from planlint.drawings.view_window import Window, in_window
from planlint.drawings.viewpoints import Flat, View
from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot, plus
from planlint.reports.safe_words import visible


class Measure(NamedTuple):
    """A measure in words and the limit that it missed; either may be empty."""

    found: str
    limit: str


NO_MEASURE = Measure("", "")


Between = tuple[Vector, Vector]
"""Two places in the piece."""


class CloseUp(NamedTuple):
    """A drawing and what it is called."""

    title: str
    items: list[Item]
    between: Between | None = None
    """The two places in the piece between which the measure lies."""


ByFact = Mapping[type, Callable[[Piece, Any, Room, Measure], CloseUp | None]]
"""What draws what a check judged, by its type."""


def cropped(
    bodies: Iterable[Body],
    view: View,
    on: Frame,
    window: Window,
    bold: Sequence[int] = (),
) -> list[Item]:
    """The lines of bodies inside a window of a view."""
    kinds: list[tuple[str, list[int] | None, bool]] = [("seen", None, False), ("hidden", None, True)]
    if bold:
        kinds.insert(0, ("fault", list(bold), False))
    items: list[Item] = []
    for kind, segments in inked(Scene(bodies, view, window).stretches(), kinds).items():
        for a, b in segments:
            items.append(Line(kind, (on.on_paper(a), on.on_paper(b))))
    return items


def mouth_rim(row: Row, pocket: Pocket, many: int = 32) -> list[Vector]:
    """The rim of a pocket's mouth, an ellipse in the drilled face."""
    frame, radius = row.frame, row.piece.settings.profile.bit_diameter / 2
    return [
        plus(plus(pocket.mouth, frame.inward, u), frame.across, v)
        for u, v in ring((0.0, 0.0), radius / frame.sine, radius, many)
    ]


def names_in(
    bodies: Sequence[Body], view: View, on: Frame, window: Window, items: Sequence[Item]
) -> list[Label]:
    """The names of bodies that show in a window, each with a place of its wood that no other of them lies over."""
    shapes = {body: _fronts(body, view, on, window) for body in bodies}
    shared = [item.points for item in items if isinstance(item, Area) and item.tone == "in the way"]
    labels = []
    for body, mine in shapes.items():
        level = max((deep for deep, _ in mine), default=0.0)
        over = [
            shape
            for other, theirs in shapes.items()
            for deep, shape in theirs
            if other is not body and deep >= level
        ]
        own = [shape for _, shape in mine]
        at = spot(own, items, [*over, *(shape for shape in shared if shape not in own)])
        if at is not None:
            labels.append(Label(visible(body.part.name), at))
    return labels


def _fronts(body: Body, view: View, on: Frame, window: Window) -> list[tuple[float, tuple[Flat, ...]]]:
    """The faces of a body that look at who looks, as far as they lie in a window, on paper; how near each comes."""
    found = []
    for face in faces(body):
        if dot(face.normal, view.toward) < 1e-6:
            continue
        shape = in_window(map(view.flat, face.corners), window)
        if shape:
            deep = max(dot(corner, view.toward) for corner in face.corners)
            found.append((deep, tuple(map(on.on_paper, shape))))
    return found


def filled(
    bodies: Sequence[Body],
    view: View,
    on: Frame,
    window: Window,
    bad: Sequence[int] = (),
) -> list[Item]:
    """The wood of bodies in a window as tones, the farthest first."""
    found: list[tuple[float, Area]] = []
    for number, body in enumerate(bodies):
        tone = "in the way" if body.part.index in bad else "wood" if number % 2 == 0 else "other wood"
        found += [(deep, Area(tone, shape)) for deep, shape in _fronts(body, view, on, window)]
    return [area for _, area in sorted(found, key=lambda each: each[0])]


SIZE = 3.2
"""Of the letters of a measure, in mm."""


def measured(
    a: Flat, b: Flat, measure: Measure, items: Sequence[Item], room: Room, aside: float = 0.0
) -> list[Item]:
    """A distance and its limit, written outside what is drawn already, on the shorter way out of it.

    A distance that runs up and down the paper is drawn where it is, ``aside`` mm to the right; any other beside the
    drawing, between lines that lead to it.
    """
    if not measure.found:
        return []
    far = hypot(b[0] - a[0], b[1] - a[1])
    if far <= 0.02:
        return called_out(a, measure, items, room)
    x, y = (b[0] - a[0]) / far, (b[1] - a[1]) / far
    top, bottom = top_and_bottom(items, room)
    high, low = min(a[1], b[1]), max(a[1], b[1])
    up = high - top <= bottom - low
    found: list[Item] = []
    if abs(y) > 0.85:
        p, q = (a[0] + aside, a[1]), (b[0] + aside, b[1])
        if aside:
            found += [
                Line("measure", (end, (to[0] + (1.0 if aside > 0 else -1.0), to[1])))
                for end, to in ((a, p), (b, q))
            ]
        ends = arrows(p, q, (x, y), far, "measure", 2.5 * ARROW)
        found += ends
        tail = min(
            (e for line in ends if isinstance(line, Line) for e in line.points),
            key=lambda e: e[1] if up else -e[1],
        )
        out = top - 3 if up else bottom + 3
        found.append(Line("measure", (tail, (tail[0], min(tail[1], out) if up else max(tail[1], out)))))
        edge = min(tail[1], out) if up else max(tail[1], out)
        return [*found, *words_at(tail[0], edge, measure, room, up=up)]
    nx, ny = (y, -x) if (x > 0) == up else (-y, x)
    off = (max(a[1], b[1]) - top if up else bottom - min(a[1], b[1])) / abs(ny) + 5.0
    p, q = (a[0] + off * nx, a[1] + off * ny), (b[0] + off * nx, b[1] + off * ny)
    for start, end in ((a, p), (b, q)):
        found.append(
            Line("measure", ((start[0] + nx, start[1] + ny), (end[0] + 1.5 * nx, end[1] + 1.5 * ny)))
        )
    found += arrows(p, q, (x, y), far, "measure", 2.5 * ARROW)
    high, low = top_and_bottom(found, room)
    edge = high if up else low
    return [*found, *words_at((p[0] + q[0]) / 2, edge, measure, room, up=up)]


def top_and_bottom(items: Iterable[Item], room: Room) -> tuple[float, float]:
    """How high and how low lines and areas reach on paper."""
    levels = [y for item in items if not isinstance(item, Text) for _, y in item.points]
    return min(levels, default=room[1]), max(levels, default=room[3])


def words_at(x: float, edge: float, measure: Measure, room: Room, *, up: bool) -> list[Item]:
    """A measure over its limit, above or below a level of the paper, as near to ``x`` as the room lets it be."""
    lines = [(measure.found, True), *([(measure.limit, False)] if measure.limit else [])]
    half = max(words_wide(words, SIZE, bold) for words, bold in lines) / 2 + 0.5
    x = min(max(x, room[0] + half), room[2] - half)
    pitch = SIZE * 1.25
    y = edge - 1.2 - pitch * (len(lines) - 1) if up else edge + 1.2 + SIZE * 0.75
    y = min(max(y, room[1] + SIZE), room[3] - pitch * (len(lines) - 1))
    return [
        Text((x, y + pitch * n), words, SIZE, "middle", 0.0, "fault", bold)
        for n, (words, bold) in enumerate(lines)
    ]


def called_out(at: Flat, measure: Measure, items: Sequence[Item], room: Room) -> list[Item]:
    """A measure that is no distance on this drawing, or none at all, led to its place from under what is drawn."""
    if not measure.found:
        return []
    _, bottom = top_and_bottom(items, room)
    low = min(max(bottom + 3, at[1] + 3), room[3] - 8)
    dot = Area("fault", ring(at, 0.7, 0.7, 12))
    return [Line("measure", (at, (at[0], low))), dot, *words_at(at[0], low, measure, room, up=False)]


def angle_measured(
    at: Flat, one: Flat, other: Flat, measure: Measure, items: Sequence[Item], room: Room
) -> list[Item]:
    """The angle at a place between two ways on paper, with its limit."""
    turn = atan2(one[1], one[0])
    wide = (atan2(other[1], other[0]) - turn + pi) % (2 * pi) - pi
    radius = 16.0
    arc = tuple(
        (at[0] + radius * cos(turn + wide * n / 12), at[1] + radius * sin(turn + wide * n / 12))
        for n in range(13)
    )
    rays = [
        Line(
            "measure",
            (at, (at[0] + 1.2 * radius * cos(turn + each), at[1] + 1.2 * radius * sin(turn + each))),
        )
        for each in (0.0, wide)
    ]
    return [*rays, Line("measure", arc), *called_out(arc[6], measure, items, room)]


def way_arrow(a: Flat, b: Flat, *, both: bool = False) -> list[Item]:
    """A wide arrow from one place on paper to another."""
    x, y = b[0] - a[0], b[1] - a[1]
    far = hypot(x, y) or 1.0
    x, y = x / far, y / far
    short = 3.0
    start = (a[0] + short * x, a[1] + short * y) if both else a
    ends = [arrow(b, (x, y), "fault", 4.0), *([arrow(a, (-x, -y), "fault", 4.0)] if both else [])]
    return [Line("fault", (start, (b[0] - short * x, b[1] - short * y))), *ends]


def inner(room: Room) -> Room:
    return room[0] + 26, room[1] + 12, room[2] - 26, room[3] - 12
