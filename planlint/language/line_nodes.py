"""The words, numbers and sums of a line, as nodes of the tree.

Terminals become nodes as they are shifted, rules as they are reduced; offsets count from the line's first
character. What is wrong without breaking the line (a reserved word as a name, a number too long to be meant)
is noted in ``problems`` and the node is built all the same, so that nothing else is lost.
"""

from fractions import Fraction
from typing import Any

from lark import Token, Transformer

from planlint.language.expression_tree import Call, Name, Number, Operation
from planlint.language.odd_characters import odd_character
from planlint.language.syntax_tree import Word
from planlint.language.vocabulary import NAMES_TOO, RESERVED, UNIT_BY_WORD, NameFault
from planlint.language.written_amounts import amount_of, number_problem, point_for_dash

LONGEST_NAME = 64
MOST_OPERATIONS = 100
"""Limits of one line. Basis: own judgement; no plan comes near them."""

_NEVER_NAMES = RESERVED - NAMES_TOO


class Basics(Transformer[Token, Any]):
    """Builds the nodes of one line after another; ``problems`` and ``operations`` count from ``begin``.

    ``spoiled`` tells that no sense can be made of the line's node: it is not to be kept.
    """

    def __init__(self) -> None:
        super().__init__()
        self.problems: list[tuple[int, int, str]] = []
        self.spoiled = False
        self.operations = 0
        self.line = ""
        self.amounts: dict[str, tuple[Fraction, str | None]] = {}

    def begin(self, line: str) -> None:
        """Forget the line before, and start on this one."""
        self.line = line
        if self.problems:
            self.problems = []
            self.spoiled = False
        self.operations = 0

    # ------------------------------------------------------------ terminals

    def NAME(self, token: Token) -> Name:  # noqa: N802 - named as the terminal
        text = token.value
        start = token.start_pos or 0
        if text in _NEVER_NAMES or len(text) > LONGEST_NAME or not text.isidentifier():
            self.check_name(text, start)
        return Name(text, (), start, start + len(text))

    def NUMBER(self, token: Token) -> Number:  # noqa: N802
        text = token.value
        amount = self.amounts.get(text)
        start = token.start_pos or 0
        if amount is None:
            problem = number_problem(text)
            if problem:
                self.problems.append((start, start + len(text), problem))
                return Number(Fraction(1), None, start, start + len(text))
            if len(self.amounts) > 50_000:
                self.amounts.clear()
            amount = self.amounts[text] = amount_of(text)
        return Number(amount[0], amount[1], start, start + len(text))

    def word(self, token: Token) -> Word:
        text = token.value
        start = token.start_pos or 0
        end = start + len(text)
        return Word(" ".join(text.split()) if " " in text or "\t" in text else text, start, end)

    CHILDREN = PURPOSE = METAL = word
    SIDE = LOOK = SPAN_WORDS = LOAD_UNIT = TRADITION = SPECIES = RULE = word
    LONG = WIDE = THICK = DEEP = LIES_DEEP = UPRIGHT = CROSSWISE = VERTICAL = ROUGH = EXTERIOR = word
    TAPED = CUTOUT = GAP = IN_LINE_WITH = STANDS_ON_FLOOR = HOLE = ARCH = BOW = TAPER = CHAMFER = ROUNDED = (
        EDGES
    ) = word
    FACE_SCREWS = FASTENER = FASTENER_SIZE = FASTENER_WORD = THREAD = PENNY = word
    UP = DOWN = ALTERNATE = COARSE = FINE = GLUED = SLOTTED = THROUGH = STUB = HAUNCHED = word

    def NOMINAL(self, token: Token) -> Word:  # noqa: N802
        problem = max((number_problem(part) for part in token.value.split("x")), key=len)
        start = token.start_pos or 0
        if problem:
            self.problems.append((start, start + len(token), problem))
        return self.word(token)

    def UNIT(self, token: Token) -> Word:  # noqa: N802
        start = token.start_pos or 0
        return Word(UNIT_BY_WORD[token.value], start, start + len(token))

    def TEXT(self, token: Token) -> str:  # noqa: N802
        return str(token.value[1:-1])

    def check_name(self, text: str, start: int) -> None:
        end, says = start + len(text), ""
        if len(text) > LONGEST_NAME:
            says = NameFault(
                f"the name `{text[:20]}…` is {len(text):,} characters long; {LONGEST_NAME} is the most"
            )
        elif text not in RESERVED:
            at = next(at for at in range(1, len(text) + 1) if not text[:at].isidentifier()) - 1
            start, end, says = odd_character(self.line, start + at)
            self.spoiled = True
        elif text == "unit":
            says, self.spoiled = "the unit of a plan stands under its first line, `plan`: `unit mm`", True
        else:
            says = NameFault(
                f"the name `{text}` is a reserved word of the plan language; choose another, such as `{text}_1`"
            )
        self.problems.append((start, end, says))

    # ------------------------------------------------------------ lengths and arithmetic

    def template(self, children: list[Any]) -> Name:
        first, last = children[0], children[-1]
        start, end = first.start_pos, last.end_pos
        text = self.line[start:end]
        if len(text) > LONGEST_NAME:
            self.check_name(text, start)
        pieces = [part.value.strip("{}") if isinstance(part, Token) else part for part in children]
        return Name(text, tuple(piece for piece in pieces if piece != ""), start, end)

    def _operation(self, operator: str, left: Any, right: Any) -> Operation:
        self.operations += 1
        if self.operations == MOST_OPERATIONS + 1:
            says = f"more than {MOST_OPERATIONS} sums on one line; put parts of it into a `let`"
            self.problems.append((left.start, right.end, says))
        return Operation(operator, left, right, left.start, right.end)

    def add(self, children: list[Any]) -> Operation:
        return self._operation("+", *children)

    def subtract(self, children: list[Any]) -> Operation:
        return self._operation("-", children[0], children[2])

    def multiply(self, children: list[Any]) -> Operation:
        return self._operation("*", *children)

    def divide(self, children: list[Any]) -> Operation:
        left, right = children
        if self.line[left.end : right.start] == "/":
            says = point_for_dash(self.line[left.start : left.end], self.line[right.start : right.end])
            if says:
                self.problems.append((left.start, right.end, says))
        return self._operation("/", left, right)

    def negative(self, children: list[Any]) -> Operation:
        start = children[0].start_pos
        return self._operation("-", Number(Fraction(0), None, start, start), children[1])

    def group(self, children: list[Any]) -> Any:
        opened, inner, closed = children
        return inner._replace(start=opened.start_pos, end=closed.end_pos)

    def call(self, children: list[Any]) -> Call:
        function, closed = children[0], children[-1]
        return Call(function.value, tuple(children[1:-1]), function.start_pos, closed.end_pos)
