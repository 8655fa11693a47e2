"""From the text of a plan to its tree, line by line, with every mistake in it.

Each line is parsed on its own, so a mistake never reaches past its line; a line that was read before is not
parsed again. What stands under what follows from the indentation alone.
"""

import re
import threading
from collections.abc import Iterable
from typing import Any

from planlint.language import syntax_tree
from planlint.language.grammar_cache import Tools, tools
from planlint.language.indentation import (
    AT_THE_MARGIN,
    BELONGS,
    DETAIL_OF,
    HOLDS_STATEMENTS,
    MARGIN_NODES,
    OPENS,
    UNKNOWN,
    Indented,
)
from planlint.language.plain_lines import comment_start, indent_of
from planlint.language.syntax_tree import Node, Statement, Tree
from planlint.language.vocabulary import RESERVED, STARTS_OF_SEVERAL, NameFault, first_word
from planlint.text.edits import TextEdit
from planlint.text.source import Mistake, PlanText, Span

LONGEST_LINE = 2_000
MOST_MISTAKES = 100
DEEPEST_BRACKETS = 32
MOST_BLOCKS = 32
"""Limits: longest line in characters, mistakes told, brackets and loops inside one another. Basis: own judgement."""

# Lark's parser keeps the state of a parse to itself, but the builder behind it notes what is wrong with a line.
_ONE_AT_A_TIME = threading.Lock()


def read(source: PlanText) -> tuple[Tree, list[Mistake]]:
    """The tree of a plan and every mistake in its text, in order. Never raises, whatever the text."""
    with _ONE_AT_A_TIME:
        reading = _Reading(source, tools())
        reading.read_lines()
    root = reading.blocks[0]
    reading.mistakes.sort()
    tree = Tree(source, tuple(root.children), frozenset(reading.unread), tuple(reading.plain))
    return tree, reading.mistakes


class _Reading:
    """One reading of one plan."""

    def __init__(self, source: PlanText, with_tools: Tools) -> None:
        from lark import UnexpectedInput  # noqa: PLC0415 - loaded with the tools, not before

        self.unexpected = UnexpectedInput
        self.text = source.text
        self.tools = with_tools
        self.mistakes: list[Mistake] = []
        self.unread: set[str] = set()
        self.plain: list[TextEdit] = []
        self.blocks = [Indented(-1, "", None, Span(0, 0), 0)]
        self.blocks[0].body = 0
        self.unread_assemblies = 0
        """Assemblies whose first line could not be read, and whose ``end`` has not been met."""
        self.indented_with: set[str] = set()
        self.told_tabs = False
        self.told_names: set[str] = set()

    # ------------------------------------------------------------ lines

    def read_lines(self) -> None:
        """Reads the text from its first line to its last, or until it is clear that it is no plan."""
        known = self.tools.known
        at = 0
        for number, raw in enumerate(self.text.split("\n"), 1):
            if not raw:
                at += 1
                continue
            line_at = at
            at += len(raw) + 1
            line = raw.strip(" \t\r")
            if not line or line[0] == "#":
                if _OF_SCREWS.match(line) and raw[0] != "#":
                    self._told_by_number(line, "", line_at + raw.index("#"))
                continue
            indent = raw.index(line[0])
            start = line_at + indent
            if indent:
                indent = self._indent(raw[:indent], line_at)
            if "#" in line:
                whole, line = line, line[: comment_start(line)].rstrip(" \t")
                if _NUMBER_SIGN.match(whole, len(line)) and self._told_by_number(whole, line, start):
                    self._place(None, line, indent, Span(start, start + len(whole)), number)
                    continue
            node = known.get(line)
            if node is None:
                node, sound = self._parse(line, start)
                if sound and node is not None:
                    known.keep(line, node)
            self._place(node, line, indent, Span(start, start + len(line)), number)
            if len(self.mistakes) >= MOST_MISTAKES and self._stop(at):
                break
        self._close_down_to(-1)

    def _parse(self, line: str, start: int) -> tuple[Node | None, bool]:
        """The node of one line, if sense can be made of it, and whether nothing at all is wrong with it."""
        if self._unreadable(line, start):
            return None, False
        lark, builder, _ = self.tools
        builder.begin(line)
        try:
            node: Any = lark.parse(line, start="line")
        except self.unexpected:
            from planlint.language.plain_words import in_plain_words  # noqa: PLC0415 - only such a line needs it

            if plain := in_plain_words(line, self.tools):
                self.plain.append(TextEdit(Span(start, start + len(line)), plain[1]))
                return plain[0], False
            return self._mend(line, start), False
        if builder.problems:
            self._tell(builder.problems, start)
            return None if builder.spoiled else node, False
        return node, True

    def _told_by_number(self, whole: str, line: str, start: int) -> bool:
        """Tells of a line that says `#8` or `#2` of a screw, a biscuit or a grade, which reads as a remark."""
        from planlint.language.broken_line import by_number  # noqa: PLC0415 - only a broken plan needs it

        says = by_number(whole, line, self._parent(start), self.tools)
        if says is not None:
            self._tell([(0, len(whole), self._in_its_place(says, whole, start))], start)
        return says is not None

    def _stop(self, at: int) -> bool:
        """Whether there are enough mistakes to stop with lines still unread; says how many."""
        left = sum(1 for line in self.text[at:].split("\n") if line.strip(" \t\r"))
        if not left:
            return False
        del self.mistakes[MOST_MISTAKES:]
        end = len(self.text)
        next_start = min(at, end)
        many = f"{left:,} more lines were" if left > 1 else "one more line was"
        says = f"{MOST_MISTAKES} mistakes up to here: {many} not read; is this a plan?"
        self.mistakes.append(Mistake(Span(next_start, next_start), says))
        return True

    def _indent(self, white: str, at: int) -> int:
        """How far a line is indented; a tab counts to the next multiple of 8, and mixing it is a mistake."""
        self.indented_with.update(white)
        if len(self.indented_with) > 1 and not self.told_tabs:
            self.told_tabs = True
            if len(set(white)) > 1:
                how = "with tabs and spaces"
            elif white[0] == "\t":
                how = "with tabs, and lines above it with spaces"
            else:
                how = "with spaces, and lines above it with tabs"
            says = f"this line is indented {how}: use only one of the two in a plan"
            self.mistakes.append(Mistake(Span(at, at + len(white)), says))
        return len(white.expandtabs(8))

    def _unreadable(self, line: str, start: int) -> bool:
        """Whether a line is beyond the limits, so that it is not even tried; says why."""
        if len(line) > LONGEST_LINE:
            says = f"this line is {len(line):,} characters long; {LONGEST_LINE:,} is the most"
            self.mistakes.append(Mistake(Span(start, start + len(line)), says))
            return True
        if line.count("(") > DEEPEST_BRACKETS:
            depth = 0
            for at, character in enumerate(line):
                depth += (character == "(") - (character == ")")
                if depth > DEEPEST_BRACKETS:
                    says = f"brackets are nested over {DEEPEST_BRACKETS} deep here: put parts of the sum into a `let`"
                    self.mistakes.append(Mistake(Span(start + at, start + at + 1), says))
                    return True
        return False

    def _mend(self, line: str, start: int) -> Node | None:
        """Tells what is wrong with a line that does not parse; its node, if its meaning is beyond doubt."""
        from planlint.language.sentences import mended  # noqa: PLC0415 - only a broken plan needs it

        node, wrongs, terms = mended(line, self._parent(start), self.text, self.tools)
        told = [(*wrong[:2], self._in_its_place(wrong.says, terms or line, start)) for wrong in wrongs]
        self._tell(told, start)
        again = self._parent(start).kind == "plan" and told != [wrong[:3] for wrong in wrongs]
        found: Node | None = None if again else node
        return found

    def _in_its_place(self, says: str, line: str, start: int) -> str:
        from planlint.language.in_its_place import in_its_place  # noqa: PLC0415 - only a broken plan needs it

        own = isinstance(says, NameFault)
        return says if own else in_its_place(says, line, self._parent(start), self.text)

    def _tell(self, wrongs: Iterable[tuple[int, int, str]], start: int) -> None:
        """Notes the mistakes of a line that starts at ``start``; a name that cannot be one is told once."""
        for first, last, says in wrongs:
            if isinstance(says, NameFault):
                name = self.text[start + first : start + last]
                if name in self.told_names:
                    continue
                self.told_names.add(name)
            self.mistakes.append(Mistake(Span(start + first, start + last), says))

    # ------------------------------------------------------------ blocks

    def _parent(self, start: int) -> Indented:
        """The line that a line starting at ``start`` stands under, before it is placed."""
        indent = len(indent_of(self.text, start).expandtabs(8))
        return next(block for block in reversed(self.blocks) if block.indent < indent)

    def _close_down_to(self, indent: int) -> None:
        """Closes every block that a line this far indented does not stand under."""
        blocks = self.blocks
        while len(blocks) > 1 and blocks[-1].indent >= indent:
            block = blocks.pop()
            if block.kind == "for" and block.body < 0:
                says = "nothing stands under this `for`: indent the lines it repeats under it"
                self.mistakes.append(Mistake(block.span, says))
            elif block.kind == "assembly":
                self._check_assembly(block)
            if block.node is not None:
                statement = Statement(block.node, block.span, block.line, tuple(block.children))
                blocks[-1].children.append(statement)

    def _check_assembly(self, block: Indented) -> None:
        """Tells an assembly that is not ended or that holds nothing."""
        ended = bool(block.children) and type(block.children[-1].node) is syntax_tree.EndLine
        if not ended:
            says = "this assembly does not end: write `end` below its last line, in line with `assembly`"
            self.mistakes.append(Mistake(block.span, says))
        elif len(block.children) == 1 and block.body < 0:
            says = "nothing stands in this assembly: indent its parts and joins under it"
            self.mistakes.append(Mistake(block.span, says))

    def _end(self, node: Node, indent: int, span: Span, number: int) -> None:
        """The ``end`` of an assembly: closes the nearest one above."""
        assembly = next((block for block in reversed(self.blocks) if block.kind == "assembly"), None)
        if assembly is None:
            self._close_down_to(indent)
            if self.unread_assemblies:
                self.unread_assemblies -= 1
            elif not self.mistakes or self.mistakes[-1].span.start != span.start:
                says = "`end` closes an assembly, and none is open here: other lines end where their indentation ends"
                self.mistakes.append(Mistake(span, says))
            return
        if indent != assembly.indent:
            says = f"this `end` closes the assembly on line {assembly.line}: line it up with `assembly`"
            self.mistakes.append(Mistake(span, says))
        while self.blocks[-1] is not assembly:
            self._close_down_to(self.blocks[-1].indent)
        assembly.children.append(Statement(node, span, number))
        self._close_down_to(assembly.indent)

    def _place(self, node: Node | None, line: str, indent: int, span: Span, number: int) -> None:
        """Puts a line into the block it stands in."""
        kind = type(node)
        if kind is syntax_tree.EndLine:
            assert node is not None
            self._end(node, indent, span, number)
            return
        if indent <= self.blocks[-1].indent:
            self._close_down_to(indent)
        block = self.blocks[-1]
        if block.body < 0:
            block.body = indent
        elif indent != block.body:
            self._out_of_line(block, indent, span, BELONGS.get(kind, ""))
        elif type(block.astray) is int:
            block.astray = None
        if node is None or block.kind == UNKNOWN:
            self._leave_out(block, line, indent, span, number, node is not None)
            return
        belongs = BELONGS.get(kind, "")
        if belongs != block.kind and (belongs or kind in MARGIN_NODES or block.kind not in HOLDS_STATEMENTS):
            found = self._misplaced(block, belongs, line, indent, span)
            if found is None:
                return
            block = found
        opens = OPENS.get(kind)
        if opens is None:
            block.children.append(Statement(node, span, number))
            return
        self.blocks.append(Indented(indent, opens, node, span, number))
        if len(self.blocks) > MOST_BLOCKS:
            says = f"loops and assemblies are nested more than {MOST_BLOCKS} deep here"
            self.mistakes.append(Mistake(span, says))
            self.blocks[-1].kind, self.blocks[-1].node = UNKNOWN, None

    def _leave_out(
        self, block: Indented, line: str, indent: int, span: Span, number: int, readable: bool
    ) -> None:
        """A line that is not kept: what it may define is remembered, and what stands under it goes with it."""
        first = first_word(line)
        if first == "assembly" and not readable:
            self.unread_assemblies += 1
        words = words_of(line)
        self.unread.update(words)
        if first == "place":  # Its parts and lets are called after it: `upper_front` of `upper`.
            self.unread.update(f"{word}_{{" for word in words)
            if not line.partition(" as ")[2].lstrip()[:1].isalpha():
                self.unread.add("{")  # Called nobody knows what: any name may be of it.
        if block.kind != UNKNOWN:
            # Under a line whose first word is right, the details are held to it all the same.
            kind = first if first in _HOLDS_DETAILS and not readable else UNKNOWN
            self.blocks.append(Indented(indent, kind, None, span, number))

    def _out_of_line(self, block: Indented, indent: int, span: Span, belongs: str) -> None:
        """A line that stands deeper or less deep than those beside it; a run of such lines is one mistake."""
        if block.kind == UNKNOWN or block.astray == indent:
            return
        block.astray = indent
        if self.told_tabs:
            return  # Tabs among spaces show in more places than the first: one mistake.
        if not block.kind and belongs:
            says = DETAIL_OF.format(belongs)
        elif not block.kind:
            says = "this line is indented, and nothing above it takes lines under it: start it at the margin"
        elif indent > block.body:
            says = "this line is indented further than the lines beside it: line it up with them"
        else:
            says = (
                f"this line is indented less than the lines under the same {block.kind}: line it up with them"
            )
        self.mistakes.append(Mistake(span, says))

    def _misplaced(
        self, block: Indented, belongs: str, line: str, indent: int, span: Span
    ) -> Indented | None:
        """A line under one it does not belong to: told once for a run; the block to put it in, if any."""
        first = first_word(line).rstrip(",")
        astray = (block.kind, belongs)
        known = block.astray == astray or type(block.astray) is int
        if belongs:
            if not known:
                block.astray = astray
                if first not in RESERVED and first.isidentifier():  # It reads as the name of a length.
                    block.astray = None
                    if not self.mistakes or self.mistakes[-1].span.start < span.start:
                        self._mend(line, span.start)
                    return None
                if block.kind in HOLDS_STATEMENTS:
                    says = DETAIL_OF.format(belongs)
                else:
                    phrase = next((each for each in STARTS_OF_SEVERAL if line.startswith(each)), first)
                    says = f"`{phrase}` is a detail of a {belongs} and cannot stand under a {block.kind}"
                    says += f": indent it under its `{belongs}` line" * (belongs != "plan")
                self.mistakes.append(Mistake(span, says))
            return None
        while self.blocks[-1].kind not in HOLDS_STATEMENTS:
            self._close_down_to(self.blocks[-1].indent)
        holder = self.blocks[-1]
        says = f"`{first}` is no detail of a {block.kind}: line it up with the `{block.kind}` line"
        if block.kind in HOLDS_STATEMENTS:
            says = AT_THE_MARGIN.get(first, says)
        # The lines that follow at this indentation have the same cause.
        if holder.body != indent:
            holder.astray = indent
        if not known:
            self.mistakes.append(Mistake(span, says))
        return holder


_NUMBER_SIGN = re.compile(r"[ \t]*#[0-9]")
_OF_SCREWS = re.compile(r"#(?:[4-9]|1[0-4])\b(?=.*[0-9])(?:.*[ 0-9])?(?:screws|coarse|fine)\b", re.IGNORECASE)
"""A line that tells the gauge of screws, and something more; all else that is behind a `#` is a remark."""

_HOLDS_DETAILS = frozenset({"plan", "part", "join"})
"""First words of lines under which only details stand."""


def words_of(line: str) -> set[str]:
    """The words of a line that could be names; the start of a template's name keeps its ``{``."""
    return {*re.findall(r"(?<!\w)[^\W\d]\w*\{?", line[:LONGEST_LINE])}
