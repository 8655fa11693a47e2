"""A broken line on the bench: its text as mended so far, and how that maps to what was written."""

import re
from enum import IntEnum
from typing import Any, NamedTuple

from lark import UnexpectedInput, UnexpectedToken

from planlint.language.grammar_cache import Tools
from planlint.language.indentation import BELONGS
from planlint.language.vocabulary import SIDE_WORDS

_MARKS = frozenset(",.:=()+-*/}°")


class Telling(IntEnum):
    """How much a message tells: only what cannot stand there, what was likely meant, or what is told by its looks."""

    VAGUE = 0
    LIKELY = 1
    SURE = 2


class Wrong(NamedTuple):
    """A mistake inside one line; offsets count from its first character."""

    start: int
    end: int
    says: str
    telling: Telling = Telling.LIKELY


class Say(str):
    """What to say of a line: the lines that say it, ``sure`` if nothing is filled in, and what is told ``more``."""

    __slots__ = ("lines", "more", "sure")
    lines: tuple[str, ...]
    sure: bool
    more: str


def say(*lines: str, sure: bool = True, more: str = "", lead: str = "") -> Say:
    """Says which lines say something, names without brackets; ``more`` stands behind them, ``lead`` before them."""
    lines = tuple(re.sub(r"(?<!\w)\(([a-z]\w*)\)", r"\1", each) for each in lines)
    told = ", ".join(f"`{each}`" for each in lines)
    usual = "each of these has a line of its own: " if len(lines) > 1 else "say " if sure else "say such as "
    made = Say(f"{lead or usual}{told}{more}")
    made.lines, made.sure, made.more = lines, sure, more
    return made


class ParserStop(NamedTuple):
    """Where the parser stopped.

    ``kind`` is ``word``, ``number``, ``text`` (in quotes), the mark itself, ``end`` for the end of the line, or
    empty for a character that no token starts with. ``accepts`` are the terminals that could stand there.
    """

    start: int
    end: int
    kind: str
    accepts: frozenset[str]


class Edit(NamedTuple):
    """A stretch of the text put in place of another, and what to tell about it, at which place.

    Where ``sure`` is false, what was meant could be something else: the line is read on, but not kept. Where
    ``proven`` is false, the rest of the line does not bear the edit out yet.
    """

    start: int
    end: int
    instead: str
    says: str
    mark: tuple[int, int]
    sure: bool = True
    proven: bool = True
    telling: Telling = Telling.LIKELY


class LineRepair:
    """One broken line and the mistakes found in it. ``place`` is the kind of line it stands under."""

    def __init__(self, text: str, place: str, tools: Tools) -> None:
        self.text = text
        self.place = place
        self.tools = tools
        self.shifts: list[tuple[int, int, int]] = []
        self.wrongs: list[Wrong] = []
        self.sure = True

    def attempt(self, text: str) -> tuple[Any, ParserStop | None]:
        """What parsing a text gives: a node, or the trouble it stopped at."""
        self.tools.builder.begin(text)
        try:
            return self.tools.lark.parse(text, start="line"), None
        except UnexpectedInput as problem:
            return None, _trouble(problem, text)

    def reads(self, text: str) -> bool:
        """Whether a text is a sound line that can stand here."""
        return self.stands(self.attempt(text)[0])

    def stands(self, node: Any) -> bool:
        """Whether what was read last is sound, and a line that can stand here: a detail stands under its own line."""
        sound = node is not None and not self.tools.builder.problems
        return sound and BELONGS.get(type(node), "") in {"", self.place}

    def left_over(self, edit: Edit) -> int:
        """How much of the text is left unread after an edit; -1 if the line is then whole, -2 if it is sound too."""
        text = self.text[: edit.start] + edit.instead + self.text[edit.end :]
        self.tools.builder.begin(text)
        try:
            self.tools.lark.parse(text, start="line")
        except UnexpectedInput as problem:
            return len(text) - _start(problem, text)
        return -1 if self.tools.builder.problems else -2

    def accepted_at(self, offset: int) -> frozenset[str]:
        """The terminals that could stand at a place in the text, once all before it is read."""
        self.tools.builder.begin(self.text)
        midway = self.tools.lark.parse_interactive(self.text, start="line")
        try:
            for token in midway.lexer_thread.lex(midway.parser_state):  # type: ignore[no-untyped-call]
                if (token.start_pos or 0) >= offset:
                    break
                midway.feed_token(token)
        except UnexpectedInput as problem:
            if isinstance(problem, UnexpectedToken) and (problem.token.start_pos or 0) < offset:
                return frozenset()
        return frozenset(midway.accepts())  # type: ignore[no-untyped-call]

    def written(self, offset: int, *, is_end: bool = False) -> int:
        """The place in the line as it was written of a place in the mended text."""
        for start, old, new in reversed(self.shifts):
            if offset >= start + new:
                offset += old - new
            elif offset > start:
                offset = start + old if is_end else start
        return offset

    def tell(self, start: int, end: int, says: str, telling: Telling = Telling.LIKELY) -> None:
        """Notes a mistake, once for a place."""
        wrong = Wrong(self.written(start), self.written(end, is_end=True), says, telling)
        if all(wrong.start != other.start for other in self.wrongs):
            self.wrongs.append(wrong)

    def tell_problems(self, before: int, spared: int = -1) -> None:
        """Notes what the builder found wrong in the text before a place, but for what ends at ``spared``."""
        for start, end, says in self.tools.builder.problems:
            if end <= before and end != spared:
                self.tell(start, end, says)

    def apply(self, edit: Edit) -> None:
        """Mends the text, and notes the mistake; an edit that says nothing only clears the way to it."""
        if edit.says:
            self.tell(*edit.mark, edit.says, edit.telling)
        self.sure = self.sure and edit.sure
        self.text = self.text[: edit.start] + edit.instead + self.text[edit.end :]
        self.shifts.append((edit.start, edit.end - edit.start, len(edit.instead)))

    def move(self, node: Any) -> Any:
        """A node with its offsets in the line as written: every whole number in the tree is an offset."""
        if type(node) is int:
            return self.written(node)
        if isinstance(node, tuple):
            moved = [self.move(part) for part in node]
            return node._make(moved) if hasattr(node, "_make") else tuple(moved)
        return node

    def keyword(self, terminal: str) -> str | None:
        """The text of a terminal that is a plain string; ``None`` for any other."""
        if terminal == "$END":
            return None
        pattern = self.tools.lark.get_terminal(terminal).pattern
        return pattern.value if pattern.type == "str" else None

    def is_keyword(self, word: str) -> bool:
        """Whether a word is one of the language: then it is not likely to be another one misspelt."""
        keywords = (terminal.pattern.value for terminal in self.tools.lark.terminals)
        return word in SIDE_WORDS or word in keywords

    def word_before(self, offset: int) -> tuple[int, int]:
        """Start and end of the word right before a place; they are equal if there is none."""
        end = len(before := self.text[:offset].rstrip())
        start = end - len(before) + len(re.sub(r"[\w-]+$", "", before))
        return (start, end) if is_word(self.text[start:end]) else (end, end)

    def word_at(self, start: int) -> tuple[int, int]:
        """Start and end of the word that starts at a place; they are equal if there is none."""
        end = start + len(self.text[start:]) - len(re.sub(r"^\w+", "", self.text[start:]))
        return (start, end) if is_word(self.text[start:end]) else (start, start)

    def first_token(self) -> tuple[int, int]:
        """Start and end of the line's first word, number or mark."""
        end = next((at for at, one in enumerate(self.text) if one in " \t,:="), len(self.text))
        return 0, max(end, 1)

    def keywords(self, terminals: frozenset[str]) -> list[str]:
        """The texts of those terminals that are plain strings, in the order of the grammar."""
        return [
            terminal.pattern.value
            for terminal in self.tools.lark.terminals
            if terminal.name in terminals and terminal.pattern.type == "str"
        ]

    def item_start(self, before: int) -> int:
        """Where the detail around a place starts: behind the last comma of a list of them, else at the start."""
        comma = self.text.rfind(",", 0, before)
        if comma < 0 or not self.is_list:
            return 0
        rest = self.text[comma + 1 :]
        return comma + 1 + len(rest) - len(rest.lstrip())

    @property
    def is_part(self) -> bool:
        """Whether the line is a part's, or holds details of one."""
        return self.text.startswith("part ") or self.place == "part"

    @property
    def is_list(self) -> bool:
        """Whether the line is a list of details between commas."""
        return self.is_part or self.text.startswith("as ") or " as " in self.text


def stretch_cut_off(text: str) -> str:
    """A stretch of a plan short enough for a message."""
    return text if len(text) <= 40 else text[:37] + "…"


def is_word(text: str) -> bool:
    """Whether a text is one word: letters, with ``_`` or ``-`` between."""
    return text.replace("-", "").replace("_", "").isalpha()


def _start(problem: UnexpectedInput, text: str) -> int:
    """Where the parser stopped."""
    if isinstance(problem, UnexpectedToken) and problem.token.type == "$END":
        return len(text)
    return problem.pos_in_stream or 0


def _trouble(problem: UnexpectedInput, text: str) -> ParserStop:
    """The trouble in plain terms. The token is read off the text anew: where the lexer is at a loss it takes the
    longest thing that anything in the language could be."""
    accepts: frozenset[str] = frozenset()
    start = _start(problem, text)
    if isinstance(problem, UnexpectedToken) and problem.interactive_parser is not None:
        accepts = frozenset(problem.interactive_parser.accepts())  # type: ignore[no-untyped-call]
    rest = text[start:]
    if not rest:
        return ParserStop(start, start, "end", accepts)
    if word := re.match(r"[^\W\d][\w-]*", rest):
        return ParserStop(start, start + len(word[0].rstrip("-")), "word", accepts)
    if number := re.match(r"\d[0-9./-]*", rest):
        return ParserStop(start, start + max(1, len(number[0].rstrip(".-/"))), "number", accepts)
    if rest[0] == '"' and '"' in rest[1:]:
        return ParserStop(start, start + rest.index('"', 1) + 1, "text", accepts)
    return ParserStop(start, start + 1, rest[0] if rest[0] in _MARKS else "", accepts)
