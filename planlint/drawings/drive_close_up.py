"""A screw, bolt or nail through a face that does not suit its wood: a cut along it, with what was measured."""

from __future__ import annotations

from planlint.checks.fastener_fit import DriveFault
from planlint.drawings.close_ups import CloseUp, Measure, called_out, inner, measured
from planlint.drawings.drawn_view import Room
from planlint.drawings.ink import Item, fitted_usual, scale_words
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.viewpoints import parallel
from planlint.drawings.wood_section import cut_bodies, screw_drawing, wood
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import cross, plus
from planlint.reports.safe_words import visible

ROUND = 1.0
"""Inches shown beyond the ends of the fastener. Basis: our own judgement."""


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
    items += screw_drawing(screw, view, on)
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
