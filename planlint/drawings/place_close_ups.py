"""What is wrong between parts: seen from the eye, in the driver's way, apart or run into one another."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from planlint.checks.row_view import Row
from planlint.drawings.close_ups import (
    CloseUp,
    Measure,
    cropped,
    filled,
    measured,
    shows_in,
    under_it,
)
from planlint.drawings.drawn_view import Room, drawn, places
from planlint.drawings.ink import Area, Item, Line, fitted_usual, ring, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.viewpoints import VIEWS, Flat, View, from_eye, parallel
from planlint.geometry.drilling.driver_reach import corridor
from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot, length, minus, plus, unit
from planlint.model.plan import Part
from planlint.reports.safe_words import visible

SIZE = 2.8


def best_look(piece: Piece, row: Row) -> tuple[Vector, Pocket] | None:
    """The eye that sees a mouth of a row that most eyes see, and that pocket; ``None`` where nobody sees one."""
    seen = [(piece.sight(pocket), pocket) for pocket in row.pockets if piece.in_sight(pocket)]
    if not seen:
        return None
    sight, pocket = max(seen, key=lambda each: each[0].share)
    return None if sight.eye is None else (sight.eye, pocket)


def eye_close_up(piece: Piece, row: Row, room: Room) -> CloseUp | None:
    """The piece from the eye that sees the most of a row's mouths."""
    look = best_look(piece, row)
    if look is None:
        return None
    eye, pocket = look
    view = from_eye(eye, pocket.mouth)
    shown = drawn(piece.bodies, view, (room[0] + 4, room[1] + 4, room[2] - 4, room[3] - 4), hidden=False)
    frame, radius = row.frame, piece.settings.profile.bit_diameter / 2
    items = list(shown.items)
    for each in (pocket for pocket in row.pockets if piece.in_sight(pocket)):
        rim = [
            plus(plus(each.mouth, frame.inward, u), frame.across, v)
            for u, v in ring((0.0, 0.0), radius / frame.sine, radius, 24)
        ]
        if all(view.ahead(p) > 1 for p in rim) and shown.scene.seen(
            plus(each.mouth, frame.face.normal, 1e-3)
        ):
            outline = tuple(map(shown.on_paper, rim))
            items += [Area("fault", outline), Line("measure", outline, closed=True)]
    x, y = shown.on_paper(pocket.mouth)
    items += [Line("measure", ring((x, y), 5.0, 5.0, 32), closed=True)]
    return CloseUp("From the eye that sees it", items, None, eye)


def driver_close_up(piece: Piece, row: Row, room: Room) -> CloseUp:
    """The room that a driver needs behind a pocket, from the side, and what stands in it."""
    blocking = piece.blocking(row.join)
    pocket = next(
        (p for p in row.pockets if piece.in_the_way_of([p]) or piece.into_in_the_way(p)), row.pockets[0]
    )
    way = corridor(pocket, piece.settings.profile)
    normal = row.frame.face.normal
    upright = abs(row.frame.across[2]) < 0.5
    view = parallel("driver", row.frame.across, (0.0, 0.0, 1.0) if upright else normal)
    in_way = set(piece.in_the_way_of([pocket])) or set(blocking)
    if piece.into_in_the_way(pocket):
        in_way.add(row.into.index)
    near = [piece.body(p) for p in piece.plan.parts if p in row.join.parts or p.index in in_way]
    ends = [view.flat(p) for p in (way.shoulder, way.bit_end, way.drill_end, pocket.exit)]
    for body in near:
        ends += [view.flat(c) for c in body.bounds.corners]
    xs, ys = zip(*ends, strict=True)
    core = [view.flat(p) for p in (way.shoulder, way.drill_end)]
    cx, cy = (
        (min(x for x, _ in core), max(x for x, _ in core)),
        (min(y for _, y in core), max(y for _, y in core)),
    )
    window = (
        max(min(xs) - 1, cx[0] - 8),
        max(min(ys) - 1, cy[0] - 8),
        min(max(xs) + 1, cx[1] + 8),
        min(max(ys) + 1, cy[1] + 8),
    )
    on = fitted_usual(window, (room[0] + 26, room[1] + 8, room[2] - 26, room[3] - 6), row.unit, 25.4)
    items: list[Item] = filled(near, view, on, window, sorted(in_way))
    for a, b, radius in (
        (way.shoulder, way.bit_end, way.bit_radius),
        (way.bit_end, way.drill_end, way.drill_radius),
    ):
        outline = tuple(on.on_paper(p) for p in _thick(view.flat(a), view.flat(b), radius))
        items += [Area("room", outline), Line("neighbour", outline, closed=True)]
    items += cropped(near, view, on, window, sorted(in_way))
    labels = [
        Label("driver bit", on.on_paper(view.flat(_between(way.shoulder, way.bit_end, 0.6)))),
        Label("drill", on.on_paper(view.flat(_between(way.bit_end, way.drill_end, 0.6)))),
    ]
    for body in near:
        spot = shows_in(body, view, window)
        if spot is None:
            continue
        tone = "fault" if body.part.index in in_way else "ink"
        labels.append(Label(visible(body.part.name), on.on_paper(spot), tone, bold=tone == "fault"))
    margins = Margins(
        room[0], on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0], room[2], room[1], room[3]
    )
    items += margin_labels(labels, margins)
    return CloseUp(f"The driver's room, from the side, {scale_words(on.scale)}", items)


def _thick(a: Flat, b: Flat, radius: float) -> list[Flat]:
    far = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    nx, ny = -(b[1] - a[1]) / far * radius, (b[0] - a[0]) / far * radius
    return [(a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny), (b[0] - nx, b[1] - ny), (a[0] - nx, a[1] - ny)]


def _between(a: Vector, b: Vector, share: float) -> Vector:
    return plus(a, minus(b, a), share)


def gap_close_up(
    piece: Piece, parts: Sequence[Part], a: Vector, b: Vector, room: Room, measure: Measure
) -> CloseUp:
    """A distance between two parts that should not be there, as large as it takes to be seen."""
    way = minus(b, a)
    far = length(way)
    view = _square_to(way)
    bodies = [piece.body(part) for part in parts]
    around = max(4.0 * far, 1.5)
    (x, y), (p, q) = view.flat(a), view.flat(b)
    middle = (x + p) / 2, (y + q) / 2
    window = middle[0] - around, middle[1] - around * 0.7, middle[0] + around, middle[1] + around * 0.7
    on = fitted_usual(
        window, (room[0] + 24, room[1] + 8, room[2] - 24, room[3] - 16), piece.plan.unit, 25.4 * 20
    )
    items = [*filled(bodies, view, on, window), *cropped(bodies, view, on, window)]
    if far * on.scale > 0.3:
        items += measured(on.on_paper((x, y)), on.on_paper((p, q)), measure, 12.0, *under_it(items, room))
    labels = [
        Label(visible(body.part.name), on.on_paper(spot))
        for body in bodies
        if (spot := shows_in(body, view, window)) is not None
    ]
    margins = Margins(
        room[0], on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0], room[2], room[1], room[3]
    )
    items += margin_labels(labels[: margins.holds(SIZE)], margins)
    larger = on.scale / 25.4
    said = f"drawn {larger:.2g} times its size" if larger > 1.05 else scale_words(on.scale)
    return CloseUp(f"The place, {said}", items, (a, b) if far > 1e-6 else None)


def _square_to(way: Vector) -> View:
    """The usual view in which a direction is seen at its full length."""
    if length(way) < 1e-9:
        return VIEWS["front"]
    w = unit(way)
    return min(
        (VIEWS[name] for name in ("front", "top", "right")),
        key=lambda view: round(abs(dot(w, view.toward)), 6),
    )


def parts_close_up(piece: Piece, parts: Sequence[Part], room: Room) -> CloseUp:
    """The parts that a finding is about, alone, from above a corner."""
    bodies = [piece.body(part) for part in parts]
    shown = drawn(
        bodies,
        VIEWS["corner"],
        (room[0] + 30, room[1] + 6, room[2] - 30, room[3] - 6),
        most=12.7,
        hidden=False,
    )
    where = places(shown)
    xs = [x for item in shown.items if isinstance(item, Line) for x, _ in item.points]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], room[1], room[3])
    labels = [Label(visible(part.name), where[part.index].at) for part in parts if part.index in where]
    return CloseUp("The parts alone", [*shown.items, *margin_labels(labels[: margins.holds(SIZE)], margins)])
