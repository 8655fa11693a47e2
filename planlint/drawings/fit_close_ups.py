"""Parts that do not come together: a gap, wood in the place of other wood, a step, a cut that does not fit."""

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from math import dist, inf

from planlint.checks.guard_gap import Gaps
from planlint.checks.loose_end import LooseEnd
from planlint.checks.open_at_taper import OpenAtTaper
from planlint.checks.placement_faults import LyingPast
from planlint.checks.poor_fit import PoorFit
from planlint.checks.stepped_face import FaceStep, UnlikeMitre
from planlint.checks.uneven_feet import UnevenFeet
from planlint.drawings.close_ups import ByFact, CloseUp, DetailView, Measure
from planlint.drawings.drawn_view import Room
from planlint.drawings.parts_alone import joint_at, looked_along, parts_alone, side_middle
from planlint.drawings.primitives import Area, Line, scale_words
from planlint.drawings.true_edges import faces
from planlint.drawings.view_window import HAIR, Window
from planlint.drawings.viewpoints import SeenAt, View
from planlint.geometry.joint_facts import Overlap, Vector
from planlint.geometry.let_in import channel, cut_box, in_frame_of, let_in, overlap_of, runs_in
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import AXES, cross, dot, minus, norm, plus, scaled
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.placement.askew_sides import OffLevel
from planlint.placement.placement_results import Misfit
from planlint.rulebook.limits import NIL
from planlint.text.measures import length
from planlint.text.rounding import ALIGNED, ROUNDING

_BESIDE = 0.0, 10.0, 0.0, 12.0
"""Millimetres of a room left free of names."""


def gap_close_up(
    piece: Piece,
    parts: Sequence[Part],
    between: tuple[Vector, Vector],
    along: Vector,
    room: Room,
    measure: Measure,
    aside: float = 0.0,
    *,
    wanted: bool = False,
) -> CloseUp:
    """A distance between two parts that should not be there, seen along a direction, as large as it takes to be
    seen; wood that both claim in another tone. Where a place is ``wanted`` it is the second, and dashed."""
    a, b = between
    far = norm(minus(b, a))
    view = looked_along(along)
    bodies = [piece.body(part) for part in parts]
    around = min(3.0, *(max(body.size) for body in bodies))
    if far > ROUNDING:
        around = max(1.6 * far, min(1.2, 8 * far + 0.1))
    (x, y), (p, q) = view.flat(a), view.flat(b)
    middle = (x + p) / 2, (y + q) / 2
    window = middle[0] - around, middle[1] - around * 0.7, middle[0] + around, middle[1] + around * 0.7
    shown = _large(view, window, room, piece.plan.unit)
    on = shown.on.on_paper
    shown.fill(bodies)
    shared = list(_shared(bodies, shown))
    shown.items += [Area("in the way", shape) for shape in shared]
    shown.draw(bodies)
    if wanted and far > ROUNDING:
        u, v = (q - y) / far * around, -(p - x) / far * around
        shown.items.append(Line("unknown", (on((p - u, q - v)), on((p + u, q + v)))))
    if far > ROUNDING:
        shown.measured(on((x, y)), on((p, q)), measure, aside)
    elif shared:
        shown.called_out(on(middle), measure)
    else:
        shown.items.append(_touching(bodies, shown, a))
    shown.beside(shown.names(bodies), _BESIDE)
    larger = shown.on.scale / 25.4
    said = f"drawn {larger:.2g} times its size" if larger > 1.05 else scale_words(shown.on.scale)
    return CloseUp(f"The place, {said}", shown.items, (a, b) if far > ROUNDING else None)


def _large(view: View, window: Window, room: Room, unit: str) -> DetailView:
    return DetailView.through(view, window, room, unit, 25.4 * 20, (24, 14, 24, 16))


def _shared(bodies: Sequence[Body], shown: DetailView) -> Iterator[tuple[SeenAt, ...]]:
    """What two parts share, as a window sees it, on paper; not known of turned and slanted ones."""
    if len(bodies) != 2 or any(body.rotation is not None or not body.square for body in bodies):
        return
    ones, others = (
        [Box(plus(body.origin, low), plus(body.origin, high)) for (low, high), _ in body.own_cells]
        for body in bodies
    )
    for one, other in product(ones, others):
        both = overlap_of(one, other)
        if both is not None:
            (a, b), (c, d) = map(shown.view.flat, both)
            if shape := shown.clipped(((a, b), (c, b), (c, d), (a, d))):
                yield shape


def _touching(bodies: Sequence[Body], shown: DetailView, at: Vector) -> Line:
    """The line in which two parts touch at a place, seen from its side."""
    window = shown.window
    one, other = (body.bounds for body in bodies)
    spans = [(a, b) if b > a else (here, here) for here, a, b in zip(at, *one.common(other), strict=True)]
    ends = [shown.view.flat((x, y, z)) for x, y, z in zip(*spans, strict=True)]
    kept = [(min(max(x, window[0]), window[2]), min(max(y, window[1]), window[3])) for x, y in ends]
    return Line("fault", tuple(map(shown.on.on_paper, kept)))


# ---------------------------------------------------------------- kinds


def misfit_close_up(piece: Piece, fact: Misfit, room: Room, measure: Measure) -> CloseUp:
    """The place where a ring of joins does not close."""
    side = fact.join.side_a if fact.placing is None else fact.placing.side
    body = piece.body(fact.join.part_a)
    at = joint_at(piece, fact.join)
    if side is not None:
        plane = body.planes[side]
        at = plus(at, plane.normal, plane.depth(at))
    way = scaled(fact.direction, 1.0)
    end = plus(at, way, float(fact.amount))
    along = _third(piece, fact.join, way)
    if fact.placing is None:
        return gap_close_up(piece, fact.join.parts, (at, end), along, room, measure)
    found = gap_close_up(piece, fact.join.parts, (at, end), along, room, measure, -16.0, wanted=True)
    return found._replace(title=f"{found.title}; dashed where the line puts it")


def uneven_close_up(piece: Piece, fact: UnevenFeet, room: Room, measure: Measure) -> CloseUp:
    """A foot, and how far above or below it the others end."""
    low, high = piece.body(fact.parts[0]).bounds
    foot = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2]
    level = plus(foot, AXES[2], -fact.by)
    found = gap_close_up(piece, fact.parts[:1], (foot, level), AXES[1], room, measure, wanted=True)
    return found._replace(title=f"{found.title}; dashed where the others end")


def foot_close_up(piece: Piece, fact: OffLevel, room: Room, measure: Measure) -> CloseUp:
    """A foot from the side to which it leans, on the floor that it should lie flat on."""
    body = piece.body(fact.part)
    foot = sorted(_side_corners(body, fact.end), key=lambda corner: corner[2])
    low, high = foot[0], foot[-1]
    far = norm(minus(high, low))
    view = looked_along(cross(minus(high, low), AXES[2]))
    (x, y), (p, q) = view.flat(low), view.flat(high)
    window = min(x, p) - 0.6 * far, y - 0.4 * far, max(x, p) + 0.6 * far, y + 1.2 * far
    shown = _large(view, window, room, piece.plan.unit)
    on = shown.on.on_paper
    shown.fill([body])
    shown.draw([body])
    shown.items.append(Line("unknown", (on((window[0], y)), on((window[2], y)))))
    shown.angle(on((x, y)), (1.0 if p > x else -1.0, 0.0), (p - x, y - q), measure)
    shown.beside(shown.names([body]), _BESIDE)
    found = shown.close_up("The foot")
    return found._replace(title=f"{found.title}; dashed where the floor is")


def _side_corners(body: Body, side: Side) -> list[Vector]:
    """The corners of the wood at a side, as that is cut."""
    normal = body.planes[side].normal
    return [corner for face in faces(body) if dot(face.normal, normal) > ALIGNED for corner in face.corners]


def taper_close_up(piece: Piece, fact: OpenAtTaper, room: Room, measure: Measure) -> CloseUp:
    """How far a leg has tapered away where what meets it ends."""
    body, axis, side = piece.body(fact.host), fact.taper.long_at.axis, fact.taper.end
    at = list(body.to_own(joint_at(piece, fact.join)))
    at[axis] = body.size[axis] - fact.past if fact.taper.long_at.sign > 0 else fact.past
    at[side.axis] = body.size[side.axis] if side.sign > 0 else 0.0
    a, b = map(body.to_piece, _pair(at, side.axis, at[side.axis], at[side.axis] - side.sign * fact.open))
    along = cross(minus(b, a), body.along(axis))
    return gap_close_up(piece, (fact.host, fact.other), (a, b), along, room, measure)


def mitre_close_up(piece: Piece, fact: UnlikeMitre, room: Room, measure: Measure) -> CloseUp:
    """The inner ends of two cuts that are not as long as one another."""
    inner = []
    for part, side in fact.join.sides:
        body, cut = piece.body(part), part.cut_at(side)
        assert cut is not None
        short = scaled(body.along(cut.long_at.axis), -cut.long_at.sign)
        corners = _side_corners(body, side)
        reach = max(dot(short, corner) for corner in corners)
        inner.append(middle([corner for corner in corners if dot(short, corner) > reach - ROUNDING]))
    face = piece.body(fact.join.part_a).along(fact.join.part_a.facing.axis)
    return gap_close_up(piece, fact.join.parts, (inner[0], inner[1]), face, room, measure)


def _third(piece: Piece, join: Join, way: Vector) -> Vector:
    """The direction along which both a way and the sides of a join are seen from their edge."""
    normal = piece.body(join.part_a).planes[join.side_a].normal
    square = cross(way, normal)
    if norm(square) > 0.1:
        return square
    # The way is that of the joint itself: along the axis that shows A's sides, the front one first.
    return min((AXES[n] for n in (1, 0, 2)), key=lambda axis: round(abs(dot(axis, way)), 6))


def opening_close_up(piece: Piece, fact: Gaps, room: Room, measure: Measure) -> CloseUp:
    """The widest opening of a guard, between the bars beside it."""
    for one, other in combinations(fact.bars, 2):
        a, b = piece.body(one).bounds, piece.body(other).bounds
        for axis in Axis:
            if abs(max(a.low[axis] - b.high[axis], b.low[axis] - a.high[axis]) - fact.openings[0].size) < NIL:
                thin = [inf if n is axis else max(a.high[n] - a.low[n], b.high[n] - b.low[n]) for n in Axis]
                along = AXES[thin.index(min(thin))]
                return gap_close_up(piece, (one, other), _across(a, b, axis), along, room, measure)
    return parts_alone(piece, fact.bars, room, measure=measure)


def _across(one: Box, other: Box, axis: Axis) -> tuple[Vector, Vector]:
    """The two places between which two boxes lie apart on an axis."""
    middle = [(low + high) / 2 for low, high in zip(*one.common(other), strict=True)]
    above = one.low[axis] > other.high[axis]
    ends = (one.low, other.high) if above else (one.high, other.low)
    return _pair(middle, axis, *(end[axis] for end in ends))


def apart_close_up(piece: Piece, fact: LyingPast, room: Room, measure: Measure) -> CloseUp:
    """Two parts that lie past one another."""
    join = fact.join
    if fact.away <= ROUNDING:
        return parts_alone(piece, join.parts, room, [joint_at(piece, join)])
    one, other = (piece.body(part).bounds for part in join.parts)
    axis = fact.axis
    third = next((n for n in (1, 0, 2) if n not in {axis, join.side_a.axis}), 1)
    return gap_close_up(piece, join.parts, _across(one, other, axis), AXES[third], room, measure)


def overlap_close_up(piece: Piece, fact: Overlap, room: Room, measure: Measure) -> CloseUp:
    """Wood in the place of other wood, and the shortest way out of it."""
    bodies = piece.body(fact.part_a), piece.body(fact.part_b)
    one, other = (body.bounds for body in bodies)
    low, high = one.common(other)
    at = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2
    found: list[tuple[float, Plane, float]] = []
    for body, against in (bodies, bodies[::-1]):
        corners = [corner for face in faces(against) for corner in face.corners]
        for plane in body.planes.values():
            deepest = min(dot(plane.normal, corner) for corner in corners)
            found.append((abs(plane.offset - deepest - fact.depth), plane, deepest))
    off, plane, deepest = min(found, key=lambda each: (round(each[0], 6), each[1]))
    if off > 1 / 32:  # What lies in it is let in, and no solid of a part.
        thin = min((1, 0, 2), key=lambda n: high[n] - low[n])
        along = AXES[max((n for n in (1, 0, 2) if n != thin), key=lambda n: high[n] - low[n])]
        return gap_close_up(piece, (fact.part_a, fact.part_b), (at, at), along, room, measure)
    a = plus(at, plane.normal, deepest - dot(plane.normal, at))
    b = plus(at, plane.normal, plane.depth(at))
    wide = [high[i] - low[i] if abs(plane.normal[i]) < 0.7 else -1.0 for i in range(3)]
    along = AXES[max((1, 0, 2), key=lambda n: wide[n])]
    return gap_close_up(piece, (fact.part_a, fact.part_b), (a, b), along, room, measure)


def loose_close_up(piece: Piece, fact: LooseEnd, room: Room, measure: Measure) -> CloseUp:
    """An end and the wood that it looks at."""
    body = piece.body(fact.part)
    at = side_middle(body, fact.side)
    normal = body.planes[fact.side].normal
    end = plus(at, normal, fact.gap if fact.gap > HAIR else 0.0)
    along = min((AXES[n] for n in (1, 0, 2)), key=lambda axis: round(abs(dot(axis, normal)), 6))
    return gap_close_up(piece, (fact.part, fact.other), (at, end), along, room, measure)


def step_close_up(piece: Piece, join: Join, fact: FaceStep, room: Room, measure: Measure) -> CloseUp | None:
    """Two faces that should lie in one surface, from the side."""
    a, b = piece.body(join.part_a), piece.body(join.part_b)
    at = joint_at(piece, join)
    plane = a.planes[fact.side]
    gap = b.planes[fact.side].offset - plane.offset
    if abs(abs(gap) - abs(fact.step)) > 2e-3:
        return None
    on_a = plus(at, plane.normal, plane.depth(at))
    between = on_a, plus(on_a, plane.normal, gap)
    along = _third(piece, join, plane.normal)
    return gap_close_up(piece, join.parts, between, along, room, measure, aside=-6.0)


def fit_close_up(piece: Piece, fact: PoorFit, room: Room, measure: Measure) -> CloseUp:
    """A cut, or the wood of a lap, and what should lie in it."""
    join, host = fact.join, piece.body(fact.host)
    parts = join.parts
    lies = let_in(join, piece.body(join.part_a), piece.body(join.part_b))
    if lies is None:
        return parts_alone(piece, parts, room, [joint_at(piece, join)])
    box, deep = lies.box, join.side_b.axis
    if fact.host is join.part_a:
        box = in_frame_of(box, piece.body(join.part_b), host)
    if fact.kind in {"missing", "other-face"}:
        own = plus(scaled(box.low, 0.5), box.high, 0.5)
        at, run = host.to_piece(own), host.along(channel(box, deep, fact.host.grain)[1])
        return gap_close_up(piece, parts, (at, at), run, room, measure)
    inside = [(box.low[i] + box.high[i]) / 2 for i in range(3)]
    if fact.removal is None:
        deep = fact.side.axis if fact.side is not None else deep
        across = next(axis for axis in Axis if axis is not deep)
        # What is left of one lies at one side of the place that they share, what is left of the other beyond it.
        runs = sorted(filter(None, (runs_in(piece.body(part), box, deep, host) for part in parts)))
        a, b = _pair(inside, deep, runs[0][-1][1], runs[-1][0][0])
        look = next(axis for axis in Axis if axis not in {deep, across})
    else:
        cut = cut_box(fact.removal)
        across, along = channel(cut, deep, fact.host.grain)
        if join.form is Form.LAP and fact.side is not None and fact.side.axis is along:
            across, along = along, across
        look = along
        if fact.kind == "shallow":
            bottom = cut.low[deep] if join.side_b.sign > 0 else cut.high[deep]
            a, b = _pair(inside, deep, bottom, bottom - join.side_b.sign * fact.amount)
        elif fact.kind == "short":
            look = across
            side = -1 if cut.low[along] - box.low[along] > box.high[along] - cut.high[along] else 1
            edge = cut.low[along] if side < 0 else cut.high[along]
            a, b = _pair(inside, along, edge, edge + side * fact.amount)
        elif fact.kind == "misplaced":
            low = box.low[across] < cut.low[across] - ROUNDING
            edge, end = (cut.low[across], box.low[across]) if low else (cut.high[across], box.high[across])
            a, b = _pair(inside, across, edge, end)
        else:
            edge = box.high[across] if abs(box.low[across] - cut.low[across]) < ROUNDING else box.low[across]
            wall = cut.high[across] if edge == box.high[across] else cut.low[across]
            a, b = _pair(inside, across, wall, edge)
    between = host.to_piece(a), host.to_piece(b)
    here = dist(a, b)
    if fact.kind == "wide" and here < fact.amount - NIL:  # There is play on both sides.
        measure = Measure(f"{length(here, piece.plan.unit)} here, {measure.found} in all", measure.limit)
        return gap_close_up(piece, parts, between, host.along(look), room, measure)._replace(between=None)
    return gap_close_up(piece, parts, between, host.along(look), room, measure)


def _pair(at: Sequence[float], axis: Axis, one: float, other: float) -> tuple[Vector, Vector]:
    a, b = list(at), list(at)
    a[axis], b[axis] = one, other
    return (a[0], a[1], a[2]), (b[0], b[1], b[2])


FITS: ByFact = {
    Misfit: misfit_close_up, UnevenFeet: uneven_close_up, OffLevel: foot_close_up,
    OpenAtTaper: taper_close_up, UnlikeMitre: mitre_close_up, LyingPast: apart_close_up,
    Overlap: overlap_close_up, Gaps: opening_close_up, PoorFit: fit_close_up, LooseEnd: loose_close_up,
}  # fmt: skip
