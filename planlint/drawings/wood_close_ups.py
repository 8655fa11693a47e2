"""What is wrong with wood as it is laid: sawn faces in a joint, rings that curve alike, a panel in its groove, rust."""

from __future__ import annotations

from math import asin, cos, sin

from planlint.checks.board_practice import RingsAlike, RoughWood
from planlint.checks.bunk_guard import Unguarded
from planlint.checks.corrosion import Rusting
from planlint.checks.loose_panel import LoosePanel
from planlint.checks.row_view import rows
from planlint.drawings.bore_close_ups import screw_close_up
from planlint.drawings.close_ups import Between, ByFact, CloseUp, Measure, called_out, measured, way_arrow
from planlint.drawings.drawn_view import Room, drawn
from planlint.drawings.ink import Area, Frame, Item, Line, fitted_usual, ring, scale_words
from planlint.drawings.margin_labels import Label, beside
from planlint.drawings.parts_alone import joint_at, parts_alone, shown_alone, with_names
from planlint.drawings.viewpoints import parallel
from planlint.drawings.wood_section import cut_bodies, wood
from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.model.directions import Axis, Side
from planlint.reports.safe_words import count, visible


def rough_close_up(piece: Piece, fact: RoughWood, room: Room, _measure: Measure) -> CloseUp:
    """The parts of the joints, with the sawn faces that meet others filled and ringed."""
    parts = list(dict.fromkeys(part for join in fact.joins for part in join.parts))
    shown = shown_alone(piece, parts, room)
    items: list[Item] = []
    labels = []
    for join in fact.joins:
        items += [
            Area("in the way", tuple(map(shown.on_paper, patch))) for patch in piece.contact(join).patches
        ]
        at = shown.on_paper(joint_at(piece, join))
        items.append(Line("place", ring(at, 4.5, 4.5, 32), closed=True))
        labels.append(Label("sawn, not flat", at, "fault", True))
    items = [*items, *shown.items]
    return CloseUp("Where sawn wood is joined", [*items, *with_names(shown, parts, room, labels[:6], items)])


def rings_close_up(piece: Piece, fact: RingsAlike, room: Room, _measure: Measure) -> CloseUp:
    """The ends of the boards, side by side, with the way that their rings curve."""
    first = piece.body(fact.boards[0])
    part = fact.boards[0]
    up: Vector = (
        (0.0, 0.0, 1.0)
        if abs(first.planes[part.facing].normal[2]) > 0.5
        else first.planes[part.facing].normal
    )
    view = parallel("end", scaled(first.grain, _toward_front(first.grain)), up)
    bodies = [piece.body(board) for board in fact.boards]
    shown = drawn(
        bodies, view, (room[0] + 24, room[1] + 20, room[2] - 24, room[3] - 24), most=50.8, hidden=False
    )
    items: list[Item] = [*shown.items]
    labels = []
    for board, body in zip(fact.boards, bodies, strict=True):
        flats = [view.flat(corner) for corner in body.bounds.corners]
        left, right = min(x for x, _ in flats), max(x for x, _ in flats)
        low, high = min(y for _, y in flats), max(y for _, y in flats)
        sign = 1.0 if board.rings == "up" else -1.0
        if abs(up[2]) < 0.5 and board.facing is not part.facing:
            sign = -sign
        items += _rings(shown.frame, (left, low, right, high), sign)
        labels.append(
            Label(visible(board.name), shown.frame.on_paper(((left + right) / 2, (low + high) / 2)))
        )
    middle = labels[len(labels) // 2].place
    items += called_out(middle, Measure("all curve the same way", "turn every other board over"), items, room)
    return CloseUp("The ends of the boards", [*items, *with_names(shown, (), room, labels, items)])


def _toward_front(way: Vector) -> float:
    return -1.0 if way[1] > 0.5 or way[0] < -0.5 else 1.0


def _rings(on: Frame, box: tuple[float, float, float, float], sign: float) -> list[Item]:
    """Growth rings on the end of a flat-sawn board, bulging up or down in the middle."""
    left, low, right, high = box
    wide, thick = right - left, high - low
    middle = (left + right) / 2
    bulge = min(0.45 * thick, wide / 4)
    radius = (wide * wide / 4 + bulge * bulge) / (2 * bulge)
    reach = asin(min(1.0, wide / 2 / radius))
    found: list[Item] = []
    for level in (0.12, 0.32, 0.52):
        base = low + level * thick if sign > 0 else high - level * thick
        turns = [(-1 + n / 6) * reach for n in range(13)]
        points = [(middle + radius * sin(t), base + sign * (radius * cos(t) - radius + bulge)) for t in turns]
        found.append(Line("thin", tuple(map(on.on_paper, points))))
    return found


def panel_close_up(piece: Piece, fact: LoosePanel, room: Room, measure: Measure) -> CloseUp:
    """A cut across the panel at one edge: how deep it lies in its groove, and what room is left."""
    join = fact.joins[0]
    panel = piece.body(join.part_a)
    plane = panel.planes[join.side_a]
    edge = plus(panel.middle, plane.normal, plane.depth(panel.middle))
    view = parallel("across", panel.grain, panel.planes[join.part_a.facing].normal)
    x, y = view.flat(edge)
    around = max(0.9, 2.0 * float(join.part_a.thickness), 1.4 * piece.inset(join))
    window = x - around, y - around * 0.8, x + around, y + around * 0.8
    on = fitted_usual(
        window, (room[0] + 26, room[1] + 16, room[2] - 26, room[3] - 20), piece.plan.unit, 101.6
    )
    items: list[Item] = []
    for body, polygons in sorted(cut_bodies(piece, edge, view, window), key=lambda each: each[0] is panel):
        items += wood(body, polygons, view, on, [], own=body is panel)
    between: Between | None = None
    if fact.kind == "tight":
        tip = plus(edge, plane.normal, 0.3 * around)
        items += way_arrow(on.on_paper((x, y)), on.on_paper(view.flat(tip)))
        grows = Measure(f"grows {measure.found} too far", measure.limit)
        items += called_out(on.on_paper((x, y)), grows, items, room)
    else:
        mouth, shrunk = (
            plus(edge, plane.normal, -piece.inset(join)),
            plus(edge, plane.normal, -fact.moves / 2),
        )
        between = mouth, shrunk
        face = scaled(panel.planes[join.part_a.facing].normal, 0.7 * float(join.part_a.thickness))
        ends = (on.on_paper(view.flat(plus(shrunk, face, sign))) for sign in (1.0, -1.0))
        items.append(Line("fault hidden", tuple(ends)))
        a, b = on.on_paper(view.flat(mouth)), on.on_paper(view.flat(shrunk))
        if abs(piece.inset(join) - fact.held / 2) < 1e-3:
            items += measured(a, b, measure, items, room)
        else:  # It lies deeper in one groove than in the other, and shares out what is left.
            between = None
            items += called_out(b, measure, items, room)
    inside = plus(edge, plane.normal, -0.8 * around)
    outside = plus(edge, plane.normal, 0.7 * around)
    labels = [
        Label(visible(join.part_a.name), on.on_paper(view.flat(inside))),
        Label(visible(join.part_b.name), on.on_paper(view.flat(outside))),
    ]
    items += beside(labels, items, room)
    what = "where it grows" if fact.kind == "tight" else "dashed where it shrinks to"
    return CloseUp(f"Cut across one edge, {what}, {scale_words(on.scale)}", items, between)


def rust_close_up(piece: Piece, fact: Rusting, room: Room, _measure: Measure) -> CloseUp:
    """A screw in the wood that eats it; the joints ringed where it is no pocket screw."""
    words = Measure("plain steel" if fact.metal is None else fact.metal, _WHERE[fact.why])
    row = next((row for row in rows(piece) if row.join in fact.joins), None)
    if row is not None:
        found = screw_close_up(piece, row.screws[0], room, words)
        more = len(fact.joins) - 1
        also = f", and {count(more, 'more joint')}" if more else ""
        return found._replace(title=found.title + also)
    parts = list(dict.fromkeys(part for join in fact.joins for part in join.parts))
    return parts_alone(piece, parts, room, [joint_at(piece, join) for join in fact.joins], measure=words)


_WHERE = {"treated": "in treated wood", "tannin": "outdoors, in wood that it stains", "outdoors": "outdoors"}


def guard_close_up(piece: Piece, fact: Unguarded, room: Room, measure: Measure) -> CloseUp:
    """The bed and what stands up at one side of it, from what the mattress lies on: seen along that side, or square to
    it where it is open or its end is; there dashed is how high wood should stand."""
    side = fact.side
    along = (0.0, -1.0, 0.0) if side in {Side.LEFT, Side.RIGHT} else (1.0, 0.0, 0.0)
    square = fact.opening is not None or fact.kind == "end"
    if square:
        along = (0.0, float(side.sign), 0.0) if side.axis is Axis.Y else (float(side.sign), 0.0, 0.0)
    view = parallel("guard", along, (0.0, 0.0, 1.0))
    shown = drawn(
        piece.bodies,
        view,
        (room[0] + 34, room[1] + 20, room[2] - 34, room[3] - 24),
        most=12.7,
        hidden=False,
        bold=[part.index for part in fact.deck.parts],
    )
    items: list[Item] = [*shown.items]
    boxes = [piece.body(part).bounds for part in fact.deck.parts]
    axis = side.axis
    at = (max if side.sign > 0 else min)((box.high if side.sign > 0 else box.low)[axis] for box in boxes)
    top = max(box.high[2] for box in boxes)
    foot, head = [0.0, 0.0, top], [0.0, 0.0, top + (fact.amount if fact.kind == "low" else fact.needed)]
    foot[axis] = head[axis] = at
    if fact.opening is not None:
        head[2] = top
        foot[1 - axis], head[1 - axis] = fact.opening
    elif square:
        foot[1 - axis] = min(box.low[1 - axis] for box in boxes)
        head[1 - axis] = max(box.high[1 - axis] for box in boxes)
        foot[2] = head[2] = top + fact.top
    a, b = (shown.on_paper((p[0], p[1], p[2])) for p in (foot, head))
    if fact.kind == "end":
        items.append(Line("fault hidden", (a, b)))
        items += called_out(((a[0] + b[0]) / 2, a[1]), measure, items, room)
    elif fact.kind == "low" or fact.opening is not None:
        items += measured(a, b, measure, items, room)
    else:
        items += called_out(a, measure if measure.found else Measure("no rail here", ""), items, room)
        items.append(Line("place", ring(a, 5.0, 5.0, 32), closed=True))
    where = [Label(visible(fact.deck.parts[0].name), shown.on_paper(piece.body(fact.deck.parts[0]).middle))]
    title = f"Its {side.value}" if square else f"Seen along its {side.value}"
    return CloseUp(title, [*items, *with_names(shown, (), room, where, items)])


WOOD: ByFact = {
    RoughWood: rough_close_up, RingsAlike: rings_close_up, LoosePanel: panel_close_up,
    Rusting: rust_close_up, Unguarded: guard_close_up,
}  # fmt: skip
