"""Which plans a change touches: those that changed, and those that use what changed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from planlint.collection.discovery import Found
from planlint.collection.git import GitFailed, changed_since
from planlint.collection.root import SETTINGS_FILE, repository
from planlint.inspection.collect import Refused


def only_changed(found: Iterable[Found | Refused], root: Path, revision: str) -> Iterator[Found | Refused]:
    """Of what was found, what may give another result than at ``revision``; what could not be opened stays.

    A changed ``planlint.toml`` touches every plan in its folder and below. Raises ``GitFailed``.
    """
    top = repository(root)
    if not top:
        raise GitFailed(f"{root} lies in no git repository")
    real_top = str(top.resolve()).rstrip(os.sep) + os.sep
    changed = {os.path.realpath(real_top + name) for name in changed_since(top, revision)}
    folders = tuple(str(Path(name).parent) + os.sep for name in changed if Path(name).name == SETTINGS_FILE)
    for each in found:
        if isinstance(each, Refused):
            yield each
            continue
        real = os.path.realpath(each.path)
        if real in changed or real.startswith(folders) or _uses(real, changed):
            yield each


def _uses(path: str, changed: set[str]) -> bool:
    """Whether a plan brings in, straight or through others, a file that changed."""
    seen = {path}
    waiting = [path]
    while waiting:
        path = waiting.pop()
        for used in used_files(path):
            if used in changed:
                return True
            if used not in seen:
                seen.add(used)
                waiting.append(used)
    return False


def used_files(path: str) -> Iterator[str]:
    """Files that a plan names in its ``use`` lines, whether they are there or not."""
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - thousands of them
            data = file.read(4_000_001)
    except OSError:
        return
    if b"use" not in data:
        return
    for line in data.decode("utf-8", "replace").splitlines():
        words = line.strip()
        if words.startswith("use ") and words.count('"') >= 2:
            name = words.split('"')[1]
            if "\0" not in name:
                yield os.path.realpath(os.path.join(os.path.dirname(path), name))  # noqa: PTH118, PTH120
