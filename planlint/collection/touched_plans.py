"""What a change touches: plans that changed or use what changed, the keeper's own files, and what is newly accepted."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from functools import cached_property
from pathlib import Path

from planlint.collection.collection_root import SETTINGS_FILE, repository, told_from
from planlint.collection.discovery import Found
from planlint.collection.git_knowledge import GitFailed, changed_from, held_at, left_at, renamed_from
from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import Refused
from planlint.inspection.used_files import with_files
from planlint.model.workshop import Settings


class Change:
    """The working tree, compared with where this work left a revision. Raises ``GitFailed``."""

    def __init__(self, root: Path, revision: str) -> None:
        top = repository(root)
        if not top:
            raise GitFailed(f"{root} lies in no git repository")
        self._root, self._top = root, top
        self._real_top = str(top.resolve()).rstrip(os.sep) + os.sep
        self._base = left_at(top, revision)
        self._changed = {os.path.realpath(self._real_top + name) for name in changed_from(top, self._base)}

    @cached_property
    def _renamed(self) -> dict[str, str]:
        return renamed_from(self._top, self._base)

    def plans(self, found: Iterable[Found | Refused]) -> Iterator[Found | Refused]:
        """Of what was found, what may give another result now; what could not be opened stays.

        A changed ``planlint.toml`` touches every plan in its folder and below.
        """
        folders = tuple(
            str(Path(name).parent) + os.sep for name in self._changed if Path(name).name == SETTINGS_FILE
        )
        for each in found:
            if isinstance(each, Refused):
                yield each
                continue
            real = os.path.realpath(each.path)
            if real in self._changed or real.startswith(folders) or _uses(each, real, self._changed):
                yield each

    def of_the_keeper(self, ledger: str | None) -> list[str]:
        """The settings files and the ledger that it touches, from the root."""
        own = os.path.realpath(ledger) if ledger else None
        names = [each for each in self._changed if each == own or Path(each).name == SETTINGS_FILE]
        return sorted(told_from(self._root, each) for each in names)

    def newly_accepted(self, path: str, inspection: Inspection) -> tuple[Finding, ...]:
        """Of what a plan accepts, what it did not accept before: by a line that was not there."""
        real = os.path.realpath(path)
        if not inspection.accepted or real not in self._changed:
            return ()
        name = real.removeprefix(self._real_top).replace(os.sep, "/")
        before = held_at(self._top, self._base, self._renamed.get(name, name))
        old = _accept_lines(before.decode("utf-8", "replace"))
        lines = _accept_lines(inspection.source.text)
        return tuple(each for each in inspection.accepted if _by_new_line(each, lines, old))


def _accept_lines(text: str) -> set[str]:
    lines = (" ".join(line.split()) for line in text.splitlines())
    return {line for line in lines if line.startswith("accept ")}


def _by_new_line(finding: Finding, lines: set[str], old: set[str]) -> bool:
    """Whether only lines that are new accept a finding, as far as their words tell."""
    about = [line for line in lines if line.split()[1:2] == [finding.rule] and (finding.reason or "") in line]
    exact = [line for line in about if (line.split()[3:4] or [""])[0].split("/")[0] in finding.names]
    return bool(about) and old.isdisjoint(exact or about)


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
