"""The plan line and what stands under it: title, unit, and who looks at the piece."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import (
    EyeHeight,
    ForChildren,
    PlanHead,
    ScrewMetal,
    SeenFrom,
    Statement,
    UnitLine,
    UseAs,
)
from planlint.model.directions import Side
from planlint.model.elaboration_state import side_of_word
from planlint.model.expressions import positive_length
from planlint.model.mistake_log import MistakeLog, Refusal
from planlint.model.plan import Plan
from planlint.model.scope import Scope
from planlint.text.source import Span

ALL_ROUND = (Side.FRONT, Side.LEFT, Side.RIGHT, Side.BACK)

_EYE_HEIGHT, _MATTRESS = "the eye height", "the thickness of the mattress"
_Said = tuple[Statement, Expression]
"""A length and where it stands."""


class HeadRead:
    """What a plan says of itself: its title, its unit, and who looks at it."""

    def __init__(self, log: MistakeLog, statements: Iterable[Statement]) -> None:
        self.log = log
        self.title = ""
        self.unit = "in"
        self.seen_from: tuple[Side, ...] = ALL_ROUND
        self.span = Span(0, 0)
        self.for_children = False
        self.purpose: str | None = None
        self.screw_metal: str | None = None
        self._lengths: dict[str, _Said] = {}
        first: dict[type, Statement] = {}
        for statement in _head_lines(statements):
            node = statement.node
            earlier = first.setdefault(type(node), statement)
            if earlier is not statement:
                log.add(
                    statement.span, f"{_HEAD_WORDS[type(node)]} on line {earlier.line}: keep one of the two"
                )
                continue
            try:
                self._read(statement)
            except Refusal as refusal:
                log.refuse(statement, refusal)

    def _read(self, statement: Statement) -> None:
        node = statement.node
        if isinstance(node, PlanHead):
            self.title = node.title
            self.span = statement.span
        elif isinstance(node, UnitLine):
            self.unit = node.unit.text
        elif isinstance(node, SeenFrom):
            self.seen_from = tuple(
                dict.fromkeys([_viewed(side_of_word(word), statement) for word in node.sides])
            )
        elif isinstance(node, EyeHeight):
            self._lengths[_EYE_HEIGHT] = statement, node.height
        elif isinstance(node, ForChildren):
            self.for_children = True
        elif isinstance(node, UseAs):
            self.purpose = " ".join(node.purpose.text.split())
            if node.mattress is not None:
                self._lengths[_MATTRESS] = statement, node.mattress
        elif isinstance(node, ScrewMetal):
            self.screw_metal = node.metal.text.replace("galvanised", "galvanized")

    def lengths(self, scope: Scope) -> Mapping[str, Fraction]:
        """What lengths come to, by what they are: worked out last, since they may lean on lets."""
        found = {}
        for what, (statement, length) in self._lengths.items():
            try:
                found[what] = positive_length(length, scope, what)
            except Refusal as refusal:
                self.log.refuse(statement, refusal)
        return found

    def told_of(self, plan: Plan, lengths: Mapping[str, Fraction]) -> Plan:
        """The plan with all that its head says of it."""
        return replace(
            plan,
            title=self.title,
            seen_from=self.seen_from,
            eye_height=lengths.get(_EYE_HEIGHT),
            for_children=self.for_children,
            purpose=self.purpose,
            mattress=lengths.get(_MATTRESS),
            screw_metal=self.screw_metal,
        )


_HEAD_WORDS: dict[type, str] = {
    PlanHead: "the plan already has its title",
    UnitLine: "the unit is already set",
    SeenFrom: "where the piece is seen from is already said",
    EyeHeight: "the eye height is already said",
    ForChildren: "that the piece is for children is already said",
    UseAs: "what the piece is used as is already said",
    ScrewMetal: "what the screws are made of is already said",
}


def _head_lines(statements: Iterable[Statement]) -> Iterator[Statement]:
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
        raise Refusal.at(word, says)
    return side
