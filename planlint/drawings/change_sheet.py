"""Before and after of a repair or a conversion: the same view twice, what changed drawn wide, and said."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from planlint.checks.row_view import rows_of
from planlint.drawings.drawn_view import Room, drawn, extent, sign_spots
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.joint_sheets import row_words
from planlint.drawings.margin_labels import Label, names_beside
from planlint.drawings.parts_alone import joint_at
from planlint.drawings.piece_sheets import EDGE, HEAD, titled
from planlint.drawings.primitives import (
    Area,
    Frame,
    Item,
    Line,
    Sheet,
    Text,
    frame_fitted,
    paper_of,
    ring,
    wrapped,
)
from planlint.drawings.view_window import HAIR
from planlint.drawings.viewpoints import VIEWS, View
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.reports.step_joints import driven_words
from planlint.text.measures import length

MOST_SAID = 9
"""Changes that a sheet says in words; the rest is counted."""


def change_sheets(before: Piece, after: Piece) -> Iterator[Sheet]:
    """Two views, from above a corner and from the back, each before and after."""
    for name in ("corner", "back-corner"):
        yield _sheet(before, after, VIEWS[name])


class Changes(NamedTuple):
    """What changed between two pieces, in words, and the names of the parts and of the joints that did."""

    said: list[str]
    parts: set[str]
    joints: list[str]


def changes(before: Piece, after: Piece) -> Changes:
    """What changed between two pieces; of a joint that is drilled otherwise the part with its pockets did."""
    was, now = before.plan.part_by_name, after.plan.part_by_name
    unit = after.plan.unit
    said: list[str] = []
    marked: set[str] = set()
    joints: list[str] = []
    for name in [*was, *(name for name in now if name not in was)]:
        words = list(_part_changes(before, after, was.get(name), now.get(name), unit))
        if words:
            marked.add(name)
            said += [f"{visible(name)}: {'; '.join(words)}."]
    for name, join in after.plan.join_by_name.items():
        old = before.plan.join_by_name.get(name)
        if old is None or _made(before, old.name) != _made(after, name):
            drilled: set[str] = set()
            if old is not None and old.tradition is None:
                pockets = (*before.pockets(old), *after.pockets(join))
                drilled = {pocket.part.name for pocket in pockets}
            marked.update(drilled or (part.name for part in join.parts))
            joints.append(name)
            said.append(
                f"{visible(name)}: {_made(after, name)}, was {_made(before, name) if old else 'not there'}."
            )
    return Changes(said, marked, joints)


def _part_changes(
    before: Piece, after: Piece, old: Part | None, new: Part | None, unit: str
) -> Iterator[str]:
    if old is None or new is None:
        yield "new" if old is None else "taken away"
        return
    for what in ("length", "width", "thickness"):
        a, b = getattr(old, what), getattr(new, what)
        if a != b:
            yield f"{what} {length(b, unit)}, was {length(a, unit)}"
    if old.stock.written != new.stock.written:
        yield "other stock"
    if len(old.removals) != len(new.removals) or len(old.cuts) != len(new.cuts):
        yield "cut otherwise"
    # What is shortened at one end stays where its other end is.
    ends = (zip(*body.bounds, strict=True) for body in (before.body(old), after.body(new)))
    moved = max(min(abs(a - c), abs(b - d)) for (a, b), (c, d) in zip(*ends, strict=True))
    if moved > HAIR:
        yield f"moved {length(moved, unit)}"


def _made(piece: Piece, name: str) -> str:
    """How a joint is made: its kind and measures, or what is drilled and driven, and where."""
    join = piece.plan.join_by_name[name]
    unit = piece.plan.unit
    if join.tradition is not None:
        sizes = [f"{length(size, unit)} {what}" for what, size in join.tradition.measures.items()]
        return ", ".join([join.tradition.kind, *sizes, *sorted(join.tradition.words)])
    made = [row_words(row) for row in rows_of(piece, join)]
    made += [driven_words(row, unit) for row in piece.fasteners(join)]
    return "; ".join(made) or ("glued" if join.glue else "without pockets")


def _sheet(before: Piece, after: Piece, view: View) -> Sheet:
    wide, high = paper_of(after.plan.unit)
    said, marked, joints = changes(before, after)
    signs = (
        ["Ringed: joints made otherwise; dots: the mouths of their pockets, also behind wood."]
        if joints
        else []
    )
    more = [f"and {len(said) - MOST_SAID} more changes."] if len(said) > MOST_SAID else []
    words = [
        line for each in [*signs, *said[:MOST_SAID], *more] for line in wrapped(each, 3.0, wide - 2 * EDGE, 2)
    ][:14]
    foot = 4.2 * max(len(words), 1) + 5
    middle = wide / 2
    base = high - EDGE - foot
    rooms: list[Room] = [(EDGE, EDGE + HEAD, middle - 3, base), (middle + 3, EDGE + HEAD, wide - EDGE, base)]
    frames = _frames((before, after), view, rooms)
    items: list[Item] = [Line("thin", ((middle, EDGE + HEAD), (middle, base)))]
    for piece, room, frame, title in zip((before, after), rooms, frames, ("Before", "After"), strict=True):
        bold = [part.index for part in piece.plan.parts if part.name in marked]
        shown = drawn(bodies_as_cut(piece), view, frame, hidden=False, bold=bold, bold_kind="changed")
        where = sign_spots(shown, set(bold))
        labels = [
            Label(visible(piece.plan.parts[n].name), where[n].at, bold=True) for n in bold if n in where
        ]
        items += [Text((room[0], room[1] + 2.0), title, 3.2, bold=True), *shown.items]
        items += names_beside(labels, shown.items, (room[0], room[1] + 6, *room[2:]))
        for join in (piece.plan.join_by_name[name] for name in joints if name in piece.plan.join_by_name):
            items.append(
                Line("measure", ring(shown.on_paper(joint_at(piece, join)), 3.5, 3.5, 32), closed=True)
            )
            items += [Area("fault", ring(shown.on_paper(p.mouth), 0.7, 0.7, 12)) for p in piece.pockets(join)]
    y = high - EDGE - foot + 5
    items += [Text((EDGE, y + 4.2 * n), line, 3.0) for n, line in enumerate(words or ["Nothing changed."])]
    says = " ".join(["Before and after, what changed drawn wide.", *said])
    return titled(after, f"change-{view.name}", "before and after", says, items, "Before and after")


def _frames(pieces: Sequence[Piece], view: View, rooms: Sequence[Room]) -> list[Frame]:
    """One scale for both."""
    inner = [(left + 26, top + 8, right - 26, base - 3) for left, top, right, base in rooms]
    boxes = [extent(bodies_as_cut(piece), view) for piece in pieces]
    scale = min(frame_fitted(box, room, 12.7).scale for box, room in zip(boxes, inner, strict=True))
    return [frame_fitted(box, room, scale) for box, room in zip(boxes, inner, strict=True)]
