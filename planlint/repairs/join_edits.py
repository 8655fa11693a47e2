"""Rows of pockets, screws and placings written into the lines of a join, with as few words changed as will do."""

import re
from fractions import Fraction
from math import ceil

from planlint.checks.turning_joint import usual_pockets
from planlint.language.expression_tree import Expression, Number
from planlint.language.syntax_tree import JoinLine, PocketsLine, ScrewsLine, Statement
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join
from planlint.repairs.line_edits import add_detail, change, rewrite
from planlint.repairs.repair_context import Context, NotInThisFile
from planlint.repairs.written_lengths import spelt
from planlint.text.edits import TextEdit
from planlint.text.measures import INCH_PER_UNIT
from planlint.text.source import Span

_Lengths = tuple[tuple[Expression, Fraction | None, Fraction | None], ...]


def length_edit(context: Context, statement: Statement, node: Expression, value: Fraction) -> TextEdit:
    """A new length, in inches, in the place of an expression."""
    like = context.words(statement, node) if isinstance(node, Number) else ""
    return change(statement, node, context.spelt(value, like))


def write_row(context: Context, join: Join, row: int, new: PocketRow) -> tuple[TextEdit, ...]:
    """The edits that make one row of pockets of a join another."""
    old = join.pockets[row]
    statement = context.at(old.span)
    node = context.node(statement, PocketsLine)
    edits = _set_out(context, statement, node, old, new)
    if (new.face, new.in_b) != (old.face, old.in_b):
        face = node.face
        words = new.face.value
        if new.in_b == old.in_b and face.part is not None:
            words = f"{context.words(statement, face.part)}.{words}"
        elif new.in_b:
            words = f"{_part_b(context, join)}.{words}"
        edits.append(change(statement, face, words))
    if new.plugged and not old.plugged:
        edits.append(change(statement, Span(node.face.end, node.face.end), ", plugged"))
    return tuple(edits)


def _part_b(context: Context, join: Join) -> str:
    head = context.at(join.span)
    part = context.node(head, JoinLine).b.part
    if part is None:
        raise NotInThisFile
    return context.words(head, part)


def _set_out(
    context: Context, statement: Statement, node: PocketsLine, old: PocketRow, new: PocketRow
) -> list[TextEdit]:
    """How many and where: single numbers where the way of saying it stays, else the whole phrase."""
    if _said(old) == _said(new):
        return []
    if new.count is not None and node.count is not None and new.last == old.last:
        return [change(statement, node.count, str(new.count))]
    pairs: _Lengths | None = None
    if (
        new.every is not None
        and node.every is not None
        and node.first is not None
        and new.origin is old.origin
        and new.last is None
        and old.last is None
    ):
        pairs = ((node.every, old.every, new.every), (node.first, old.first, new.first))
    elif new.at and old.at and node.at and new.origin is old.origin and len(new.at) == len(old.at):
        pairs = tuple(zip(node.at, old.at, new.at, strict=True))
    if pairs is not None:
        return [
            length_edit(context, statement, each, value)
            for each, was, value in pairs
            if value is not None and value != was
        ]
    line = context.line(statement)[: node.face.start]
    start = len("pockets")
    start += len(line[start:]) - len(line[start:].lstrip())
    end = len(line.rstrip()[: -len("in")].rstrip())
    return [change(statement, Span(start, end), phrase(new, context.unit))]


def _said(row: PocketRow) -> tuple[object, ...]:
    return row.count, row.at, row.every, row.first, row.last, row.origin if row.count is None else None


def phrase(row: PocketRow, unit: str) -> str:
    """``2``, ``at 1, 2-1/2 from top`` or ``every 7 from 2``: how many pockets and where."""
    if row.last is not None:
        many = str(row.count) if row.count is not None else f"every {spelt(row.every or Fraction(1), unit)}"
        ends = f"from {spelt(row.first or Fraction(0), unit)} to {spelt(row.last, unit)}"
        return f"{many} {ends}{f' of {row.origin.value}' if row.origin is not None else ''}"
    if row.count is not None:
        return str(row.count)
    origin = row.origin.value if row.origin is not None else ""
    if row.at is not None:
        return f"at {', '.join(spelt(each, unit) for each in row.at)} from {origin}"
    assert row.every is not None
    behind = f" of {origin}" if origin else ""
    return f"every {spelt(row.every, unit)} from {spelt(row.first or Fraction(0), unit)}{behind}"


def held_like(context: Context, like: Join, a: str, b: str, *, behind: bool = False) -> list[str]:
    """The details that hold a joint as another is held, whose parts are called ``a`` and ``b`` here; with the pockets
    in the faces ``behind``, if so asked. Raises ``Elsewhere`` where its screws are told in another file."""
    lines = []
    for row in like.pockets:
        face = (row.face.opposite if behind else row.face).value
        plugged = ", plugged" if row.plugged else ""
        lines.append(f"pockets {phrase(row, context.unit)} in {f'{b}.' if row.in_b else ''}{face}{plugged}")
    if like.screws is not None:
        said = context.at(like.screws.span)
        lines.append(context.line(said))
    for each in like.fastenings:
        words = context.line(context.at(each.span))
        lines.append(re.sub(r"(?<= through )[^\s,.]+", b if each.row.in_b else a, words))
    if like.glue:
        lines.append("glued" if like.glue == "all" else "glued along the middle third")
    if like.slotted:
        lines.append("slotted")
    return lines


def write_screws(
    context: Context, join: Join, thread: str | None, length: Fraction | None
) -> tuple[TextEdit, ...]:
    """Edits that give a join's screws another thread or length (``None``: as it is)."""
    said = join.screws
    if said is None:
        head = context.at(join.span)
        last = context.at(join.pockets[-1].span) if join.pockets else head
        words = " ".join(filter(None, ("screws", thread, _screw_length(context, length, ""))))
        return (add_detail(context, head, words, last),)
    statement = context.at(said.span)
    node = context.node(statement, ScrewsLine)
    if node.thread is None:
        words = " ".join(filter(None, ("screws", thread or "coarse", _screw_length(context, length, ""))))
        return (rewrite(statement, words),)
    edits = []
    if thread is not None and thread != said.thread:
        edits.append(change(statement, node.thread, thread))
    if length is not None and length != said.length:
        if node.length is None:
            words = f" {_screw_length(context, length, '')}"
            edits.append(change(statement, Span(node.thread.end, node.thread.end), words))
        else:
            like = context.words(statement, node.length)
            like = like if isinstance(node.length, Number) else ""
            new = _screw_length(context, length, like)
            edits.append(change(statement, node.length, new))
    return tuple(edits)


def written_screw_length(context: Context, join: Join, length: Fraction) -> Fraction:
    """The length that the plan has once it is written: screws told in millimetres are told in whole ones."""
    said = join.screws
    statement = context.at(said.span) if said is not None else None
    node = statement.node if statement is not None else None
    if statement is None or not isinstance(node, ScrewsLine) or node.length is None:
        return length
    like = context.words(statement, node.length)
    if like.endswith("mm") or (
        context.unit == "mm" and isinstance(node.length, Number) and not node.length.unit
    ):
        return round(length / INCH_PER_UNIT["mm"]) * INCH_PER_UNIT["mm"]
    return length


def _screw_length(context: Context, length: Fraction | None, like: str) -> str:
    if length is None:
        return ""
    if not like and context.unit not in {"in", "ft"}:
        return spelt(length, "in") + " in"
    return context.spelt(length, like)


def pockets_and_screws(context: Context, join: Join) -> tuple[str, list[str]] | None:
    """What to drill at a joint that had no pockets, as many as its length asks for, and the lines that say so and ask
    for screws; ``None`` where none go there."""
    pockets = usual_pockets(context.piece, join)
    many = screws_along(context, join, context.piece.limits["wide-spacing", "spacing"])
    if not pockets or not many:
        return None
    return f"{many} pockets in {pockets.where}", [pockets.words(many), "screws to suit"]


def screws_along(context: Context, join: Join, spacing: float) -> int:
    """How many screws a joint asks for by its length, two at the least; 0 where its sides do not touch."""
    points = context.piece.contact(join).points
    reaches = [max(along) - min(along) for along in zip(*points, strict=True)]
    return max(2, ceil(max(reaches) / spacing)) if reaches else 0
