"""Data worked out ahead of a run: ``_ready/NAME.bin``, with a mark made from the bytes of the files that it comes from.

Whenever the two differ, the files decide.
"""

import marshal
import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any
from zlib import adler32, crc32

READY_FOLDER = Path(__file__).parent.parent / "_ready"
_MARK_BYTES = 12


def files_mark(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Tells one set of files from another. Two cheap sums: importing a cryptographic one costs more than both."""
    crc, adler, length = 0, 1, 0
    for name, data in files:
        both = name.encode() + b"\0" + data
        crc, adler, length = crc32(both, crc), adler32(both, adler), length + len(both)
    return b"".join(number.to_bytes(4, "big") for number in (crc, adler, length))


def ready_data(path: Path, mark: bytes) -> Any | None:
    """What was written there with this mark; ``None`` where it was not, or is damaged."""
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - at each start of the program
            data = file.read()
        if data[:_MARK_BYTES] != mark:
            return None
        return marshal.loads(data[_MARK_BYTES:])
    except (OSError, ValueError, EOFError, TypeError):
        return None


def ready_or_made(path: Path, mark: bytes, make: Callable[[], Any]) -> Any:
    """What lies ready with this mark; else it is made, and written where the place is no read-only one: then it is made
    in each run, a little slower."""
    found = ready_data(path, mark)
    if found is None:
        found = make()
        with suppress(OSError):
            write_ready(path, mark, found)
    return found


def write_ready(path: Path, mark: bytes, data: Any) -> None:
    """Whole or not at all: another run may read it at the same moment. Raises ``OSError`` where the place is
    read-only."""
    path.parent.mkdir(exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        part.write_bytes(mark + marshal.dumps(data, 4))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
