"""The root of a collection: what paths in reports are told from, and what a run may not leave."""

import os
import sys
from collections.abc import Iterable
from pathlib import Path

from planlint.settings.settings_root import REPOSITORY, SETTINGS_FILE

_MARKS = (REPOSITORY, SETTINGS_FILE)
_UTF_8 = sys.getfilesystemencoding() == "utf-8"


def common_folder(paths: Iterable[str]) -> Path | None:
    """The nearest folder that holds all of ``paths``; ``None`` where there is none."""
    folders = []
    for path in paths:
        try:
            real = Path(path).resolve()
            folders.append(str(real if real.is_dir() else real.parent))
        except (OSError, ValueError, RuntimeError):  # Told by whoever tries to open it.
            continue
    try:
        return Path(os.path.commonpath(folders)) if folders else None
    except ValueError:  # Two drives have nothing in common.
        return None


def find_root(paths: Iterable[str]) -> Path:
    """The folder that holds all of ``paths`` and that names are told from: the outermost one upwards that is a
    repository or has settings, so that a plan has one name, whoever asks; else where the command was called, else the
    nearest folder that holds them all.
    """
    here = Path.cwd()
    common = common_folder(paths)
    if common is None:
        return here
    marked = [
        each for each in (common, *common.parents) if any(os.path.lexists(each / mark) for mark in _MARKS)
    ]
    if marked:
        return marked[-1]
    return here if common.is_relative_to(here) else common


def repository(folder: Path) -> Path | None:
    """The top of the git repository that a folder lies in."""
    return next((each for each in (folder, *folder.parents) if os.path.lexists(each / REPOSITORY)), None)


def told_from(root: Path, path: str) -> str:
    """A path as reports tell it: from the root, with ``/``; outside of it, as it was named."""
    if path == "-":
        return path
    absolute = os.path.abspath(path)  # noqa: PTH100
    inside = str(root).rstrip(os.sep) + os.sep
    for each in (os.path.realpath(absolute), absolute):
        if each == str(root):
            return "."
        if each.startswith(inside):
            return each[len(inside) :].replace(os.sep, "/")
    return path.replace(os.sep, "/")


def by_own_name(root: Path, path: str) -> str:
    """The path of something inside the root, without the links below the root that it was named through.

    So a plan has one name, settings and neighbours of one folder, however it is reached.
    """
    absolute = os.path.abspath(path)  # noqa: PTH100
    real = os.path.realpath(absolute)
    inside = str(root).rstrip(os.sep) + os.sep
    if real == absolute or not real.startswith(inside):
        return path
    below = real[len(inside) :]
    if absolute.endswith(os.sep + below) and os.path.realpath(absolute[: -len(below)]) == str(root):
        return path  # Only the root itself is reached through a link.
    return real if os.path.isabs(path) else os.path.relpath(real)  # noqa: PTH117


def told_by_ledger(ledger: Path, root: Path, name: str) -> str:
    """A plan's name in a ledger: from the folder that holds the ledger, wherever the run's own ``root`` is.

    So a run over one folder of a collection, even one with settings or a repository of its own, means the same plans.
    """
    if name == "-":
        return name
    place = Path(os.path.realpath(ledger)).parent
    path = os.path.join(root, name)  # noqa: PTH118 - a name outside the root is a path from here
    if not os.path.lexists(path):
        path = name if os.path.lexists(name) else path
    return os.path.relpath(path, place).replace(os.sep, "/")


def portable(path: str) -> str:
    """A path as it is called where names are UTF-8: what programs are told and a ledger holds needs no locale.

    Bytes that are no UTF-8 stay as ``surrogateescape`` has them.
    """
    return path if _UTF_8 else os.fsencode(path).decode("utf-8", "surrogateescape")
