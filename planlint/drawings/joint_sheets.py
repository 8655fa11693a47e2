"""A joint: where it lies in the piece, and for each of its rows of pockets a cut along a screw and the drilled face."""

from planlint.checks.row_view import Row, rows_of
from planlint.drawings.bore_close_ups import face_close_up, screw_close_up
from planlint.drawings.close_ups import Measure
from planlint.drawings.drawn_view import Room
from planlint.drawings.drive_close_up import drive_cut
from planlint.drawings.finding_sheets import locator
from planlint.drawings.parts_alone import joint_at, parts_alone
from planlint.drawings.piece_sheets import EDGE, FOOT, HEAD, SIZE, titled
from planlint.drawings.primitives import Item, Sheet, Text, paper_of, words_cut_off
from planlint.geometry.piece import Piece
from planlint.model.plan import Join
from planlint.reports.safe_words import count, visible
from planlint.reports.step_joints import driven_words, joint_name
from planlint.wording.row_words import screw_name, setting_out

_MOST_ROWS = 2
"""Rows of pockets that are drawn on one sheet; a joint with more has them all on its parts' sheets."""


def joint_sheet(piece: Piece, join: Join) -> Sheet:
    """One joint."""
    wide, high = paper_of(piece.plan.unit)
    split = EDGE + (wide - 2 * EDGE) * 0.42
    base = high - EDGE - FOOT - 6
    items: list[Item] = []
    located, where = locator(piece, join.parts, join, (EDGE, EDGE + HEAD, split - 4, base))
    items += [*located, Text((EDGE, EDGE + HEAD + 2.0), where, 3.0, bold=True)]
    mine = rows_of(piece, join)[:_MOST_ROWS]
    near: Room = (split, EDGE + HEAD, wide - EDGE, base)
    foot = [f"{kind_words(piece, join)}."]
    driven = [row for row in piece.fasteners(join) if row.drives][: _MOST_ROWS - len(mine)]
    shown = [
        drive_cut(piece, row, row.drives[0], (near[0], near[1] + 8, near[2], near[3])) for row in driven[:1]
    ]
    if not mine:
        alone = parts_alone(
            piece, join.parts, (near[0], near[1] + 8, near[2], near[3]), [joint_at(piece, join)]
        )
        alone = next(iter(shown), alone)
        items += [Text((near[0], near[1] + 2.0), alone.title, 3.0, bold=True), *alone.items]
    each = (near[3] - near[1]) / max(1, 2 * len(mine))
    for number, row in enumerate(mine):
        top = near[1] + 2 * number * each
        cut = screw_close_up(piece, row.screws[0], (near[0], top + 5, near[2], top + each))
        face = face_close_up(piece, row, (near[0], top + each + 5, near[2], top + 2 * each), Measure("", ""))
        for drawing, at in ((cut, top), (face, top + each)):
            words = words_cut_off(drawing.title, 3.0, near[2] - near[0], bold=True)
            items += [Text((near[0], at + 2.0), words, 3.0, bold=True), *drawing.items]
        foot.append(f"{row_words(row)}.")
    foot += [f"{driven_words(row, piece.plan.unit)}." for row in driven]
    foot = [words_cut_off(line, SIZE, wide - 2 * EDGE) for line in foot]
    name = visible(join.name)
    says, short = " ".join([f"Joint {name}.", *foot]), f"Joint {words_cut_off(name, 3.5, 70)}"
    return titled(piece, f"joint-{join.index}", f"joint {name}", says, items, short, foot)


def row_words(row: Row) -> str:
    """What is drilled and driven in a row."""
    return (
        f"{count(len(row.pockets), 'pocket')} in the {row.asked.face.value} of {visible(row.part.name)}, at "
        f"{setting_out(row)}; {screw_name(row, row.screws[0])} screws"
        f"{', plugged' if row.asked.plugged else ''}"
    )


def kind_words(piece: Piece, join: Join) -> str:
    """The joint as a builder calls it, and how it is made."""
    sides = joint_name(join)
    if join.tradition is not None:
        return f"{sides}, {join.tradition.kind}"
    return (
        f"{sides}, {piece.kind(join).name}"
        if piece.trusted(join)
        else f"{sides}; where they lie is not settled"
    )
