"""What edits touch: the joints and parts whose statements they stand in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.language.print import statements_of
from planlint.language.tree import For, Let, Statement
from planlint.model.expressions import names_in
from planlint.repairs.context import Context, Elsewhere
from planlint.repairs.lines import last_line
from planlint.text.edits import TextEdit
from planlint.text.source import Span


class Extent(NamedTuple):
    """``names`` are those of the finding and of all that edits change; ``ordered`` the latter, as in the plan."""

    names: frozenset[str]
    ordered: tuple[str, ...]


def extent_of(context: Context, edits: tuple[TextEdit, ...], finding: Finding) -> Extent:
    """The joints and parts that a set of edits changes, those that one statement or name stands for included."""
    changed = tuple(dict.fromkeys(_changed(context, edits)))
    own = {name for name in (finding.joint, *finding.parts) if name}
    return Extent(frozenset({*own, *changed}), changed)


def _changed(context: Context, edits: tuple[TextEdit, ...]) -> Iterator[str]:
    wide = [edit for edit in edits if _of_many(context, edit)]
    leaning = set(_leaning(context, wide)) if wide else set()
    for part in context.plan.parts:
        if any(span in leaning or _touches(context, span, edits) for span in (part.span, part.stock.span)):
            yield part.name
    for join in context.plan.joins:
        if join.span in leaning or _touches(context, join.span, edits):
            yield join.name


def _whole(context: Context, span: Span) -> Span:
    """A statement with the lines under it."""
    return Span(span.start, last_line(context.at(span)).span.end)


def _touches(context: Context, span: Span, edits: tuple[TextEdit, ...]) -> bool:
    try:
        start, end = _whole(context, span)
    except Elsewhere:
        return False
    # An insertion right behind a statement is a statement of its own.
    return any(
        (edit.span.start < end and edit.span.end > start)
        or (edit.span.start == edit.span.end and start < edit.span.start <= end and "\n" not in edit.new.lstrip("\r\n"))
        for edit in edits
    )  # fmt: skip


def _of_many(context: Context, edit: TextEdit) -> bool:
    """Whether an edit stands in a `let` or the head of a loop, which others lean on."""
    for statement in statements_of(context.tree):
        start, end = statement.span
        if start <= edit.span.start <= end and isinstance(statement.node, Let | For):
            return True
    return False


def _leaning(context: Context, edits: list[TextEdit]) -> Iterator[Span]:
    """The statements whose words name an edited `let`, or one that leans on it."""
    lets = {
        statement.node.name.text: statement
        for statement in statements_of(context.tree)
        if isinstance(statement.node, Let)
    }
    changed = {
        name
        for name, statement in lets.items()
        if any(statement.span.start <= edit.span.start <= statement.span.end for edit in edits)
    }
    grown = True
    while grown:
        more = {
            name
            for name, statement in lets.items()
            if isinstance(statement.node, Let)
            and {each.text for each in names_in(statement.node.value)} & changed
        }
        grown = not more <= changed
        changed |= more
    for statement in context.tree.statements:
        yield from _naming(context, statement, changed)


def _naming(context: Context, statement: Statement, names: set[str]) -> Iterator[Span]:
    if isinstance(statement.node, For):
        for inner in statement.details:
            yield from _naming(context, inner, names)
        return
    if isinstance(statement.node, Let):
        return
    text = context.text[slice(*_whole(context, statement.span))]
    words = "".join(letter if letter.isalnum() or letter == "_" else " " for letter in text).split()
    if names & set(words):
        yield statement.span
