"""A cut list as lines of cells, whatever stands between these."""

import csv
import re
from collections.abc import Iterator
from io import StringIO

MOST_ROWS = 5_000
MOST_HEAD_ROWS = 30
"""Rows of a list, and rows before its heads (titles, dates, a customer). Basis: own judgement."""


class Unreadable(ValueError):  # noqa: N818 - says what is wrong
    """A file of which no line can be read; the message tells what is missing."""


def rows_of_text(text: str) -> Iterator[tuple[int, list[str]]]:
    """Lines with their numbers; the mark between cells is the one that divides most lines. Where none divides half of
    them, columns set apart by spaces do."""
    lines = StringIO(text.removeprefix("\ufeff"), newline="").readlines()
    mark = max(";\t|,", key=lambda each: (sum(each in line for line in lines), each == ";"))
    full = [line for line in lines if line.strip()]
    if 2 * sum(mark in line for line in full) < len(full):
        mark, lines = "\t", [re.sub(r"(?<=\S) {2,}(?=\S)", "\t", line) for line in lines]
    elif mark == "|":
        lines = [
            "\n" if re.fullmatch(r"[|\s:-]+", line) else line.strip().strip("|") + "\n" for line in lines
        ]
    reader = csv.reader(lines, delimiter=mark)
    start = 1
    try:
        for cells in reader:
            yield start, ["\n".join(cell.strip().splitlines()) for cell in cells]
            start = reader.line_num + 1
            if start > MOST_ROWS + MOST_HEAD_ROWS:
                return
    except csv.Error as problem:
        raise Unreadable(
            f"line {start} cannot be read as a line of cells: is a quote left open there?"
        ) from problem
