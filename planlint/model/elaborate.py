"""From the tree of a plan to the plan itself: lets worked out, loops unrolled, names found, all checked.

Statements may come in any order. A statement with a mistake is noted and left out; whatever leans on it is
left out too, without a word, so that each mistake is told once and at its place.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from planlint.language.reader import read
from planlint.language.tree import (
    AcceptLine,
    EyeHeight,
    Let,
    LoadLine,
    PlanHead,
    SeenFrom,
    Statement,
    Tree,
    UnitLine,
    Word,
)
from planlint.model.directions import Side
from planlint.model.expressions import Scope, positive_length, settle_lets, whole_number
from planlint.model.joins import Waiting, name_joins, pockets_in, read_join
from planlint.model.ledger import Ledger, Refusal
from planlint.model.loops import TooMany, Unrolled, check_amount, unroll
from planlint.model.nearest import nearest
from planlint.model.parts import add_parts
from planlint.model.plan import Acceptance, Load, Plan
from planlint.model.settings import Settings
from planlint.model.stocks import add_stock
from planlint.model.workings import Workings, side_of_word
from planlint.text.source import Mistake, PlanText, Span

ALL_ROUND = (Side.FRONT, Side.LEFT, Side.RIGHT, Side.BACK)

POCKETS_PER_ITEM = 5
"""Pockets a plan may come to, for each part or join it may come to. Basis: own judgement."""

_UNITS = {
    "inch": "in",
    "inches": "in",
    "in": "in",
    '"': "in",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "ft": "ft",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
}

POUNDS_PER_UNIT = {
    "lb": Fraction(1),
    # Both exact by definition: the pound is 0.45359237 kg, and falls at 9.80665 m/s².
    "kg": Fraction(100_000_000, 45_359_237),
    "N": Fraction(10**13, 44_482_216_152_605),
}
"""Pounds of force in one of each unit; a kilogram is taken at its weight."""


def elaborate(
    tree: Tree, settings: Settings, known_rules: frozenset[str] = frozenset()
) -> tuple[Plan | None, list[Mistake]]:
    """The plan a tree stands for, with every mistake found on the way, in the order of their places.

    The plan holds what is left after broken statements are dropped; ``None`` where no part is left.
    ``known_rules`` are the names that ``accept`` may use; any name goes where it is empty.
    """
    ledger = Ledger(tree.source)
    head = _Head(ledger, tree.statements)
    workings = Workings(tree, ledger, head.unit)
    scope = workings.scope
    settle_lets(
        [(statement, statement.node) for statement in tree.statements if isinstance(statement.node, Let)],
        scope,
        ledger,
    )
    try:
        check_amount(tree.statements, scope, settings.most_items)
    except TooMany as too_many:
        says = (
            f"from here on the plan comes to more than {settings.most_items:,} parts and joins, "
            "the most that is allowed: check how often its loops turn"
        )
        ledger.add(too_many.statement.span, says)
        return None, sorted(ledger.mistakes)
    unrolled = Unrolled()
    unroll(workings, tree.statements, scope, unrolled)
    for statement, stock_line, within in unrolled.stocks:
        ledger.turn = within.turn
        add_stock(workings, statement, stock_line, within)
    for statement, part_line, within in unrolled.parts:
        ledger.turn = within.turn
        add_parts(workings, statement, part_line, within)
    waiting: list[Waiting] = []
    pockets = 0
    for statement, join_line, within in unrolled.joins:
        ledger.turn = within.turn
        join = read_join(workings, statement, join_line, within)
        if join is not None:
            waiting.append(join)
            pockets += pockets_in(join)
            if pockets > POCKETS_PER_ITEM * settings.most_items:
                says = f"the joins up to here come to more than {POCKETS_PER_ITEM * settings.most_items:,} pockets"
                ledger.add(statement.span, f"{says}: check how often they are repeated")
                return None, sorted(ledger.mistakes)
    ledger.turn = 0
    joins = name_joins(workings, waiting)
    loads: list[Load] = []
    acceptances: list[Acceptance] = []
    for statement, node, within in unrolled.others:
        ledger.turn = within.turn
        try:
            if isinstance(node, LoadLine):
                loads.append(_load(workings, statement, node, within))
            else:
                acceptances.append(_acceptance(statement, node, within, known_rules))
        except Refusal as refusal:
            ledger.refuse(statement, refusal)
    ledger.turn = 0
    eye_height = head.eye_height(scope)
    if not workings.parts:
        if not ledger.mistakes and not tree.unread_names:
            ledger.add(head.span, "this plan has no parts yet: write a `part` line for each board")
        return None, sorted(ledger.mistakes)
    plan = Plan(
        tree.source,
        head.title,
        head.unit,
        head.seen_from,
        eye_height,
        tuple(workings.stocks.values()),
        tuple(workings.parts.values()),
        joins,
        tuple(loads),
        tuple(acceptances),
        head.span,
    )
    return plan, sorted(ledger.mistakes)


class _Head:
    """What a plan says of itself: its title, its unit, and who looks at it."""

    def __init__(self, ledger: Ledger, statements: tuple[Statement, ...]) -> None:
        self.ledger = ledger
        self.title = ""
        self.unit = "in"
        self.seen_from: tuple[Side, ...] = ALL_ROUND
        self.span = Span(0, 0)
        self._eye: tuple[Statement, EyeHeight] | None = None
        first: dict[type, Statement] = {}
        for statement in _head_lines(statements):
            node = statement.node
            earlier = first.setdefault(type(node), statement)
            if earlier is not statement:
                ledger.add(
                    statement.span, f"{_HEAD_WORDS[type(node)]} on line {earlier.line}: keep one of the two"
                )
                continue
            try:
                self._read(statement)
            except Refusal as refusal:
                ledger.refuse(statement, refusal)

    def _read(self, statement: Statement) -> None:
        node = statement.node
        if isinstance(node, PlanHead):
            self.title = node.title
            self.span = statement.span
        elif isinstance(node, UnitLine):
            unit = _UNITS.get(node.unit.text)
            if unit is None:
                near = nearest(node.unit.text, _UNITS)
                offer = f"; the nearest is {near}" if near else ""
                says = f"{node.unit.text} is not a unit known here: inch, ft, mm, cm or m{offer}"
                raise Refusal(node.unit.start, node.unit.end, says)
            self.unit = unit
        elif isinstance(node, SeenFrom):
            self.seen_from = tuple(
                dict.fromkeys([_viewed(side_of_word(word), statement) for word in node.sides])
            )
        elif isinstance(node, EyeHeight):
            self._eye = statement, node

    def eye_height(self, scope: Scope) -> Fraction | None:
        """Worked out last, since it may lean on lets."""
        if self._eye is None:
            return None
        statement, node = self._eye
        try:
            return positive_length(node.height, scope, "the eye height")
        except Refusal as refusal:
            self.ledger.refuse(statement, refusal)
            return None


_HEAD_WORDS: dict[type, str] = {
    PlanHead: "the plan already has its title",
    UnitLine: "the unit is already set",
    SeenFrom: "where the piece is seen from is already said",
    EyeHeight: "the eye height is already said",
}


def _head_lines(statements: tuple[Statement, ...]) -> Iterator[Statement]:
    """The plan line and what stands under it; of a second plan line, only itself."""
    within = False
    for statement in statements:
        kind = type(statement.node)
        if kind in _HEAD_WORDS:
            yield statement
            if kind is PlanHead and not within:
                within = True
                for inner in statement.details:
                    if type(inner.node) in _HEAD_WORDS:
                        yield inner


def _viewed(side: Side, statement: Statement) -> Side:
    if side not in ALL_ROUND:
        node = statement.node
        assert isinstance(node, SeenFrom)
        word = next(word for word in node.sides if word.text == side.value)
        says = f"people look from front, left, right or back, not from {side.value}: eye heights see to that"
        raise Refusal(word.start, word.end, says)
    return side


def _load(workings: Workings, statement: Statement, node: LoadLine, scope: Scope) -> Load:
    part = workings.find_part(node.part, scope)
    pounds = POUNDS_PER_UNIT.get(node.unit.text)
    if pounds is None:
        raise Refusal(node.unit.start, node.unit.end, f"a load is in lb, kg or N, not {node.unit.text}")
    if node.amount <= 0:
        raise Refusal(None, 0, "a load must be more than 0")
    return Load(part, node.amount * pounds, node.per_foot, statement.span)


def _acceptance(
    statement: Statement, node: AcceptLine, scope: Scope, known_rules: frozenset[str]
) -> Acceptance:
    rule = node.rule
    if known_rules and rule.text not in known_rules:
        near = nearest(rule.text, sorted(known_rules))
        offer = f"; the nearest is {near}" if near else ""
        raise Refusal(rule.start, rule.end, f"there is no rule called {rule.text}{offer}")
    return Acceptance(rule.text, _filled_in(node.target, scope), node.reason, statement.span)


def _filled_in(target: Word, scope: Scope) -> str:
    """A target inside a loop may hold sums of the loop's number: ``slat_{n + 1}``."""
    words = target.text
    if "{" not in words:
        return words
    filled, *pieces = words.split("{")
    for piece in pieces:
        inner, _, after = piece.partition("}")
        tree, unread = read(PlanText("", f"let number = {inner}"))
        let = tree.statements[0].node if tree.statements and not unread else None
        if not isinstance(let, Let):
            raise Refusal(
                target.start,
                target.end,
                f"{{{inner}}} is not a number: write a name or a sum in the brackets",
            )
        try:
            number = whole_number(let.value, scope, "the number in a name")
        except Refusal as refusal:
            if not refusal.says:
                raise
            raise Refusal(target.start, target.end, refusal.says) from None
        filled += f"{number}{after}"
    return filled
