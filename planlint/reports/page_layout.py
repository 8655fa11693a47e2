"""A page to write on: wrapping, labels and colour, the same for every report.

Colour only repeats what words say. What comes from a plan or a path is never read as markup, and characters
that would steer a terminal are written out visibly. Lines are wrapped between words and never cut.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from typing import IO, TYPE_CHECKING

from rich.cells import cell_len

from planlint.reports.safe_words import inert, visible

if TYPE_CHECKING:
    from rich.console import Console

WIDTH_IN_A_PIPE = 100
_NARROW = 60
"""Columns below which labels take less room."""


class Page:
    """Lines are gathered and written at each ``flush``, so that a long report costs little per line."""

    def __init__(self, file: IO[str] | None = None, width: int | None = None) -> None:
        self._file = file or sys.stdout
        self._console = _console(self._file)
        self.width = max(20, width or self._room())
        self._lines: list[tuple[tuple[str, str], ...]] = []
        self._last: tuple[tuple[str, str], ...] = ()
        """The line that was written last."""
        encoding = getattr(self._file, "encoding", None) or "utf-8"
        self.utf = encoding.lower().replace("-", "").startswith("utf")
        self.dots = "…" if self.utf else "..."
        self._marks = "├─┤│" if self.utf else "|-||"
        self._label = 10 if self.width >= _NARROW else 0

    def _room(self) -> int:
        told = os.environ.get("COLUMNS", "")
        if told.isdecimal() and int(told):
            return int(told)
        return self._console.width if self._console and self._console.is_terminal else WIDTH_IN_A_PIPE

    def blank(self) -> None:
        self._lines.append(())

    def gap(self) -> None:
        """A blank line between what stands there and what follows: none at the start, and never two."""
        if self._lines[-1] if self._lines else self._last:
            self.blank()

    def heading(self, words: str, behind: str = "", *, gap: int = 2) -> None:
        """A title in bold; ``behind`` follows it in plain type."""
        words, behind = visible(words), visible(behind)
        if cell_len(words) + cell_len(behind) + gap <= self.width or not behind:
            self._lines.append(((words, "bold"), (f"{' ' * gap}{behind}" if behind else "", "")))
        else:
            self._lines.append(((words, "bold"),))
            self.prose(behind, indent=2)

    def rule(self, cells: int) -> None:
        """A line drawn under a heading."""
        self._lines.append(((self._marks[1] * min(cells, self.width), "dim"),))

    def prose(self, words: str, *, indent: int = 0, style: str = "") -> None:
        """Words wrapped to the page."""
        for line in self._wrap(words, indent):
            self._lines.append(((" " * indent, ""), (line, style)))

    def line(self, words: str) -> None:
        """Words that programs may take as one line: only a terminal has them wrapped."""
        if self._console and self._console.is_terminal:
            self.prose(words)
        else:
            self._lines.append(((visible(words), ""),))

    def listed(self, words: str, *, indent: int = 0) -> None:
        """One of several things, behind a dash, with a hanging indent."""
        for number, line in enumerate(self._wrap(words, indent + 2)):
            self._lines.append(((" " * indent + ("- " if not number else "  "), ""), (line, "")))

    def labelled(self, label: str, words: str, *, indent: int = 4, style: str = "") -> None:
        """Words behind a label, with a hanging indent; the label runs into the words where the screen is narrow."""
        if not self._label:
            self.prose(f"{label}: {words}", indent=indent, style=style)
            return
        hang = indent + max(self._label, cell_len(label) + 2)
        start = " " * indent + label + " " * (hang - indent - cell_len(label))
        for line in self._wrap(words, hang):
            self._lines.append(((start, "dim" if start.strip() else ""), (line, style)))
            start = " " * hang

    def graded(self, word: str, words: str, *, style: str, indent: int = 2) -> None:
        """A word in capitals that says how bad it is, then what it is about."""
        hang = indent + cell_len(word) + 2
        start = ((" " * indent, ""), (word, style), ("  ", ""))
        for number, line in enumerate(self._wrap(words, hang)):
            self._lines.append((*start, (line, "bold")) if not number else ((" " * hang, ""), (line, "bold")))

    def marked(self, label: str, line: str, start: int, end: int, *, indent: int = 4) -> None:
        """A line of the plan with the stretch from ``start`` to ``end`` (columns from 0) marked like a dimension."""
        hang = indent + max(self._label, cell_len(label) + 2) if self._label else indent + 2
        lead = len(line) - len(line.lstrip())
        line = visible_line(line)
        start, end = max(start, lead), min(max(end, start + 1), len(line) + 1)
        room = max(10, self.width - hang)
        shown, start, end = _window(line[lead:], start - lead, end - lead, room, self.dots)
        if self._label:
            self._lines.append(((" " * indent + label.ljust(hang - indent), "dim"), (shown, "")))
        else:
            self._lines.append(((" " * indent + label, "dim"),))
            self._lines.append(((" " * hang + shown, ""),))
        before, cells = cell_len(shown[:start]), max(1, cell_len(shown[start:end]))
        left, dash, right, one = tuple(self._marks)
        mark = one if cells == 1 else left + dash * (cells - 2) + right
        self._lines.append(((" " * (hang + before), ""), (mark, "bold")))

    def table(self, rows: Iterable[tuple[str, ...]], *, indent: int = 0) -> None:
        """Rows in columns; the last column wraps. On a narrow screen each row becomes a small paragraph."""
        rows = list(rows)
        if not rows:
            return
        widths = [max(cell_len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
        hang = indent + sum(widths) + 2 * len(widths)
        for row in rows:
            if hang > self.width // 2 and self.width < _NARROW:
                inside = indent + len(row[0]) - len(row[0].lstrip())
                self.prose("  ".join(row[:-1]), indent=inside, style="bold")
                self.prose(row[-1], indent=inside + 2)
                continue
            start = " " * indent + "".join(
                cell + " " * (width - cell_len(cell) + 2) for cell, width in zip(row, widths, strict=False)
            )
            for line in self._wrap(row[-1], hang) or [""]:
                self._lines.append(((start, "bold"), (line, "")))
                start = " " * hang

    def verbatim(self, text: str, *, indent: int = 0) -> None:
        """Lines as they are: a plan, to be copied."""
        for line in text.splitlines():
            self._lines.append(((f"{' ' * indent}{visible_line(line)}".rstrip(), ""),))

    def lines(self, rows: Iterable[tuple[str, str, str]], *, indent: int = 4, room: int = 8) -> None:
        """Lines of a plan behind labels, each in a style, with the spaces they have; a long one is broken, not cut.

        The labels take ``room`` columns, or more where one is longer.
        """
        rows = list(rows)
        hang = indent + 2 + max((room, *(cell_len(label) for label, _, _ in rows)))
        if not self._label:
            hang = indent + 2
        for label, line, style in rows:
            start = " " * indent + label.ljust(hang - indent)
            if not self._label:
                if label:
                    self._lines.append(((" " * indent + label, "dim"),))
                start = " " * hang
            for piece in _pieces(visible_line(line).rstrip(), max(12, self.width - hang)):
                self._lines.append(((start, "dim" if start.strip() else ""), (piece, style)))
                start = " " * hang

    def flush(self) -> None:
        """Write what was gathered; nothing in it speaks to a build server that keeps the log."""
        if not self._lines:
            return
        self._lines = [tuple((inert(words), style) for words, style in line) for line in self._lines]
        if self._console is None or self._console.color_system is None:
            # A file, a pipe, a plain terminal: nothing is left for rich to do.
            self._file.write("".join("".join(words for words, _ in line) + "\n" for line in self._lines))
            self._file.flush()
        else:
            from rich.text import Text  # noqa: PLC0415 - likewise

            text = Text()
            for line in self._lines:
                for words, style in line:
                    text.append(words, style or None)
                text.append("\n")
            self._console.print(text, end="")
        self._last = self._lines[-1]
        self._lines.clear()

    def _wrap(self, words: str, indent: int) -> list[str]:
        room = max(12, self.width - indent)
        lines: list[str] = []
        line, used = "", 0
        for word in _kept_together(visible(words).split(), room):
            cells = cell_len(word)
            if line and used + 1 + cells > room:
                lines.append(line)
                line, used = word, cells
            else:
                line = f"{line} {word}" if line else word
                used += cells + (1 if used else 0)
        if line:
            lines.append(line)
        return lines


def _console(file: IO[str]) -> Console | None:
    """What knows of terminals and their colours; ``None`` for a plain file, which is not worth the time to load it."""
    if not (file.isatty() or os.environ.get("FORCE_COLOR") or os.environ.get("TTY_COMPATIBLE")):
        return None
    from rich.console import Console  # noqa: PLC0415

    class Terminal(Console):
        def on_broken_pipe(self) -> None:
            """Leave it to the command line how a run ends that nobody reads any more."""
            raise BrokenPipeError

    return Terminal(file=file, soft_wrap=True)


def visible_line(line: str) -> str:
    """One line of a plan, a character for each, so that columns stay true: what does not show is ``?`` or a space."""
    if line.isprintable():
        return line
    return "".join(
        character if character.isprintable() else " " if character.isspace() else "?" for character in line
    )


def _kept_together(words: list[str], room: int) -> Iterator[str]:
    """The words, with those between two backticks as one, where there is room: code is copied, and read as one."""
    held: list[str] = []
    for word in words:
        odd = word.count("`") % 2
        if not held and not odd:
            yield word
            continue
        held.append(word)
        if len(held) > 1 and odd:
            whole = " ".join(held)
            yield from [whole] if cell_len(whole) <= room else held
            held = []
    yield from held


def _pieces(line: str, room: int) -> Iterator[str]:
    """A line as it is, in pieces that fit, broken at a space where there is one; what follows is indented as it is."""
    lead = line[: len(line) - len(line.lstrip())][: room // 2]
    while cell_len(line) > room:
        end = len(line)
        while cell_len(line[:end]) > room:
            end -= 1
        space = line.rfind(" ", len(lead) + 1, end + 1)
        end = space if space > len(lead) else end
        yield line[:end].rstrip()
        line = lead + line[end:].lstrip()
    yield line


def _window(line: str, start: int, end: int, room: int, dots: str) -> tuple[str, int, int]:
    """The part of a line to show around its mark, and the mark inside that part."""
    if cell_len(line) <= room:
        return line, start, end
    room = max(4, room - 2 * len(dots))
    first = max(0, min(start - room // 4, len(line) - room))
    last = first + room
    while last > first + 1 and cell_len(line[first:last]) > room:
        last -= 1
    before = dots if first else ""
    after = dots if last < len(line) else ""
    shift = len(before) - first
    return before + line[first:last] + after, start + shift, min(end, last) + shift
