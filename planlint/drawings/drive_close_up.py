"""A screw, bolt or nail through a face that does not suit its wood: a cut along it, with what was measured."""

from __future__ import annotations

from math import hypot

from planlint.checks.fastener_fit import DriveFault
from planlint.drawings.close_ups import CloseUp, Measure, called_out, inner, measured
from planlint.drawings.drawn_view import Room
from planlint.drawings.ink import Area, Frame, Item, Line, fitted_usual, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.viewpoints import Flat, View, parallel
from planlint.drawings.wood_section import cut_bodies, screw_drawing, wood
from planlint.geometry.facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import cross, plus
from planlint.reports.safe_words import visible

ROUND = 1.0
"""Inches shown beyond the ends of the fastener. Basis: our own judgement."""

UNSAID = 0.1
"""Inches that a nail is drawn thick whose plan does not say it. Basis: our own judgement, about a 4d nail."""


def drive_close_up(piece: Piece, fact: DriveFault, room: Room, measure: Measure) -> CloseUp | None:
    """The fastener of a row that fits worst, in the plane of its axis that lies square to the row."""
    screw, row = fact.screw, fact.row
    axis = screw.pocket.direction
    along = row.body.along(row.along)
    view = parallel("drive", along, cross(along, axis))
    ends = [view.flat(each) for each in (screw.pocket.mouth, screw.tip, screw.pocket.exit)]
    xs, ys = zip(*ends, strict=True)
    window = min(xs) - ROUND, min(ys) - ROUND, max(xs) + ROUND, max(ys) + ROUND
    on = fitted_usual(window, inner(room), piece.plan.unit, 76.2)
    items: list[Item] = []
    for body, polygons in cut_bodies(piece, screw.pocket.exit, view, window):
        items += wood(body, polygons, view, on, [], own=body is row.body)
    items += _fastener(screw, row.fastening.words, view, on)
    start, end = fact.told
    if start != end and measure.found:
        items += measured(on.on_paper(view.flat(start)), on.on_paper(view.flat(end)), measure, items, room)
    else:
        items += called_out(on.on_paper(view.flat(screw.tip)), measure, items, room)
    labels = [
        Label(visible(body.part.name), on.on_paper(view.flat(at)))
        for body, at in (
            (row.body, plus(screw.pocket.exit, axis, -screw.pocket.setback / 2)),
            (row.into, plus(screw.pocket.exit, axis, 0.2)),
        )
    ]
    sides = on.on_paper((window[0], 0))[0], on.on_paper((window[2], 0))[0]
    items += margin_labels(labels, Margins(room[0], sides[0] - 1, sides[1] + 1, room[2], room[1], room[3]))
    return CloseUp(f"Cut along it, {scale_words(on.scale)}", items, fact.told)


def _fastener(screw: Screw, words: frozenset[str], view: View, on: Frame) -> list[Item]:
    """A screw, bolt or nail as seen from the side, in the plane of its axis."""
    (x, y), (tx, ty) = view.flat(screw.pocket.shoulder), view.flat(screw.tip)
    far = hypot(tx - x, ty - y)
    if far < 1e-6:
        return []
    dx, dy = (tx - x) / far, (ty - y) / far
    r = (screw.diameter or UNSAID) / 2

    def shape(*corners: Flat) -> list[Item]:
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
