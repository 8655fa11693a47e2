"""What git knows of a collection. Everything works without git; only ``changed_since`` cannot.

Git is asked with hooks and file monitors switched off: a collection is looked at, nothing in it is run.
"""

import os
import re
from collections.abc import Collection
from pathlib import Path
from typing import NamedTuple

from planlint.text.os_error_words import refused_by_system

_MOST_SECONDS = 120.0
"""Longest that git may take to answer. Basis: our own judgement."""


class GitFailed(Exception):  # noqa: N818 - a refusal with its reason
    """Git is not there or did not answer; the message says what it said."""


class Ignored(NamedTuple):
    """What git ignores, as paths from the repository's top with ``/`` between."""

    files: frozenset[str] = frozenset()
    folders: tuple[str, ...] = ()
    """Those that are ignored whole, with a slash behind them."""

    def holds(self, folder: str, name: str) -> bool:
        """Whether a file is ignored, by its name and the path of its folder."""
        path = f"{folder}/{name}" if folder else name
        return path in self.files or (bool(self.folders) and path.startswith(self.folders))


def ignored(top: Path, folders: Collection[str]) -> Ignored:
    """What git ignores in some folders (paths from the repository's top) and elsewhere. Raises ``GitFailed``.

    Git lists it all: asked about each file, it takes a hundred times as long.
    """
    below = os.path.commonpath(folders).replace(os.sep, "/")
    words = ["ls-files", "-z", "--others", "--ignored", "--exclude-standard", "--directory"]
    try:
        listed = _ask(top, [*words, "--", below or "."])
    except GitFailed:  # It does not answer for a folder inside one that it ignores.
        listed = _ask(top, words)
    paths = [os.fsdecode(path) for path in listed.split(b"\0") if path]
    whole = tuple(path for path in paths if path.endswith("/"))
    return Ignored(frozenset(paths).difference(whole), whole)


def left_at(top: Path, revision: str) -> str:
    """The last commit that this work and a revision have in common. Raises ``GitFailed``."""
    commit = _ask(
        top,
        ["rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}"],
        "this repository has no such revision: fetch it, or look how it is written",
    )
    return _ask(top, ["merge-base", commit.decode().strip(), "HEAD"], _NOTHING_IN_COMMON).decode().strip()


def recorded_at(top: Path, commit: str | None, name: str) -> str:
    """The commit of a repository inside this one, by its path from the top, as a commit (``None``: the next one)
    records it; nothing where it does not. Raises ``GitFailed``.
    """
    words = ["ls-tree", "-z", commit] if commit else ["ls-files", "-s", "-z"]
    told = _ask(top, [*words, "--", name]).partition(b"\t")[0].decode("ascii").split()
    return told[2 if commit else 1] if told[:1] == [_REPOSITORY_INSIDE] else ""


def not_here(top: Path) -> set[str]:
    """What a repository has and did not put here, as paths from its top: files that a sparse checkout leaves out, and,
    with a slash behind them, repositories inside that are not checked out. Nothing without an answer.
    """
    try:
        listed = _ask(top, ["ls-files", "-t", "--stage", "-z"])
    except GitFailed:
        return set()
    found = set()
    for line in filter(None, listed.split(b"\0")):
        words, _, name = line.partition(b"\t")
        path = os.fsdecode(name)
        if words.startswith(b"S "):
            found.add(path)
        elif words[2:].startswith(_REPOSITORY_INSIDE.encode()) and not os.path.lexists(top / path / ".git"):
            found.add(f"{path}/")
    return found


def there(top: Path, commit: str) -> None:
    """Raises ``GitFailed`` where a commit is not in a repository."""
    _ask(top, ["cat-file", "-e", f"{commit}^{{commit}}"], _NOT_FETCHED)


def changed_from(top: Path, commit: str) -> set[str]:
    """Files (paths from the top, ``/`` between) in which the working tree differs from a commit, and new ones.

    Raises ``GitFailed``.
    """
    changed = _ask(top, ["diff", "--name-only", "-z", "--no-renames", "--no-ext-diff", commit, "--"])
    new = _ask(top, ["ls-files", "-z", "--others", "--exclude-standard"])
    return {os.fsdecode(name) for name in (changed + new).split(b"\0") if name}


def held_at(top: Path, commit: str, name: str) -> bytes:
    """What a file held at a commit; nothing where it was not there."""
    try:
        return _ask(top, ["cat-file", "blob", f"{commit}:{name}"])
    except GitFailed:
        return b""


def renamed_from(top: Path, commit: str) -> dict[str, str]:
    """What files were called at a commit that have other names now, by their names now; nothing without an answer."""
    try:
        told = _ask(
            top, ["diff", "--name-status", "-z", "-M", "--diff-filter=R", "--no-ext-diff", commit, "--"]
        )
    except GitFailed:
        return {}
    words = [os.fsdecode(word) for word in told.split(b"\0") if word]
    return dict(zip(words[2::3], words[1::3], strict=False))


def revision_of(folder: Path) -> str | None:
    """The commit that is checked out; ``None`` without git, or before the first."""
    try:
        return _ask(folder, ["rev-parse", "--verify", "--quiet", "HEAD^{commit}"]).decode().strip()
    except GitFailed:
        return None


def ages_of_lines(file: Path) -> list[int]:
    """When each line of a file was committed, in seconds since 1970; 0 for one that was not. Raises ``GitFailed``.

    Other line ends make no other line.
    """
    folder = Path(os.path.realpath(file)).parent
    told = _ask(folder, ["blame", "-w", "--line-porcelain", "--", str(file.resolve())])
    ages, at, none = [], 0, False
    for line in told.split(b"\n"):
        if line.startswith(b"author-time "):
            at = int(line.split()[1])
        elif line.startswith(b"0" * 40):
            none = True  # Not committed yet.
        elif line.startswith(b"\t"):
            ages.append(0 if none else at)
            none = False
    return ages


_OF_ONE_REPOSITORY = re.compile(
    r"GIT_(DIR|WORK_TREE|INDEX_FILE|PREFIX|NAMESPACE|\w+_DIR(ECTORY|ECTORIES)?|\w+_PATHSPECS)"
)
"""What a hook of git has in its surroundings about its own repository, where another may be asked."""
_REPOSITORY_INSIDE = "160000"
"""The mode by which git records one."""
_NOT_FETCHED = (
    "the commit that the repository around it recorded then is not here: fetch more (git fetch --unshallow)"
)
_NOTHING_IN_COMMON = (
    "this work and that revision have no commit in common here: where only the newest commits were fetched, fetch more "
    "of them (git fetch --unshallow)"
)


def _ask(top: Path, words: list[str], otherwise: str | None = None) -> bytes:
    """What git answers. Raises ``GitFailed`` with what it says, or with ``otherwise``."""
    import subprocess  # noqa: PLC0415 - only where there is a repository

    # What only looks like a repository must not answer for the one around it.
    highest = {"GIT_CEILING_DIRECTORIES": str(top.parent)} if os.path.lexists(top / ".git") else {}
    safe = ["-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}"]
    try:
        done = subprocess.run(
            ["git", "-C", str(top), *safe, *words],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
            timeout=_MOST_SECONDS,
            env={
                **{
                    name: value
                    for name, value in os.environ.items()
                    if not _OF_ONE_REPOSITORY.fullmatch(name)
                },
                **highest,
                "GIT_OPTIONAL_LOCKS": "0",
                "LC_ALL": "C",
            },
        )
    except FileNotFoundError as problem:
        raise GitFailed("git, which knows it, is not installed here") from problem
    except subprocess.TimeoutExpired as problem:
        raise GitFailed(f"git does not answer within {_MOST_SECONDS:g} seconds") from problem
    except OSError as problem:
        raise GitFailed(f"git cannot be started: {refused_by_system(problem)}") from problem
    if done.returncode:
        said = [otherwise or "", *done.stderr.decode("utf-8", "replace").splitlines()]
        raise GitFailed(next(filter(str.strip, said), f"git {words[0]} ended with {done.returncode}"))
    return done.stdout
