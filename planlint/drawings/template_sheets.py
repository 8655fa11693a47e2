"""Full-size templates of what is drilled: printed at 100 %, cut out, laid on the part. Larger ones come in tiles."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil

from planlint.checks.row_view import Row, rows
from planlint.drawings.close_ups import mouth_rim
from planlint.drawings.face_marks import Flatwise, flatwise
from planlint.drawings.hidden_lines import Scene
from planlint.drawings.paper_lines import inked
from planlint.drawings.piece_sheets import EDGE, HEAD, titled
from planlint.drawings.primitives import Item, Line, Sheet, Text, paper_of, words_cut_off
from planlint.drawings.view_window import inside
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import plus
from planlint.model.directions import Side, side_of
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.sheet.arc_shapes import arc_shapes
from planlint.text.measures import in_inches, listed, to_sixteenth

_FULL = 25.4
"""Millimetres on paper for an inch."""
_ROUND = 0.6
"""Inches of wood drawn round what is drilled. Basis: our own judgement."""
OVERLAP = 10.0
"""Millimetres that neighbouring tiles share."""
_FOOT = 18.0
"""Millimetres under a template for its check bar."""

_Box = tuple[float, float, float, float]


def template_sheets(piece: Piece) -> Iterator[Sheet]:
    """A template for each face and joint that is drilled, and each arch and bow; alike ones once, with the names of all
    their parts."""
    alike: dict[object, tuple[list[Item], _Box, list[str], str]] = {}
    for part in piece.plan.parts:
        for side, items, box in (*_drilled(piece, part), *_curved(piece.body(part))):
            key = tuple(
                (type(item).__name__, tuple((round(x, 2), round(y, 2)) for x, y in item.points))
                if not isinstance(item, Text)
                else item.words
                for item in items
            )
            found = alike.setdefault((key, side), (items, box, [], side))
            found[2].append(visible(part.name))
    for number, (items, box, names, side) in enumerate(alike.values(), 1):
        yield from _tiles(piece, number, items, box, names, side)


Template = tuple[str, list[Item], _Box]
"""The side in words; what is drawn, in mm to the right and down from the face's own zero; what of it is shown."""


def _drilled(piece: Piece, part: Part) -> Iterator[Template]:
    mine = [row for row in rows(piece) if row.part is part]
    for face, toward in dict.fromkeys((row.asked.face, row.side) for row in mine):
        group = [row for row in mine if row.asked.face is face and row.side is toward]
        side = f"{face.value}, toward {toward.value}, from {group[0].origin.value}"
        yield side, *_region(piece, part, face, group)


def _curved(body: Body) -> Iterator[Template]:
    """The outline of each arch and bow, to saw to."""
    part = body.part
    for arc in arc_shapes(part):
        face = part.facing if part.is_face(side_of(arc.level, 1)) else side_of(arc.level, 1)
        lying = flatwise(body, face)
        items = _outline(lying)
        edge, deep = (float(part.from_side(arc.side, away)) for away in (Fraction(0), arc.deep))
        corners = [
            _full(lying.flat(arc.place(float(run), at, 0.0)))
            for run, at in ((arc.start, edge), (arc.stop, deep - arc.side.sign * _ROUND))
        ]
        (left, right), (top, base) = (sorted(values) for values in zip(*corners, strict=True))
        whole = _box_of(items)
        box = (
            max(left - 10, whole[0]),
            max(top - 2, whole[1]),
            min(right + 10, whole[2]),
            min(base + 2, whole[3]),
        )
        yield f"{face.value}, along {arc.side.value}", items, box


def _full(at: SeenAt) -> SeenAt:
    return at[0] * _FULL, -at[1] * _FULL


def _outline(lying: Flatwise) -> list[Item]:
    """All edges of a part at full size."""
    found = inked(
        Scene([lying.body], lying.view).stretches(), [("seen", None, False), ("hidden", None, True)]
    )
    return [Line(kind, (_full(a), _full(b))) for kind, segments in found.items() for a, b in segments]


def _box_of(items: Sequence[Item]) -> _Box:
    """The box round lines, and 2 mm about it."""
    xs, ys = zip(*(at for item in items if isinstance(item, Line) for at in item.points), strict=True)
    return min(xs) - 2, min(ys) - 2, max(xs) + 2, max(ys) + 2


def _region(piece: Piece, part: Part, face: Side, group: Sequence[Row]) -> tuple[list[Item], _Box]:
    """What lies round the rows of one joint, at full size."""
    body = piece.body(part)
    lying = flatwise(body, face)
    items = _outline(lying)
    whole = _box_of(items)
    corners: list[SeenAt] = []
    for row in group:
        across = lying.flat(body.direction_to_own(row.frame.across))
        inward = lying.flat(body.direction_to_own(row.frame.inward))
        for pocket in row.pockets:
            mouth, leaves, tail = (
                lying.flat(body.to_own(p)) for p in (pocket.mouth, pocket.exit, pocket.tail)
            )
            rim = [_full(lying.flat(body.to_own(at))) for at in mouth_rim(row, pocket, 48)]
            items += [Line("thin", pair) for pair in pairwise([*rim, rim[0]])]
            edge = lying.flat(body.to_own(plus(pocket.exit, row.frame.inward, 0.15)))
            items.append(Line("axis", (_full(tail), _full(edge))))
            x, y = _full(mouth)
            tick = 2.5
            items.append(
                Line(
                    "thin",
                    (
                        (x - tick * across[0], y + tick * across[1]),
                        (x + tick * across[0], y - tick * across[1]),
                    ),
                )
            )
            away = to_sixteenth(row.from_side(pocket.station, row.origin), row.unit)
            tx, ty = _full((tail[0] - 0.12 * inward[0], tail[1] - 0.12 * inward[1]))
            upright = abs(inward[0]) > 0.5
            anchor = ("end" if inward[0] > 0 else "start") if upright else "middle"
            items.append(
                Text((tx, ty + (1.0 if upright else 3.0 if inward[1] > 0 else -1.0)), away, 2.8, anchor)
            )
            corners += [_full(tail), _full(leaves)]
    reach = _ROUND * _FULL
    xs, ys = zip(*corners, strict=True)
    box = (
        max(min(xs) - reach, whole[0]),
        max(min(ys) - reach, whole[1]),
        min(max(xs) + reach, whole[2]),
        min(max(ys) + reach, whole[3]),
    )
    return items, _to_the_edge(box, lying, group, whole)


def _to_the_edge(box: _Box, lying: Flatwise, group: Sequence[Row], whole: _Box) -> _Box:
    """A region drawn out to the edge that its places are measured from, where that is near: there it is laid on."""
    x, y = lying.flat(lying.body.own_planes[group[0].origin].normal)
    measured = (x < -0.5, y > 0.5, x > 0.5, y < -0.5)
    left, top, right, base = (
        edge if there and abs(edge - end) < 60 else end
        for end, edge, there in zip(box, whole, measured, strict=True)
    )
    return left, top, right, base


def _tiles(
    piece: Piece, number: int, items: Sequence[Item], box: _Box, names: Sequence[str], side: str
) -> Iterator[Sheet]:
    wide, high = paper_of(piece.plan.unit)
    room_wide, room_high = wide - 2 * EDGE, high - 2 * EDGE - HEAD - _FOOT
    across = max(1, ceil((box[2] - box[0] - OVERLAP) / (room_wide - OVERLAP)))
    down = max(1, ceil((box[3] - box[1] - OVERLAP) / (room_high - OVERLAP)))
    for j in range(down):
        for i in range(across):
            left = box[0] + i * (room_wide - OVERLAP)
            top = box[1] + j * (room_high - OVERLAP)
            window = left, top, min(left + room_wide, box[2]), min(top + room_high, box[3])
            dx, dy = EDGE - left, EDGE + HEAD - top
            shown = [*_within(items, window, dx, dy), *_marks(window, (i, j), (across, down), dx, dy)]
            tile = f", tile {j * across + i + 1} of {across * down}" if across * down > 1 else ""
            words = f"Template {number}: {words_cut_off(listed(list(names), 4), 3.5, 90)}, the {side}{tile}"
            mark = f"template-{number}{f'-{j * across + i + 1}' if tile else ''}"
            title, says = f"template {number}{tile}", f"{words}; full size, to be printed at 100 %."
            foot = Text((wide - EDGE, high - EDGE), words_cut_off(words, 2.8, wide - 150), 2.8, "end")
            items = [*shown, *_check_bar(piece, high), foot]
            yield titled(piece, mark, title, says, items, title.capitalize())


def _within(items: Sequence[Item], window: _Box, dx: float, dy: float) -> Iterator[Item]:
    """What lies in a window, moved."""
    for item in items:
        if isinstance(item, Line):
            for a, b in pairwise(item.points):
                kept = inside(a, b, window)
                if kept is not None:
                    (x0, y0), (x1, y1) = kept
                    yield Line(item.kind, ((x0 + dx, y0 + dy), (x1 + dx, y1 + dy)))
        elif isinstance(item, Text):
            x, y = item.at
            if window[0] + 8 < x < window[2] - 8 and window[1] + 3 < y < window[3] - 3:
                yield item._replace(at=(x + dx, y + dy))


def _marks(window: _Box, at: tuple[int, int], many: tuple[int, int], dx: float, dy: float) -> Iterator[Item]:
    """Crosses in the strips that tiles share: the same cross has the same letter on both."""
    left, top, right, base = window
    inner = OVERLAP / 2
    i, j = at
    seams = []
    for x, column in ((left + inner, i - 1), (right - inner, i)):
        if 0 <= column < many[0] - 1:
            seams += [(x, y, column, j, n) for n, y in enumerate(_spread(top, base))]
    for y, line in ((top + inner, j - 1), (base - inner, j)):
        if 0 <= line < many[1] - 1:
            seams += [(x, y, i, line, n + 2) for n, x in enumerate(_spread(left, right))]
    for x, y, column, line, which in seams:
        px, py = x + dx, y + dy
        yield Line("thin", ((px - 4, py), (px + 4, py)))
        yield Line("thin", ((px, py - 4), (px, py + 4)))
        yield Text((px + 1, py - 1), f"{chr(97 + column)}{line + 1}.{which + 1}", 2.4)


def _spread(low: float, high: float) -> tuple[float, ...]:
    """Where two crosses stand along a strip, in from its ends; in a short one one does."""
    return (low + 20, high - 20) if high - low > 52 else ((low + high) / 2,)


def _check_bar(piece: Piece, high: float) -> Iterator[Item]:
    """A bar of 4 in or 100 mm, by which a print is checked before it is trusted."""
    inch = in_inches(piece.plan.unit)
    long = 4 * 25.4 if inch else 100.0
    words = "4 in" if inch else "100 mm"
    y = high - EDGE - 2.0
    yield Line("seen", ((EDGE, y), (EDGE + long, y)))
    for n in range(5 if inch else 11):
        x = EDGE + n * long / (4 if inch else 10)
        yield Line("seen", ((x, y - 2.5), (x, y)))
    yield Text((EDGE, y - 4.0), f"Print at 100 %: this bar must measure {words}.", 2.8, bold=True)
