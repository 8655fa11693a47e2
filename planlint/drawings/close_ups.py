"""What close-ups share: lines and wood inside a window of a view, and a measure with its limit written on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot
from typing import NamedTuple

from planlint.drawings.drawn_view import Room
from planlint.drawings.hidden_lines import Scene
from planlint.drawings.ink import Area, Frame, Item, Line, Text, arrow, dimension, words_wide
from planlint.drawings.paper_lines import inked
from planlint.drawings.true_edges import faces
from planlint.drawings.viewpoints import Flat, View
from planlint.geometry.facts import Vector
from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.polygons import Polygon, clipped
from planlint.geometry.shapes.vectors import dot

Window = tuple[float, float, float, float]
"""Left, low, right, high in a view, in inches."""


class Measure(NamedTuple):
    """A measure in words and the limit that it missed; either may be empty."""

    found: str
    limit: str


class CloseUp(NamedTuple):
    """A drawing and what it is called."""

    title: str
    items: list[Item]
    between: tuple[Vector, Vector] | None = None
    """The two places in the piece between which the measure lies."""
    eye: Vector | None = None
    """From where it is seen, where that is what matters."""


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
    for kind, segments in inked(Scene(bodies, view).stretches(), kinds).items():
        for a, b in segments:
            kept = inside(a, b, window)
            if kept is not None:
                items.append(Line(kind, (on.on_paper(kept[0]), on.on_paper(kept[1]))))
    return items


def inside(a: Flat, b: Flat, window: Window) -> tuple[Flat, Flat] | None:
    """The part of a segment in a window (Liang and Barsky, 1984)."""
    low, high = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in (
        (-dx, a[0] - window[0]),
        (dx, window[2] - a[0]),
        (-dy, a[1] - window[1]),
        (dy, window[3] - a[1]),
    ):
        if abs(p) < 1e-12:
            if q < 0:
                return None
        elif p < 0:
            low = max(low, q / p)
        else:
            high = min(high, q / p)
    if high - low < 1e-9:
        return None
    return (a[0] + low * dx, a[1] + low * dy), (a[0] + high * dx, a[1] + high * dy)


def shows_in(body: Body, view: View, window: Window) -> Flat | None:
    """A place of a body in a window of a view: the middle of what is in it, or ``None`` where nothing is."""
    flats = [view.flat(corner) for face in faces(body) for corner in face.corners]
    xs, ys = zip(*flats, strict=True)
    left, low = max(min(xs), window[0]), max(min(ys), window[1])
    right, high = min(max(xs), window[2]), min(max(ys), window[3])
    return ((left + right) / 2, (low + high) / 2) if left < right and low < high else None


def filled(
    bodies: Sequence[Body],
    view: View,
    on: Frame,
    window: Window,
    bad: Sequence[int] = (),
) -> list[Item]:
    """The wood of bodies in a window as tones, the farthest first."""
    found: list[tuple[float, Area]] = []
    left, low, right, high = window
    for number, body in enumerate(bodies):
        tone = "in the way" if body.part.index in bad else "wood" if number % 2 == 0 else "other wood"
        for face in faces(body):
            if dot(face.normal, view.toward) < 1e-6:
                continue
            shape: Polygon = tuple((*view.flat(corner), 0.0) for corner in face.corners)
            for plane in (
                Plane((-1.0, 0.0, 0.0), -left),
                Plane((1.0, 0.0, 0.0), right),
                Plane((0.0, -1.0, 0.0), -low),
                Plane((0.0, 1.0, 0.0), high),
            ):
                shape = clipped(shape, plane)
            if shape:
                deep = max(dot(corner, view.toward) for corner in face.corners)
                found.append((deep, Area(tone, tuple(on.on_paper((x, y)) for x, y, _ in shape))))
    return [area for _, area in sorted(found, key=lambda each: each[0])]


def measured(a: Flat, b: Flat, measure: Measure, off: float, x: float, base: float) -> list[Item]:
    """A distance with its limit: along it where there is room for the words, else called out under the drawing, the
    words' middle at ``x`` and their foot at ``base``."""
    far = hypot(b[0] - a[0], b[1] - a[1])
    size = 3.2
    if not measure.found:
        return []
    if far > max(words_wide(measure.found, size, bold=True), words_wide(measure.limit, size)) + 8:
        return dimension(a, b, off, measure.found, kind="measure", size=size, limit=measure.limit)
    items: list[Item] = []
    if far > 0.02:
        ux, uy = (b[0] - a[0]) / far, (b[1] - a[1]) / far
        for tip, sign in ((a, 1.0), (b, -1.0)):
            items.append(arrow(tip, (sign * ux, sign * uy), "fault"))
            items.append(Line("measure", (tip, (tip[0] - sign * 6 * ux, tip[1] - sign * 6 * uy))))
    middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    items.append(Line("measure", (middle, (x, base - 2.1 * size))))
    items.append(Text((x, base - size * 1.2), measure.found, size, "middle", 0.0, "fault", True))
    if measure.limit:
        items.append(Text((x, base), measure.limit, size, "middle", 0.0, "fault"))
    return items


def under_it(items: Sequence[Item], room: Room) -> tuple[float, float]:
    """The same under what is drawn already."""
    low = max((y for item in items if isinstance(item, Line) for _, y in item.points), default=room[3])
    return (room[0] + room[2]) / 2, min(low + 16.0, room[3] - 2)


def inner(room: Room) -> Room:
    return room[0] + 26, room[1] + 12, room[2] - 26, room[3] - 12
