"""Loops: how much they would make, and their turns, one after another."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from planlint.language.tree import (
    AcceptLine,
    For,
    JoinLine,
    Let,
    LoadLine,
    PartLine,
    Statement,
    StockLine,
)
from planlint.model.expressions import Scope, Value, names_in, settle_lets, whole_number
from planlint.model.ledger import Ledger, Refusal
from planlint.model.workings import Workings
from planlint.text.source import PlanText

DEEPEST_LOOP = 12
"""How deep loops may stand in one another. Basis: own judgement."""


class TooMany(Exception):  # noqa: N818
    """A plan would come to more parts and joins than it may."""

    def __init__(self, statement: Statement) -> None:
        super().__init__()
        self.statement = statement


# ---------------------------------------------------------------- counting, before anything is made


def check_amount(statements: Iterable[Statement], scope: Scope, most: int) -> None:
    """Counts the parts and joins a plan comes to without making one; raises ``TooMany`` past ``most``."""
    total = 0
    for statement in statements:
        total += _amount(statement, scope, most, 0)
        if total > most:
            raise TooMany(statement)


def _amount(statement: Statement, scope: Scope, most: int, depth: int) -> int:
    """Parts and joins of one statement; a turn of a loop counts as one at least. Stops counting past ``most``."""
    node = statement.node
    if isinstance(node, PartLine):
        return len(node.names)
    if isinstance(node, JoinLine):
        return 1
    if not isinstance(node, For) or depth > DEEPEST_LOOP:
        return 0
    try:
        first, last = _bounds(node, scope)
    except Refusal:
        return 0
    body = statement.details
    own = {node.name.text} | {inner.node.name.text for inner in body if isinstance(inner.node, Let)}
    if not _bounds_lean_on(body, own):
        return (last - first + 1) * max(1, sum(_amount(inner, scope, most, depth + 1) for inner in body))
    lets = [(inner, inner.node) for inner in body if isinstance(inner.node, Let)]
    unheard = Ledger(PlanText("", ""))
    total = 0
    for turn in range(first, last + 1):
        within = Scope(scope.unit, scope)
        within.broken = set(scope.broken)
        within.values[node.name.text] = Value(Fraction(turn), False)
        settle_lets(lets, within, unheard)
        total += max(1, sum(_amount(inner, within, most, depth + 1) for inner in body))
        if total > most:
            break
    return total


def _bounds_lean_on(body: Iterable[Statement], names: set[str]) -> bool:
    for inner in body:
        node = inner.node
        if isinstance(node, For):
            used = {name.text for name in (*names_in(node.first), *names_in(node.last))}
            if used & names or _bounds_lean_on(inner.details, names):
                return True
    return False


def _bounds(node: For, scope: Scope) -> tuple[int, int]:
    first = whole_number(node.first, scope, "the start of a loop")
    last = whole_number(node.last, scope, "the end of a loop")
    if last < first:
        says = f"this loop runs from {first} up to {last}, so it makes nothing: put the smaller number first"
        raise Refusal(node.first.start, node.last.end, says)
    return first, last


# ---------------------------------------------------------------- turns


class Unrolled:
    """Every statement of a plan with the names it sees, by kind, in the order they are worked out."""

    def __init__(self) -> None:
        self.stocks: list[tuple[Statement, StockLine, Scope]] = []
        self.parts: list[tuple[Statement, PartLine, Scope]] = []
        self.joins: list[tuple[Statement, JoinLine, Scope]] = []
        self.others: list[tuple[Statement, LoadLine | AcceptLine, Scope]] = []
        self.turns = 0


def unroll(
    workings: Workings, statements: Iterable[Statement], scope: Scope, into: Unrolled, depth: int = 0
) -> None:
    """Goes through statements in order, loops turn by turn; a broken loop is noted and left out."""
    for statement in statements:
        node = statement.node
        kind = type(node)
        if kind is PartLine:
            into.parts.append((statement, node, scope))  # type: ignore[arg-type]
        elif kind is JoinLine:
            into.joins.append((statement, node, scope))  # type: ignore[arg-type]
        elif kind is StockLine:
            into.stocks.append((statement, node, scope))  # type: ignore[arg-type]
        elif kind is LoadLine or kind is AcceptLine:
            into.others.append((statement, node, scope))  # type: ignore[arg-type]
        elif isinstance(node, For):
            _turn_by_turn(workings, statement, node, scope, into, depth)


def _turn_by_turn(
    workings: Workings, statement: Statement, node: For, scope: Scope, into: Unrolled, depth: int
) -> None:
    name = node.name.text
    body = statement.details
    lets = [(inner, inner.node) for inner in body if isinstance(inner.node, Let)]
    ledger = workings.ledger
    try:
        if depth >= DEEPEST_LOOP:
            raise Refusal(
                None, 0, f"loops stand {DEEPEST_LOOP} deep in one another here: write them one after another"
            )
        if scope.find(name) is not None or name in scope.broken:
            raise Refusal(
                node.name.start, node.name.end, f"{name} already stands for something: use another name"
            )
        first, last = _bounds(node, scope)
    except Refusal as refusal:
        ledger.turn = scope.turn
        ledger.refuse(statement, refusal)
        _drop_body(workings, body, scope)
        return
    for turn in range(first, last + 1):
        into.turns += 1
        within = Scope(scope.unit, scope, into.turns)
        within.values[name] = Value(Fraction(turn), False)
        if lets:
            ledger.turn = within.turn
            settle_lets(lets, within, ledger)
        unroll(workings, body, within, into, depth + 1)


def _drop_body(workings: Workings, body: Iterable[Statement], scope: Scope) -> None:
    """The names a broken loop would have given are not known, and nothing is said of those who use them."""
    for inner in body:
        node = inner.node
        if isinstance(node, PartLine):
            for name in node.names:
                workings.mark_broken("part", name, scope)
        elif isinstance(node, StockLine):
            workings.mark_broken("stock", node.name, scope)
        elif isinstance(node, For):
            _drop_body(workings, inner.details, scope)
