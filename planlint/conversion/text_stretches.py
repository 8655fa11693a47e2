"""Stretches of a plan's text: a statement with all under it, details struck out, edits made within one of them."""

from collections.abc import Iterable, Iterator

from planlint.conversion.statement_sites import Detail, Sites
from planlint.language.plain_lines import indent_of, line_at, line_end
from planlint.language.syntax_tree import PartLine, Statement
from planlint.text.edits import TextEdit, apply
from planlint.text.source import Span


def struck_out(sites: Sites, gone: Iterable[Detail]) -> Iterator[TextEdit]:
    """Details taken out of their lines with the comma beside them; a line of nothing else goes as a whole."""
    by_line: dict[int, tuple[Statement, set[int]]] = {}
    for detail in gone:
        by_line.setdefault(id(detail.line), (detail.line, set()))[1].add(detail.number)
    for line, numbers in by_line.values():
        node, items = line.node, getattr(line.node, "items", ())
        behind_stock = isinstance(node, PartLine)
        ends = [node.stock.end if isinstance(node, PartLine) else 0, *(end for _, _, end in items)]
        if not behind_stock and len(numbers) == len(items):
            yield whole_line(sites.text, line)
            continue
        for number in sorted(numbers):
            if behind_stock or any(each not in numbers for each in range(number)):
                yield TextEdit(line.at(ends[number], ends[number + 1]), "")
            else:
                yield TextEdit(line.at(items[number][1], items[number + 1][1]), "")


def whole_line(text: str, line: Statement) -> TextEdit:
    """A detail's line goes with the line end before it, so that what goes lies within its statement."""
    start, end, _ = line_at(text, line.span)
    comment = text.find("#", line.span.end, end)
    if comment >= 0:
        return TextEdit(Span(line.span.start, comment), "")  # The comment stays.
    return TextEdit(Span(line_at(text, Span(start - 1, start - 1))[1], end), "")


# ---------------------------------------------------------------- stretches of text


def inner_indent(text: str, statement: Statement) -> str:
    """The white space before the details of a statement, or before those that it would have."""
    if statement.details:
        return indent_of(text, statement.details[0].span.start)
    own = indent_of(text, statement.span.start)
    return f"{own}\t" if "\t" in own else f"{own}    "


def stacked(text: str, start: int, texts: Iterable[str]) -> str:
    """Statements one under the other, indented as the one that starts there."""
    return f"{line_end(text)}{indent_of(text, start)}".join(texts)


def apply_within(text: str, start: int, end: int, edits: Iterable[TextEdit]) -> str:
    """A stretch of the text with the edits made that lie in it."""
    moved = [TextEdit(Span(a - start, b - start), new) for (a, b), new in edits]
    return apply(text[start:end], moved)
