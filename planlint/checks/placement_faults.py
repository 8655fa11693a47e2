"""What placement found: joints that cannot close, parts that are apart, run into one another, or are not held."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part


def misfit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A join that the rest of the plan leaves no room for."""
    limit = rule.limit("length", piece.settings)
    for fault in piece.placement.misfits:
        amount = abs(float(fault.amount))
        if amount <= limit:
            continue
        yield rule.finding(
            fact=fault,
            kind="placing" if fault.placing is not None else "gap" if fault.amount > 0 else "too-long",
            span=fault.placing.span if fault.placing is not None else fault.join.span,
            joint=fault.join.name,
            parts=[part.name for part in fault.loop_parts] or _names(fault.join),
            measured=amount,
            limit=limit,
            unit="in",
        )


class Apart(NamedTuple):
    """A joint whose parts lie past one another along it: by ``away`` inches on an axis; less than nothing where only
    the wood is missing."""

    join: Join
    away: float
    axis: Axis


def apart(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not touch, though where their parts lie is settled."""
    limit = rule.limit("length", piece.settings)
    askew = {fault.join.index for fault in piece.placement.askew}
    for join in piece.plan.joins:
        if join.index in askew or piece.contact(join).patches:
            continue
        if not piece.placement.fixed_together(join.part_a, join.part_b):
            continue
        fault = Apart(join, *_away(piece, join))
        past = fault.away > limit
        yield rule.finding(
            fact=fault,
            kind="past" if past else "no-wood",
            span=join.span,
            joint=join.name,
            parts=_names(join),
            measured=fault.away if past else None,
            limit=limit if past else None,
            unit="in" if past else None,
        )


def _away(piece: Piece, join: Join) -> tuple[float, Axis]:
    """How far the two parts of a join lie past one another along the joint, and on which axis."""
    a, b = piece.body(join.part_a).bounds, piece.body(join.part_b).bounds
    return max(
        (max(a.low[axis] - b.high[axis], b.low[axis] - a.high[axis]), axis)
        for axis in Axis
        if axis is not join.side_a.axis
    )


def overlap(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two parts run into one another, and no joint says that they may.

    What a part in a ring of joins that does not close runs into is judged once it fits.
    """
    limit = rule.limit("depth", piece.settings)
    for shared in piece.overlaps:
        a, b = shared.part_a, shared.part_b
        if shared.depth <= limit or _share_a_mortise(piece, a, b):
            continue
        join = next((j for j in piece.graph.joins_of(a) if b in j.parts), None)
        yield rule.finding(
            fact=shared,
            span=join.span if join is not None else b.name_span,
            joint=join.name if join is not None else None,
            parts=(a.name, b.name),
            measured=shared.depth,
            limit=limit,
            unit="in",
        )


def _share_a_mortise(piece: Piece, a: Part, b: Part) -> bool:
    """Whether both are let into one third part, where their tenons meet: those are cut thinner, and mitred."""

    def hosts(part: Part) -> set[str]:
        return {
            join.part_b.name
            for join in piece.graph.joins_of(part)
            if join.part_a is part and join.tradition is not None and join.tradition.inset
        }

    return bool(hosts(a) & hosts(b))


def free_to_slide(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Nothing fixes where a part lies along an axis."""
    for free in piece.placement.free:
        join = free.join
        yield rule.finding(fact=free, span=join.span, joint=join.name, parts=_names(join), basis="geometry")


def unjoined(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part that no join holds."""
    for part in piece.placement.unjoined:
        yield rule.finding(fact=part, span=part.name_span, parts=(part.name,), basis="geometry")


def askew(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not look at one another."""
    limit = rule.limit("angle", piece.settings)
    for fault in piece.placement.askew:
        join = fault.join
        if fault.angle > limit:
            yield rule.finding(
                fact=fault,
                span=join.span,
                joint=join.name,
                parts=_names(join),
                measured=fault.angle,
                limit=limit,
                unit="degrees",
            )


def _names(join: Join) -> tuple[str, str]:
    return join.part_a.name, join.part_b.name
