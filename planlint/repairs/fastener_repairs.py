"""Repairs of screws, bolts and nails through a face: other lengths, other places, thicker wood; another metal."""

from collections.abc import Iterator
from fractions import Fraction

from planlint.checks.fastener_fit import DriveFault
from planlint.checks.screws_meet import DriveMeets
from planlint.findings.finding import Finding
from planlint.geometry.drilling.fastener_places import FASTENER_ROW, FastenerRow
from planlint.geometry.drilling.screw_clashes import Rod
from planlint.language.syntax_tree import FastenersLine, JoinLine, ScrewMetal
from planlint.model.directions import side_of
from planlint.model.join_details import PocketRow
from planlint.model.like_parts import are_twins
from planlint.repairs.drilling_repairs import set_out_anew
from planlint.repairs.join_edits import held_like, length_edit, phrase
from planlint.repairs.line_edits import add_detail, change, rewrite
from planlint.repairs.part_repairs import thicker
from planlint.repairs.repair_context import Context, Proposal
from planlint.rulebook.limits import NIL
from planlint.text.edits import TextEdit
from planlint.text.source import Span

_STEPS = (2, 4, 6, 8, 12, 16)
"""Sixteenths of an inch that a row is moved by to keep clear of another. Basis: own judgement."""


def fastener_fit(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A length that holds and stays inside; a row spread evenly where the parts meet; or thicker wood."""
    fault = finding.judged(DriveFault)
    yield from _as_at_its_like(context, fault)
    if finding.kind in {"edge", "misses"}:
        made = fault.row.fastening
        if made.row.count is None or made.row.last is not None or made.line is not None:
            row = PocketRow(made.row.face, made.row.in_b, count=len(fault.row.at), span=made.row.span)
            says = f"spread the {made.kind} over what the two parts share"
            yield Proposal(set_out_row(context, fault.row, row, off_line=True), says)
        for body in (fault.row.into, fault.row.body):
            yield from thicker(context, body.part)
        return
    yield from _other_length(context, fault)
    yield from thicker(context, fault.row.into.part)


def _as_at_its_like(context: Context, fault: DriveFault) -> Iterator[Proposal]:
    """The row told as at the other end of its part, or at parts alike: through the other part, into inserts, or so."""
    join, statement = fault.row.join, context.at(fault.row.fastening.span)
    head, number = context.at(join.span), join.fastenings.index(fault.row.fastening)
    node = context.node(head, JoinLine)
    named = [context.words(head, each.part) for each in (node.a, node.b) if each.part is not None]
    for other in context.plan.joins if len(named) == 2 and not node.others else ():
        alike = other.part_a is join.part_a or are_twins(other.part_a, join.part_a)
        same = len(other.fastenings) == len(join.fastenings) and other.part_b.stock is join.part_b.stock
        if alike and same and other is not join:
            rows = held_like(context, other, *named)[len(other.pockets) + (other.screws is not None) :]
            if rows[number] != context.line(statement):
                says = f"hold {join.name} as {other.name} is held"
                yield Proposal((rewrite(statement, rows[number]),), says)


def _other_length(context: Context, fault: DriveFault) -> Iterator[Proposal]:
    made = fault.row.fastening
    statement = context.at(made.span)
    said = next(
        (each for each in context.node(statement, FastenersLine).sizes if each.word.text == "long"), None
    )
    if said is None:
        return
    low, high = fault.lengths(context.unit)
    high = low if high is None else high
    # Of what is told by its length alone nobody knows how deep it must go: the longest holds best.
    near = high if made.thick is None else min(max(float(made.length or 0), low), high)
    for each in dict.fromkeys((near, high)):
        if low <= each + NIL:
            size = Fraction(each).limit_denominator(1000)
            yield Proposal(
                (length_edit(context, statement, said.value, size),),
                f"use {made.kind} {context.told(size)} long",
            )


def drives_aside(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Pockets set out anew; of two that meet, a row through a face moved along or spread otherwise."""
    yield from set_out_anew(context, finding)
    if not isinstance(finding.fact, DriveMeets):
        return
    for rod in finding.fact.rods:
        row = _row_of(context, rod)
        if row is None:
            continue
        origin = row.fastening.row.origin or side_of(row.along, -1)
        plane = row.body.planes[origin]
        places = [plane.depth(each) for each in row.at]
        for step in _STEPS:
            for by in (step / 16, -step / 16):
                at = tuple(Fraction(round((place + by) * 64), 64) for place in places)
                moved = PocketRow(
                    row.fastening.row.face,
                    row.fastening.row.in_b,
                    at=at,
                    origin=origin,
                    span=row.fastening.row.span,
                )
                says = f"set the {row.fastening.kind} out at {', '.join(context.told(each) for each in at)}"
                yield Proposal(set_out_row(context, row, moved), f"{says} from {origin.value}")


def _row_of(context: Context, rod: Rod) -> FastenerRow | None:
    pocket = rod.screw.pocket
    if pocket.row < FASTENER_ROW:
        return None
    # Of a mirror image, the row that the words tell.
    return context.piece.fasteners(context.as_written(pocket.join))[pocket.row - FASTENER_ROW]


def set_out_row(
    context: Context, row: FastenerRow, new: PocketRow, *, off_line: bool = False
) -> tuple[TextEdit, ...]:
    """How many and where, written anew in the line of a row."""
    statement = context.at(row.fastening.span)
    node = context.node(statement, FastenersLine)
    line = context.line(statement)
    start = node.kind.end
    end = line.find(" through ", start)
    if end < 0:
        end = line.find(",", start)
    edits = [change(statement, Span(start, end if end >= 0 else len(line)), f" {phrase(new, context.unit)}")]
    if off_line and node.line is not None:
        comma = line.rindex(",", 0, node.line[0].start)
        edits.append(change(statement, Span(comma, node.line[1].end), ""))
    return tuple(edits)


def corrosion(context: Context, _finding: Finding) -> Iterator[Proposal]:
    """Stainless screws in the whole plan; the builder has to buy them."""
    head = context.head
    if head is None:
        return
    says = "use stainless screws throughout"
    for statement in head.details:
        if isinstance(statement.node, ScrewMetal):
            word = statement.node.metal
            yield Proposal((change(statement, word, "stainless"),), says, asks=True)
            return
    yield Proposal((add_detail(context, head, "screws stainless"),), says, asks=True)
