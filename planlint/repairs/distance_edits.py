"""Edits of what a join says of where its parts lie: distances changed, words taken out, whole parts moved."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from planlint.language.syntax_tree import PlacingLine, Statement
from planlint.model.directions import Axis
from planlint.model.join_details import Placing
from planlint.model.plan import Part
from planlint.repairs.line_edits import add_detail, change, line_taken_out, rewrite
from planlint.repairs.repair_context import Context
from planlint.repairs.written_lengths import changed_sum
from planlint.text.edits import TextEdit
from planlint.text.source import Span

Edits = tuple[TextEdit, ...]


# ---------------------------------------------------------------- distances


def distance_changed(context: Context, placing: Placing, by: Fraction) -> Iterator[Edits]:
    """Edits that lay A's side ``by`` inches further inside B's than a placing says."""
    statement = context.at(placing.span)
    node = statement.node
    side = placing.side
    if not isinstance(node, PlacingLine) or side is None or not by:
        return
    inset = placing.inset + by
    same = inset > 0 if node.verb in {"set back", "from"} else inset < 0
    if len(node.sides) > 1 or node.distance is None or not same:
        words = replace(placing, inset=inset).words(context.spelt)
        yield from reworded(context, placing, words)
        return
    line = context.line(statement)
    new = changed_sum(node.distance, line, -by if node.verb == "proud" else by, context.unit)
    if new is not None:
        yield (change(statement, node.distance, new),)


def reworded(context: Context, placing: Placing, words: str) -> Iterator[Edits]:
    """Edits that say another placing in the place of one."""
    statement = context.at(placing.span)
    if isinstance(statement.node, PlacingLine) and len(statement.node.sides) < 2:
        yield (rewrite(statement, words),)
        return
    taken = _without(context, placing)
    if taken is not None:
        yield taken, add_detail(context, _head_of(context, statement), words, statement)


def _without(context: Context, placing: Placing) -> TextEdit | None:
    """A placing taken out: its line, or its side out of a line that names several."""
    statement = context.at(placing.span)
    node = statement.node
    if not isinstance(node, PlacingLine):
        return None
    if len(node.sides) < 2 or placing.side is None:
        return line_taken_out(context, statement)
    index = next(i for i, word in enumerate(node.sides) if word.text == placing.side.value)
    if index:
        return change(statement, Span(node.sides[index - 1].end, node.sides[index].end), "")
    return change(statement, Span(node.sides[0].start, node.sides[1].start), "")


def _head_of(context: Context, detail: Statement) -> Statement:
    return next(
        context.at(join.span) for join in context.plan.joins if detail in context.at(join.span).details
    )


def part_moved(context: Context, part: Part, axis: Axis, by: Fraction) -> Edits | None:
    """Edits that move a part along an axis, in every join that says where along it the part lies; one that is told as
    another follows that."""
    edits: list[TextEdit] = []
    spans = set()
    for join in context.piece.graph.joins_of(part):
        for placing in (each for each in join.placings if each.span != join.span):
            if placing.side is None or placing.side.axis is not axis or placing.span in spans:
                continue
            spans.add(placing.span)
            deeper = -placing.side.sign * by if join.part_a is part else placing.side.sign * by
            found = next(distance_changed(context, placing, deeper), None)
            if found is None:
                return None
            edits += found
    return tuple(edits) or None
