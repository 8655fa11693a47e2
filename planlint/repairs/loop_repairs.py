"""Parts that a loop lays too near, too far, or too many: its last turn, its start or its step changed."""

from collections.abc import Iterator, Sequence

from planlint.checks.looped_parts import looped_parts
from planlint.language.expression_tree import Expression, Number, Operation
from planlint.language.syntax_tree import For, PlacingLine
from planlint.language.tree_text import names_said, statements_of
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.repairs.line_edits import change
from planlint.repairs.placing_repairs import Way
from planlint.repairs.repair_context import Context
from planlint.repairs.written_lengths import changed_sum
from planlint.wording.overlap_words import ways_to_lay


def laid_evenly(context: Context, parts: Sequence[Part], along: Axis | None) -> Iterator[Way]:
    """The loop that lays one of some parts, changed so that its row ends evenly."""
    row = looped_parts(context.piece, parts, along)
    says = [each.rstrip(".") for each in ways_to_lay(context.piece, parts, along)]
    if row is None or not says:
        return
    line = context.at(row.placing.span)
    sum_, words = context.node(line, PlacingLine).distance, context.line(line)
    for loop in [each for each in statements_of(context.tree) if isinstance(each.node, For)]:
        turn = context.node(loop, For)
        if sum_ is None or turn.name.text not in {each.text for each in names_said(sum_)}:
            continue
        told = f"{says[0][0].lower()}{says[0][1:]}"
        if row.one_late:
            at = (each for each in names_said(sum_) if each.text == turn.name.text)
            yield tuple(change(line, each, f"({each.text} - 1)") for each in at), told
        elif row.too_many and isinstance(turn.last, Number):
            last = str(turn.last.value - row.too_many)
            yield (change(loop, turn.last, last),), told
        elif row.even is not None:
            for step in _steps(sum_, turn.name.text):
                scope = context.plan.provenance.scope
                new = changed_sum(step, words, row.step(context.unit) - row.pitch, context.unit, scope)
                if new is not None:
                    bare = isinstance(step, Number) or words[step.start] == "("
                    new = new if bare or " " not in new else f"({new})"
                    yield (change(line, step, new),), told


def _steps(node: Expression, turn: str) -> Iterator[Expression]:
    """What is taken once for each turn of a loop."""
    if not isinstance(node, Operation):
        return
    for one, other in ((node.left, node.right), (node.right, node.left)):
        counts = turn in {each.text for each in names_said(one)}
        if node.operator == "*" and counts and turn not in {each.text for each in names_said(other)}:
            yield other
        elif counts:
            yield from _steps(one, turn)
