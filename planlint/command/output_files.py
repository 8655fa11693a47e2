"""Files that a run writes: never over a plan, and no file twice."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path

from planlint.command.usage_error import CallWrong
from planlint.inspection.plan_files import STANDARD_INPUT, SUFFIX
from planlint.reports.report_protocol import Write
from planlint.reports.safe_words import visible
from planlint.settings.settings_root import SETTINGS_FILE
from planlint.text.atomic_replace import NotReplaced, whole_file
from planlint.text.system_words import refused_by_system

_STANDARD_OUTPUT = 1


def keep_apart(
    files: Sequence[str], plans: Iterable[str], ledger: str | None = None, *, records: bool = False
) -> None:
    """Raise ``CallWrong`` where a file to be written is a plan, or is read or written already, or is a ledger and this
    call ``records`` none.
    """
    if not files:
        return
    from planlint.collection.findings_ledger import is_ledger  # noqa: PLC0415 - only where something is written

    taken: dict[object, str] = {
        _which(plan): "that is a plan to be inspected" for plan in plans if plan != STANDARD_INPUT
    }
    if ledger:
        taken[_which(ledger)] = "that is the ledger"
    output = _plain(_STANDARD_OUTPUT)
    if output:
        taken[output] = "the report on standard output goes there already"
    for file in files:
        which = _which(file)
        why = taken.get(which) if which else None
        if any(os.path.basename(name) == SETTINGS_FILE for name in (file, _real(file))):  # noqa: PTH119
            why = "what is called so holds a shop's settings, and would be lost"
        if any(name.lower().endswith(SUFFIX) for name in (file, _real(file))):
            why = f"what ends in {SUFFIX} is a plan, and would be lost"
        if not why and not records and is_ledger(Path(file)):
            why = "what begins so is a ledger, and would be lost"
        if why:
            raise CallWrong(f"{visible(file)} is not written: {why}; say another file")
        if which:
            taken[which] = "the same file is named twice"


def _which(file: str) -> object:
    """What a path leads to, the same for each of its names; ``None`` for a device or a pipe, which take everything."""
    return _plain(file) if os.path.exists(file) else _real(file)  # noqa: PTH110


def _plain(file: str | int) -> tuple[int, int] | None:
    """The mark of a plain file."""
    try:
        found = os.stat(file)  # noqa: PTH116
    except (OSError, ValueError):
        return None
    return (found.st_dev, found.st_ino) if stat.S_ISREG(found.st_mode) else None


def _real(file: str) -> str:
    try:
        return os.path.realpath(file)
    except (OSError, ValueError):  # Told by whoever tries to open it.
        return file


def opened(name: str, files: ExitStack) -> Write:
    """Somewhere to write a report that becomes the file ``name`` when ``files`` are closed. Raises ``CallWrong``."""
    try:
        return files.enter_context(whole_file(name)).write
    except (OSError, ValueError, NotReplaced) as problem:
        says = refused_by_system(problem)
        raise CallWrong(f"the report {visible(name)} cannot be written: {says}") from problem


def for_programs() -> Write:
    """Standard output in UTF-8, whatever the terminal has: a report for programs says so, or is expected so."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")
    return sys.stdout.write
