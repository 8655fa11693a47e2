"""Repairs of what loads do: more screws in a joint, and a piece fixed to the wall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planlint.checks.overloaded_joint import Overloaded
from planlint.checks.sagging_shelf import Sags
from planlint.checks.tipping_piece import PushedOver, Tips
from planlint.findings.finding import Finding
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.repairs.join_edits import write_row
from planlint.repairs.joint_trial import clears
from planlint.repairs.part_repairs import add_item, thicker
from planlint.repairs.repair_context import Context, Proposal

MORE = 4
"""Screws more that a row is tried with. Basis: own judgement."""


def joint_overload(context: Context, finding: Finding) -> Iterator[Proposal]:
    """More pockets in a row that says how many, as far as they find room."""
    fact = finding.fact
    if not isinstance(fact, Overloaded):
        return
    join = fact.join
    for number, row in enumerate(join.pockets):
        if row.count is None or row.fixed:
            continue
        first = row.count + 1
        enough = max(first, row.count + fact.needed - fact.screws)
        for count in dict.fromkeys((enough, *range(first, row.count + MORE + 1))):
            if count > row.count + MORE:
                continue
            way = replace(row, count=count)
            changed = replace(join, pockets=(*join.pockets[:number], way, *join.pockets[number + 1 :]))
            if clears(context, changed, finding.rule):
                yield Proposal(
                    write_row(context, join, number, way), f"drive {count} screws instead of {row.count}"
                )


def shelf_sag(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What sags made as thick as it should be."""
    fact = finding.fact
    if isinstance(fact, Sags):
        yield from thicker(context, fact.sag.part, fact.thick_to_be)


def tip_over(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What reaches highest at the back of the piece said to be fixed to the wall."""
    if not isinstance(finding.fact, Tips | PushedOver):
        return
    piece = context.piece
    wall = max(body.bounds.high[1] for body in piece.bodies)
    behind = [part for part in context.plan.parts if piece.body(part).bounds.high[1] > wall - NEAR]
    if not behind:
        return

    def holds(part: Part) -> tuple[bool, float, float]:
        box = piece.body(part).bounds
        return part.facing.axis is Axis.Y, round(box.high[2], 3), box.high[0] - box.low[0]

    part = max(behind, key=holds)
    for edits in add_item(context, part, "fixed to wall"):
        yield Proposal(edits, f"fix {part.name} to the wall", asks=True)


NEAR = 0.05
"""Inches from the back of the piece within which a part counts as at the back."""
