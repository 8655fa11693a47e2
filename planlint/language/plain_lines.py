"""The lines of a plan's text as its reader takes them: where they begin and end, their indentation and comments."""

import re
from collections.abc import Iterator

from planlint.language.syntax_tree import Statement
from planlint.text.source import Span


def line_end(text: str) -> str:
    """The line end that a text uses: that of its first line."""
    feed = text.find("\n")
    return "\r\n" if feed > 0 and text[feed - 1] == "\r" else "\n"


def line_at(text: str, span: Span) -> tuple[int, int, int]:
    """Where the line of a stretch starts, where its last line ends without its line end, and where the next starts."""
    start = text.rfind("\n", 0, span.start) + 1
    feed = text.find("\n", span.end)
    if feed < 0:
        return start, len(text), len(text)
    return start, feed - (text[feed - 1] == "\r"), feed + 1


def indent_of(text: str, start: int) -> str:
    """The white space before a statement that starts there."""
    return text[text.rfind("\n", 0, start) + 1 : start]


def last_line(statement: Statement) -> Statement:
    """The last line of a statement with all that stands under it."""
    while statement.details:
        statement = statement.details[-1]
    return statement


def block_end(text: str, statement: Statement) -> int:
    """The end of a statement's last line, details and the comment behind it included, the line end not."""
    return line_at(text, last_line(statement).span)[1]


def bare_lines(text: str) -> Iterator[str]:
    """What is said line by line, without indentation and comments; lines that say nothing are left out."""
    for raw in text.split("\n"):
        line = raw.strip(" \t\r")
        if line := line[: comment_start(line)].rstrip(" \t"):
            yield line


def comment_start(line: str) -> int:
    """Where the comment of a line starts, or its length: a ``#`` in a quoted string is no comment.

    A ``"`` right behind a digit is an inch mark and opens no string.
    """
    at = line.find("#")
    if '"' in line[: max(at, 0)]:
        at = _QUOTED.sub(lambda quoted: " " * len(quoted[0]), line).find("#")
    return at if at >= 0 else len(line)


_QUOTED = re.compile(r'(?<!\d)"[^"]*(?:"|$)')
