"""Wood that does not bear what a joint lets into it: a cut through the joint, with the tenon or tongue in it."""

from planlint.checks.joint_wood import BELIED, NoWood
from planlint.drawings.close_ups import CloseUp, Measure
from planlint.drawings.drawn_view import Room
from planlint.drawings.parts_alone import looked_along
from planlint.drawings.primitives import Line
from planlint.drawings.wood_section import WoodSection
from planlint.geometry.let_in import let_in
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.model.directions import Axis
from planlint.reports.safe_words import visible
from planlint.text.measures import length

_ROUND = 1.0
"""Inches shown round what is let in. Basis: our own judgement."""


def tongue_close_up(piece: Piece, fact: NoWood, room: Room, _measure: Measure) -> CloseUp | None:
    """A cut through the joint that shows how deep and how thick what is let in is; ``None`` where nothing is."""
    join = fact.join
    host = None if join is None else piece.body(join.part_b)
    lies = None if join is None or host is None else let_in(join, piece.body(join.part_a), host)
    if join is None or host is None or lies is None:
        return None
    box, thick, into = lies.box, join.part_a.facing.axis, join.side_b.axis
    if thick is into:
        return None
    across = next(axis for axis in Axis if axis not in {thick, into})
    view = looked_along(host.along(across))
    middle = scaled(plus(box.low, box.high), 0.5)
    corners = [view.flat(host.to_piece(corner)) for corner in box.corners]
    (left, right), (low, high) = ((min(way), max(way)) for way in zip(*corners, strict=True))
    window = left - _ROUND, low - _ROUND, right + _ROUND, high + _ROUND
    unit, between = piece.plan.unit, None
    shown = WoodSection.through(view, window, room, unit, 76.2)
    shown.cut(piece, host.to_piece(middle), host)
    outline = ((left, low), (right, low), (right, high), (left, high))
    shown.items.append(Line("fault", tuple(map(shown.on.on_paper, outline)), closed=True))
    if fact.kind == "no-cheek":
        far = box.low[thick] > host.size[thick] - box.high[thick]
        rim, face = list(middle), list(middle)
        rim[thick], face[thick] = (box.high[thick], host.size[thick]) if far else (box.low[thick], 0.0)
        between = host.to_piece((rim[0], rim[1], rim[2])), host.to_piece((face[0], face[1], face[2]))
        said = Measure(f"{length(max(fact.most, 0.0), unit)} left", f"beside {length(fact.amount, unit)}")
        shown.distance(between, said)
    else:
        bears = f"{visible(fact.part.name)} is" if fact.kind in BELIED else "the wood takes"
        said = Measure(length(fact.amount, unit), f"where {bears} {length(max(fact.most, 0.0), unit)}")
        shown.called_out(shown.at(host.to_piece(middle)), said)
    shown.beside(shown.names_of(*join.parts))
    return shown.close_up("Cut through the joint", between)
