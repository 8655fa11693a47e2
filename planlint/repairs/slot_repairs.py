"""Slots for the screws of joints that hold solid wood across its grain."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.checks.locked_across_grain import joints_to_slot
from planlint.checks.row_view import listed
from planlint.findings.finding import Finding
from planlint.plugins.own_rules import every_rule
from planlint.repairs.line_edits import add_detail
from planlint.repairs.repair_context import Context, Proposal


def locked_across_grain(context: Context, finding: Finding) -> Iterator[Proposal]:
    """`slotted` under the joints that the finding names; glue holds whatever its screws stand in."""
    joins = joints_to_slot(context.piece, every_rule()[finding.rule], finding)
    if not joins or any(join.glue for join in joins):
        return
    heads = {join.span: context.at(join.span) for join in joins}
    edits = tuple(
        add_detail(context, head, "slotted", head.details[-1] if head.details else None)
        for head in heads.values()
    )
    yield Proposal(edits, f"write `slotted` under {listed([join.name for join in joins])}")
