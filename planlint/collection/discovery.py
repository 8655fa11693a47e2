"""From files and folders to plans: each once, in a steady order, without those that git or the settings leave out."""

import os
import stat
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from planlint.collection.collection_root import by_own_name, repository, told_from
from planlint.collection.git_knowledge import GitFailed, Ignored, ignored
from planlint.inspection.plan_files import STANDARD_INPUT, SUFFIX, Refused, why_shut

_OUTSIDE = "this is a link that leads out of the collection; name the file itself"
_HERE = os.curdir + os.sep
_NO_FILE = "this is not a file that can be read"
_Seen = dict[tuple[int, int], set[str]]


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
    paths: Iterable[str],
    root: Path,
    left_out: Callable[[str], bool] | None = None,
    *,
    named_too: bool = False,
) -> Iterator[Found | Refused]:
    """Plans for files and folders, each once.

    A folder gives every ``*.plan`` in it and below, the files of a folder before its folders, both sorted, and links
    behind them all, followed inside ``root``, and inside their own repository, only: a plan is called by its own name,
    whatever link led to it. Hidden folders, what git ignores, and paths that are ``left_out`` are not among them. A
    named file is taken whatever its ending, and though it is left out, unless ``named_too``; ``-`` stands for standard
    input.
    """
    seen: _Seen = {}
    for path in paths:
        if path == STANDARD_INPUT:
            yield Found(path, path)
            continue
        try:
            found = Path(path).stat()
        except (OSError, ValueError) as problem:
            yield _refused(root, path, why_shut(problem))
            continue
        path = _bare(by_own_name(root, path))  # noqa: PLW2901 - a link stands for what it leads to
        if stat.S_ISDIR(found.st_mode):
            yield from _in_folder(path, root, seen, left_out)
        elif named_too and left_out and left_out(path):
            continue
        elif _first_time((found.st_dev, found.st_ino), seen, path, called := told_from(root, path)):
            yield Found(path, called)


def _top_of(folder: str) -> str | None:
    """The top of the repository that a folder lies in, links followed; ``None`` where it lies in none."""
    top = repository(Path(folder).resolve())
    return str(top) if top else None


def _in_folder(
    path: str, root: Path, seen: _Seen, left_out: Callable[[str], bool] | None
) -> Iterator[Found | Refused]:
    candidates = list(_Walk(root, seen).plans(_Folder(path, told_from(root, path), _top_of(path))))
    empty, known = not candidates, any(each.found is None for each in candidates)
    if left_out:
        candidates = [
            each for each in candidates if not (isinstance(each.found, Found) and left_out(each.found.path))
        ]
    kept = list(_not_ignored(candidates))
    yield from kept
    if not kept and not known:
        what = "no plan" if empty else "no plan that neither git nor the settings leave out"
        yield _refused(root, path, f"there is {what} in this folder; a plan's name ends in {SUFFIX}")


def _refused(root: Path, path: str, says: str) -> Refused:
    try:
        return Refused(_bare(path), says, name=told_from(root, path))
    except (OSError, ValueError):  # No system would take it for a path.
        return Refused(path, says)


class _Folder(NamedTuple):
    """A folder to look into, by its path and its name from the root; ``top`` is the repository it belongs to."""

    path: str
    name: str
    top: str | None


class _Walk:
    """All plans below a folder: links, to folders and to plans, wait until all that is no link was met."""

    def __init__(self, root: Path, seen: _Seen) -> None:
        self._root = root
        self._seen = seen
        self._entered: _Seen = {}
        self._linked_folders: deque[_Folder] = deque()
        self._linked_plans: list[tuple[os.DirEntry[str], str, str | None]] = []

    def plans(self, start: _Folder) -> Iterator[_Candidate]:
        folders = [start]
        while folders or self._linked_folders:
            folder = folders.pop() if folders else self._linked_folders.popleft()
            below: list[_Folder] = []
            yield from self._plans_in(folder, below)
            folders.extend(reversed(below))
        for entry, called, top in self._linked_plans:
            found = self._found(entry, called, None, top)
            lies_in = Path(found.path).resolve().parent if isinstance(found, Found) else None
            yield _Candidate(found, _top_of(str(lies_in)) if lies_in else None)

    def _plans_in(self, folder: _Folder, below: list[_Folder]) -> Iterator[_Candidate]:
        """The plans in one folder; its folders are put into ``below``."""
        try:
            itself = Path(folder.path).stat()
            if not _first_time((itself.st_dev, itself.st_ino), self._entered, folder.path):
                return
            with os.scandir(folder.path) as entries:
                listed = sorted(entries, key=lambda entry: entry.name)
        except OSError as problem:
            yield _Candidate(Refused(_bare(folder.path), why_shut(problem), name=folder.name), None)
            return
        top = os.path.realpath(folder.path) if any(each.name == ".git" for each in listed) else folder.top
        before = f"{folder.name}/" if folder.name and folder.name != "." else ""
        for entry in listed:
            if entry.name.startswith("."):
                continue
            called = before + entry.name
            if _is_folder(entry):
                if not entry.is_symlink():
                    below.append(_Folder(entry.path, called, top))
                elif _inside(entry.path, top or self._root):
                    own, told = by_own_name(self._root, entry.path), told_from(self._root, entry.path)
                    self._linked_folders.append(_Folder(own, told, _top_of(entry.path)))
            elif entry.name.endswith(SUFFIX):
                if entry.is_symlink():
                    self._linked_plans.append((entry, called, top))
                else:
                    yield _Candidate(self._found(entry, called, itself.st_dev, top), top)

    def _found(
        self, entry: os.DirEntry[str], called: str, device: int | None, top: str | None
    ) -> Found | Refused | None:
        """A plan, ``None`` where it was met before; without a ``device`` it is a link."""
        try:
            target = entry.stat() if device is None else None
            if not entry.is_file():
                return Refused(_bare(entry.path), _NO_FILE, name=called)
            if target and not _inside(entry.path, top or self._root):
                return Refused(_bare(entry.path), _OUTSIDE, name=called)
            key = (target.st_dev, target.st_ino) if target else (device or 0, entry.inode())
        except OSError as problem:
            return Refused(_bare(entry.path), why_shut(problem), name=called)
        path = _bare(entry.path)
        if target:
            path, called = by_own_name(self._root, path), told_from(self._root, path)
        return Found(path, called) if _first_time(key, self._seen, path, called) else None


def _bare(path: str) -> str:
    """In the folder where the command is called, plans are told as bare as they would be named."""
    bare = path
    while bare.startswith(_HERE):
        bare = bare[len(_HERE) :].lstrip(os.sep)
    return path if bare in {"", STANDARD_INPUT} else bare


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # A link to itself: what it is is told where it is opened.
        return False


def _inside(path: str, root: Path | str) -> bool:
    return Path(path).resolve().is_relative_to(root)


def _first_time(key: tuple[int, int], seen: _Seen, path: str, called: str = "") -> bool:
    """Whether nothing of that number was met before; a file that has several names by hard links is a plan by each."""
    names = seen.setdefault(key, set())
    if names and key[1]:  # Some file systems number nothing: there everything is new.
        if called in names:
            return False
        try:
            if Path(path).stat().st_nlink < 2:
                return False
        except OSError:
            return False
    names.add(called)
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
