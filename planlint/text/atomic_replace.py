"""A file's contents replaced whole or not at all, with all else about the file kept.

The new contents go into a hidden file in the same folder and take the old file's place in one step. Whatever happens
before that step leaves the old file as it was; whatever happens after it leaves the new one. A plan is replaced only
as it was read, and forced to the disk first; a report is written where somebody asked for it.
"""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import TextIOWrapper
from pathlib import Path

from planlint.text.held_signals import undisturbed
from planlint.text.os_error_words import refused_by_system

_BESIDE = ".new"
"""How the name of the hidden file ends."""


class NotReplaced(Exception):  # noqa: N818 - a refusal with its reason
    """The file was left as it is; the message says why."""


def replace_file(path: str, read: bytes, new: bytes, within: str | None = None) -> None:
    """Put ``new`` in the place of a file that held ``read`` when it was looked at.

    Mode, owner, group and extended attributes are kept. ``within`` is the folder that was named (else the file's
    own): a link is followed only to a place inside it. Raises ``NotReplaced`` where the file leads out of that
    folder, is no plain file, has more than one name, changed since it was read, or cannot be written as it was.
    """
    try:
        real = _inside(path, within)
        with undisturbed():
            _replace(real, read, new)
    except OSError as problem:
        raise NotReplaced(f"it cannot be written: {refused_by_system(problem)}") from problem


def _inside(path: str, within: str | None) -> Path:
    real = Path(path).resolve(strict=True)
    folder = (Path(within) if within is not None else Path(path).parent).resolve(strict=True)
    if not real.is_relative_to(folder):
        raise NotReplaced(
            f"it is a link to {real}, outside the folder named: name that file itself to change it"
        )
    return real


def _replace(real: Path, read: bytes, new: bytes) -> None:
    flags = (
        os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    )
    with open(os.open(real, flags), "rb") as old:  # noqa: PTH123 - not through a link put there just now
        found = os.fstat(old.fileno())
        if not stat.S_ISREG(found.st_mode):
            raise NotReplaced("it is not a plain file")
        if found.st_nlink > 1:
            raise NotReplaced(
                f"the file has {found.st_nlink} names (hard links), and replacing it would part them"
            )
        if not os.access(real, os.W_OK):
            raise NotReplaced("it may not be written: it is marked read-only")
        if old.read() != read:
            raise NotReplaced("it changed since it was read: run the command again")
        _sweep(real)
        beside = _beside(real)
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        try:
            try:
                _keep(old.fileno(), handle, found)
                _write(handle, new)
            finally:
                os.close(handle)
            if _mark(os.lstat(real)) != _mark(found):
                raise NotReplaced("it changed since it was read: run the command again")
            os.replace(beside, real)  # noqa: PTH105
        except BaseException:
            with suppress(OSError):
                os.unlink(beside)  # noqa: PTH108
            raise
    _settle(real.parent)


@contextmanager
def whole_file(path: str) -> Iterator[TextIOWrapper]:
    """A file to write words to, in UTF-8, that stands at ``path`` once it is whole: until then, what stood there does.

    Bytes go to its ``buffer``.

    A link is followed, and what it leads to is replaced. What is no plain file (a device, a pipe) is written straight
    to. Mode, and owner and extended attributes where we may, are kept. Raises ``OSError``, or ``NotReplaced`` where a
    folder is in the way or none is there to hold the file.
    """
    try:
        found = os.stat(path)  # noqa: PTH116
    except FileNotFoundError:
        found = None
    if path.endswith(("/", os.sep)) or (found and stat.S_ISDIR(found.st_mode)):
        raise NotReplaced("it is a folder")
    if found and not stat.S_ISREG(found.st_mode):
        with _for_words(path) as straight:
            yield straight
        return
    real = Path(path).resolve()
    if found and not os.access(real, os.W_OK):
        raise NotReplaced("it may not be written: permission denied")
    beside = _beside(real)
    with suppress(OSError):
        _sweep(real)
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    except FileNotFoundError as problem:
        raise NotReplaced(f"there is no folder {real.parent}") from problem
    try:
        with _for_words(handle) as new:
            if found:
                with suppress(OSError, NotReplaced), real.open("rb") as old:
                    _keep(old.fileno(), handle, found)
            yield new
        os.replace(beside, real)  # noqa: PTH105
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)  # noqa: PTH108
        raise


def _for_words(file: str | int) -> TextIOWrapper:
    return open(file, "w", encoding="utf-8", errors="backslashreplace", newline="\n")  # noqa: PTH123


def _beside(real: Path) -> Path:
    """The hidden file that takes the place of another."""
    return real.with_name(f".{real.name[:200]}.{os.getpid()}{_BESIDE}")


def _sweep(real: Path) -> None:
    """Remove what runs that were killed outright left beside a file: new contents that never took its place."""
    start = f".{real.name[:200]}."
    for name in os.listdir(real.parent):  # noqa: PTH208
        process = name.removeprefix(start).removesuffix(_BESIDE)
        if name == f"{start}{process}{_BESIDE}" and process.isdecimal():
            try:
                os.kill(int(process), 0)  # Asks whether it still runs, and does nothing to it.
            except (ProcessLookupError, OverflowError):
                with suppress(OSError):
                    (real.parent / name).unlink()
            except OSError:
                continue


def _keep(old: int, handle: int, found: os.stat_result) -> None:
    """Give the new file what the old one had."""
    if hasattr(os, "fchown"):
        made = os.fstat(handle)
        if (made.st_uid, made.st_gid) != (found.st_uid, found.st_gid):
            try:
                os.fchown(handle, found.st_uid, found.st_gid)
            except PermissionError as problem:
                raise NotReplaced("it belongs to another user, and would not any more") from problem
        os.fchmod(handle, stat.S_IMODE(found.st_mode))
    if hasattr(os, "listxattr"):
        with suppress(OSError):  # Not every file system has them, and some belong to the system.
            for name in os.listxattr(old):
                with suppress(OSError):
                    os.setxattr(handle, name, os.getxattr(old, name))


def _write(handle: int, data: bytes) -> None:
    left = memoryview(data)
    while left:
        left = left[os.write(handle, left) :]
    os.fsync(handle)


def _mark(found: os.stat_result) -> tuple[int, int, int, int]:
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns


def _settle(folder: Path) -> None:
    """Force the new entry of the folder to the disk, where a folder can be opened for that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
