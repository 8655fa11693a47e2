"""Files that are read whole, and never waited for: a pipe or a device in place of one is refused at once."""

import os
import stat
from pathlib import Path


def plain_bytes(file: Path, most: int | None = None, *, follow: bool = True) -> bytes:
    """What a plain file holds, of ``most`` bytes; links lead to it only where they may be followed.

    Raises ``OSError``, or ``ValueError`` in a builder's words.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    if not follow:
        flags |= getattr(os, "O_NOFOLLOW", 0)
    handle = os.open(file, flags)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise ValueError("it is not a plain file")
    with open(handle, "rb") as opened:  # noqa: PTH123
        data = opened.read(-1 if most is None else most + 1)
    if most is not None and len(data) > most:
        raise ValueError(f"it is over {most // 1_000_000} MB")
    return data
