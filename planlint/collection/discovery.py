"""From files and folders to plans: each once, in a steady order, without those that git or the settings leave out."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from planlint.collection.git import GitFailed, Ignored, ignored
from planlint.collection.root import repository, told_from
from planlint.inspection.files import STANDARD_INPUT, SUFFIX, Refused, why

_OUTSIDE = "this is a link that leads out of the collection; name the file itself"
_Seen = set[tuple[int, int]]


class Found(NamedTuple):
    """A plan to inspect: where it is opened, and how reports about a collection call it."""

    path: str
    name: str
    """From the root, with ``/``."""


class _Candidate(NamedTuple):
    found: Found | Refused | None
    """``None`` for a plan that was found before."""
    top: str | None
    """The repository to ask about it."""


def discover(
    paths: Iterable[str], root: Path, left_out: Callable[[str], bool] | None = None
) -> Iterator[Found | Refused]:
    """Plans for files and folders, each once.

    A folder gives every ``*.plan`` in it and below, the files of a folder before its folders, both sorted; hidden
    folders, what git ignores, and paths that are ``left_out`` are not among them. Links are
    followed inside ``root`` only. A named file is taken whatever its ending; ``-`` stands for standard input.
    """
    seen: _Seen = set()
    for path in paths:
        if path == STANDARD_INPUT:
            yield Found(path, path)
            continue
        try:
            found = Path(path).stat()
        except (OSError, ValueError) as problem:
            yield Refused(path, why(problem))
            continue
        if stat.S_ISDIR(found.st_mode):
            yield from _in_folder(path, root, seen, left_out)
        elif _first_time((found.st_dev, found.st_ino), seen):
            yield Found(path, told_from(root, path))


def _in_folder(
    path: str, root: Path, seen: _Seen, left_out: Callable[[str], bool] | None
) -> Iterator[Found | Refused]:
    top = repository(Path(path).resolve())
    candidates = list(_walk(path, told_from(root, path), root, str(top) if top else None, seen, set()))
    empty, known = not candidates, any(each.found is None for each in candidates)
    if left_out:
        candidates = [
            each for each in candidates if not (isinstance(each.found, Found) and left_out(each.found.path))
        ]
    kept = list(_not_ignored(candidates))
    yield from kept
    if not kept and not known:
        what = "no plan" if empty else "no plan that neither git nor the settings leave out"
        yield Refused(path, f"there is {what} in this folder; a plan's name ends in {SUFFIX}")


def _walk(
    folder: str, name: str, root: Path, top: str | None, seen: _Seen, entered: _Seen
) -> Iterator[_Candidate]:
    """All plans in a folder, by its path and its name from the root; ``top`` is the repository it belongs to."""
    folders = [(folder, name, top)]
    while folders:
        folder, name, top = folders.pop()
        try:
            itself = Path(folder).stat()
            if not _first_time((itself.st_dev, itself.st_ino), entered):
                continue
            with os.scandir(folder) as entries:
                listed = sorted(entries, key=lambda entry: entry.name)
        except OSError as problem:
            yield _Candidate(Refused(folder, why(problem)), None)
            continue
        if any(entry.name == ".git" for entry in listed):
            top = os.path.realpath(folder)
        below = []
        for entry in listed:
            if entry.name.startswith("."):
                continue
            called = f"{name}/{entry.name}" if name and name != "." else entry.name
            try:
                if entry.is_dir():
                    linked = entry.is_symlink()
                    if not linked or _inside(entry.path, root):
                        below.append((entry.path, called, None if linked else top))
                    continue
                if not entry.name.endswith(SUFFIX):
                    continue
                found = _plan(entry, called, itself.st_dev, root, seen)
            except OSError as problem:
                found = Refused(entry.path, why(problem))
            yield _Candidate(found, top)
        folders.extend(reversed(below))


def _plan(
    entry: os.DirEntry[str], called: str, device: int, root: Path, seen: _Seen
) -> Found | Refused | None:
    if entry.is_symlink():
        target = entry.stat()
        if not stat.S_ISREG(target.st_mode):
            return Refused(entry.path, "this is not a file that can be read")
        if not _inside(entry.path, root):
            return Refused(entry.path, _OUTSIDE)
        new = _first_time((target.st_dev, target.st_ino), seen)
    elif not entry.is_file():
        return Refused(entry.path, "this is not a file that can be read")
    else:
        new = _first_time((device, entry.inode()), seen)
    return Found(entry.path, called) if new else None


def _inside(path: str, root: Path) -> bool:
    return Path(path).resolve().is_relative_to(root)


def _first_time(key: tuple[int, int], seen: _Seen) -> bool:
    if key in seen and key[1]:  # Some file systems number nothing: there everything is new.
        return False
    seen.add(key)
    return True


def _not_ignored(candidates: list[_Candidate]) -> Iterator[Found | Refused]:
    """Candidates without those that git ignores; where git cannot be asked, all of them."""
    folders: dict[tuple[str, str], str] = {}
    """For a repository and the folder of a plan as it is opened: the folder's path from the top, where it is inside."""
    for found, top in candidates:
        if top is not None and isinstance(found, Found):
            key = top, _folder(found.path)
            if key not in folders:
                folders[key] = os.path.relpath(os.path.realpath(key[1] or "."), top).replace(os.sep, "/")
    inside = {
        key: "" if below == "." else below
        for key, below in folders.items()
        if below != ".." and not below.startswith("../")
    }
    ignoring: dict[str, Ignored] = {}
    for top in {top for top, _ in inside}:
        with suppress(GitFailed):
            out = ignored(Path(top), [below for (at, _), below in inside.items() if at == top])
            if out.files or out.folders:
                ignoring[top] = out
    for found, top in candidates:
        if top is not None and top in ignoring and isinstance(found, Found):
            folder = _folder(found.path)
            below = inside.get((top, folder))
            if below is not None and ignoring[top].holds(below, found.path[len(folder) :]):
                continue
        if found is not None:
            yield found


def _folder(path: str) -> str:
    """The folder of a path, with the slash behind it."""
    return path[: path.rfind(os.sep) + 1]
