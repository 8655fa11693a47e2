"""What a change touches: plans that changed or use what changed, the keeper's own files, and what is newly accepted."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property
from pathlib import Path

from planlint.collection.collection_root import repository, told_from
from planlint.collection.discovery import Found
from planlint.collection.git_knowledge import (
    GitFailed,
    changed_from,
    held_at,
    left_at,
    recorded_at,
    renamed_from,
    there,
)
from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import STANDARD_INPUT, Refused
from planlint.inspection.used_files import with_files
from planlint.language.reader import read
from planlint.language.syntax_tree import AcceptLine
from planlint.language.tree_text import statements_of
from planlint.model.workshop import Settings
from planlint.settings.settings_root import SETTINGS_FILE
from planlint.text.plain_file import plain_bytes
from planlint.text.source import PlanText


class TreeChange:
    """The working tree, compared with where this work left a revision; each repository in it by what its own git says.

    A repository inside another is compared with the commit that the outer one recorded (a submodule), else with the
    revision as it knows it. One that cannot tell counts as changed, all of it, and so does what lies in none:
    ``unknown`` tells which. Raises ``GitFailed`` where the outer one cannot tell, or nothing can.
    """

    def __init__(
        self, root: Path, outer: Path | None, revision: str, found: Iterable[Found | Refused]
    ) -> None:
        """``outer`` is the repository that what is asked about lies in."""
        self._root, self._revision = root, revision
        self._outer = outer
        self._trees: dict[Path | None, _GitTree] = {None: _GitTree(None, None)}
        self._at: dict[str, _GitTree] = {}
        """By folder."""
        self.unknown: list[str] = []
        failed: list[GitFailed] = []
        if self._outer:
            self._trees[self._outer] = _GitTree(self._outer, left_at(self._outer, revision))
        for each in found:
            if isinstance(each, Found) and each.path != STANDARD_INPUT:
                self._tree(os.path.realpath(each.path), failed)
        if not any(tree.base for tree in self._trees.values()):
            raise failed[0] if failed else GitFailed(f"{root} lies in no git repository")
        in_none = sum(tree is self._trees[None] for tree in self._at.values())
        if in_none:
            self.unknown.append("some plans lie in no git repository: all of these are inspected")

    def _tree(self, real: str, failed: list[GitFailed] | None = None) -> _GitTree:
        """Of a file. Where its repository cannot tell, that is put to ``failed``."""
        folder = os.path.dirname(real)  # noqa: PTH120
        known = self._at.get(folder)
        if known is None:
            known = self._at[folder] = self._tree_of(repository(Path(folder)), failed)
        return known

    def _tree_of(self, top: Path | None, failed: list[GitFailed] | None) -> _GitTree:
        known = self._trees.get(top)
        if known is None:
            assert top
            try:
                known = _GitTree(top, self._base(top))
            except GitFailed as problem:
                known = _GitTree(top, None)
                if failed is not None:
                    failed.append(problem)
                    name = told_from(self._root, str(top))
                    self.unknown.append(f"the repository {name}: {problem}. All its plans are inspected")
            self._trees[top] = known
        return known

    def _base(self, top: Path) -> str | None:
        """What a repository is compared with; ``None`` where the outer one did not have it then: all of it is new."""
        if self._outer and top.is_relative_to(self._outer):
            around = self._tree_of(repository(top.parent), None)
            if around.top and around.base:
                name = top.relative_to(around.top).as_posix()
                recorded = recorded_at(around.top, around.base, name)
                if recorded:
                    there(top, recorded)
                    return recorded
                if recorded_at(around.top, None, name):
                    return None
        return left_at(top, self._revision)

    def plans(
        self, found: Iterable[Found | Refused], settings_file: Callable[[str], Path | None]
    ) -> Iterator[Found | Refused]:
        """Of what was found, what may give another result now; what could not be opened, or has no file, stays.

        A changed ``planlint.toml`` touches every plan in its folder and below; ``settings_file`` gives the one of a
        folder, which may be a link.
        """
        folders = tuple(
            str(Path(name).parent) + os.sep for name in self._changed if Path(name).name == SETTINGS_FILE
        )
        by_settings: dict[str, bool] = {}
        for each in found:
            if isinstance(each, Refused) or each.path == STANDARD_INPUT:
                yield each
                continue
            real = os.path.realpath(each.path)
            folder = os.path.dirname(each.path)  # noqa: PTH120
            if folder not in by_settings:
                file = settings_file(folder)
                by_settings[folder] = file is not None and self._touches(os.path.realpath(file))
            if (
                by_settings[folder]
                or self._touches(real)
                or real.startswith(folders)
                or self._uses(each, real)
            ):
                yield each

    @property
    def _changed(self) -> Iterator[str]:
        return (name for tree in self._trees.values() for name in tree.changed)

    def _touches(self, real: str) -> bool:
        return self._tree(real).touches(real)

    def _uses(self, found: Found, real: str) -> bool:
        """Whether a plan brings in, straight or through others, a file that changed; one that is gone changed too."""
        try:
            data = plain_bytes(Path(real))
        except (OSError, ValueError):  # Nobody knows; whoever opens it tells why.
            return True
        if b"use" not in data:
            return False
        files = with_files(Settings(), found.path, found.name, data).files
        folder = os.path.dirname(real)  # noqa: PTH120
        used = files.texts if files is not None else ()
        return any(self._touches(os.path.realpath(f"{folder}/{each}")) for each in used)

    def of_the_keeper(self, ledger: str | None) -> list[str]:
        """The settings files and the ledger that it touches, from the root."""
        own = os.path.realpath(ledger) if ledger else None
        if own:
            self._tree(own)
        names = {each for each in self._changed if each == own or Path(each).name == SETTINGS_FILE}
        return sorted(told_from(self._root, each) for each in names)

    def newly_accepted(self, path: str, inspection: Inspection) -> tuple[Finding, ...]:
        """Of what a plan accepts, what it did not accept before: by a line that was not there."""
        real = os.path.realpath(path)
        if not inspection.accepted or not self._touches(real):
            return ()
        old = _accepts(self._tree(real).before(real).decode("utf-8", "replace"))
        told = _accepts(inspection.source.text)
        return tuple(each for each in inspection.accepted if _by_new_line(each, told, old))


class _GitTree:
    """A repository's files, compared with a commit of it; without a commit, or without a repository, all are changed.

    Raises ``GitFailed``.
    """

    def __init__(self, top: Path | None, base: str | None) -> None:
        self.top, self.base = top, base
        self._start = str(top.resolve()).rstrip(os.sep) + os.sep if top else ""
        changed = changed_from(top, base) if top and base else ()
        self.changed = {os.path.realpath(self._start + name) for name in changed}

    @cached_property
    def _renamed(self) -> dict[str, str]:
        return renamed_from(self.top, self.base) if self.top and self.base else {}

    def touches(self, real: str) -> bool:
        return not self.base or real in self.changed

    def before(self, real: str) -> bytes:
        """What a file held at the commit; nothing where it was not there."""
        if not (self.top and self.base):
            return b""
        name = real.removeprefix(self._start).replace(os.sep, "/")
        return held_at(self.top, self.base, self._renamed.get(name, name))


_Accept = tuple[str, str, str]
"""The rule, what the line is about and why, in its words."""


def _accepts(text: str) -> set[_Accept]:
    """What the lines of a plan accept."""
    nodes = (each.node for each in statements_of(read(PlanText("", text))[0]))
    return {
        (node.rule.text, node.target.text, node.reason or "")
        for node in nodes
        if isinstance(node, AcceptLine)
    }


def _by_new_line(finding: Finding, told: set[_Accept], old: set[_Accept]) -> bool:
    """Whether only lines that are new accept a finding, as far as their words tell."""
    about = [each for each in told if (each[0], each[2]) == (finding.rule, finding.reason or "")]
    exact = [each for each in about if each[1].split("/")[0] in finding.names]
    return bool(about) and old.isdisjoint(exact or about)
