"""The piece as it stands: views by the six sides and from above a corner, with names, grain and overall sizes."""

import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from planlint.drawings.drawn_view import Room, drawn, extent, grain_sign, sign_spots
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.primitives import (
    Frame,
    Item,
    Line,
    Sheet,
    Text,
    dimension,
    named_scale,
    paper_of,
    scale_words,
    words_cut_off,
    words_wide,
    wrapped,
)
from planlint.drawings.viewpoints import VIEW_WORDS, VIEWS, View
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.text.measures import length
from planlint.text.rounding import LEAST_DIVISOR

EDGE = 10.0
"""Blank rim of every sheet, in mm."""
HEAD = 14.0
"""Height of the sheet's head."""
FOOT = 6.0
LABELS = 34.0
"""Width of a margin for names."""
SIZE = 2.8
SMALL = 3.0
"""Inches below which what is drawn is enlarged. Basis: our own judgement."""
MANY = 30
"""Parts from which alike ones with numbered names share a name on the drawing. Basis: our own judgement."""


def titled(
    piece: Piece, name: str, title: str, says: str, shown: Sequence[Item], what: str, foot: Sequence[str] = ()
) -> Sheet:
    """A sheet with its head, the line under that, and its foot; ``what`` stands in the head, ``title`` is its own."""
    wide, high = paper_of(piece.plan.unit)
    room = wide - 2 * EDGE - words_wide(what, 3.5) - 8
    head = words_cut_off(visible(piece.plan.title) or "Untitled", 5.0, room, bold=True)
    items: list[Item] = [
        *shown,
        Text((EDGE, EDGE + 5.0), head, 5.0, bold=True),
        Text((wide - EDGE, EDGE + 5.0), what, 3.5, "end"),
        Line("thin", ((EDGE, EDGE + 8.0), (wide - EDGE, EDGE + 8.0))),
    ]
    items += [
        Text((EDGE, high - EDGE + 1.5 - 4.0 * n), words_cut_off(line, SIZE, wide - 2 * EDGE), SIZE)
        for n, line in enumerate(reversed(list(foot)))
    ]
    return Sheet(name, f"{visible(piece.plan.title)}: {title}", says, wide, high, tuple(items))


@of_piece
def uncertain(piece: Piece) -> tuple[int, ...]:
    """The parts that the plan does not place for certain beside the most others."""
    parts = piece.plan.parts
    if not parts:
        return ()
    home = max(
        parts,
        key=lambda part: (sum(piece.placement.fixed_together(part, each) for each in parts), -part.index),
    )
    return tuple(
        part.index for part in parts if not piece.placement.fixed_together(home, part) and part is not home
    )


def in_doubt(piece: Piece, among: Sequence[Part] | None = None) -> list[str]:
    """What a sheet says of parts that are not placed for certain: of all, or of those that it shows."""
    shows = None if among is None else {part.index for part in among}
    doubtful = [n for n in uncertain(piece) if shows is None or n in shows]
    if not doubtful:
        return []
    names = ", ".join(visible(piece.plan.parts[n].name) for n in doubtful[:6])
    more = f" and {len(doubtful) - 6} more" if len(doubtful) > 6 else ""
    return [f"Dotted: where {names}{more} lie{'s' if len(doubtful) == 1 else ''} is not settled by the plan."]


def words_sheet(piece: Piece, title: str, words: Sequence[str]) -> Sheet:
    """A sheet that says something and draws nothing."""
    wide, _ = paper_of(piece.plan.unit)
    lines = [line for each in words for line in wrapped(each, 3.5, wide - 2 * EDGE, 3)]
    items = [Text((EDGE, EDGE + HEAD + 6.0 * n), line, 3.5) for n, line in enumerate(lines, 1)]
    return titled(piece, "words", title, " ".join(words), items, title)


def overview(piece: Piece) -> Sheet:
    """Front, side and top with overall sizes, and the piece from above a corner with the names of its parts."""
    wide, high = paper_of(piece.plan.unit)
    bodies = bodies_as_cut(piece)
    split = wide * 0.44
    scale = _scale_for_three(piece, split - EDGE, high)
    front, top, right = (VIEWS[name] for name in ("front", "top", "right"))
    x0, y0, x1, y1 = extent(bodies, front)
    _, d0, _, d1 = extent(bodies, top)
    unit, gap = piece.plan.unit, 12.0
    across = length(x1 - x0, unit)
    left = EDGE + 12.0
    tall = (y1 - y0 + d1 - d0) * scale + gap + 5.0
    base = (EDGE + HEAD + high - EDGE - FOOT - 12.0 + tall) / 2
    head = base - (y1 - y0) * scale - gap
    doubtful = uncertain(piece)
    items: list[Item] = []
    left_out = 0
    # What has no room between its arrows is written beside them.
    room = words_wide(across, SIZE) + 7.0
    beside = left + (x1 - x0) * scale + (gap if room < (x1 - x0) * scale else max(gap, room))
    spots = (
        (front, Frame(scale, left - scale * x0, base + scale * y0)),
        (top, Frame(scale, left - scale * x0, head + scale * d0)),
        (right, Frame(scale, beside - scale * d0, base + scale * y0)),
    )
    for view, frame in spots:
        shown = drawn(bodies, view, frame, doubtful=doubtful)
        left_out += shown.left_out
        items += shown.items
    ends = left, left + (x1 - x0) * scale, base - (y1 - y0) * scale
    items += dimension((ends[0], base), (ends[1], base), -7.0, across)
    items += dimension((left, base), (left, ends[2]), 7.0, length(y1 - y0, unit))
    side = beside, beside + (d1 - d0) * scale
    items += dimension((side[0], base), (side[1], base), -7.0, length(d1 - d0, unit))
    items += [
        Text((left, head - (d1 - d0) * scale - 2.0), VIEW_WORDS["top"], SIZE),
        Text((left, ends[2] - 2.0), VIEW_WORDS["front"], SIZE),
        Text((side[0], ends[2] - 2.0), VIEW_WORDS["right"], SIZE),
    ]
    corner = (split + 4, EDGE + HEAD, wide - EDGE, high - EDGE - FOOT)
    named, unnamed = _named_view(piece, VIEWS["corner"], corner)
    foot = [f"Views at {scale_words(scale)}, third angle; the corner view is not to scale."]
    if left_out:
        foot[0] += f" Hidden edges are left out: {left_out} cannot be told apart."
    if unnamed:
        foot[0] += f" {unnamed} parts are named on further sheets."
    foot += in_doubt(piece)
    says = (
        f"Front, top and right side, {length(x1 - x0, unit)} wide, {length(d1 - d0, unit)} deep and "
        f"{length(y1 - y0, unit)} high, and the piece from above a corner with the names of its parts."
    )
    return titled(piece, "piece", "the piece", says, [*items, *named], "The piece", foot)


def _scale_for_three(piece: Piece, room: float, high: float) -> float:
    low, top = piece.bounds
    x, y, z = (max(b - a, LEAST_DIVISOR) for a, b in zip(low, top, strict=True))
    across = (room - 12.0 - 12.0 - 6.0) / (x + y)
    down = (high - 2 * EDGE - HEAD - FOOT - 14.0 - 12.0 - 5.0) / (z + y)
    return named_scale(min(across, down), piece.plan.unit, enlarged=max(x, y, z) < SMALL)


def view_sheet(piece: Piece, name: str) -> Iterator[Sheet]:
    """One view, large, with the names of the parts that show in it; as many sheets as the names need."""
    wide, high = paper_of(piece.plan.unit)
    view = VIEWS[name]
    room = (EDGE, EDGE + HEAD, wide - EDGE, high - EDGE - FOOT)
    first = 0
    number = 1
    while True:
        items, unnamed = _named_view(piece, view, room, first)
        foot = ["Hidden edges dashed." if view.square else "Isometric; not to scale."]
        if unnamed:
            foot[0] += f" {unnamed} more parts are named on the next sheet."
        foot += in_doubt(piece)
        title = f"{VIEW_WORDS[name]}{f', {number}' if number > 1 else ''}"
        mark = f"{name}{f'-{number}' if number > 1 else ''}"
        says = f"{VIEW_WORDS[name]}, with the names of the parts that show."
        yield titled(piece, mark, title.lower(), says, items, title, foot)
        if not unnamed:
            return
        first = len(_groups(piece)) - unnamed
        number += 1


def _named_view(piece: Piece, view: View, room: Room, first: int = 0) -> tuple[list[Item], int]:
    """A view with names in its margins, from the ``first`` of them on; and how many found no room."""
    left, top, right, bottom = room
    flat = view.square
    inner = (left + LABELS, top + (4 if flat else 2), right - LABELS, bottom - (14 if flat else 4))
    doubtful = uncertain(piece)
    shown = drawn(bodies_as_cut(piece), view, inner, hidden=flat, doubtful=doubtful)
    items = list(shown.items)
    xs = [x for item in items if isinstance(item, Line) for x, _ in item.points] or [0.0]
    margins = Margins(left, min(xs) - 2, max(xs) + 2, right, top, bottom)
    groups = _groups(piece)
    where = sign_spots(shown)
    labels, used, signs = [], 0, list[Item]()
    for words, parts in groups[first:]:
        here = [where[part.index] for part in parts if part.index in where]
        used += 1
        if not here:
            continue
        place = max(here, key=lambda each: (round(each.clear, 3), -each.at[1], -each.at[0]))
        labels.append(Label(words, place.at))
        part = next(part for part in parts if where.get(part.index) is place)
        signs += grain_sign(shown, piece.body(part), place)
        if len(labels) >= margins.holds(SIZE):
            break
    items += signs + margin_labels(labels, margins, SIZE)
    if flat:
        x0, y0, x1, y1 = extent(bodies_as_cut(piece), view)
        p, q = shown.frame.on_paper((x0, y0)), shown.frame.on_paper((x1, y1))
        unit = piece.plan.unit
        items += dimension((p[0], p[1]), (q[0], p[1]), -8.0, length(x1 - x0, unit))
    return items, len(groups) - first - used


def _groups(piece: Piece) -> list[tuple[str, list[Part]]]:
    """What a drawing names: each part, or in a large piece alike ones with numbered names together."""
    parts = piece.plan.parts
    if len(parts) < MANY:
        return [(visible(part.name), [part]) for part in parts]
    named = []
    for alike in families(parts):
        words = visible(alike[0].name)
        if len(alike) > 1:
            words = f"{words} … {visible(alike[-1].name)} ({len(alike)} alike)"
        named.append((words, alike))
    return named


def families(parts: Sequence[Part]) -> list[list[Part]]:
    """Parts of one size whose names differ only in their numbers, together."""
    found = [
        sorted(same, key=lambda part: part.index)
        for _, same in groupby(sorted(parts, key=_family), key=_family)
    ]
    return sorted(found, key=lambda alike: alike[0].index)


def _family(part: Part) -> tuple[str, ...]:
    stem = re.sub(r"\d+", "#", part.name)
    alone = part.name if stem == part.name else ""
    return (
        stem,
        alone,
        str(part.length),
        str(part.width),
        str(part.thickness),
        part.stock.name,
        str(part.grain),
    )
