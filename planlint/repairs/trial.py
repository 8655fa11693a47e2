"""One joint tried another way, on the piece as it stands: which rules would find something at it then.

A trial asks only the rules that judge a joint by itself and costs a fraction of an inspection. It tells which
proposals are worth the inspection that proves them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

from planlint.checks.registry import CHECKS
from planlint.checks.rows import Row, rows
from planlint.findings.rulebook import rule_book
from planlint.geometry.piece import Piece
from planlint.model.plan import Join
from planlint.repairs.context import Context
from planlint.repairs.fitting import key

ALONE = (
    "lone-screw", "wide-spacing", "close-spacing", "far-from-end", "near-end", "short-grip", "tip-through",
    "breakout", "mitre-breakout", "thin-cover", "narrow-mitre", "thin-stock", "into-end-grain", "thread-mismatch",
    "unstocked-screw", "hole-in-sight", "no-room-to-drive",
)  # fmt: skip
"""Rules that judge the pockets and screws of one joint."""
TOGETHER = ("screws-meet",)
"""Rules that judge them against those of the joints beside it."""
ORDER = "no-build-order"
"""The rule that judges all joints together: asked where a driver would have something in its way."""
_KEPT = ("graph", "placement", "bodies", "bounds", "_looking", "_blockers")
_MOST_ALIKE = 12
"""Joins of one statement, repeated by a loop, that are tried. Basis: own judgement; the proof asks all."""


def tried(context: Context, join: Join) -> frozenset[str]:
    """The rules that would find something at a join if it stood in the plan in place of the one of its number."""
    found = set(_found(_piece(context, (join,)), join, ALONE))
    if any(rule in CHECKS for rule in TOGETHER):
        beside = {j.index: j for part in join.parts for j in context.piece.graph.joins_of(part)}
        beside[join.index] = join
        ordered = tuple(beside[index] for index in sorted(beside))
        found.update(_found(_piece(context, ordered), join, TOGETHER))
    if ORDER in CHECKS and _breaks_order(context, join):
        found.add(ORDER)
    return frozenset(found)


def _breaks_order(context: Context, join: Join) -> bool:
    """Whether the piece could not be put together, or still not, with the join as changed."""
    piece = context.piece
    joins = tuple(join if each.index == join.index else each for each in piece.plan.joins)
    trial = _piece(context, joins)
    for name in ("_contacts", "_pockets", "_screws", "_blocking"):
        known = dict(getattr(piece, name))
        known.pop(join.index, None)
        setattr(trial, name, known)
    there = {key(each) for each in context.inspection.findings if each.rule == ORDER}
    if not there and not trial.blocking(join):
        return False
    return any(
        each.joint == join.name or key(each) not in there for each in CHECKS[ORDER](trial, rule_book()[ORDER])
    )


def clears(context: Context, join: Join, rule: str) -> bool:
    """Whether a join as changed, and every other that its statement stands for, is free of a rule and of new faults."""
    if tried(context, join) - (context.findings_on(join.name) - {rule}):
        return False
    for number, other in enumerate(context.siblings(join)):
        if number == _MOST_ALIKE:
            break
        changed = replace(
            other, pockets=join.pockets, screws=join.screws, glue=join.glue, slotted=join.slotted
        )
        if tried(context, changed) - (context.findings_on(other.name) - {rule}):
            return False
    return True


def rows_of(context: Context, join: Join) -> tuple[Row, ...]:
    """The rows of pockets of a join, as it stands or as changed."""
    return tuple(rows(_piece(context, (join,))))


def _piece(context: Context, joins: tuple[Join, ...]) -> Piece:
    piece = context.piece
    trial = Piece(replace(piece.plan, joins=joins), piece.settings)
    for name in _KEPT:
        trial.__dict__[name] = getattr(piece, name)
    return trial


def _found(piece: Piece, join: Join, names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        check = CHECKS.get(name)
        if check is None:
            continue
        # A trial that fails shows nothing: the proof is the inspection.
        with suppress(ArithmeticError, LookupError, ValueError, AssertionError):
            if any(finding.joint == join.name for finding in check(piece, rule_book()[name])):
                yield name
