"""Mistakes as they are found: what a builder is told, each once, at its place."""

from __future__ import annotations

from typing import Protocol

from planlint.language.reader import MOST_MISTAKES
from planlint.language.syntax_tree import Statement
from planlint.model.foreign_lines import Elsewhere, written_text
from planlint.model.scope import Scope
from planlint.text.source import Mistake, PlanText, Span


class _Place(Protocol):
    """What stands somewhere in a statement."""

    @property
    def start(self) -> int: ...

    @property
    def end(self) -> int: ...


class Refusal(Exception):  # noqa: N818  (it refuses one statement; it is not an error of the tool)
    """A statement cannot be used. Places count from the statement's first character, as in its nodes.

    ``says`` may hold ``{0}``, ``{1}`` … for the stretches of text in ``quotes``. ``start`` of ``None`` stands
    for the whole statement.
    """

    def __init__(
        self, start: int | None, end: int, says: str, quotes: tuple[tuple[int, int], ...] = ()
    ) -> None:
        super().__init__(says)
        self.start = start
        self.end = end
        self.says = says
        self.quotes = quotes

    @classmethod
    def at(
        cls,
        place: _Place,
        says: str,
        *,
        last: _Place | None = None,
        quotes: tuple[tuple[int, int], ...] = (),
        quoted: bool = False,
    ) -> Refusal:
        """Of a word or a sum, or of all from there to the ``last`` one; ``quoted``: ``{0}`` is that place itself."""
        own = ((place.start, place.end),) if quoted else quotes
        return cls(place.start, (last or place).end, says, own)


class Missing(Refusal):
    """A name that nothing has: what several lines call so is told once, with those lines."""


class FollowOn(Refusal):
    """A statement leans on one that was already found broken: it is dropped without a word."""

    def __init__(self) -> None:
        super().__init__(None, 0, "")


class MistakeLog:
    """Collects mistakes; of a loop's turns, and of one line's joins, only the first that fails speaks of a place."""

    def __init__(self, source: PlanText) -> None:
        self.source = source
        self.mistakes: list[Mistake] = []
        self.turn = (0, 0)
        """Number of the loop turn or placed assembly being read, and which of its line's joins; zeros outside."""
        self.statement: Statement | None = None
        """The statement being read, and the unit it is read for, if it stands in an assembly."""
        self.unit_name = ""
        self._turn_of: dict[tuple[str, Span], tuple[int, int]] = {}
        self._said: set[Mistake] = set()
        self._missing: dict[str, list[int]] = {}
        """Of names that nothing has by what is said of them the lines, the first one first."""

    def enter(self, statement: Statement, scope: Scope, place: int = 0) -> None:
        """From here on mistakes are those of this statement, or of one of its joins, read with these names."""
        self.statement = statement
        self.turn = scope.turn, place
        self.unit_name = scope.placed.name if scope.placed is not None else ""

    def leave(self) -> None:
        """From here on mistakes are those of the plan as a whole."""
        self.statement = None
        self.turn = 0, 0
        self.unit_name = ""

    def add(self, span: Span, says: str) -> None:
        """Notes a mistake unless an earlier turn already spoke of this place."""
        if isinstance(self.statement, Elsewhere):
            self._note(self.statement.source.path, self.statement.own, span, self.statement.told(0) + says)
        else:
            self._note("", span, span, says)

    def elsewhere(self, source: PlanText, span: Span, here: Statement, says: str) -> None:
        """Notes a mistake of another file at the line of this plan that brings it in."""
        line, column = source.position(span.start)
        self._note(source.path, span, here.span, f"in {source.path}, line {line}, column {column}: {says}")

    def told(self) -> list[Mistake]:
        """What a builder is told, in the order of the places: not more than can be mended at a time."""
        told = sorted(map(self._with_lines, self.mistakes))
        more = len(told) - MOST_MISTAKES
        if more > 0:
            del told[MOST_MISTAKES:]
            many = f"{more:,} more were found" if more > 1 else "one more was found"
            place = told[-1].span.end
            says = f"{MOST_MISTAKES} mistakes up to here, and {many} below: mend these first"
            told.append(Mistake(Span(place, place), says))
        return told

    def _with_lines(self, mistake: Mistake) -> Mistake:
        """A mistake with the other lines that it stands on."""
        first, *more = dict.fromkeys(self._missing.get(mistake.says, [0]))
        if not more or first != self.line_of(mistake.span):
            return mistake
        lines = (
            f"line{'s' * (len(more) > 1)} {', '.join(map(str, more))} call{'s' * (len(more) == 1)} it so too"
        )
        return mistake._replace(says=f"{mistake.says} ({lines})")

    def _note(self, path: str, place: Span, span: Span, says: str) -> None:
        if self._turn_of.setdefault((path, place), self.turn) != self.turn:
            return
        mistake = Mistake(span, f"{says} (in {self.unit_name})" if self.unit_name else says)
        if mistake not in self._said:
            self._said.add(mistake)
            self.mistakes.append(mistake)

    def refuse(self, statement: Statement, refusal: Refusal) -> None:
        """Notes why a statement cannot be used; nothing for a follow-on."""
        if not refusal.says:
            return
        span = statement.span if refusal.start is None else statement.at(refusal.start, refusal.end)
        says = refusal.says
        if refusal.quotes:
            text = written_text(statement, self.source)
            quotes = [_short(text[one:other]) for one, other in refusal.quotes]
            for number, quote in enumerate(quotes):
                says = says.replace(f"{{{number}}}", quote)
        if isinstance(refusal, Missing) and not isinstance(statement, Elsewhere):
            lines = self._missing.setdefault(says, [])
            lines.append(self.line_of(span))
            if len(lines) > 1:
                return
        if isinstance(statement, Elsewhere):
            start = statement.own.start + (refusal.start or 0)
            first = statement.first
            if first is not None and statement.source is self.source:
                there = first.span if refusal.start is None else first.at(refusal.start, refusal.end)
                if Mistake(there, says) in self._said:
                    return  # Told of the line that is copied here.
            self._note(statement.source.path, Span(start, start), span, statement.told(refusal.start) + says)
        else:
            self._note("", span, span, says)

    def line_of(self, span: Span) -> int:
        """The line a place stands on, from 1."""
        return self.source.position(span.start).line


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
