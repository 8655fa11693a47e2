"""What a finding is about, near by: each kind of fact drawn the way it is best seen, with its measure and its limit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot
from typing import NamedTuple

from planlint.checks.row_view import Row
from planlint.drawings.drawn_view import Room, drawn, places
from planlint.drawings.hidden_lines import Scene
from planlint.drawings.ink import (
    Area,
    Frame,
    Item,
    Line,
    Text,
    arrow,
    dimension,
    fitted_usual,
    ring,
    scale_words,
    words_wide,
)
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.paper_lines import inked
from planlint.drawings.true_edges import faces
from planlint.drawings.viewpoints import VIEWS, Flat, View, from_eye, parallel
from planlint.drawings.wood_section import Section, along_bore
from planlint.geometry.drilling.driver_reach import corridor
from planlint.geometry.facts import Pocket, Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.polygons import Polygon, clipped
from planlint.geometry.shapes.vectors import cross, dot, length, minus, plus, unit
from planlint.model.plan import Part
from planlint.reports.safe_words import visible

SIZE = 2.8


class Measure(NamedTuple):
    """A measure in words and the limit that it missed; either may be empty."""

    found: str
    limit: str


class CloseUp(NamedTuple):
    """A drawing and what it is called."""

    title: str
    items: list[Item]


# ---------------------------------------------------------------- inside the wood


def tip_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The wood before the point of a screw."""
    section = along_bore(piece, screw.pocket, screw, _inner(room))
    body = piece.body(screw.pocket.into)
    _, at = piece.tip_cover(screw)
    plane = body.planes[at] if not isinstance(at, str) else _nearest(screw.tip, body)
    items = list(section.items)
    out = section.view.flat(plane.normal)
    if hypot(*out) > 0.5:
        foot = plus(screw.tip, plane.normal, plane.depth(screw.tip))
        items += _measured(
            section.on_paper(screw.tip), section.on_paper(foot), measure, 12.0, *_under(section, room)
        )
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def grip_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The length of a screw that lies in the wood that takes it."""
    section = along_bore(piece, screw.pocket, screw, _inner(room))
    items = list(section.items)
    direction = screw.pocket.direction
    grip = piece.grip(screw)
    a, b = plus(screw.tip, direction, -grip), screw.tip
    if grip > 0.01:
        items += _measured(section.on_paper(a), section.on_paper(b), measure, -9.0, *_under(section, room))
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def screw_close_up(piece: Piece, screw: Screw, room: Room) -> CloseUp:
    """A screw and the wood round it, without a distance."""
    section = along_bore(piece, screw.pocket, screw, _inner(room))
    items = list(section.items)
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def thickness_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The thickness of the stock that a pocket is drilled in."""
    section = along_bore(piece, screw.pocket, screw, _inner(room))
    frame = piece.row_frame(screw.pocket.join, screw.pocket.row)
    assert frame is not None
    top = plus(screw.pocket.tail, frame.inward, -0.3)
    foot = plus(top, frame.face.normal, -frame.thickness)
    items = [
        *section.items,
        *_measured(section.on_paper(foot), section.on_paper(top), measure, 9.0, *_under(section, room)),
    ]
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def bore_close_up(piece: Piece, row: Row, pocket: Pocket, room: Room, measure: Measure) -> CloseUp:
    """The wood beside a bore: in a cut along it where that shows it, else looking at the drilled face."""
    screw = row.screws[row.pockets.index(pocket)]
    near = piece.clearance(pocket).least
    body = piece.body(row.part)
    if isinstance(near.at, str):
        return screw_close_up(piece, screw, room)
    plane = body.planes[near.at]
    if abs(dot(plane.normal, row.frame.across)) > 0.6:
        return face_close_up(piece, row, room, measure, _from_mouth(piece, row, pocket, plane))
    section = along_bore(piece, pocket, screw, _inner(room))
    point = _deepest(piece, row, pocket, plane)
    foot = plus(point, plane.normal, plane.depth(point))
    items = [
        *section.items,
        *_measured(section.on_paper(point), section.on_paper(foot), measure, 9.0, *_under(section, room)),
    ]
    return CloseUp(
        f"Cut along the bore, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def _deepest(piece: Piece, row: Row, pocket: Pocket, plane: Plane) -> Vector:
    """The place of a bore or its pilot in the plane of its axis that comes nearest to a side."""
    profile, frame = piece.settings.profile, row.frame
    aside = cross(frame.across, pocket.direction)
    found = []
    for radius, ends in (
        (profile.bit_diameter / 2, (pocket.shoulder,)),
        (profile.pilot_diameter / 2, (pocket.shoulder, pocket.exit)),
    ):
        for end in ends:
            found += [plus(end, aside, radius), plus(end, aside, -radius)]
    found += [
        plus(pocket.mouth, frame.inward, sign * profile.bit_diameter / 2 / frame.sine) for sign in (1, -1)
    ]
    return min(found, key=plane.depth)


def _from_mouth(piece: Piece, row: Row, pocket: Pocket, plane: Plane) -> tuple[Vector, Vector]:
    """From the rim of a mouth to a side of its part, square to that side."""
    out = dot(plane.normal, row.frame.across)
    rim = plus(
        pocket.mouth, row.frame.across, (1 if out > 0 else -1) * piece.settings.profile.bit_diameter / 2
    )
    return rim, plus(rim, row.frame.across, plane.depth(rim) / out)


def _nearest(point: Vector, body: Body) -> Plane:
    return min(body.planes.values(), key=lambda plane: abs(plane.depth(point)))


def _names(piece: Piece, items: Iterable[Item], screw: Screw, on_paper: object, room: Room) -> list[Item]:
    """The names of the two parts of a cut, beside it."""
    assert callable(on_paper)
    pocket = screw.pocket
    frame = piece.row_frame(pocket.join, pocket.row)
    assert frame is not None
    inside = plus(plus(pocket.mouth, frame.inward, -0.9), frame.face.normal, -0.35 * frame.thickness)
    behind = plus(plus(pocket.exit, frame.inward, 0.3), frame.face.normal, 0.2 * frame.thickness)
    xs = [x for item in items if isinstance(item, Line) for x, _ in item.points]
    ys = [y for item in items if isinstance(item, Line) for _, y in item.points]
    labels = [
        Label(visible(pocket.part.name), on_paper(inside)),
        Label(visible(pocket.into.name), on_paper(behind)),
    ]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], min(ys) - 6, max(ys) + 6)
    return margin_labels(labels, margins)


# ---------------------------------------------------------------- looking at a face


def face_close_up(
    piece: Piece, row: Row, room: Room, measure: Measure, between: tuple[Vector, Vector] | None = None
) -> CloseUp:
    """The drilled face at a joint, its mouths, and a distance on it."""
    frame = row.frame
    view = parallel("face", frame.face.normal, frame.inward)
    bodies = [piece.body(row.part), piece.body(row.into)]
    radius = piece.settings.profile.bit_diameter / 2
    points = [plus(frame.base, frame.across, at) for at in (0.0, frame.high)]
    points += [pocket.tail for pocket in row.pockets] + list(between or ())
    xs, ys = zip(*map(view.flat, points), strict=True)
    window = min(xs) - 1.2, min(ys) - 1.0, max(xs) + 1.2, max(ys) + 1.6
    on = fitted_usual(window, (room[0] + 26, room[1] + 16, room[2] - 26, room[3] - 12), row.unit, 50.8)
    items = cropped(bodies, view, on, window)
    for pocket in row.pockets:
        x, y = view.flat(pocket.mouth)
        mouth = tuple(on.on_paper((x + u, y + v)) for u, v in ring((0, 0), radius, radius / frame.sine, 32))
        items += [Area("bore", mouth), Line("seen", mouth, closed=True)]
        items.append(
            Line(
                "axis",
                tuple(on.on_paper(view.flat(p)) for p in (pocket.tail, plus(pocket.exit, frame.inward, 0.3))),
            )
        )
    if between is not None:
        a, b = (on.on_paper(view.flat(p)) for p in between)
        top = min(y for item in items if isinstance(item, Line) for _, y in item.points)
        level = min(a[1], b[1])
        over = level - top + 6.0
        items += _measured(a, b, measure, over if b[0] > a[0] else -over, *_foot(items, room))
    items += _face_names(row, view, on, room, items)
    return CloseUp(f"The {row.asked.face.value} of {visible(row.part.name)}, {scale_words(on.scale)}", items)


def _face_names(row: Row, view: View, on: Frame, room: Room, items: Sequence[Item]) -> list[Item]:
    frame = row.frame
    middle = plus(frame.base, frame.across, frame.high / 2)
    mine = on.on_paper(view.flat(plus(plus(middle, frame.inward, -0.35), frame.across, -frame.high * 0.45)))
    theirs = on.on_paper(view.flat(plus(plus(middle, frame.inward, 0.35), frame.across, -frame.high * 0.45)))
    xs = [x for item in items if isinstance(item, Line) for x, _ in item.points]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], room[1], room[3])
    return margin_labels(
        [Label(visible(row.part.name), mine), Label(visible(row.into.name), theirs)], margins
    )


def cropped(
    bodies: Iterable[Body],
    view: View,
    on: Frame,
    window: tuple[float, float, float, float],
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


def inside(a: Flat, b: Flat, window: tuple[float, float, float, float]) -> tuple[Flat, Flat] | None:
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


# ---------------------------------------------------------------- from outside


def eye_close_up(piece: Piece, row: Row, room: Room) -> CloseUp:
    """The piece from the eye that sees the most of a row's mouths."""
    seen = [(piece.sight(pocket), pocket) for pocket in row.pockets if piece.in_sight(pocket)]
    sight, pocket = max(seen, key=lambda each: each[0].share)
    assert sight.eye is not None
    view = from_eye(sight.eye, pocket.mouth)
    shown = drawn(piece.bodies, view, (room[0] + 4, room[1] + 4, room[2] - 4, room[3] - 4), hidden=False)
    frame, radius = row.frame, piece.settings.profile.bit_diameter / 2
    items = list(shown.items)
    for _, each in seen:
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
    items: list[Item] = _filled(near, view, on, window, sorted(in_way))
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
        spot = _shows_in(body, view, window)
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


def _shows_in(body: Body, view: View, window: tuple[float, float, float, float]) -> Flat | None:
    """A place of a body in a window of a view: the middle of what is in it, or ``None`` where nothing is."""
    flats = [view.flat(corner) for face in faces(body) for corner in face.corners]
    xs, ys = zip(*flats, strict=True)
    left, low = max(min(xs), window[0]), max(min(ys), window[1])
    right, high = min(max(xs), window[2]), min(max(ys), window[3])
    return ((left + right) / 2, (low + high) / 2) if left < right and low < high else None


def _filled(
    bodies: Sequence[Body],
    view: View,
    on: Frame,
    window: tuple[float, float, float, float],
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


# ---------------------------------------------------------------- parts that do not lie right


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
    items = [*_filled(bodies, view, on, window), *cropped(bodies, view, on, window)]
    if far * on.scale > 0.3:
        items += _measured(on.on_paper((x, y)), on.on_paper((p, q)), measure, 12.0, *_foot(items, room))
    labels = [
        Label(visible(body.part.name), on.on_paper(spot))
        for body in bodies
        if (spot := _shows_in(body, view, window)) is not None
    ]
    margins = Margins(
        room[0], on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0], room[2], room[1], room[3]
    )
    items += margin_labels(labels[: margins.holds(SIZE)], margins)
    larger = on.scale / 25.4
    said = f"drawn {larger:.2g} times its size" if larger > 1.05 else scale_words(on.scale)
    return CloseUp(f"The place, {said}", items)


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


# ---------------------------------------------------------------- measures


def _measured(a: Flat, b: Flat, measure: Measure, off: float, x: float, base: float) -> list[Item]:
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


def _under(section: Section, room: Room) -> tuple[float, float]:
    """Where the words of a measure stand under a cut: their middle and their foot."""
    _, low = section.frame.on_paper((0.0, section.window[1]))
    return (room[0] + room[2]) / 2, min(low + 16.0, room[3] - 2)


def _foot(items: Sequence[Item], room: Room) -> tuple[float, float]:
    """The same under what is drawn already."""
    low = max((y for item in items if isinstance(item, Line) for _, y in item.points), default=room[3])
    return (room[0] + room[2]) / 2, min(low + 16.0, room[3] - 2)


def _inner(room: Room) -> Room:
    return room[0] + 26, room[1] + 12, room[2] - 26, room[3] - 12
