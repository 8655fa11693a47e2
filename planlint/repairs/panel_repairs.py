"""A solid panel made narrower, so that it may grow in its grooves."""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from planlint.checks.loose_panel import LoosePanel
from planlint.findings.finding import Finding
from planlint.repairs.let_in_repairs import DEPTHS, measured
from planlint.repairs.part_repairs import lengthened
from planlint.repairs.repair_context import Context, Proposal

_SIXTEENTH = Fraction(1, 16)
"""Inches that a panel is cut to. Basis: common practice, what a rule is read to."""


def loose_panel(context: Context, finding: Finding) -> Iterator[Proposal]:
    """One board that is too tight: half as much less deep in each groove, and so much narrower in all."""
    loose = finding.judged(LoosePanel)
    if loose.kind != "tight" or len(loose.panel) > 1:
        return
    each = ceil((loose.moves - (loose.room or 0.0)) / 2 / float(_SIXTEENTH) - 1e-9) * _SIXTEENTH
    edits = [measured(context, join, DEPTHS, join.inset - each) for join in loose.joins]
    shallower = tuple(dict.fromkeys(edit for edit in edits if edit is not None))
    if None in edits or any(join.tradition and join.tradition.inset <= each for join in loose.joins):
        return
    says = f"make {loose.panel[0].name} {context.told(2 * each)} narrower, to grow in its grooves"
    for narrower in lengthened(context, loose.panel[0], -2 * each, "wide"):
        yield Proposal((*narrower, *shallower), says, moves=True)
