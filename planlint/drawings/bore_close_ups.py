"""What is wrong inside the wood or on a drilled face: cuts along a bore, and looks at the face, with the measure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

from planlint.checks.row_view import Row
from planlint.drawings.close_ups import CloseUp, Measure, cropped, inner, measured, under_it
from planlint.drawings.drawn_view import Room
from planlint.drawings.ink import Area, Frame, Item, Line, fitted_usual, ring, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.viewpoints import View, parallel
from planlint.drawings.wood_section import Section, along_bore
from planlint.geometry.facts import Pocket, Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.vectors import cross, dot, plus
from planlint.reports.safe_words import visible


def tip_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The wood before the point of a screw."""
    section = along_bore(piece, screw.pocket, screw, inner(room))
    body = piece.body(screw.pocket.into)
    _, at = piece.tip_cover(screw)
    plane = body.planes[at] if not isinstance(at, str) else _nearest(screw.tip, body)
    items = list(section.items)
    out = section.view.flat(plane.normal)
    foot = plus(screw.tip, plane.normal, plane.depth(screw.tip))
    if hypot(*out) > 0.5:
        items += measured(
            section.on_paper(screw.tip), section.on_paper(foot), measure, 12.0, *under(section, room)
        )
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
        (screw.tip, foot),
    )


def grip_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The length of a screw that lies in the wood that takes it."""
    section = along_bore(piece, screw.pocket, screw, inner(room))
    items = list(section.items)
    direction = screw.pocket.direction
    grip = piece.grip(screw)
    a, b = plus(screw.tip, direction, -grip), screw.tip
    if grip > 0.01:
        items += measured(section.on_paper(a), section.on_paper(b), measure, -9.0, *under(section, room))
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
        (a, b),
    )


def screw_close_up(piece: Piece, screw: Screw, room: Room) -> CloseUp:
    """A screw and the wood round it, without a distance."""
    section = along_bore(piece, screw.pocket, screw, inner(room))
    items = list(section.items)
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
    )


def thickness_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The thickness of the stock that a pocket is drilled in."""
    section = along_bore(piece, screw.pocket, screw, inner(room))
    frame = piece.row_frame(screw.pocket.join, screw.pocket.row)
    assert frame is not None
    top = plus(screw.pocket.tail, frame.inward, -0.3)
    foot = plus(top, frame.face.normal, -frame.thickness)
    items = [
        *section.items,
        *measured(section.on_paper(foot), section.on_paper(top), measure, 9.0, *under(section, room)),
    ]
    return CloseUp(
        f"Cut along the screw, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
        (foot, top),
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
    section = along_bore(piece, pocket, screw, inner(room))
    point = _deepest(piece, row, pocket, plane)
    foot = plus(point, plane.normal, plane.depth(point))
    items = [
        *section.items,
        *measured(section.on_paper(point), section.on_paper(foot), measure, 9.0, *under(section, room)),
    ]
    return CloseUp(
        f"Cut along the bore, {scale_words(section.frame.scale)}",
        [*items, *_names(piece, section.items, screw, section.on_paper, room)],
        (point, foot),
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


def under(section: Section, room: Room) -> tuple[float, float]:
    """Where the words of a measure stand under a cut: their middle and their foot."""
    _, low = section.frame.on_paper((0.0, section.window[1]))
    return (room[0] + room[2]) / 2, min(low + 16.0, room[3] - 2)


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
        items += measured(a, b, measure, over if b[0] > a[0] else -over, *under_it(items, room))
    items += _face_names(row, view, on, room, items)
    return CloseUp(
        f"The {row.asked.face.value} of {visible(row.part.name)}, {scale_words(on.scale)}", items, between
    )


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
