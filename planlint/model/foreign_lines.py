"""Lines of another file, that stand for a line of this plan: the ``use`` or the ``place`` that brings them in.

Whatever the model takes from such a line has its place in this plan's text; a mistake in it is told there too, with
its place in the other file.
"""

from dataclasses import dataclass, field

from planlint.language.syntax_tree import Statement
from planlint.text.source import PlanText, Span

_NOTHING = PlanText("", "")


@dataclass(frozen=True, slots=True)
class Elsewhere(Statement):
    """The statement ``first`` of the file ``source``; ``span`` and ``line`` are places in this plan."""

    source: PlanText = field(default=_NOTHING)
    first: Statement | None = None

    @property
    def own(self) -> Span:
        """Its place in its own text."""
        return self.first.span if self.first is not None else self.span

    def at(self, start: int, end: int) -> Span:  # noqa: ARG002 - whatever the place inside, it is that one here
        """The line of this plan that brings the statement in."""
        return self.span

    def told(self, start: int | None) -> str:
        """Where in its own file the statement stands, or a place inside it."""
        line, column = self.source.position(self.own.start + (start or 0))
        return f"in {self.source.path}, line {line}, column {column}: "


def brought(statement: Statement, source: PlanText, here: Statement) -> Elsewhere:
    """A statement of another file with all under it, as brought in by the statement ``here``."""
    details = tuple([brought(inner, source, here) for inner in statement.details])
    return Elsewhere(statement.node, here.span, here.line, details, source, statement)


def written_text(statement: Statement, source: PlanText) -> str:
    """A statement as it is written; ``source`` is the plan it belongs to, if no other."""
    if isinstance(statement, Elsewhere):
        return statement.source.text[slice(*statement.own)]
    return source.text[slice(*statement.span)]
