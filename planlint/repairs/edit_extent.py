"""What edits touch: the joints and parts whose statements they stand in."""

from bisect import bisect_right
from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.language.expression_tree import Name
from planlint.language.plain_lines import last_line
from planlint.language.syntax_tree import AssemblyLine, For, Let, PartLine, Statement
from planlint.language.tree_text import said_in, statements_of
from planlint.model.expressions import names_in
from planlint.repairs.repair_context import Context, NotInThisFile
from planlint.text.edits import TextEdit
from planlint.text.source import Span


class Extent(NamedTuple):
    """``names`` are those of the finding and of all that edits change; ``ordered`` the latter, as in the plan."""

    names: frozenset[str]
    ordered: tuple[str, ...]


class Extents:
    """Which joints and parts the words of a plan stand for, found by place."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self._order: dict[str, int] = {}
        names: dict[Span, list[str]] = {}
        for number, part in enumerate(context.plan.parts):
            self._order[part.name] = number
            names.setdefault(part.span, []).append(part.name)
            names.setdefault(part.stock.span, []).append(part.name)
        for number, join in enumerate(context.plan.joins, len(self._order)):
            self._order.setdefault(join.name, number)
            names.setdefault(join.span, []).append(join.name)
        self._names = names
        self._like: dict[str, list[str]] = {}
        for each in statements_of(context.tree):
            if isinstance(each.node, PartLine) and each.node.like:
                self._like.setdefault(each.node.stock.text, []).extend(names.get(each.span, ()))
        known = sorted((span, _end(context, span)) for span in names)
        self._starts = [span.start for span, _ in known]
        self._known = known
        heads = sorted(each.span for each in statements_of(context.tree) if isinstance(each.node, Let | For))
        self._shared = [(start, end) for start, end in heads]

    def of(self, edits: tuple[TextEdit, ...], finding: Finding) -> Extent:
        """The joints and parts that edits change: those that one statement or name stands for, and parts like them."""
        changed: set[str] = set()
        for edit in edits:
            changed.update(self._at(edit))
        wide = [edit for edit in edits if self._of_many(edit)]
        for span in _leaning(self.context, wide) if wide else ():
            changed.update(self._names.get(span, ()))
        waiting = list(changed) if self._like else []
        while waiting:
            alike = set(self._like.get(waiting.pop(), ())) - changed
            changed |= alike
            waiting += alike
        own = {name for name in (finding.joint, *finding.parts) if name}
        return Extent(frozenset(own | changed), tuple(sorted(changed, key=self._order.__getitem__)))

    def _at(self, edit: TextEdit) -> list[str]:
        """What is told by the statement that an edit stands in."""
        at = bisect_right(self._starts, edit.span.start) - 1
        if at < 0:
            return []
        span, end = self._known[at]
        # An insertion right behind a statement is a statement of its own, unless it is indented under it.
        words = edit.new.lstrip("\r\n")
        behind = edit.span.start == edit.span.end >= end and words != edit.new and not words[:1].isspace()
        if edit.span.start > end or behind:
            return []
        head = self.context.at(span).node
        if isinstance(head, PartLine) and edit.span.end <= span.start + head.names[-1].end:
            # Names taken out of a statement into one of their own: those that stay keep their words.
            return [name for name in self._names[span] if name not in edit.new.split(", ")]
        return self._names[span]

    def _of_many(self, edit: TextEdit) -> bool:
        """Whether an edit stands in a `let` or the head of a loop, which others lean on."""
        at = bisect_right(self._shared, (edit.span.start, 1 << 62)) - 1
        return at >= 0 and edit.span.start <= self._shared[at][1]


def _end(context: Context, span: Span) -> int:
    """Where a statement ends with the lines under it; nowhere where it stands in another file."""
    try:
        return last_line(context.at(span)).span.end
    except NotInThisFile:
        return -1


def _leaning(context: Context, edits: list[TextEdit]) -> Iterator[Span]:
    """The statements whose words name an edited `let`, or one that leans on it."""
    lets = {
        statement.node.name.text: statement
        for statement in statements_of(context.tree)
        if isinstance(statement.node, Let)
    }
    changed = {
        name
        for name, statement in lets.items()
        if any(statement.span.start <= edit.span.start <= statement.span.end for edit in edits)
    }
    grown = True
    while grown:
        more = {
            name
            for name, statement in lets.items()
            if isinstance(statement.node, Let)
            and {each.text for each in names_in(statement.node.value)} & changed
        }
        grown = not more <= changed
        changed |= more
    for statement in context.tree.statements:
        yield from _naming(statement, changed)


def _naming(statement: Statement, names: set[str]) -> Iterator[Span]:
    if isinstance(statement.node, For | AssemblyLine):
        for inner in statement.details:
            yield from _naming(inner, names)
        return
    if isinstance(statement.node, Let):
        return
    if any(
        name.text in names for line in (statement, *statement.details) for name in said_in(line.node, Name)
    ):
        yield statement.span
