"""Two parts that meet inside a third: each let in less deep, and so much shorter."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from planlint.language.syntax_tree import JoinLine, TraditionItem
from planlint.model.plan import Join
from planlint.repairs.join_edits import number
from planlint.repairs.part_repairs import lengthened
from planlint.repairs.repair_context import Context
from planlint.text.edits import TextEdit
from planlint.text.measures import length


def less_let_in(context: Context, meeting: tuple[Join, Join]) -> Iterator[tuple[tuple[TextEdit, ...], str]]:
    """Both as deep as at their other ends, or half through; the parts as much shorter."""
    one, other = meeting
    host = one.part_b.size
    ends = {each.inset for join in meeting for each in context.piece.graph.joins_of(join.part_a)}
    half = min(host[join.side_b.axis] for join in meeting) / 2
    for deep in (*sorted((each for each in ends if each > 0), reverse=True), half):
        by = [join.inset - deep for join in meeting]
        if min(by) < 0 or not any(by):
            continue
        edits = [
            each
            for join, less in zip(meeting, by, strict=True)
            if less
            for each in _less(context, join, less)
        ]
        alike = one.part_a.length == other.part_a.length and by[0] == by[1]
        shorter = [_shorter(context, join, less) for join, less in zip(meeting, by, strict=True)]
        parts = [join.part_a for join in meeting]
        if alike and shorter[0] == shorter[1]:
            lengths = list(lengthened(context, parts[0], -shorter[0], others=parts[1:]))[:1]
        else:
            each = (
                list(lengthened(context, part, -less))[-1:]
                for part, less in zip(parts, shorter, strict=True)
                if less
            )
            lengths = [tuple(edit for ways in each for way in ways for edit in way)]
        names = " and ".join(dict.fromkeys(part.name for part in parts))
        says = (
            f"let {names} {length(deep, context.unit)} into {one.part_b.name}, and make them as much shorter"
        )
        for cut in lengths or [()]:
            yield tuple(dict.fromkeys((*cut, *edits))), says


def _shorter(context: Context, join: Join, by: Fraction) -> Fraction:
    """How much shorter a part gets: at both ends, where one statement tells both."""
    if not join.part_a.is_end(join.side_a):
        return Fraction(0)
    told = [each for each in context.piece.graph.joins_of(join.part_a) if each.span == join.span]
    return by * len(told)


def _less(context: Context, join: Join, by: Fraction) -> Iterator[TextEdit]:
    edit = less_deep(context, join, by)
    if edit is not None:
        yield edit


def less_deep(context: Context, join: Join, by: Fraction) -> TextEdit | None:
    """How deep a join says that A goes into B, less so much; ``None`` where it does not say it."""
    head = context.at(join.span)
    for statement in (head, *head.details):
        node = statement.node
        said = node.tradition if isinstance(node, JoinLine) else node
        if isinstance(said, TraditionItem) and join.tradition is not None:
            for measure in said.measures:
                if measure.word.text in {"deep", "long"}:
                    return number(context, statement, measure.value, join.tradition.inset - by)
    return None
