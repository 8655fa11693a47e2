"""Files that a run writes: never over a plan, and no file twice."""

import os
import stat
import sys
from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path

from planlint.command.usage_error import CallWrong
from planlint.inspection.plan_files import STANDARD_INPUT, SUFFIX
from planlint.reports.safe_words import visible
from planlint.reports.tally import Write
from planlint.settings.settings_root import REPOSITORY, SETTINGS_FILE
from planlint.text.atomic_replace import NotReplaced, whole_file
from planlint.text.os_error_words import refused_by_system

_STANDARD_OUTPUT = 1


def keep_apart(
    files: Sequence[str],
    plans: Iterable[str],
    ledger: str | None = None,
    *,
    folders: Sequence[str] = (),
    records: bool = False,
    what: str = "a plan to be inspected",
) -> None:
    """Raise ``CallWrong`` where a file to be written is a plan, is read or written already, or would be lost.

    ``folders`` are those that pages are written into; ``what`` the files that are read are, here called ``plans``. A
    ledger is written only where this call ``records`` one.
    """
    _keep_folders_apart(folders)
    if not files:
        return
    taken: dict[object, str] = {_which(plan): f"that is {what}" for plan in plans if plan != STANDARD_INPUT}
    if ledger:
        taken[_which(ledger)] = "that is the ledger"
    output = _plain(_STANDARD_OUTPUT)
    if output:
        taken[output] = "the report on standard output goes there already"
    for file in files:
        which = _which(file)
        why = _never(file) or (taken.get(which) if which else None) or _lost(file, records=records)
        if file.lower().endswith(".html") and any(_lies_in(file, folder) for folder in folders):
            why = "the pages of the plans go into that folder"
        if why:
            raise CallWrong(f"{visible(file)} is not written: {why}; say another file")
        if which:
            taken[which] = "the same file is named twice"


def _keep_folders_apart(folders: Sequence[str]) -> None:
    taken: set[str] = set()
    for folder in folders:
        why = _never(folder)
        if os.path.lexists(folder) and not os.path.isdir(folder):  # noqa: PTH112
            why = "it is no folder"
        if _real(folder) in taken:
            why = "the same folder is named twice"
        if why:
            raise CallWrong(f"no pages are written to {visible(folder)}: {why}; say another folder")
        taken.add(_real(folder))


def _never(path: str) -> str | None:
    """Why nothing is written to a path, whatever is there."""
    return "what lies there is git's own" if REPOSITORY in Path(_real(path).lower()).parts else None


def _lost(file: str, *, records: bool) -> str | None:
    """Why what a file is called, or holds, keeps it from being written."""
    from planlint.collection.findings_ledger import is_ledger  # noqa: PLC0415 - only where something is written

    names = file, _real(file)
    if any(name.lower().endswith(SUFFIX) for name in names):
        return f"what ends in {SUFFIX} is a plan, and would be lost"
    if any(os.path.basename(name) == SETTINGS_FILE for name in names):  # noqa: PTH119
        return "what is called so holds a shop's settings, and would be lost"
    if not records and is_ledger(Path(file)):
        return "what begins so is a ledger, and would be lost"
    return None


def _lies_in(file: str, folder: str) -> bool:
    return _real(file).startswith(os.path.join(_real(folder), ""))  # noqa: PTH118


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


def report_file(name: str, files: ExitStack) -> Write:
    """Somewhere to write a report that becomes the file ``name`` when ``files`` are closed. Raises ``CallWrong``."""
    try:
        return files.enter_context(whole_file(name)).write
    except (OSError, ValueError, NotReplaced) as problem:
        says = refused_by_system(problem)
        raise CallWrong(f"the report {visible(name)} cannot be written: {says}") from problem


def put(data: str | bytes, to: str) -> None:
    """Write a file whole or not at all, or to standard output where ``to`` is ``-``. Raises ``CallWrong``."""
    if to == STANDARD_INPUT:
        for_programs()(data) if isinstance(data, str) else sys.stdout.buffer.write(data)
        return
    try:
        with whole_file(to) as file:
            file.write(data) if isinstance(data, str) else file.buffer.write(data)
    except (OSError, ValueError, NotReplaced) as problem:
        raise CallWrong(f"{visible(to)} cannot be written: {refused_by_system(problem)}") from problem


def for_programs() -> Write:
    """Standard output in UTF-8, whatever the terminal has: a report for programs says so, or is expected so."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")
    return sys.stdout.write
