"""A plan's text as it was read: bytes in, characters with positions, the same bytes out."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

BYTE_ORDER_MARK = b"\xef\xbb\xbf"


class Span(NamedTuple):
    """A stretch of a plan's text: offsets in characters, ``end`` exclusive."""

    start: int
    end: int

    def also_tells(self, other: Span) -> bool:
        """Whether what stands here tells the other as well, as a line does in each turn of its loop; what is made up
        in trial stands nowhere, at an empty span."""
        return self == other and bool(self.end)


class Position(NamedTuple):
    """A place as an editor shows it: ``line`` and ``column`` count from 1."""

    line: int
    column: int


class Mistake(NamedTuple):
    """Something in the text that cannot be read, in a builder's words."""

    span: Span
    says: str


@dataclass(frozen=True)
class PlanText:
    """The characters of one plan.

    ``text`` keeps the line ends as they were written (LF or CRLF); the byte-order mark is held apart, so
    that offsets count what the builder sees.
    """

    path: str
    text: str
    byte_order_mark: bool = False

    def to_bytes(self) -> bytes:
        """The file as it was read, byte for byte."""
        return (BYTE_ORDER_MARK if self.byte_order_mark else b"") + self.text.encode("utf-8")

    @cached_property
    def line_starts(self) -> list[int]:
        """Offset of the first character of each line."""
        starts = [0]
        find = self.text.find
        at = find("\n")
        while at >= 0:
            starts.append(at + 1)
            at = find("\n", at + 1)
        return starts

    def position(self, offset: int) -> Position:
        """Line and column of an offset in the text, or of its end behind that; a tab counts as one column."""
        offset = min(offset, len(self.text))
        line = bisect_right(self.line_starts, offset)
        return Position(line, offset - self.line_starts[line - 1] + 1)

    def line(self, number: int) -> str:
        """Line ``number`` (from 1) without its line end."""
        start = self.line_starts[number - 1]
        end = self.line_starts[number] if number < len(self.line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")
