"""Which plans a change touches: those that changed, and those that use what changed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from planlint.collection.collection_root import SETTINGS_FILE, repository
from planlint.collection.discovery import Found
from planlint.collection.git_knowledge import GitFailed, changed_since
from planlint.inspection.plan_files import Refused
from planlint.inspection.used_files import with_files
from planlint.model.workshop import Settings


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
        if real in changed or real.startswith(folders) or _uses(each, real, changed):
            yield each


def _uses(found: Found, real: str, changed: set[str]) -> bool:
    """Whether a plan brings in, straight or through others, a file that changed; one that is gone changed too."""
    try:
        data = Path(real).read_bytes()
    except OSError:
        return False
    if b"use" not in data:
        return False
    files = with_files(Settings(), found.path, found.name, data).files
    folder = os.path.dirname(real)  # noqa: PTH120
    return files is not None and any(os.path.realpath(f"{folder}/{used}") in changed for used in files.texts)
