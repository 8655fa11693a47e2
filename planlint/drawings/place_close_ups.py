"""What only a way of looking shows: a hole from the eye that sees it, and what stands in the driver's way."""

from __future__ import annotations

from math import hypot

from planlint.checks.row_view import Row
from planlint.drawings.close_ups import (
    CloseUp,
    cropped,
    filled,
    shows_in,
)
from planlint.drawings.drawn_view import Room, drawn
from planlint.drawings.ink import Area, Item, Line, fitted_usual, ring, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.viewpoints import Flat, from_eye, parallel
from planlint.geometry.drilling.driver_reach import corridor
from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import minus, plus
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
    return CloseUp("From the eye that sees it", items)


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
