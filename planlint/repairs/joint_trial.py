"""One joint tried another way, on the piece as it stands: which rules would find something at it then.

A trial asks only the rules that judge a joint by itself and costs a fraction of an inspection. It tells which
proposals are worth the inspection that proves them.
"""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace

from planlint.checks.registry import By, Judge, Judges, judge
from planlint.checks.row_view import Row, rows
from planlint.geometry.colliding_rows import given_way
from planlint.geometry.piece import Piece
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join
from planlint.repairs.repair_context import Context
from planlint.workplan.build_order import knots

ORDER = "no-build-order"
"""The rule that judges all joints together: asked where a driver would have something in its way."""
_MOST_ALIKE = 12
"""Joins of one statement, repeated by a loop, that are tried. Basis: own judgement; the proof asks all."""


def tried(context: Context, join: Join) -> frozenset[str]:
    """The rules that would find something at a join if it stood in the plan in place of the one of its number.

    Where the cheap ones among them show that this is no repair, the others are not asked.
    """
    asked = (join.index, join.pockets, join.screws, join.glue, join.slotted)
    known = context.tried.get(asked)
    if known is None:
        known = context.tried[asked] = frozenset(_tried(context, join))
    return known


def _tried(context: Context, join: Join) -> set[str]:
    alone, judging = _alone(context, join), judge(context.piece.settings)
    found = _found(judging, alone, join, judging.names(Judges.JOINT, dear=False))
    if found - context.findings_on(join.name) - {*judging.names(by=By.SCREWS)}:
        return found
    found |= _found(judging, alone, join, judging.names(Judges.JOINT, dear=True))
    pairs = judging.names(Judges.PAIR)
    if pairs:
        beside = {j.index: j for part in join.parts for j in context.piece.graph.joins_of(part)}
        beside[join.index] = join
        together = context.piece.with_joins((beside[index] for index in sorted(beside)), alone)
        meeting = _found(judging, together, join, pairs)
        if meeting - context.findings_on(join.name):
            # Rows that the tool lays out give way to what is changed, as they do where the whole piece is inspected.
            meeting = _found(judging, given_way(_changed(context, join)), join, pairs)
        found |= meeting
    if ORDER in judging and _breaks_order(context, join):
        found.add(ORDER)
    return found


def _breaks_order(context: Context, join: Join) -> bool:
    """Whether the piece could not be put together, or still not, with the join as changed."""
    there = _stuck(context.piece)
    if not there and not _alone(context, join).blocking(join):
        return False
    own = {part.name for part in join.parts}
    return any(names not in there or own <= names for names in _stuck(_changed(context, join)))


def _changed(context: Context, join: Join) -> Piece:
    """The whole piece with a join in place of the one of its number."""
    joins = (join if each.index == join.index else each for each in context.plan.joins)
    return context.piece.with_joins(joins, _alone(context, join))


def _stuck(piece: Piece) -> set[frozenset[str]]:
    """The sets of parts, by name, that no order of work puts together."""
    return {frozenset(part.name for part in stuck.parts) for stuck in knots(piece)}


def clears(context: Context, join: Join, rule: str) -> bool:
    """Whether a join as changed, and every other that its statement stands for, is free of a rule and of new faults."""
    if tried(context, join) - (context.findings_on(join.name) - {rule}):
        return False
    for number, other in enumerate(context.siblings(join)):
        if number == _MOST_ALIKE:
            break
        changed = context.alike_made(join, other)
        if tried(context, changed) - (context.findings_on(other.name) - {rule}):
            return False
    return True


def rows_as_changed(context: Context, join: Join) -> tuple[Row, ...]:
    """The rows of pockets of a join, as it stands or as changed."""
    return tuple(rows(_alone(context, join)))


def _alone(context: Context, join: Join) -> Piece:
    """The piece with only this joint in it: laying out its pockets costs most, and is done once."""
    known = context.benches.get(id(join))
    if known is None:
        known = context.benches[id(join)] = join, context.piece.with_joins((join,))
    return known[1]


def _found(judging: Judge, piece: Piece, join: Join, names: Iterable[str]) -> set[str]:
    """Which of some rules find something at a joint of a piece."""
    found = set()
    for name in names:
        # A trial that fails shows nothing: the proof is the inspection.
        with suppress(ArithmeticError, LookupError, ValueError, AssertionError):
            if any(join.name in {each.joint, each.against} for each in judging.ask(piece, name)):
                found.add(name)
    return found


def both_ends_alike(join: Join, other: Join) -> bool:
    """Whether two joins are those of the two ends of one part, with pockets set out alike."""
    return (
        other.part_a is join.part_a
        and other.side_a is join.side_a.opposite
        and [_said(join, row) for row in join.pockets] == [_said(join, row) for row in other.pockets]
    )


def _said(join: Join, row: PocketRow) -> PocketRow:
    """A row as it is said, wherever that stands."""
    return replace(row, span=join.span)
