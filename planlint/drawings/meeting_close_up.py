"""Two screws, or a screw and a bore, that come too near one another: a cut that holds the first and their distance."""

from collections.abc import Iterator
from math import hypot

from planlint.checks.screws_meet import DriveMeets, LetInMeets, MeetsTenon, ScrewsMeet
from planlint.drawings.close_ups import ByFact, CloseUp, Measure
from planlint.drawings.drawn_view import Room
from planlint.drawings.margin_labels import Label
from planlint.drawings.parts_alone import looked_along
from planlint.drawings.primitives import Line, ring
from planlint.drawings.viewpoints import SeenAt, View, parallel
from planlint.drawings.wood_section import WoodSection, along_bore, screw_drawing
from planlint.geometry.drilling.screw_clashes import Rod, hull, meeting_box, solid, wood_between
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Cell, body_planes
from planlint.geometry.shapes.convex import Hull
from planlint.geometry.shapes.flat_shapes import outline
from planlint.geometry.shapes.polygons import clipped_by_all, middle
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, unit
from planlint.reports.safe_words import visible
from planlint.text.rounding import ROUNDING, STILL
from planlint.wording.meeting_words import let_in_name

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
    if norm(gap) < ROUNDING:
        gap = cross(along, unit(minus(second.end, second.start)))
    gap = plus(gap, along, -dot(gap, along))
    if norm(gap) < ROUNDING:
        return None
    gap = unit(gap)
    # Two that cross in the wood are seen to do so along the line between them; from the side one hides the other.
    wood_left = wood_between(first, second)
    crosses = wood_left < 0 and abs(dot(along, unit(minus(second.end, second.start)))) < 0.85
    toward = gap if crosses else cross(along, gap)
    view = parallel("meeting", toward, along if crosses else gap)
    x, y = view.flat(p)
    window = x - AROUND, y - AROUND * 0.8, x + AROUND, y + AROUND * 0.8
    section = WoodSection.through(view, window, room, piece.plan.unit, 76.2)
    section.cut(piece, p, piece.body(first.screw.pocket.part))
    labels = list[Label]()
    for rod in (first, second):
        if rod.what == "screw" and rod.screw.length <= LONG:
            section.items += screw_drawing(rod.screw, view, section.on)
        labels += _outlined(section, hull(_shortened(rod, p)), _named(rod, (first, second)))
    a, b = plus(p, gap, first.radius), plus(q, gap, -second.radius)
    # What tapers comes nearer than its axis tells: then only the words say how near.
    told = abs(norm(minus(b, a)) - abs(wood_left)) < 2e-3
    if told and not crosses and hypot(*view.flat(minus(b, a))) * section.on.scale > 0.02:
        section.distance((a, b), measure)
    else:
        section.called_out(section.at(scaled(plus(p, q), 0.5)), measure)
    section.beside(labels)
    return section.close_up("Cut along one of them", (a, b) if told else None)


def _in_one_cut(piece: Piece, first: Rod, second: Rod, room: Room, measure: Measure) -> CloseUp | None:
    """Two rods that lie in one plane square to the drilled face, as a cut along the first shows them."""
    screw = first.screw
    section = along_bore(piece, screw, room)
    off = [dot(minus(end, screw.pocket.exit), section.view.toward) for end in (second.start, second.end)]
    if max(map(abs, off)) > second.radius:
        return None
    both = first, second
    labels = [label for rod in both for label in _outlined(section, hull(rod), _named(rod, both))]
    if len(labels) < 2:
        return None
    p, q = nearest_points(first, second)
    section.called_out(section.at(scaled(plus(p, q), 0.5)), measure)
    section.beside(labels)
    return section.close_up("Cut along one of them")


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
    section = along_bore(piece, screw, room)
    left, low, right, high = section.window
    deep = dot(screw.pocket.exit, section.view.toward)
    square = tuple(
        plus(plus(scaled(section.view.right, x), section.view.up, y), section.view.toward, deep)
        for x, y in ((left, low), (right, low), (right, high), (left, high))
    )
    cut = clipped_by_all(square, body_planes(made.body, Cell(made.box, made.body.own_cuts)))
    name, labels, dashed = visible(let_in_name(made)), [], ""
    if cut:
        section.items.append(Line("fault", section.shape(cut), closed=True))
        labels.append(Label(name, section.at(middle(cut)), "fault", True))
    else:
        labels += _outlined(section, solid(made), name, "fault hidden")
        dashed = "; dashed: beside it" if labels else ""
    section.called_out(labels[0].place if labels else section.at(screw.tip), measure)
    section.beside([*labels, *section.names_of(fact.row.part, fact.row.into)])
    found = section.close_up("Cut along the screw")
    return found._replace(title=found.title + dashed)


def let_in_close_up(piece: Piece, fact: LetInMeets, room: Room, measure: Measure) -> CloseUp:
    """A cut through a part where two things let or driven into it come too near, along both where they cross."""
    made = fact.first, fact.second
    ways = [
        each.pocket.direction
        if isinstance(each, Screw)
        else each.body.along(each.join.side_a.axis if each.round is None else each.round)
        for each in made
    ]
    across = cross(*ways)
    view = looked_along(across if norm(across) > 0.3 else ways[0])
    near = [meeting_box(each, 0.0) for each in made]
    low, high = (tuple(map(pick, *(box[end] for box in near))) for end, pick in ((0, max), (1, min)))
    at = scaled(plus((low[0], low[1], low[2]), (high[0], high[1], high[2])), 0.5)
    x, y = view.flat(at)
    window = x - AROUND, y - AROUND * 0.8, x + AROUND, y + AROUND * 0.8
    section = WoodSection.through(view, window, room, piece.plan.unit, 76.2)
    section.cut(piece, at, piece.body(fact.host))
    labels = [label for each in made for label in _outlined(section, solid(each), visible(let_in_name(each)))]
    section.called_out(section.at(at), measure)
    section.beside(labels)
    return section.close_up(f"Cut through {visible(fact.host.name)}")


def nearest_points(one: Rod, other: Rod) -> tuple[Vector, Vector]:
    """The places on the axes of two rods that lie nearest to one another (Ericson, 2005, 5.1.9)."""
    d1, d2, r = minus(one.end, one.start), minus(other.end, other.start), minus(one.start, other.start)
    a, e, f = dot(d1, d1), dot(d2, d2), dot(d2, r)
    c, b = dot(d1, r), dot(d1, d2)
    flat = a * e - b * b
    s = min(max((b * f - c * e) / flat, 0.0), 1.0) if flat > STILL else 0.0
    t = (b * s + f) / e if e > STILL else 0.0
    if not 0 <= t <= 1:
        t = min(max(t, 0.0), 1.0)
        s = min(max((b * t - c) / a, 0.0), 1.0) if a > STILL else 0.0
    return plus(one.start, d1, s), plus(other.start, d2, t)


def _outlined(section: WoodSection, solid: Hull, name: str, kind: str = "fault") -> Iterator[Label]:
    """The outline of a convex body drawn in a cut, and its name; nothing where it lies outside of its window."""
    shape = section.clipped(_shadow(solid, section.view))
    if shape:
        section.items.append(Line(kind, shape, closed=True))
        xs, ys = zip(*shape, strict=True)
        yield Label(name, (sum(xs) / len(xs), sum(ys) / len(ys)), "fault", True)


def _shadow(solid: Hull, view: View) -> list[SeenAt]:
    """The outline of a convex body in a view."""
    around = ring((0.0, 0.0), 1.0, 1.0)
    return outline(view.flat(plus(plus(rim.centre, rim.u, u), rim.v, v)) for rim in solid for u, v in around)


def _shortened(rod: Rod, near: Vector) -> Rod:
    """What of a long screw through a face lies near the place that is shown."""
    long = norm(minus(rod.end, rod.start))
    if long <= LONG:
        return rod
    along = unit(minus(rod.end, rod.start))
    at = dot(minus(near, rod.start), along)
    start, end = max(0.0, at - AROUND), min(long, at + AROUND)
    return rod._replace(start=plus(rod.start, along, start), end=plus(rod.start, along, end))


MEETINGS: ByFact = {
    **dict.fromkeys((ScrewsMeet, DriveMeets), meeting_close_up), MeetsTenon: tenon_close_up,
    LetInMeets: let_in_close_up,
}  # fmt: skip
