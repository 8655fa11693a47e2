"""What only a way of looking shows: a hole from the eye that sees it, and what stands in the driver's way."""

from collections.abc import Sequence
from itertools import pairwise

from planlint.checks.row_view import Row
from planlint.drawings.close_ups import CloseUp, DetailView, mouth_rim
from planlint.drawings.drawn_view import Room, drawn
from planlint.drawings.margin_labels import Label
from planlint.drawings.primitives import Area, Line, ring
from planlint.drawings.view_window import inside
from planlint.drawings.viewpoints import SeenAt, from_eye, parallel
from planlint.geometry.drilling.driver_reach import corridor
from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.flat_shapes import flat_unit
from planlint.geometry.shapes.vectors import dot, minus, plus
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.rulebook.limits import NIL

_ROUND = 8.0
"""Inches shown round the driver. Basis: our own judgement."""


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
    items = list(shown.items)
    for each in (pocket for pocket in row.pockets if piece.in_sight(pocket)):
        rim = [plus(at, row.frame.face.normal, NIL) for at in mouth_rim(row, each, 24)]
        chords = [("measure", edge) for edge in zip(rim[1:12], rim[:12:-1], strict=True)]
        for kind, edge in [*chords, *(("fault", edge) for edge in pairwise([*rim, rim[0]]))]:
            for stretch in shown.scene.of_edge(edge, row.part.index):
                kept = None if stretch.hidden else inside(stretch.a, stretch.b, shown.scene.window)
                if kept is not None:
                    items.append(Line(kind, tuple(map(shown.frame.on_paper, kept))))
    x, y = shown.on_paper(pocket.mouth)
    items += [Line("place", ring((x, y), 5.0, 5.0, 32), closed=True)]
    return CloseUp("From the eye that sees it", items)


def driver_close_up(piece: Piece, row: Row, parts: Sequence[Part], room: Room) -> CloseUp:
    """The room that a driver needs behind a pocket, from the side, and what stands in it: where nothing does so alone,
    those of the ``parts`` of a finding that close it in."""
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
    if not in_way:
        deep = dot(pocket.mouth, view.toward)
        for part in (part for part in parts if part not in row.join.parts):
            ends_at = [dot(corner, view.toward) for corner in piece.body(part).bounds.corners]
            if min(ends_at) < deep < max(ends_at):
                in_way.add(part.index)
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
        max(min(xs) - 1, cx[0] - _ROUND),
        max(min(ys) - 1, cy[0] - _ROUND),
        min(max(xs) + 1, cx[1] + _ROUND),
        min(max(ys) + 1, cy[1] + _ROUND),
    )
    shown = DetailView.through(view, window, room, row.unit, 25.4, (26, 8, 26, 6))
    shown.fill(near, sorted(in_way))
    for a, b, radius in (
        (way.shoulder, way.bit_end, way.bit_radius),
        (way.bit_end, way.drill_end, way.drill_radius),
    ):
        outline = tuple(shown.on.on_paper(p) for p in _thick(view.flat(a), view.flat(b), radius))
        shown.items += [Area("room", outline), Line("neighbour", outline, closed=True)]
    shown.draw(near, sorted(in_way))
    labels = [
        Label("driver bit", shown.at(_between(way.shoulder, way.bit_end, 0.6))),
        Label("drill", shown.at(_between(way.bit_end, way.drill_end, 0.6))),
    ]
    blocked = {visible(body.part.name) for body in near if body.part.index in in_way}
    for label in shown.names(near):
        bad = label.words in blocked
        labels.append(label._replace(tone="fault" if bad else "ink", bold=bad))
    shown.beside(labels)
    return shown.close_up("The driver's room, from the side")


def _thick(a: SeenAt, b: SeenAt, radius: float) -> list[SeenAt]:
    ny, nx = (each * radius for each in flat_unit(b[0] - a[0], a[1] - b[1]))
    return [(a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny), (b[0] - nx, b[1] - ny), (a[0] - nx, a[1] - ny)]


def _between(a: Vector, b: Vector, share: float) -> Vector:
    return plus(a, minus(b, a), share)
