"""A solid panel made narrower, so that it may grow in its grooves."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from planlint.checks.loose_panel import Loose
from planlint.findings.finding import Finding
from planlint.language.syntax_tree import JoinLine, TraditionItem
from planlint.model.plan import Join
from planlint.repairs.join_edits import number
from planlint.repairs.part_repairs import lengthened
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.measures import length

_SIXTEENTH = Fraction(1, 16)


def loose_panel(context: Context, finding: Finding) -> Iterator[Proposal]:
    """One board that is too tight: half as much less deep in each groove, and so much narrower in all."""
    loose = finding.judged(Loose)
    if loose.kind != "tight" or len(loose.panel) > 1:
        return
    each = ceil((loose.moves - (loose.room or 0.0)) / 2 / float(_SIXTEENTH) - 1e-9) * _SIXTEENTH
    edits = [_less_deep(context, join, each) for join in loose.joins]
    shallower = tuple(dict.fromkeys(edit for edit in edits if edit is not None))
    if None in edits or any(piece_in <= each for piece_in in _depths(loose)):
        return
    says = f"make {loose.panel[0].name} {length(2 * each, context.unit)} narrower, to grow in its grooves"
    for narrower in lengthened(context, loose.panel[0], -2 * each, "wide"):
        yield Proposal((*narrower, *shallower), says, moves=True)


def _depths(loose: Loose) -> list[Fraction]:
    return [join.tradition.inset for join in loose.joins if join.tradition is not None]


def _less_deep(context: Context, join: Join, by: Fraction) -> TextEdit | None:
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
