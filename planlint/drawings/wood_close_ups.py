"""What is wrong with wood as it is laid: sawn faces in a joint, rings that curve alike, a panel in its groove, rust."""

from math import asin, cos, sin

from planlint.checks.board_practice import RingsAlike, RoughWood
from planlint.checks.bunk_guard import Unguarded
from planlint.checks.corrosion import Rusting
from planlint.checks.loose_panel import LoosePanel
from planlint.checks.row_view import rows
from planlint.drawings.bore_close_ups import screw_close_up
from planlint.drawings.close_ups import Between, ByFact, CloseUp, DetailView, Measure, way_arrow, within_rim
from planlint.drawings.drawn_view import Room, drawn
from planlint.drawings.margin_labels import Label
from planlint.drawings.parts_alone import UNDER, joint_at, parts_alone, shown_alone
from planlint.drawings.primitives import Area, Frame, Item, Line, ring
from planlint.drawings.viewpoints import parallel
from planlint.drawings.wood_section import WoodSection
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.model.directions import Axis, Side
from planlint.reports.safe_words import count, visible
from planlint.rulebook.limits import NIL


def rough_close_up(piece: Piece, fact: RoughWood, room: Room, _measure: Measure) -> CloseUp:
    """The parts of the joints, with the sawn faces that meet others filled and ringed."""
    parts = list(dict.fromkeys(part for join in fact.joins for part in join.parts))
    shown = shown_alone(piece, parts, room)
    items: list[Item] = []
    labels = []
    for join in fact.joins:
        items += [Area("in the way", shown.shape(patch)) for patch in piece.contact(join).patches]
        at = shown.at(joint_at(piece, join))
        items.append(Line("place", ring(at, 4.5, 4.5, 32), closed=True))
        labels.append(Label("sawn, not flat", at, "fault", True))
    shown.items[:0] = items
    shown.beside([*labels[:6], *shown.part_names()], UNDER)
    return CloseUp("Where sawn wood is joined", shown.items)


def rings_close_up(piece: Piece, fact: RingsAlike, room: Room, _measure: Measure) -> CloseUp:
    """The ends of the boards, side by side, with the way that their rings curve."""
    part = fact.boards[0]
    first, grain = piece.body(part), piece.body(part).grain
    up: Vector = (
        (0.0, 0.0, 1.0)
        if abs(first.planes[part.facing].normal[2]) > 0.5
        else first.planes[part.facing].normal
    )
    view = parallel("end", scaled(grain, -1.0 if grain[1] > 0.5 or grain[0] < -0.5 else 1.0), up)
    bodies = [piece.body(board) for board in fact.boards]
    shown = drawn(bodies, view, within_rim(room, (24, 20, 24, 24)), most=50.8, hidden=False)
    detail = DetailView.of(shown, room)
    labels = []
    for board, body in zip(fact.boards, bodies, strict=True):
        flats = [view.flat(corner) for corner in body.bounds.corners]
        left, right = min(x for x, _ in flats), max(x for x, _ in flats)
        low, high = min(y for _, y in flats), max(y for _, y in flats)
        sign = 1.0 if board.rings == "up" else -1.0
        if abs(up[2]) < 0.5 and board.facing is not part.facing:
            sign = -sign
        detail.items += _rings(shown.frame, (left, low, right, high), sign)
        labels.append(
            Label(visible(board.name), shown.frame.on_paper(((left + right) / 2, (low + high) / 2)))
        )
    said = Measure("all curve the same way", "turn every other board over")
    detail.called_out(labels[len(labels) // 2].place, said)
    detail.beside(labels, UNDER)
    return CloseUp("The ends of the boards", detail.items)


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
    shown = WoodSection.through(view, window, room, piece.plan.unit, 101.6, (26, 16, 26, 20))
    shown.cut(piece, edge, panel, own_last=True)
    between: Between | None = None
    if fact.kind == "tight":
        tip = plus(edge, plane.normal, 0.3 * around)
        shown.items += way_arrow(shown.at(edge), shown.at(tip))
        shown.called_out(shown.at(edge), Measure(f"grows {measure.found} too far", measure.limit))
    else:
        mouth, shrunk = (
            plus(edge, plane.normal, -piece.inset(join)),
            plus(edge, plane.normal, -fact.moves / 2),
        )
        between = mouth, shrunk
        face = scaled(panel.planes[join.part_a.facing].normal, 0.7 * float(join.part_a.thickness))
        ends = shown.shape(plus(shrunk, face, sign) for sign in (1.0, -1.0))
        shown.items.append(Line("fault hidden", ends))
        if abs(piece.inset(join) - fact.held / 2) < NIL:
            shown.distance(between, measure)
        else:  # It lies deeper in one groove than in the other, and shares out what is left.
            between = None
            shown.called_out(shown.at(shrunk), measure)
    shown.beside(
        [
            Label(visible(part.name), shown.at(plus(edge, plane.normal, off * around)))
            for part, off in zip(join.parts, (-0.8, 0.7), strict=True)
        ]
    )
    what = "where it grows" if fact.kind == "tight" else "dashed where it shrinks to"
    return shown.close_up(f"Cut across one edge, {what}", between)


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
    inner, bold = within_rim(room, (34, 20, 34, 24)), [part.index for part in fact.deck.parts]
    shown = drawn(piece.bodies, view, inner, most=12.7, hidden=False, bold=bold)
    detail = DetailView.of(shown, room)
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
        detail.items.append(Line("fault hidden", (a, b)))
        detail.called_out(((a[0] + b[0]) / 2, a[1]), measure)
    elif fact.kind == "low" or fact.opening is not None:
        detail.measured(a, b, measure)
    else:
        detail.called_out(a, measure if measure.found else Measure("no rail here", ""))
        detail.items.append(Line("place", ring(a, 5.0, 5.0, 32), closed=True))
    part = fact.deck.parts[0]
    detail.beside([Label(visible(part.name), detail.at(piece.body(part).middle))], UNDER)
    return CloseUp(f"Its {side.value}" if square else f"Seen along its {side.value}", detail.items)


WOOD: ByFact = {
    RoughWood: rough_close_up, RingsAlike: rings_close_up, LoosePanel: panel_close_up,
    Rusting: rust_close_up, Unguarded: guard_close_up,
}  # fmt: skip
