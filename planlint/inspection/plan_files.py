"""From plan files to their text, or to why there is none."""

import sys
from pathlib import Path
from typing import NamedTuple

from planlint.text.decode import MOST_BYTES, decode, shown
from planlint.text.os_error_words import refused_by_system
from planlint.text.source import PlanText, Span

STANDARD_INPUT = "-"
SUFFIX = ".plan"


class Refused(NamedTuple):
    """A path from which no plan came, and why; with the place in its text."""

    path: str
    says: str
    text: str | None = None
    """What could be seen of a file that was read; ``None`` where nothing came from the path."""
    span: Span = Span(0, 0)
    name: str = ""
    """From the root of the collection, with ``/``, where that is known."""


def read_plan_file(path: str) -> PlanText | Refused:
    """The text of one plan file, or of standard input for ``-``."""
    try:
        if path == STANDARD_INPUT:
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(path).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as problem:
        return Refused(path, why_shut(problem))
    return decoded(path, data)


def decoded(called: str, data: bytes) -> PlanText | Refused:
    """The text of a plan from its bytes, or why they are refused."""
    text = decode(called, data)
    if isinstance(text, PlanText):
        return text
    return Refused(called, text.says, shown(data) if len(data) <= MOST_BYTES else "", text.span)


def why_shut(problem: OSError | ValueError) -> str:
    """Why a path cannot be opened, in a builder's words."""
    if isinstance(problem, FileNotFoundError):
        return refused_by_system(problem)
    if isinstance(problem, PermissionError):
        return "this may not be read: permission denied"
    return f"this cannot be read: {refused_by_system(problem)}"
