"""From lark's reductions to the nodes of the tree, while a line is parsed.

Terminals become nodes as they are shifted, rules as they are reduced; offsets count from the line's first
character. What is wrong without breaking the line (a reserved word as a name, a number too long to be meant)
is noted in ``problems`` and the node is built all the same, so that nothing else is lost.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lark import Token, Transformer

from planlint.language import tree
from planlint.language.amounts import amount_of, number_problem
from planlint.language.characters import odd_character
from planlint.language.tree import Name, Number, Word
from planlint.language.words import NAME_FAULT, NAMES_TOO, RESERVED, SIDE_WORDS, UNIT_BY_WORD

LONGEST_NAME = 64
MOST_OPERATIONS = 100
"""Limits of one line. Basis: own judgement; no plan comes near them."""

Item = tuple[Any, int, int]

_NEVER_NAMES = RESERVED - NAMES_TOO


class Builder(Transformer[Token, Any]):
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
            self._check_name(text, start)
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

    def _word(self, token: Token) -> Word:
        text = token.value
        start = token.start_pos or 0
        end = start + len(text)
        return Word(" ".join(text.split()) if " " in text or "\t" in text else text, start, end)

    SIDE = LOOK = SPAN_WORDS = LOAD_UNIT = TRADITION = SPECIES = RULE = _word
    LONG = WIDE = THICK = DEEP = LIES_DEEP = UPRIGHT = CROSSWISE = VERTICAL = ROUGH = EXTERIOR = _word
    UP = DOWN = ALTERNATE = COARSE = FINE = GLUED = SLOTTED = THROUGH = STUB = HAUNCHED = _word

    def NOMINAL(self, token: Token) -> Word:  # noqa: N802
        problem = max((number_problem(part) for part in token.value.split("x")), key=len)
        start = token.start_pos or 0
        if problem:
            self.problems.append((start, start + len(token), problem))
        return self._word(token)

    def TARGET(self, token: Token) -> Word:  # noqa: N802
        # Kept as written, spaces in a template too: it is looked up, not evaluated.
        start = token.start_pos or 0
        return Word(token.value, start, start + len(token))

    def UNIT(self, token: Token) -> Word:  # noqa: N802
        start = token.start_pos or 0
        return Word(UNIT_BY_WORD[token.value], start, start + len(token))

    def TEXT(self, token: Token) -> str:  # noqa: N802
        return str(token.value[1:-1])

    def _check_name(self, text: str, start: int) -> None:
        end = start + len(text)
        if len(text) > LONGEST_NAME:
            says = f"{NAME_FAULT}{text[:20]}…` is {len(text):,} characters long; {LONGEST_NAME} is the most"
        elif text not in RESERVED:
            at = next(at for at in range(1, len(text) + 1) if not text[:at].isidentifier()) - 1
            start, end, says = odd_character(self.line, start + at)
            self.spoiled = True
        else:
            says = f"{NAME_FAULT}{text}` is a reserved word of the plan language; choose another, such as `{text}_1`"
        self.problems.append((start, end, says))

    # ------------------------------------------------------------ lengths and arithmetic

    def template(self, children: list[Any]) -> Name:
        first, last = children[0], children[-1]
        start, end = first.start_pos, last.end_pos
        text = self.line[start:end]
        if len(text) > LONGEST_NAME:
            self._check_name(text, start)
        pieces = [part.value.strip("{}") if isinstance(part, Token) else part for part in children]
        return Name(text, tuple(piece for piece in pieces if piece != ""), start, end)

    def _operation(self, operator: str, left: Any, right: Any) -> tree.Operation:
        self.operations += 1
        if self.operations == MOST_OPERATIONS + 1:
            says = f"more than {MOST_OPERATIONS} sums on one line; put parts of it into a `let`"
            self.problems.append((left.start, right.end, says))
        return tree.Operation(operator, left, right, left.start, right.end)

    def add(self, children: list[Any]) -> tree.Operation:
        return self._operation("+", *children)

    def subtract(self, children: list[Any]) -> tree.Operation:
        return self._operation("-", children[0], children[2])

    def multiply(self, children: list[Any]) -> tree.Operation:
        return self._operation("*", *children)

    def divide(self, children: list[Any]) -> tree.Operation:
        return self._operation("/", *children)

    def negative(self, children: list[Any]) -> tree.Operation:
        start = children[0].start_pos
        return self._operation("-", Number(Fraction(0), None, start, start), children[1])

    def group(self, children: list[Any]) -> Any:
        opened, inner, closed = children
        return inner._replace(start=opened.start_pos, end=closed.end_pos)

    def call(self, children: list[Any]) -> tree.Call:
        function, closed = children[0], children[-1]
        return tree.Call(function.value, tuple(children[1:-1]), function.start_pos, closed.end_pos)

    # ------------------------------------------------------------ statements

    def plan_head(self, children: list[Any]) -> tree.PlanHead:
        return tree.PlanHead(children[0])

    def unit_line(self, children: list[Any]) -> tree.UnitLine:
        return tree.UnitLine(children[0])

    def seen_from(self, children: list[Any]) -> tree.SeenFrom:
        return tree.SeenFrom(tuple(children))

    def seen_from_all_round(self, children: list[Any]) -> tree.SeenFrom:
        start = children[0].start_pos
        return tree.SeenFrom(
            tuple(Word(side, start, children[0].end_pos) for side in ("front", "left", "right", "back"))
        )

    def seen_from_nowhere(self, _children: list[Any]) -> tree.SeenFrom:
        return tree.SeenFrom(())

    def eye_height(self, children: list[Any]) -> tree.EyeHeight:
        return tree.EyeHeight(children[0])

    def use(self, children: list[Any]) -> tree.Use:
        return tree.Use(children[0])

    def let(self, children: list[Any]) -> tree.Let:
        self._no_side(children[0])
        return tree.Let(*children)

    def for_loop(self, children: list[Any]) -> tree.For:
        self._no_side(children[0])
        return tree.For(*children)

    def _no_side(self, name: Name) -> None:
        """A length called by a side would leave `flush top` and `top from front` to be told apart."""
        if name.text in SIDE_WORDS:
            self._check_name(name.text, name.start)

    # ------------------------------------------------------------ assemblies

    def parameters(self, children: list[Any]) -> tuple[Name, ...]:
        for name in children:
            self._no_side(name)
        return tuple(children)

    def assembly(self, children: list[Any]) -> tree.AssemblyLine:
        name, parameters = children
        return tree.AssemblyLine(name, parameters or ())

    def end(self, _children: list[Any]) -> tree.EndLine:
        return tree.EndLine()

    def given(self, children: list[Any]) -> tree.Given:
        return tree.Given(*children)

    def place(self, children: list[Any]) -> tree.PlaceLine:
        return tree.PlaceLine(children[0], children[1], tuple(children[2:]))

    def stock_nominal(self, children: list[Any]) -> tree.StockLine:
        name, species, nominal, sold = children
        return tree.StockLine(name, species, nominal, None, None, sold, False)

    def stock_actual(self, children: list[Any]) -> tree.StockLine:
        name, species, thick, wide, sold = children
        return tree.StockLine(name, species, None, thick, wide, sold, False)

    def stock_sheet(self, children: list[Any]) -> tree.StockLine:
        name, species, thick = children
        return tree.StockLine(name, species, None, thick, None, None, True)

    def stock_sheet_size(self, children: list[Any]) -> tree.StockLine:
        name, species, thick, wide, long = children
        return tree.StockLine(name, species, None, thick, wide, long, True)

    stock_board = stock_actual

    def load(self, children: list[Any]) -> tree.LoadLine:
        amount, unit, per, part = children
        if amount.unit is not None:
            says = "a load is written in lb, kg or N, and this is a length"
            self.problems.append((amount.start, amount.end, says))
        return tree.LoadLine(amount.value, unit, per is not None, part)

    def accept(self, children: list[Any]) -> tree.AcceptLine:
        return tree.AcceptLine(*children)

    # ------------------------------------------------------------ parts

    def names(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)

    def part(self, children: list[Any]) -> tree.PartLine:
        return tree.PartLine(children[0], children[1], self._items(children[2:]))

    def part_like(self, children: list[Any]) -> tree.PartLine:
        return tree.PartLine(children[0], children[1], self._items(children[2:]), True)

    def details(self, children: list[Any]) -> tree.PartDetails:
        return tree.PartDetails(self._items(children))

    def run(self, children: list[Any]) -> Item:
        return (children[1], children[3]), children[0].start_pos, children[3].end

    def _items(self, children: list[Item]) -> tuple[Item, ...]:
        """The details of a part; where a groove runs belongs to the groove before it."""
        if not any(type(item[0]) is tuple for item in children):
            return tuple(children)
        items: list[Item] = []
        for item, start, end in children:
            if type(item) is not tuple:
                items.append((item, start, end))
                continue
            before = items[-1][0] if items else None
            if isinstance(before, tree.RemovalItem) and before.kind.text != "notch" and before.run is None:
                items[-1] = (before._replace(run=item), items[-1][1], end)
            else:
                says = "`from … to …` says where a groove, dado or rabbet runs: it stands right behind one, on its line"
                self.problems.append((start, end, says))
        return tuple(items)

    def measure(self, children: list[Any]) -> Item:
        value, word = children
        return tree.Measure(value, word, None), value.start, word.end

    def plain_flag(self, children: list[Any]) -> Item:
        word = children[0]
        return tree.Flag(word.text, word), word.start, word.end

    def facing(self, children: list[Any]) -> Item:
        look = children[1]
        return tree.Flag(f"facing {look.text}", look), children[0].start_pos, look.end

    def turned(self, children: list[Any]) -> Item:
        return tree.Turned(children[1], children[3]), children[0].start_pos, children[3].end

    def cut_one_end(self, children: list[Any]) -> Item:
        end, at = children[0], children[-1]
        return tree.CutItem(end, children[3], at), end.start, at.end

    def cut_both_ends(self, children: list[Any]) -> Item:
        at = children[-1]
        return tree.CutItem(None, children[2], at), children[0].start_pos, at.end

    def rabbet(self, children: list[Any]) -> Item:
        kind, first, _, second, _, one, other = children
        return (
            tree.RemovalItem(self._word(kind), (first, second), (one, other), None),
            kind.start_pos,
            other.end,
        )

    def groove(self, children: list[Any]) -> Item:
        kind, wide, _, deep, _, _, cut_in, _, offset, _, origin = children
        return (
            tree.RemovalItem(self._word(kind), (wide, deep), (cut_in, origin), offset),
            kind.start_pos,
            origin.end,
        )

    def notch(self, children: list[Any]) -> Item:
        kind = children[0]
        parts = [part for part in children[1:] if part is not None]
        depths = tuple(part for part in parts if not isinstance(part, (Token, Word)))
        sides = tuple(part for part in parts if isinstance(part, Word))
        if len(depths) != len(sides):
            says = (
                f"a notch needs a side for each of its {len(depths)} measures, and {len(sides)} are named: "
                "`notch A x B at SIDE SIDE`, or with three of each"
            )
            self.problems.append((kind.start_pos, sides[-1].end, says))
        return tree.RemovalItem(self._word(kind), depths, sides, None), kind.start_pos, sides[-1].end

    def phrase(self, children: list[Any]) -> Item:
        words = [_text(child) for child in children]
        start, end = _start(children[0]), _end(children[-1])
        name = " ".join(words)
        return tree.Flag(name, Word(name, start, end)), start, end

    def finish_one(self, children: list[Any]) -> Item:
        side = children[1]
        return tree.Flag(f"finish {side.text} only", side), children[0].start_pos, children[2].end_pos

    def rings(self, children: list[Any]) -> Item:
        how = children[1]
        return tree.Flag(f"rings {how.text}", how), children[0].start_pos, how.end

    def hung(self, children: list[Any]) -> Item:
        height = children[-1]
        return tree.HungAt(height), children[0].start_pos, height.end

    # ------------------------------------------------------------ joins

    def side_of(self, children: list[Any]) -> tree.SideOf:
        part, side = children
        return tree.SideOf(part, side, part.start, side.end)

    def side_of_side(self, children: list[Any]) -> tree.SideOf:
        part, side = children
        return tree.SideOf(Name(part.text, (), part.start, part.end), side, part.start, side.end)

    def tradition(self, children: list[Any]) -> tree.TraditionItem:
        measures = tuple(child for child in children[1:] if isinstance(child, tree.Measure))
        words = tuple(child for child in children[1:] if isinstance(child, Word))
        return tree.TraditionItem(children[0], measures, words)

    def tradition_measure(self, children: list[Any]) -> tree.Measure:
        noun, value, word = children
        return tree.Measure(value, word, noun.value if noun is not None else None)

    def tradition_line(self, children: list[Any]) -> tree.TraditionItem:
        found: tree.TraditionItem = children[0]
        return found

    def join(self, children: list[Any]) -> tree.JoinLine:
        return tree.JoinLine(*children)

    def flush(self, children: list[Any]) -> tree.PlacingLine:
        return tree.PlacingLine("flush", None, tuple(children), None)

    def set_back(self, children: list[Any]) -> tree.PlacingLine:
        return tree.PlacingLine("set back", children[0], (children[1],), None)

    def proud(self, children: list[Any]) -> tree.PlacingLine:
        return tree.PlacingLine("proud", children[0], (children[1],), None)

    def distance_from(self, children: list[Any]) -> tree.PlacingLine:
        return tree.PlacingLine("from", children[0], (children[1],), None)

    def centred(self, children: list[Any]) -> tree.PlacingLine:
        return tree.PlacingLine("centred", None, (), children[0])

    def sums(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)

    def pockets_counted(self, children: list[Any]) -> tree.PocketsLine:
        count, face, plugged = children
        return tree.PocketsLine(count, None, None, None, None, _face(face), plugged is not None)

    def pockets_at(self, children: list[Any]) -> tree.PocketsLine:
        at, origin, face, plugged = children
        return tree.PocketsLine(None, at, None, None, origin, _face(face), plugged is not None)

    def pockets_every(self, children: list[Any]) -> tree.PocketsLine:
        every, first, origin, face, plugged = children
        return tree.PocketsLine(None, None, every, first, origin, _face(face), plugged is not None)

    def screws(self, children: list[Any]) -> tree.ScrewsLine:
        return tree.ScrewsLine(*children)

    def screws_to_suit(self, _children: list[Any]) -> tree.ScrewsLine:
        return tree.ScrewsLine(None, None, None)

    def glued(self, children: list[Any]) -> tree.Flag:
        return tree.Flag("glued", children[0])

    def glued_middle(self, children: list[Any]) -> tree.Flag:
        first, last = children
        return tree.Flag(
            "glued middle third", Word("glued along the middle third", first.start, last.end_pos)
        )

    def slotted(self, children: list[Any]) -> tree.Flag:
        return tree.Flag("slotted", children[0])


def _face(found: Word | tree.SideOf) -> tree.SideOf:
    return tree.SideOf(None, found, found.start, found.end) if isinstance(found, Word) else found


def _text(part: Any) -> str:
    return str(part.value) if isinstance(part, Token) else part.text


def _start(part: Any) -> int:
    return (part.start_pos or 0) if isinstance(part, Token) else part.start


def _end(part: Any) -> int:
    return (part.end_pos or 0) if isinstance(part, Token) else part.end
