"""Two screws, or a screw and a bore, that come too near one another: a cut that holds the first and their distance."""

from __future__ import annotations

from math import hypot

from planlint.checks.screws_meet import DriveMeets, MeetsTenon, ScrewsMeet
from planlint.drawings.close_ups import CloseUp, Measure, called_out, inner, measured
from planlint.drawings.drawn_view import Room
from planlint.drawings.ink import Item, Line, fitted_usual, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.view_window import window_planes
from planlint.drawings.viewpoints import Flat, View, parallel
from planlint.drawings.wood_section import along_bore, cut_bodies, names_of, screw_drawing, wood
from planlint.geometry.drilling.screw_clashes import Rod, wood_between
from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Cell, body_planes
from planlint.geometry.shapes.polygons import Polygon, clipped, clipped_by_all, middle
from planlint.geometry.shapes.vectors import cross, dot, length, minus, plus, scaled, unit
from planlint.reports.safe_words import visible
from planlint.wording.meeting_words import tongue_of

LONG = 3.0
"""Inches beyond which only what lies near is shown of a screw. Basis: our own judgement."""
AROUND = 1.6
"""Inches shown to each side of the place where they meet. Basis: our own judgement."""


def meeting_close_up(
    piece: Piece, fact: ScrewsMeet | DriveMeets, room: Room, measure: Measure
) -> CloseUp | None:
    """Two rods that a check found too near one another, where that can be shown."""
    first, second = fact.rods
    flat = _in_one_cut(piece, first, second, room, measure)
    if flat is not None:
        return flat
    p, q = nearest_points(first, second)
    along = unit(minus(first.end, first.start))
    gap = minus(q, p)
    if length(gap) < 1e-6:
        gap = cross(along, unit(minus(second.end, second.start)))
    gap = plus(gap, along, -dot(gap, along))
    if length(gap) < 1e-6:
        return None
    gap = unit(gap)
    # Two that cross in the wood are seen to do so along the line between them; from the side one hides the other.
    wood_left = wood_between(first, second)
    crosses = wood_left < 0 and abs(dot(along, unit(minus(second.end, second.start)))) < 0.85
    toward = gap if crosses else cross(along, gap)
    view = parallel("meeting", toward, along if crosses else gap)
    x, y = view.flat(p)
    window = x - AROUND, y - AROUND * 0.8, x + AROUND, y + AROUND * 0.8
    on = fitted_usual(window, inner(room), piece.plan.unit, 76.2)
    items: list[Item] = []
    bodies = list(cut_bodies(piece, p, view, window))
    mine = first.screw.pocket
    for body, polygons in bodies:
        items += wood(body, polygons, view, on, [], own=body.part is mine.part)
    for rod in (first, second):
        if rod.what == "screw" and rod.screw.length <= LONG:
            items += screw_drawing(rod.screw, view, on)
        near = _shortened(rod, p)
        items += [Line("fault", tuple(map(on.on_paper, outline(near, view))), closed=True)]
    a, b = plus(p, gap, first.radius), plus(q, gap, -second.radius)
    # What tapers comes nearer than its axis tells: then only the words say how near.
    told = abs(length(minus(b, a)) - abs(wood_left)) < 2e-3
    if told and not crosses and hypot(*view.flat(minus(b, a))) * on.scale > 0.02:
        items += measured(on.on_paper(view.flat(a)), on.on_paper(view.flat(b)), measure, items, room)
    else:
        between = scaled(plus(p, q), 0.5)
        items += called_out(on.on_paper(view.flat(between)), measure, items, room)
    labels = [
        Label(
            _named(rod, (first, second)),
            _label_at(_shortened(rod, p), view, on.on_paper, window),
            "fault",
            True,
        )
        for rod in (first, second)
    ]
    sides = on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0]
    items += margin_labels(labels, Margins(room[0], sides[0] - 1, sides[1] + 1, room[2], room[1], room[3]))
    return CloseUp(f"Cut along one of them, {scale_words(on.scale)}", items, (a, b) if told else None)


def _in_one_cut(piece: Piece, first: Rod, second: Rod, room: Room, measure: Measure) -> CloseUp | None:
    """Two rods that lie in one plane square to the drilled face, as a cut along the first shows them."""
    screw = first.screw
    section = along_bore(piece, screw.pocket, screw, inner(room))
    off = [dot(minus(end, screw.pocket.exit), section.view.toward) for end in (second.start, second.end)]
    if max(map(abs, off)) > second.radius:
        return None
    items, labels = list(section.items), []
    for rod in (first, second):
        shape: Polygon = tuple((x, y, 0.0) for x, y in outline(rod, section.view))
        for plane in window_planes(section.window):
            shape = clipped(shape, plane)
        if not shape:
            return None
        items.append(Line("fault", tuple(section.frame.on_paper((x, y)) for x, y, _ in shape), closed=True))
        x, y, _ = middle(shape)
        labels.append(Label(_named(rod, (first, second)), section.frame.on_paper((x, y)), "fault", True))
    p, q = nearest_points(first, second)
    items += called_out(section.on_paper(scaled(plus(p, q), 0.5)), measure, items, room)
    xs = [x for item in items if isinstance(item, Line) for x, _ in item.points]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], room[1] + 8, room[3] - 12)
    title = f"Cut along one of them, {scale_words(section.frame.scale)}"
    return CloseUp(title, [*items, *margin_labels(labels, margins)])


def _named(rod: Rod, both: tuple[Rod, Rod]) -> str:
    """A rod by the part that it is drilled in, or where that is one for both by what it goes into."""
    one, other = (each.screw.pocket for each in both)
    pocket = rod.screw.pocket
    if one.part is other.part and one.into is not other.into:
        return f"{rod.what} into {visible(pocket.into.name)}"
    return f"{rod.what} of {visible(pocket.part.name)}"


def tenon_close_up(piece: Piece, fact: MeetsTenon, room: Room, measure: Measure) -> CloseUp:
    """A cut along a screw that comes too near to what another joint lets into its wood, with that in it."""
    made, screw = fact.tenon, fact.screw
    section = along_bore(piece, screw.pocket, screw, inner(room))
    items = list(section.items)
    left, low, right, high = section.window
    deep = dot(screw.pocket.exit, section.view.toward)
    square = tuple(
        plus(plus(scaled(section.view.right, x), section.view.up, y), section.view.toward, deep)
        for x, y in ((left, low), (right, low), (right, high), (left, high))
    )
    cut = clipped_by_all(square, body_planes(made.body, Cell(made.box, made.body.own_cuts)))
    labels = []
    if cut:
        outline = tuple(map(section.on_paper, cut))
        items += [Line("fault", outline, closed=True)]
        labels.append(
            Label(
                f"{tongue_of(made)} of {visible(made.body.part.name)}",
                section.on_paper(middle(cut)),
                "fault",
                True,
            )
        )
    items += called_out(section.on_paper(middle(cut) if cut else screw.tip), measure, items, room)
    labels += names_of((fact.row.part, fact.row.into), section.shapes, items)
    xs = [x for item in items if isinstance(item, Line) for x, _ in item.points]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], room[1] + 8, room[3] - 12)
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}", [*items, *margin_labels(labels, margins)]
    )


def nearest_points(one: Rod, other: Rod) -> tuple[Vector, Vector]:
    """The places on the axes of two rods that lie nearest to one another (Ericson, 2005, 5.1.9)."""
    d1, d2, r = minus(one.end, one.start), minus(other.end, other.start), minus(one.start, other.start)
    a, e, f = dot(d1, d1), dot(d2, d2), dot(d2, r)
    c, b = dot(d1, r), dot(d1, d2)
    flat = a * e - b * b
    s = min(max((b * f - c * e) / flat, 0.0), 1.0) if flat > 1e-12 else 0.0
    t = (b * s + f) / e if e > 1e-12 else 0.0
    if not 0 <= t <= 1:
        t = min(max(t, 0.0), 1.0)
        s = min(max((b * t - c) / a, 0.0), 1.0) if a > 1e-12 else 0.0
    return plus(one.start, d1, s), plus(other.start, d2, t)


def outline(rod: Rod, view: View) -> list[Flat]:
    """A rod from the side: a rectangle round its axis, or where that looks out of the paper a square of its width."""
    (x0, y0), (x1, y1) = view.flat(rod.start), view.flat(rod.end)
    far = hypot(x1 - x0, y1 - y0)
    ux, uy = ((x1 - x0) / far, (y1 - y0) / far) if far > 1e-9 else (1.0, 0.0)
    r = rod.radius
    if far < 2 * r:
        x0, y0, x1, y1 = x0 - r * ux, y0 - r * uy, x1 + r * ux, y1 + r * uy
    return [
        (x0 - r * uy, y0 + r * ux), (x1 - r * uy, y1 + r * ux), (x1 + r * uy, y1 - r * ux), (x0 + r * uy, y0 - r * ux)
    ]  # fmt: skip


def _shortened(rod: Rod, near: Vector) -> Rod:
    """What of a long screw through a face lies near the place that is shown."""
    long = length(minus(rod.end, rod.start))
    if long <= LONG:
        return rod
    along = unit(minus(rod.end, rod.start))
    at = dot(minus(near, rod.start), along)
    start, end = max(0.0, at - AROUND), min(long, at + AROUND)
    return rod._replace(start=plus(rod.start, along, start), end=plus(rod.start, along, end))


def _label_at(rod: Rod, view: View, on_paper: object, window: tuple[float, float, float, float]) -> Flat:
    assert callable(on_paper)
    x, y = view.flat(scaled(plus(rod.start, rod.end), 0.5))
    at = on_paper((min(max(x, window[0]), window[2]), min(max(y, window[1]), window[3])))
    return float(at[0]), float(at[1])
