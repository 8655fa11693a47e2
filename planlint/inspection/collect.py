"""From what the builder names on the command line to plan files, and from files to text."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from planlint.text.decode import MOST_BYTES, decode
from planlint.text.source import BYTE_ORDER_MARK, PlanText, Span

STANDARD_INPUT = "-"
SUFFIX = ".plan"


class Refused(NamedTuple):
    """A path from which no plan came, and why; with the place in its text, where the text could be seen at all."""

    path: str
    says: str
    text: str = ""
    span: Span = Span(0, 0)


def collect(paths: Iterable[str]) -> Iterator[str | Refused]:
    """Plan files for files and folders, each file once.

    A folder gives every ``*.plan`` in it and below, sorted, hidden folders left out, a folder reached twice
    through links once. A named file is taken whatever its ending; ``-`` stands for standard input.
    """
    seen: set[tuple[int, int]] = set()
    for path in paths:
        if path == STANDARD_INPUT:
            yield path
            continue
        try:
            found = Path(path).stat()
        except (OSError, ValueError) as problem:
            yield Refused(path, why(problem))
            continue
        if stat.S_ISDIR(found.st_mode):
            yield from _in_folder(path, seen)
        elif _first_time(found, seen):
            yield path


def read_plan_file(path: str, called: str | None = None) -> PlanText | Refused:
    """The text of one plan file, or of standard input for ``-``; reports call it ``called``."""
    called = called or path
    try:
        if path == STANDARD_INPUT:
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(path).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as problem:
        return Refused(called, why(problem))
    return decoded(called, data)


def decoded(called: str, data: bytes) -> PlanText | Refused:
    """The text of a plan from its bytes, or why they are refused."""
    text = decode(called, data)
    if isinstance(text, PlanText):
        return text
    shown = data.removeprefix(BYTE_ORDER_MARK).decode("utf-8", "replace") if len(data) <= MOST_BYTES else ""
    return Refused(called, text.says, shown, text.span)


def _in_folder(path: str, seen: set[tuple[int, int]]) -> Iterator[str | Refused]:
    any_plan = False
    troubles: list[OSError] = []
    entered: set[tuple[int, int]] = set()
    for folder, folders, files in os.walk(path, followlinks=True, onerror=troubles.append):
        try:
            new = _first_time(Path(folder).stat(), entered)
        except OSError as problem:
            troubles.append(problem)
            new = False
        if not new:
            folders.clear()
            continue
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if not name.endswith(SUFFIX) or name.startswith("."):
                continue
            any_plan = True
            file = os.path.join(folder, name)  # noqa: PTH118
            try:
                found = Path(file).stat()
            except OSError as problem:
                yield Refused(file, why(problem))
                continue
            if not stat.S_ISREG(found.st_mode):
                yield Refused(file, "this is not a file that can be read")
            elif _first_time(found, seen):
                yield file
    for trouble in troubles:
        yield Refused(str(trouble.filename), why(trouble))
    if not any_plan and not troubles:
        yield Refused(path, f"there is no plan in this folder; a plan's name ends in {SUFFIX}")


def _first_time(found: os.stat_result, seen: set[tuple[int, int]]) -> bool:
    key = found.st_dev, found.st_ino
    if key in seen and found.st_ino:  # Some file systems number nothing: there everything is new.
        return False
    seen.add(key)
    return True


def why(problem: OSError | ValueError) -> str:
    """Why a path cannot be opened, in a builder's words."""
    if isinstance(problem, FileNotFoundError):
        return "there is no such file or folder"
    if isinstance(problem, PermissionError):
        return "this may not be read: permission denied"
    return f"this cannot be read: {getattr(problem, 'strerror', None) or problem}"
