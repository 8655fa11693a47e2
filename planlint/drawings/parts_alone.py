"""The parts that a finding is about, alone, from a corner: the places, sides and ways that it speaks of marked."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from math import hypot

from planlint.checks.breaking_part import MayBreak
from planlint.checks.locked_across_grain import Locked
from planlint.drawings.close_ups import (
    NO_MEASURE,
    ByFact,
    CloseUp,
    DetailView,
    Measure,
    way_arrow,
    within_rim,
)
from planlint.drawings.drawn_view import Drawn, Room, drawn, seen_of, sign_spots
from planlint.drawings.margin_labels import Label, names_beside
from planlint.drawings.primitives import Area, Item, Line, ring
from planlint.drawings.true_edges import faces
from planlint.drawings.viewpoints import VIEWS, SeenAt, View, parallel
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.flat_shapes import flat_unit
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import AXES, dot, minus, norm, plus, scaled, unit
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.placement.equations import Askew
from planlint.placement.placement_results import FreeAxis
from planlint.reports.safe_words import visible
from planlint.text.rounding import ALIGNED
from planlint.workplan.blocking_graph import Motions
from planlint.workplan.way_out import BuiltIn

CORNERS = {"corner": 1.0, "left-corner": 1.0, "back-corner": 0.85, "low-corner": 0.75}
"""Those looked from, and how much what they show counts: a piece is known best from the front. Basis: our own
judgement."""
MOST_LOOKED_AT = 12
"""Parts beyond which no corner is sought from which they show best. Basis: our own judgement."""
UNDER = 0.0, 0.0, 0.0, 12.0
"""Millimetres of a room left free of names: what is measured is said there."""
_ARROW = 22.0
"""Length in mm of an arrow that shows a way."""


def parts_alone(
    piece: Piece,
    parts: Sequence[Part],
    room: Room,
    joints: Sequence[Vector] = (),
    measure: Measure = NO_MEASURE,
) -> CloseUp:
    """The parts alone, with a ring round each of some places; a measure is said at the first, else at a part."""
    shown = shown_alone(piece, parts, room)
    names = shown.named()
    shown.items += [Line("place", ring(shown.at(place), 4.5, 4.5, 32), closed=True) for place in joints]
    # Where there is no joint, where the first part that shows does so best.
    first = shown.at(joints[0]) if joints else next((label.place for label in shown.part_names()), None)
    if first is not None:
        shown.called_out(first, measure)
    return CloseUp("The parts alone", [*shown.items, *names])


def best_corner(bodies: Sequence[Body], parts: Sequence[int]) -> str:
    """The corner from which the most is seen of some parts' edges."""
    every, marked = tuple(bodies), frozenset(parts)
    mine = [body for body in bodies if body.part.index in marked]

    def seen(name: str) -> int:
        return round(CORNERS[name] * sum(seen_of(every, VIEWS[name], body) for body in mine))

    return max(CORNERS, key=seen)


@dataclass(eq=False)
class PartsAlone(DetailView):
    """Parts alone, as they are ``drawn``."""

    drawn: Drawn = field(kw_only=True)
    parts: Sequence[Part] = ()

    def part_names(self) -> list[Label]:
        where = sign_spots(self.drawn)
        return [Label(visible(p.name), where[p.index].at) for p in self.parts if p.index in where]

    def named(self, more: Sequence[Label] = ()) -> list[Item]:
        """The names of the parts, and what else is said of places, beside all that is drawn."""
        return names_beside([*more, *self.part_names()], self.items, within_rim(self.room, UNDER))


def shown_alone(piece: Piece, parts: Sequence[Part], room: Room, view: View | None = None) -> PartsAlone:
    """Parts alone, from the corner that shows them best where no view is said."""
    bodies = [piece.body(part) for part in parts]
    if view is None:
        indices = [part.index for part in parts]
        view = VIEWS[best_corner(bodies, indices) if len(parts) <= MOST_LOOKED_AT else "corner"]
    shown = drawn(bodies, view, within_rim(room, (30, 6, 30, 16)), most=12.7, hidden=False)
    return PartsAlone(view, shown.frame, room, list(shown.items), drawn=shown, parts=parts)


def breaking(piece: Piece, fact: MayBreak, room: Room, measure: Measure) -> CloseUp:
    """Where along a part its loads bend it most for what its wood stands."""
    body, part = piece.body(fact.bent.part), fact.bent.part
    at = plus(body.middle, body.grain, fact.bent.station - body.size[part.grain] / 2)
    return parts_alone(piece, [part], room, [at], measure)._replace(title="Where it breaks first")


# ---------------------------------------------------------------- ways


def sliding(piece: Piece, fact: FreeAxis, room: Room, _measure: Measure) -> CloseUp:
    """The way in which nothing keeps a part from sliding."""
    parts = fact.join.parts
    shown = shown_alone(piece, parts, room)
    part = next((each for each in parts if each in fact.parts), parts[0])
    a, b = _both_ways(shown, piece.body(part).middle, AXES[fact.axis])
    shown.items += way_arrow(a, b, both=True)
    shown.items += shown.named([Label(f"slides {fact.axis.words}", b, "fault", True)])
    return CloseUp("Which way it slides", shown.items)


def ways_in(piece: Piece, parts: Sequence[Part], shut: BuiltIn | None, room: Room) -> CloseUp:
    """From where each part would have to come along the joints that guide it; of what is ``shut`` in, its way out."""
    shown = shown_alone(piece, parts, room)
    if shut is not None:
        a, b = _both_ways(
            shown, piece.body(shut.parts[0]).middle, scaled(AXES[shut.side.axis], shut.side.sign)
        )
        shown.items += way_arrow(a, b)
        shown.items += shown.named([Label(f"{visible(shut.parts[0].name)} comes out", b, "fault", True)])
        return CloseUp("Its way out", shown.items)
    motions = Motions(piece)
    names = {part.name for part in parts}
    labels = []
    for join in piece.plan.joins:
        if not {part.name for part in join.parts} <= names:
            continue
        free = motions.freedom(join)
        if free is None or free.loose:
            continue
        for way in (free.only or (free.out,))[:2]:
            to = shown.at(joint_at(piece, join))
            x, y = shown.view.flat(way)
            far = hypot(x, y)
            if far < 0.2:
                continue
            start = to[0] + _ARROW * x / far, to[1] - _ARROW * y / far
            shown.items += way_arrow(start, to)
            words = f"{visible(join.part_a.name)} into {visible(join.part_b.name)}"
            labels.append(Label(words, start, "fault", True))
    return CloseUp("The only ways in", [*shown.items, *shown.named(labels)])


def moving(piece: Piece, fact: Locked, room: Room, measure: Measure) -> CloseUp:
    """How wide a panel is held across its grain, which is the way in which it moves."""
    part, far = fact.panel[0], fact.apart
    parts = [*fact.panel, *(piece.plan.part_by_name[name] for name in fact.held_by)]
    parts = list(dict.fromkeys(parts))
    shown = shown_alone(piece, parts, room)
    body = piece.body(part)
    way = body.along(part.across)
    start, end = plus(body.middle, way, -far / 2), plus(body.middle, way, far / 2)
    a, b = shown.at(start), shown.at(end)
    names = shown.named()
    shown.items += way_arrow(a, b, both=True)
    said = Measure(measure.found and f"moves {measure.found}", measure.limit)
    shown.called_out(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), said)
    return CloseUp("Across the grain", [*shown.items, *names], (start, end))


def _both_ways(shown: DetailView, at: Vector, way: Vector) -> tuple[SeenAt, SeenAt]:
    x, y = shown.at(at)
    dx, dy = (each * _ARROW / 2 for each in flat_unit(*shown.view.flat(way)))
    return (x - dx, y + dy), (x + dx, y - dy)


# ---------------------------------------------------------------- sides


def sides_askew(piece: Piece, fact: Askew, room: Room, measure: Measure) -> CloseUp:
    """The two sides that a join names, filled, and which way each looks."""
    join = fact.join
    sides = join.sides
    planes = [piece.body(part).planes[side] for part, side in sides]

    def shows(view: View) -> float:
        return min(dot(plane.normal, view.toward) for plane in planes)

    corners = [parallel("sides", (x, y, z), (0, 0, 1)) for x, y, z in product((1, -1), (-1, 1), (0.8, -0.8))]
    shown = shown_alone(piece, join.parts, room, max(corners, key=lambda view: round(shows(view), 6)))
    labels = []
    for (part, side), plane in zip(sides, planes, strict=True):
        mine = [face.corners for face in faces(piece.body(part)) if dot(face.normal, plane.normal) > ALIGNED]
        shown.items += [Area("in the way", shown.shape(corners)) for corners in mine]
        if not mine:
            continue
        start = middle(max(mine, key=lambda corners: norm(minus(corners[0], corners[2]))))
        x, y = flat_unit(*shown.view.flat(plane.normal))
        a = shown.at(start)
        b = a[0] + _ARROW * 0.7 * x, a[1] - _ARROW * 0.7 * y
        shown.items += way_arrow(a, b)
        labels.append(Label(f"{side.value} of {visible(part.name)}", a, "fault", True))
    off = Measure(measure.found and f"{measure.found} off", measure.limit)
    shown.called_out(shown.at(joint_at(piece, join)), off)
    shown.beside(labels, UNDER)
    return CloseUp("The two sides, and where they look", shown.items)


# ---------------------------------------------------------------- places


def joint_at(piece: Piece, join: Join) -> Vector:
    """The middle of where the sides of a join meet, or should."""
    contact = piece.contact(join)
    if contact.patches:
        return middle(contact.points)
    a, b = piece.body(join.part_a).middle, piece.body(join.part_b).middle
    body = piece.body(join.part_a)
    plane = body.planes[join.side_a]
    centre = plus(a, plane.normal, plane.depth(a))
    return centre if join.part_a is not join.part_b else b


def looked_along(way: Vector) -> View:
    """The view along a direction from the front, the right or the top, whichever is nearer."""
    n = unit(way)
    if -n[1] + 0.9 * n[0] + 0.8 * n[2] < 0:
        n = scaled(n, -1)
    return parallel("place", n, (0, 0, 1) if abs(n[2]) < 0.9 else (0, 1, 0))


def side_middle(body: Body, side: Side) -> Vector:
    """The middle of a side of a part's box, in its plane."""
    plane = body.planes[side]
    return plus(body.middle, plane.normal, plane.depth(body.middle))


ALONE: ByFact = {
    Askew: sides_askew, FreeAxis: sliding, Locked: moving, MayBreak: breaking,
}  # fmt: skip
