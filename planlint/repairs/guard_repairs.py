"""Guards made as high and as close as they should be, as far as a plan's words can: rails moved or added, a thinner
mattress."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.checks.bunk_guard import Unguarded
from planlint.checks.guard_gap import Gaps
from planlint.findings.finding import Finding
from planlint.language.syntax_tree import UseAs
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.repairs.added_rails import free_name, post_joins, rail_again
from planlint.repairs.distance_edits import exact, moved
from planlint.repairs.join_edits import number
from planlint.repairs.line_edits import statements_behind
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.measures import length
from planlint.wording.guard_words import LEAST_MATTRESS

NIL = 1e-6


def guard_gap(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The upper rail of a gap between two set lower, or one more like it in the middle of the gap."""
    fact = finding.judged(Gaps)
    rails = [part for part in fact.bars if part.grain is not Axis.Z and part.turn is None]
    if fact.upright or len(rails) < 2:
        return
    upper = max(rails, key=lambda part: context.piece.body(part).bounds.low[2])
    gap = fact.openings[0].size
    yield from _higher(context, upper, fact.most - gap)
    yield from _one_more(context, upper, -(gap + _high(context, upper)) / 2)


def bunk_guard(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A rail that is too low set higher, or the mattress thinner."""
    fact = finding.judged(Unguarded)
    if fact.kind != "low":
        return
    top = fact.deck.top + fact.amount
    for body in context.piece.bodies:
        low, high = (box[fact.side.axis] for box in body.bounds)
        beside = (
            low - 1
            < (fact.deck.box.high if fact.side.sign > 0 else fact.deck.box.low)[fact.side.axis]
            < high + 1
        )
        if beside and body.part.grain is fact.deck.along and abs(body.bounds.high[2] - top) < NIL:
            yield from _higher(context, body.part, fact.needed - fact.amount)
            yield from _one_more(context, body.part, fact.needed - fact.amount)
    thick = fact.amount - (fact.needed - (fact.mattress or 0.0))
    if fact.mattress is None or thick < LEAST_MATTRESS or context.head is None:
        return
    for statement in context.head.details:
        node = statement.node
        if isinstance(node, UseAs) and node.mattress is not None:
            edit = number(context, statement, node.mattress, exact(thick, context.unit))
            says = f"lay a mattress of {length(thick, context.unit)} on it"
            yield Proposal((edit,), says, asks=True)


def _higher(context: Context, part: Part, by: float) -> Iterator[Proposal]:
    edits = moved(context, part, Axis.Z, exact(by, context.unit))
    if edits is not None:
        way = "higher" if by > 0 else "lower"
        yield Proposal(edits, f"set {part.name} {length(abs(by), context.unit)} {way}", moves=True, asks=True)


def _one_more(context: Context, part: Part, above: float) -> Iterator[Proposal]:
    """A rail like another, so much above it."""
    joins = post_joins(context, part)
    if len(joins) != 2:
        return
    body = context.piece.body(part)
    post = context.piece.body(joins[0].other(part))
    height = exact(body.bounds.low[2] + above - post.bounds.low[2], context.unit)
    name = free_name(context, f"{part.name}_more")
    edit = statements_behind(context, context.plan.joins[-1].span, rail_again(context, part, name, height))
    yield Proposal(
        (edit,), f"put one more rail like {part.name} {'above' if above > 0 else 'below'} it", asks=True
    )


def _high(context: Context, part: Part) -> float:
    low, high = context.piece.body(part).bounds
    return high[2] - low[2]
