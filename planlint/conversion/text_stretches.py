"""Stretches of a plan's text: a statement with all under it, details struck out, edits made within one of them."""

from collections.abc import Iterable, Iterator

from planlint.conversion.statement_sites import Detail, Sites
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
    start, end = line.span
    last = text.find("\n", end)
    last = last if last >= 0 else len(text)
    comment = text.find("#", end, last)
    if comment >= 0:
        return TextEdit(Span(start, comment), "")  # The comment stays.
    return TextEdit(Span(_line_break(text, text.rfind("\n", 0, start)), _line_break(text, last)), "")


# ---------------------------------------------------------------- stretches of text


def block_end(text: str, statement: Statement) -> int:
    """The end of a statement's last line, details and the comment behind it included, the line end not."""
    last = statement
    while last.details:
        last = last.details[-1]
    end = text.find("\n", last.span.end)
    return _line_break(text, end if end >= 0 else len(text))


def _line_break(text: str, feed: int) -> int:
    """Where the line end begins whose line feed stands at a place."""
    return feed - 1 if text[feed - 1 : feed] == "\r" else feed


def indent_of(text: str, start: int) -> str:
    """The white space before a statement."""
    return text[text.rfind("\n", 0, start) + 1 : start]


def inner_indent(text: str, statement: Statement) -> str:
    """The white space before the details of a statement, or before those that it would have."""
    if statement.details:
        return indent_of(text, statement.details[0].span.start)
    own = indent_of(text, statement.span.start)
    return f"{own}\t" if "\t" in own else f"{own}    "


def stacked(text: str, start: int, texts: Iterable[str]) -> str:
    """Statements one under the other, indented as the one that starts there."""
    return f"{line_end(text)}{indent_of(text, start)}".join(texts)


def line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def apply_within(text: str, start: int, end: int, edits: Iterable[TextEdit]) -> str:
    """A stretch of the text with the edits made that lie in it."""
    moved = [TextEdit(Span(a - start, b - start), new) for (a, b), new in edits]
    return apply(text[start:end], moved)
