"""A screw, bolt or nail through a face that does not suit its wood: a cut along it, with what was measured."""

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import copysign, hypot

from planlint.checks.fastener_fit import DriveFault
from planlint.drawings.close_ups import NO_MEASURE, Between, CloseUp, Measure
from planlint.drawings.drawn_view import Room
from planlint.drawings.primitives import Area, Frame, Item, Line
from planlint.drawings.view_window import Window, in_window, inside
from planlint.drawings.viewpoints import SeenAt, View, parallel
from planlint.drawings.wood_section import WoodSection, screw_drawing
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.joint_facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.flat_shapes import flat_unit
from planlint.geometry.shapes.vectors import cross, minus, norm
from planlint.model.directions import Side
from planlint.text.rounding import ROUNDING

_ROUND = 1.0
"""Inches shown beyond the ends of the fastener. Basis: our own judgement."""

_SMALL = 0.1
"""Inches under which a measure is shown larger, and with it only the place. Basis: our own judgement."""
UNSAID = 0.1
"""Inches that a nail is drawn thick whose plan does not say it. Basis: our own judgement, about a 4d nail."""


def drive_close_up(piece: Piece, fact: DriveFault, room: Room, measure: Measure) -> CloseUp:
    """The fastener of a row that fits worst."""
    return drive_cut(piece, fact.row, fact.screw, room, measure, fact.told, fact.edge)


def drive_cut(
    piece: Piece,
    row: FastenerRow,
    screw: Screw,
    room: Room,
    measure: Measure = NO_MEASURE,
    told: Between | None = None,
    edge: tuple[Body, Side] | None = None,
) -> CloseUp:
    """A fastener in the plane of its axis that lies square to its row; of a distance that is ``told`` and small only
    its place. ``edge`` is the side that it is told to."""
    axis = screw.pocket.direction
    along = row.body.along(row.along)
    view = parallel("drive", along, cross(along, axis))
    start, end = told or (screw.tip, screw.tip)
    far = norm(minus(end, start))
    ends = [view.flat(each) for each in (screw.pocket.mouth, screw.tip, screw.pocket.exit)]
    around = _ROUND
    if 0 < far < _SMALL:  # So little that only the place itself, drawn larger, shows it.
        ends, around = [view.flat(start), view.flat(end)], max(0.5, 4 * far)
    xs, ys = zip(*ends, strict=True)
    window = min(xs) - around, min(ys) - around, max(xs) + around, max(ys) + around
    most = 127.0 if around < _ROUND else 76.2
    shown = WoodSection.through(view, window, room, piece.plan.unit, most)
    shown.cut(piece, screw.pocket.exit, row.body)
    shown.items += _inside(_fastener(screw, row.fastening.words, view, shown.on), window, shown.on)
    if start != end and measure.found:
        # Beside the plane in which the parts meet, in the wood that is spoken of.
        aside = 0.0 if edge is None else copysign(8.0, view.flat(axis)[0])
        aside = -aside if edge is not None and edge[0] is row.body else aside
        shown.distance((start, end), measure, aside)
    else:
        shown.called_out(shown.at(screw.tip), measure)
    shown.beside(shown.names_of(row.body.part, row.into.part))
    return shown.close_up("Cut along it", told)


def _inside(items: Iterable[Item], window: Window, on: Frame) -> Iterator[Item]:
    """What of a fastener lies in the window."""
    (left, low), (right, high) = on.on_paper((window[0], window[3])), on.on_paper((window[2], window[1]))
    paper = left, low, right, high
    for item in items:
        if isinstance(item, Area):
            shape = in_window(item.points, paper)
            if shape:
                yield item._replace(points=tuple(shape))
        elif isinstance(item, Line):
            for a, b in pairwise((*item.points, *(item.points[:1] if item.closed else ()))):
                kept = inside(a, b, paper)
                if kept is not None:
                    yield Line(item.kind, kept)


def _fastener(screw: Screw, words: frozenset[str], view: View, on: Frame) -> list[Item]:
    """A screw, bolt or nail as seen from the side, in the plane of its axis."""
    (x, y), (tx, ty) = view.flat(screw.pocket.shoulder), view.flat(screw.tip)
    far = hypot(tx - x, ty - y)
    if far < ROUNDING:
        return []
    dx, dy = flat_unit(tx - x, ty - y)
    r = (screw.diameter or UNSAID) / 2

    def shape(*corners: SeenAt) -> list[Item]:
        """An outline of one side, told along the axis and aside from it, and its mirror image."""
        both = (*corners, *((along, -aside) for along, aside in reversed(corners)))
        points = tuple(on.on_paper((x + u * dx - v * dy, y + u * dy + v * dx)) for u, v in both)
        return [Area("steel", points), Line("thin", points, closed=True)]

    if screw.thread == "bolts":
        ends = [(far - 1.75 * r, far)] if "into inserts" not in words else []
        nuts = [each for a, b in ends for each in shape((a, 1.7 * r), (b, 1.7 * r))]
        return [*shape((0.0, r), (far, r)), *shape((-1.3 * r, 1.7 * r), (0.0, 1.7 * r)), *nuts]
    if screw.thread == "nails":
        return [
            *shape((0.0, r), (max(0.0, far - 3 * r), r), (far, 0.0)),
            *shape((-0.6 * r, 2.2 * r), (0.0, 2.2 * r)),
        ]
    if "countersunk" in words:
        head = min(2 * r, far / 2)
        return [*screw_drawing(screw, view, on, headless=True), *shape((0.0, 1.95 * r), (head, 0.65 * r))]
    return screw_drawing(screw, view, on)
