"""What loads do to a piece, seen square from a side: it sways, tips, hangs from a wall, or a screw carries too much."""

from collections.abc import Sequence
from math import hypot

from planlint.checks.hung_piece import Hangs, ThinHold
from planlint.checks.overloaded_joint import GivesWay, Overloaded
from planlint.checks.racking_frame import Sways
from planlint.checks.tipping_piece import PushedOver, Tips, Topples
from planlint.drawings.bore_close_ups import screw_close_up
from planlint.drawings.close_ups import ByFact, CloseUp, DetailView, Measure, way_arrow, within_rim
from planlint.drawings.drawn_view import Drawn, Room, drawn, extent
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.parts_alone import parts_alone
from planlint.drawings.primitives import Area, Frame, Item, Line, hatched, ring
from planlint.drawings.view_window import Window
from planlint.drawings.viewpoints import VIEWS, SeenAt, View
from planlint.drawings.wood_section import WoodSection
from planlint.geometry.drilling.fastener_places import FASTENER_ROW
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.reports.safe_words import visible
from planlint.statics.footing import IN_FROM_TOP
from planlint.text.measures import weight
from planlint.text.rounding import LEAST_DIVISOR, ROUNDING

SHOWN = 14.0
"""Millimetres on paper that a sway is drawn as, however small it is."""
WALL = 5.0
"""Millimetres of wall on paper."""
_PUSH = 16.0
"""Length in mm of the arrow of a push or a weight."""


def sway_close_up(piece: Piece, fact: Sways, room: Room, measure: Measure) -> CloseUp:
    """The piece from the side from which its sway is seen, pushed at its top: dashed where it goes, drawn larger."""
    view = VIEWS["front" if fact.sideways else "right"]
    loose = [part.index for part in fact.loose]
    shown = _from_a_side(piece, view, room, loose)
    left, floor, _, top = extent(piece.bodies, view)
    # Each end of a line goes aside by as much as it lies up.
    give = SHOWN / shown.frame.scale / max(top - floor, LEAST_DIVISOR)

    def gone(at: SeenAt) -> SeenAt:
        return shown.frame.on_paper((at[0] + give * (at[1] - floor), at[1]))

    long = (top - floor) / 4
    lines = [segment for kind in ("seen", "fault") for segment in shown.lines.get(kind, ())]
    dashed = [
        Line("fault hidden", (gone(a), gone(b)))
        for a, b in lines
        if hypot(b[0] - a[0], b[1] - a[1]) > long or min(a[1], b[1]) > top - long / 4
    ]
    corner = shown.frame.on_paper((left, top))
    detail = DetailView.of(shown, room)
    detail.items += dashed
    detail.measured(corner, gone((left, top)), measure)
    start = corner[0] - _PUSH - 2, corner[1] + 2
    detail.items += way_arrow(start, (corner[0] - 2, corner[1] + 2))
    words = f"a push of {weight(fact.push, piece.plan.unit)}"
    detail.beside([Label(words, start, "fault", True)])
    title = f"From the {'front' if fact.sideways else 'side'}; how it sways, drawn larger"
    return CloseUp(title, detail.items)


def tipping_close_up(
    piece: Piece, fact: Tips | Topples | PushedOver, room: Room, measure: Measure
) -> CloseUp:
    """The piece from its side: the edge of its feet that it turns over, its weight, and what pushes it."""
    view = VIEWS["front" if fact.to in {Side.LEFT, Side.RIGHT} else "right"]
    shown = _from_a_side(piece, view, room, ())
    left, floor, right, top = extent(piece.bodies, view)
    # Both views look with what falls to the right, or to the back, on the right of the paper.
    sign = 1.0 if fact.to in {Side.RIGHT, Side.BACK} else -1.0
    edge = _foot_edge(piece, view, floor, sign)
    on = shown.frame.on_paper
    pivot = on((edge, floor))
    (low, level), (high, _) = on((left, floor)), on((right, floor))
    detail = DetailView.of(shown, room)
    detail.items += [
        Line("fault", ((low - 6.0, level), (high + 6.0, level))),
        Area("fault", ring(pivot, 1.4, 1.4, 20)),
    ]
    unit = piece.plan.unit
    labels = [Label("turns over here", pivot, "fault", True)]
    if isinstance(fact, Tips):
        at = on((edge - sign * fact.inside, (floor + top) / 2))
        detail.items += way_arrow(at, (at[0], at[1] + _PUSH))
        labels.append(Label(f"its weight, {weight(fact.pounds, unit)}", at, "fault", True))
        if fact.reach:
            words = f"a child of {weight(fact.push, unit)}"
            tip = on((edge + sign * fact.reach, floor + fact.height))
            tail = tip[0], tip[1] - _PUSH
        else:
            words = f"a push of {weight(fact.push, unit)}"
            tip = on((edge - sign * 0.5, floor + fact.height))
            tail = tip[0] - sign * _PUSH, tip[1]
        detail.items += way_arrow(tail, tip)
        labels.append(Label(words, tail, "fault", True))
    elif isinstance(fact, Topples):
        at = on((edge + sign * fact.outside, top))
        detail.items += way_arrow((at[0], at[1] - _PUSH), at)
        detail.measured(pivot, on((edge + sign * fact.outside, floor)), measure)
        labels.append(Label(f"the load on {visible(fact.part.name)}", (at[0], at[1] - _PUSH), "fault", True))
    else:
        x, y = on(view.flat(piece.body(fact.part).middle))
        detail.items += way_arrow((x - sign * _PUSH, y), (x, y))
        labels.append(Label(f"the push on {visible(fact.part.name)}", (x - sign * _PUSH, y), "fault", True))
    if not isinstance(fact, Topples):
        detail.called_out(pivot, measure)
    detail.beside(labels)
    title = f"From the {view.name if view.name == 'front' else 'side'}: over which edge it goes"
    return CloseUp(title, detail.items)


def _foot_edge(piece: Piece, view: View, floor: float, sign: float) -> float:
    """How far to a side the lowest corners of a piece reach, in a view."""
    feet = [view.flat(corner) for body in piece.bodies for corner in body.bounds.corners]
    return max((sign * x for x, y in feet if y < floor + 0.01), default=0.0) * sign


def hanging_close_up(piece: Piece, fact: Hangs | ThinHold, room: Room, measure: Measure) -> CloseUp:
    """A cut from front to back through what the piece hangs by, with its wall: how thick that is, and what pulls."""
    part = (
        fact.part
        if isinstance(fact, ThinHold)
        else max(fact.hangs.held_by, key=lambda each: piece.body(each).bounds.high[2])
    )
    body = piece.body(part)
    box = body.bounds
    view, at = VIEWS["right"], body.middle
    low, high = piece.bounds
    if isinstance(fact, ThinHold):
        around = max(2.0, 4 * float(part.thickness))
        window = box.low[1] - around, box.high[2] - 1.6 * around, box.high[1], box.high[2] + around / 3
    else:
        window = low[1] - 0.5, low[2] - 0.5, box.high[1], high[2] + 0.5
    shown = WoodSection.through(view, window, room, piece.plan.unit, 76.2, (26, 16, 30, 20))
    on = shown.on
    shown.cut(piece, at, body)
    shown.draw([body])
    shown.items += _wall(on, window, box.high[1])
    level = box.high[2] - min(IN_FROM_TOP, float(part.width) / 2)
    head, tip = on.on_paper((box.low[1], level)), on.on_paper((box.high[1], level))
    tip = tip[0] + 0.8 * WALL, tip[1]
    nail = (head, tip), ((head[0], head[1] - 1.6), (head[0], head[1] + 1.6))
    shown.items += [Line("seen", each) for each in nail]
    between = None
    if isinstance(fact, ThinHold):
        y = (window[1] + level) / 2
        front, back = (at[0], box.low[1], y), (at[0], box.high[1], y)
        between = front, back
        shown.distance((front, back), measure)
    else:
        shown.called_out(head, measure)
    x, y = on.on_paper((window[0], (window[1] + window[3]) / 2))
    weigh = (x - 6, y - _PUSH / 2), (x - 6, y + _PUSH / 2)
    shown.items += way_arrow(*weigh)
    labels = [
        Label(f"hangs: {weight(fact.hangs.pounds, piece.plan.unit)}", weigh[0], "fault", True),
        Label(visible(part.name), shown.at((at[0], (box.low[1] + box.high[1]) / 2, level - 0.4))),
        Label("wall", (on.on_paper((box.high[1], 0.0))[0] + WALL / 2, head[1] + 9)),
    ]
    margins = Margins(
        room[0], weigh[0][0] - 1, on.on_paper((window[2], 0))[0] + WALL + 1, room[2], room[1], room[3]
    )
    shown.items += margin_labels(labels, margins)
    return shown.close_up("Cut from front to back", between)


def _wall(on: Frame, window: Window, face: float) -> list[Item]:
    """The wall behind a piece: its face, and slanting lines."""
    (x, top), (_, base) = on.on_paper((face, window[3])), on.on_paper((face, window[1]))
    strip = ((x, top), (x + WALL, top), (x + WALL, base), (x, base))
    return [*hatched(strip, 0.785, 2.0), Line("seen", ((x, top), (x, base)))]


def overload_close_up(piece: Piece, fact: Overloaded, room: Room, measure: Measure) -> CloseUp | None:
    """The screw that carries most, with its share of what it may carry."""
    if fact.force.screw.pocket.row >= FASTENER_ROW:
        return None
    return screw_close_up(piece, fact.force.screw, room, measure)


def giving_way(piece: Piece, fact: GivesWay, room: Room, measure: Measure) -> CloseUp:
    """The piece, its loose parts marked, and which way they go."""
    toward = max(Axis, key=lambda axis: abs(fact.way[axis]))
    view = VIEWS["right" if toward is Axis.Y else "front"]
    shown = _from_a_side(piece, view, room, [part.index for part in fact.parts])
    body = piece.body(fact.parts[0])
    start = shown.on_paper(body.middle)
    x, y = view.flat(fact.way)
    far = hypot(x, y)
    if far < ROUNDING:
        return parts_alone(piece, fact.parts, room, measure=measure)
    detail = DetailView.of(shown, room)
    detail.items += way_arrow(start, (start[0] + _PUSH * x / far, start[1] - _PUSH * y / far))
    detail.beside([Label(f"{visible(fact.parts[0].name)} goes", start, "fault", True)])
    return CloseUp("Which way it goes", detail.items)


def _from_a_side(piece: Piece, view: View, room: Room, bold: Sequence[int]) -> Drawn:
    inner = within_rim(room, (48, 26, 48, 22))
    return drawn(piece.bodies, view, inner, most=25.4, hidden=False, bold=bold)


LOADS: ByFact = {
    Sways: sway_close_up, **dict.fromkeys((Tips, Topples, PushedOver), tipping_close_up),
    **dict.fromkeys((Hangs, ThinHold), hanging_close_up), Overloaded: overload_close_up,
    GivesWay: giving_way,
}  # fmt: skip
