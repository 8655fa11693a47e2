"""What is wrong inside the wood or on a drilled face: cuts along a bore, and looks at the face, with the measure."""

from collections.abc import Sequence
from math import copysign, hypot

from planlint.checks.bore_cover import Tight
from planlint.checks.row_view import Row
from planlint.drawings.close_ups import NO_MEASURE, Between, CloseUp, DetailView, Measure, mouth_rim
from planlint.drawings.drawn_view import Room
from planlint.drawings.joined_wood import floats
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.primitives import Area, Item, Line
from planlint.drawings.view_window import in_window
from planlint.drawings.viewpoints import parallel
from planlint.drawings.wood_section import WoodSection, along_bore
from planlint.geometry.drilling.screw_choice import neck
from planlint.geometry.joint_facts import Pocket, Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Plane
from planlint.geometry.shapes.flat_shapes import flat_unit
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, unit
from planlint.model.directions import Side
from planlint.model.plan import Removal
from planlint.reports.safe_words import visible
from planlint.text.rounding import ROUNDING


def tip_close_up(piece: Piece, row: Row, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The wood between the end of a screw and the outside of what takes it; beside the row, on the drilled face."""
    section = along_bore(piece, screw, room)
    cover, at = piece.tip_cover(screw)
    into = piece.body(screw.pocket.into)
    # What is glued to its face is one wood with it: the outside may be that of another part.
    outer = [
        body.planes[at] for body in (into, *(layer.body for layer in into.layers)) if isinstance(at, Side)
    ]
    for plane in outer:
        start = next((p for p in _ends(screw, plane) if abs(plane.depth(p) - cover) < 2e-3), None)
        if start is not None:
            foot = plus(start, plane.normal, plane.depth(start))
            if hypot(*section.view.flat(plane.normal)) < 0.5:
                return face_close_up(piece, row, room, measure, (start, foot), near=True)
            return distance_close_up(piece, screw, (start, foot), room, measure)
    return screw_close_up(piece, screw, room, measure, screw.tip)


def _ends(screw: Screw, plane: Plane) -> list[Vector]:
    """The point of a screw and the place of its shank's end that comes nearest to a plane."""
    axis, waist = screw.pocket.direction, neck(screw)
    out = plus(plane.normal, axis, -dot(plane.normal, axis))
    if norm(out) < ROUNDING:
        return [screw.tip]
    return [screw.tip, plus(waist, unit(out), screw.diameter / 2)]


def distance_close_up(
    piece: Piece,
    screw: Screw,
    between: tuple[Vector, Vector],
    room: Room,
    measure: Measure,
    *,
    beside: bool = False,
    what: str = "screw",
) -> CloseUp:
    """A distance in a cut along a screw or its bore; ``beside`` the end of the screw where it would lie on that."""
    section = along_bore(piece, screw, room)
    around = _around(section)
    a, b = map(section.at, between)
    section.measured(a, b, measure, copysign(6.0, section.at(screw.tip)[0] - a[0]) if beside else 0.0)
    return _cut_along(what, section, screw, around, between)


def length_close_up(piece: Piece, screw: Screw, long: float, room: Room, measure: Measure) -> CloseUp:
    """So much of a screw from its point: all of it, or what lies in the wood that takes it."""
    head = plus(screw.tip, screw.pocket.direction, -long)
    return distance_close_up(piece, screw, (head, screw.tip), room, measure)


def screw_close_up(
    piece: Piece, screw: Screw, room: Room, measure: Measure = NO_MEASURE, at: Vector | None = None
) -> CloseUp:
    """A screw and the wood round it; what is measured that is no distance is said at a place, else at its thread."""
    section = along_bore(piece, screw, room)
    around = _around(section)
    section.called_out(
        section.at(at or plus(screw.tip, screw.pocket.direction, -0.3 * screw.length)), measure
    )
    return _cut_along("screw", section, screw, around)


def grain_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """A screw and the angle between it and the fibres of the wood that takes it."""
    section = along_bore(piece, screw, room)
    around = _around(section)
    way = section.view.flat(screw.pocket.direction)
    grain = section.view.flat(piece.body(screw.pocket.into).grain)
    if way[0] * grain[0] + way[1] * grain[1] < 0:
        grain = -grain[0], -grain[1]
    if hypot(*grain) <= 0.8 or piece.body(screw.pocket.into).part.stock.material.panel:
        return screw_close_up(piece, screw, room, measure, screw.tip)
    section.angle(section.at(screw.pocket.exit), (way[0], -way[1]), (grain[0], -grain[1]), measure)
    return _cut_along("screw", section, screw, around)


def _around(section: WoodSection) -> Margins:
    """The room for names beside what is drawn of a cut so far."""
    xs, ys = zip(*(at for item in section.items if isinstance(item, Line) for at in item.points), strict=True)
    left, right = section.room[0], section.room[2]
    return Margins(left, min(xs) - 1, max(xs) + 1, right, min(ys) - 6, max(ys) + 6)


def _cut_along(
    what: str, section: WoodSection, screw: Screw, around: Margins, between: Between | None = None
) -> CloseUp:
    section.items += margin_labels(section.names_of(screw.pocket.part, screw.pocket.into), around)
    return section.close_up(f"Cut along the {what}", between)


def thickness_close_up(piece: Piece, screw: Screw, room: Room, measure: Measure) -> CloseUp:
    """The thickness of the stock that a pocket is drilled in."""
    frame = piece.row_frame(screw.pocket.join, screw.pocket.row)
    assert frame is not None
    top = plus(screw.pocket.tail, frame.inward, -0.3)
    foot = plus(top, frame.face.normal, -frame.thickness)
    return distance_close_up(piece, screw, (foot, top), room, measure)


def bore_close_up(piece: Piece, tight: Tight, room: Room, measure: Measure) -> CloseUp:
    """The wood beside a bore or its pilot: in a cut along it where that shows it, else looking at the drilled face."""
    row, pocket, near = tight.row, tight.pocket, tight.wood
    screw = row.screws[row.pockets.index(pocket)]
    beside = None
    if isinstance(near.at, str):
        point, foot, beside = _to_cut(piece, tight)
    else:
        plane = piece.body(row.part).planes[near.at]
        flat = abs(dot(plane.normal, row.frame.across)) > 0.6
        if flat and near.what == "bore":
            return face_close_up(piece, row, room, measure, _from_mouth(piece, row, pocket, plane))
        point = _deepest(piece, tight, plane)
        foot = plus(point, plane.normal, plane.depth(point))
        if flat:
            return face_close_up(piece, row, room, measure, (point, foot))
    if beside is not None:
        return face_close_up(piece, row, room, measure, (point, foot), cut=beside)
    return distance_close_up(piece, screw, (point, foot), room, measure, what="bore")


def _to_cut(piece: Piece, tight: Tight) -> tuple[Vector, Vector, Removal | None]:
    """From the rim of a bore or its pilot to the nearest wall of what is cut out of its part, one place where its axis
    runs into that; and that cut where it lies beside the bore on the drilled face: else it shows in a cut along it."""
    row, pocket, profile = tight.row, tight.pocket, piece.settings.profile
    body, bored = piece.body(row.part), tight.wood.what == "bore"
    start, end = (pocket.mouth, pocket.shoulder) if bored else (pocket.shoulder, pocket.exit)
    radius = (profile.bit_diameter if bored else profile.pilot_diameter) / 2
    axis = [plus(start, minus(end, start), n / 24) for n in range(25)]
    found = []
    for removal in row.part.removals:
        if removal.kind != tight.wood.at:
            continue
        low, high = ([float(each) for each in corner] for corner in (removal.low, removal.high))
        wide, deep = (
            sum(abs(x) * (b - a) for x, a, b in zip(body.direction_to_own(way), low, high, strict=True))
            for way in (row.frame.across, row.frame.inward)
        )
        for at in axis:
            own = body.to_own(at)
            x, y, z = (min(max(own[i], low[i]), high[i]) for i in range(3))
            wall = body.to_piece((x, y, z))
            found.append((norm(minus(wall, at)), at, wall, removal if wide < deep else None))
    if not found:
        return start, start, None
    far, at, wall, beside = min(found, key=lambda each: each[0])
    return (at if far < ROUNDING else plus(at, minus(wall, at), min(1.0, radius / far))), wall, beside


def _deepest(piece: Piece, tight: Tight, plane: Plane) -> Vector:
    """The place of a bore or of its pilot in the plane of its axis that comes nearest to a side."""
    profile, frame, pocket = piece.settings.profile, tight.row.frame, tight.pocket
    aside = cross(frame.across, pocket.direction)
    if abs(dot(plane.normal, frame.across)) > 0.6:
        aside = frame.across
    bored = tight.wood.what == "bore"
    radius = (profile.bit_diameter if bored else profile.pilot_diameter) / 2
    ends = (pocket.shoulder,) if bored else (pocket.shoulder, pocket.exit)
    found = [plus(end, aside, sign * radius) for end in ends for sign in (1, -1)]
    if bored:
        found += [plus(pocket.mouth, frame.inward, sign * radius / frame.sine) for sign in (1, -1)]
    return min(found, key=plane.depth)


def _from_mouth(piece: Piece, row: Row, pocket: Pocket, plane: Plane) -> tuple[Vector, Vector]:
    """From the place of a mouth's rim that comes nearest to a side of its part, square to that side."""
    frame, radius = row.frame, piece.settings.profile.bit_diameter / 2
    long = radius / frame.sine
    u, v = flat_unit(long * dot(frame.inward, plane.normal), radius * dot(frame.across, plane.normal))
    rim = plus(plus(pocket.mouth, frame.inward, long * u), frame.across, radius * v)
    return rim, plus(rim, plane.normal, plane.depth(rim))


def face_close_up(
    piece: Piece,
    row: Row,
    room: Room,
    measure: Measure,
    between: tuple[Vector, Vector] | None = None,
    *,
    near: bool = False,
    cut: Removal | None = None,
) -> CloseUp:
    """The drilled face at a joint, its mouths, and a distance on it; of a long joint only what is ``near`` that.
    What was ``cut`` out of the part is toned and named."""
    frame = row.frame
    view = parallel("face", frame.face.normal, frame.inward)
    bodies = [piece.body(row.part), piece.body(row.into)]
    radius = piece.settings.profile.bit_diameter / 2
    points = [plus(frame.base, frame.across, at) for at in (0.0, frame.high)]
    points += [pocket.tail for pocket in row.pockets] + list(between or ())
    xs, ys = zip(*map(view.flat, points), strict=True)
    window = min(xs) - 1.2, min(ys) - 1.0, max(xs) + 1.2, max(ys) + 1.6
    if near and between is not None:
        ends = sorted(view.flat(point)[0] for point in between)
        around = max(1.5, 0.25 * (ends[1] - ends[0]))
        window = max(window[0], ends[0] - around), window[1], min(window[2], ends[1] + around), window[3]
    shown = DetailView.through(view, window, room, row.unit, 50.8, (26, 16, 26, 12))
    more: list[Label] = []
    if cut is not None:
        (a, b), (c, d) = (view.flat(bodies[0].to_piece(floats(corner))) for corner in (cut.low, cut.high))
        shape = in_window(((a, b), (c, b), (c, d), (a, d)), window)
        if shape:
            shown.items.append(Area("in the way", tuple(map(shown.on.on_paper, shape))))
            (left, low), (right, high) = (
                map(min, zip(*shape, strict=True)),
                map(max, zip(*shape, strict=True)),
            )
            place = shown.on.on_paper(((left + right) / 2, low + 0.1 * (high - low)))
            more.append(Label(cut.kind, place, "fault", True))
    shown.draw(bodies)
    for pocket in row.pockets:
        x, _ = view.flat(pocket.mouth)
        if not window[0] < x - radius < x + radius < window[2]:
            continue
        mouth, axis = shown.shape(mouth_rim(row, pocket)), (pocket.tail, plus(pocket.exit, frame.inward, 0.3))
        shown.items += [
            Area("bore", mouth),
            Line("seen", mouth, closed=True),
            Line("axis", shown.shape(axis)),
        ]
    if between is not None:
        shown.distance(between, measure)
    shown.items += _face_names(row, shown, more)
    return shown.close_up(f"The {row.asked.face.value} of {visible(row.part.name)}", between)


def _face_names(row: Row, shown: DetailView, more: Sequence[Label]) -> list[Item]:
    frame, view, on, room, window = row.frame, shown.view, shown.on, shown.room, shown.window
    wide = 0.12 * (window[2] - window[0])
    edge = view.flat(plus(frame.base, frame.across, 0.05 * frame.high))[0]
    edge = min(max(edge, window[0] + wide), window[2] - wide)
    level = view.flat(frame.base)[1]
    places = [on.on_paper((edge, level + off)) for off in (-0.35, 0.35)]
    sides = on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0]
    margins = Margins(room[0], sides[0] - 1, sides[1] + 1, room[2], room[1], room[3])
    names = (row.part.name, row.into.name)
    labels = [Label(visible(name), at) for name, at in zip(names, places, strict=True)]
    return margin_labels([*labels, *more], margins)
