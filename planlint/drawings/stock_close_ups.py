"""What is wrong with the size of stock: too short for a part, or sold smaller than it is written."""

from planlint.checks.board_practice import OneFace, WideBoards
from planlint.checks.sagging_shelf import Sags
from planlint.checks.stock_sizes import Nominal, NotKept, TooShort
from planlint.drawings.close_ups import Between, ByFact, CloseUp, DetailView, Measure, within_rim
from planlint.drawings.drawn_view import Room, drawn
from planlint.drawings.primitives import (
    Area,
    Item,
    Line,
    Text,
    dimension,
    fitted_usual,
    scale_words,
    words_cut_off,
)
from planlint.drawings.viewpoints import VIEWS, SeenAt, View, parallel
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot, plus
from planlint.model.directions import Axis
from planlint.reports.safe_words import visible
from planlint.rulebook.limits import NIL
from planlint.text.measures import length
from planlint.text.rounding import ROUNDING, TOUCH


def short_close_up(piece: Piece, fact: TooShort, room: Room, measure: Measure) -> CloseUp:
    """The face of a part, and how far its stock reaches along it."""
    part, has = fact.parts[0], float(fact.has)
    body = piece.body(part)
    aside, face = body.along(part.across), body.planes[part.facing].normal
    lengthwise = has < float(part.length) + TOUCH or has >= float(part.width)
    step, other = (body.grain, aside) if lengthwise else (aside, body.grain)
    sizes = (part.length, part.width) if lengthwise else (part.width, part.length)
    what = f"{length(sizes[0], piece.plan.unit)} {'long' if lengthwise else 'wide'}"
    title = f"What the stock is {'long' if lengthwise else 'wide'} enough for"
    reach = (step, float(sizes[0]), has), (other, float(sizes[1]))
    return _reached(body, parallel("face", face, aside), reach, (title, what), room, measure)


def thin_close_up(piece: Piece, fact: NotKept, room: Room, measure: Measure) -> CloseUp | None:
    """The end of a part, and how thick its stock is there; sheets are thicker and thinner than it alike."""
    part = fact.parts[0]
    if part.stock.sheet:
        return None
    body = piece.body(part)
    face = body.planes[part.facing].normal
    reach = (face, float(part.thickness), float(fact.kept[-1])), (body.along(part.across), float(part.width))
    words = "How thick the stock is", f"{length(part.thickness, piece.plan.unit)} thick"
    return _reached(body, parallel("end", body.grain, face), reach, words, room, measure)


def _reached(
    body: Body,
    view: View,
    reach: tuple[tuple[Vector, float, float], tuple[Vector, float]],
    words: tuple[str, str],
    room: Room,
    measure: Measure,
) -> CloseUp:
    """A body, and a line as far along a way as its stock reaches of its size; the other way and its size."""
    (step, size, has), (other, breadth) = reach
    shown = drawn([body], view, within_rim(room, (12, 20, 12, 24)), most=12.7, hidden=False)
    start = plus(body.middle, step, -size / 2)
    end = plus(start, step, has)
    ends = tuple(shown.on_paper(plus(end, other, sign * 0.6 * breadth)) for sign in (1, -1))
    detail = DetailView.of(shown, room)
    detail.items.append(Line("fault", ends))
    detail.measured(shown.on_paper(start), shown.on_paper(end), measure)
    detail.items.append(_under(detail, f"{visible(body.part.name)}, {words[1]}", 2))
    return CloseUp(words[0], detail.items, (start, end))


def _under(detail: DetailView, words: str, free: float) -> Text:
    """Words in the middle under all that is drawn, ``free`` mm in the room below them at the least."""
    items, room = detail.items, detail.room
    low = max(y for item in items for _, y in ((item.at,) if isinstance(item, Text) else item.points))
    return Text(((room[0] + room[2]) / 2, min(low + 6, room[3] - free)), words, 2.8, "middle")


def width_close_up(piece: Piece, fact: WideBoards | OneFace, room: Room, measure: Measure) -> CloseUp:
    """The face of a board that is too wide, or of a panel, and how wide it is."""
    boards = fact.boards if isinstance(fact, OneFace) else (max(fact.boards, key=lambda part: part.width),)
    bodies = [piece.body(part) for part in boards]
    first = boards[0]
    across = bodies[0].along(first.across)
    view = parallel("face", bodies[0].planes[first.facing].normal, bodies[0].grain)
    shown = drawn(bodies, view, within_rim(room, (30, 20, 30, 24)), most=12.7, hidden=False)
    corners = [corner for body in bodies for corner in body.bounds.corners]
    low, high = (pick(dot(across, corner) for corner in corners) for pick in (min, max))
    at = plus(bodies[0].middle, bodies[0].grain, float(first.length) / 2)
    start, end = (plus(at, across, level - dot(across, at)) for level in (low, high))
    detail = DetailView.of(shown, room)
    between: Between | None = (start, end)
    if isinstance(fact, OneFace) and abs(high - low - fact.wide) > NIL:
        # Tongues that lie in grooves are wood too, but no face.
        between = None
        detail.called_out(shown.on_paper(plus(start, across, (high - low) / 2)), measure)
    else:
        detail.measured(shown.on_paper(start), shown.on_paper(end), measure)
    names = ", ".join(visible(part.name) for part in boards)
    words = words_cut_off(f"{boards[0].facing.value} of {names}", 2.8, room[2] - room[0])
    detail.items.append(_under(detail, words, 1))
    return CloseUp("Its face", detail.items, between)


def sag_close_up(piece: Piece, fact: Sags, room: Room, measure: Measure) -> CloseUp:
    """A part from its side, and the way it bends under its load between its supports, drawn larger."""
    body, span = piece.body(fact.sag.part), fact.sag.span
    along = fact.sag.part.grain if fact.sag.part.grain.value < 2 else Axis.X
    view = VIEWS["front" if along is Axis.X else "right"]
    shown = drawn([body], view, within_rim(room, (20, 20, 20, 34)), most=25.4, hidden=False)
    low = body.bounds.low
    start = low[along]
    level = low[2]
    reach = body.bounds.high[along] - start
    ends = max(0.0, min(span.low, reach)), max(0.0, min(span.high, reach))

    def place(share: float) -> SeenAt:
        at = [low[0], low[1], level]
        at[along] = start + ends[0] + share * (ends[1] - ends[0])
        x, y = shown.on_paper((at[0], at[1], at[2]))
        free = share if ends[1] > reach - ROUNDING else 1 - share
        return x, y + 4 + 12 * (free * free if span.overhang else 4 * share * (1 - share))

    curve = tuple(place(n / 24) for n in range(25))
    detail = DetailView.of(shown, room)
    detail.items.append(Line("fault", curve))
    most = max(curve, key=lambda each: each[1])
    detail.called_out(most, Measure(f"sags {measure.found}", measure.limit))
    return CloseUp("How it bends, drawn larger", detail.items)


def nominal_close_up(piece: Piece, fact: Nominal, room: Room, _measure: Measure) -> CloseUp:
    """The end of a board as it is written, and as it comes."""
    unit = piece.plan.unit
    thick, wide = float(fact.stock.thickness), float(fact.stock.width or 0)
    real_thick, real_wide = (float(each) for each in fact.dressed)
    on = fitted_usual((0, 0, wide, thick), within_rim(room, (20, 40, 30, 40)), unit, 25.4)

    def corners(w: float, t: float) -> tuple[SeenAt, ...]:
        dx, dy = (wide - w) / 2, (thick - t) / 2
        return tuple(on.on_paper(p) for p in ((dx, dy), (dx + w, dy), (dx + w, dy + t), (dx, dy + t)))

    written, real = corners(wide, thick), corners(real_wide, real_thick)
    items: list[Item] = [
        Area("wood", real),
        Line("seen", real, closed=True),
        Line("hidden", written, closed=True),
    ]
    items += dimension(real[0], real[1], -14.0, length(fact.dressed[1], unit))
    items += dimension(real[2], real[1], 14.0 + (written[1][0] - real[1][0]), length(fact.dressed[0], unit))
    x, y = (written[2][0] + written[3][0]) / 2, written[2][1]
    words = (
        f"dashed: as written, {length(fact.stock.thickness, unit)} x {length(fact.stock.width or 0, unit)}"
    )
    items.append(Text((x, y - 4), words, 2.8, "middle", 0.0, "fault"))
    return CloseUp(f"A {fact.called} as it comes, {scale_words(on.scale)}", items)


STOCK: ByFact = {
    Sags: sag_close_up, TooShort: short_close_up, NotKept: thin_close_up, Nominal: nominal_close_up,
    **dict.fromkeys((WideBoards, OneFace), width_close_up),
}  # fmt: skip
