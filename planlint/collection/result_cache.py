"""What earlier runs found, kept by the content of plans: one file for a whole collection.

A result is found again only for the same bytes, the same settings and the same program, so nothing is ever out of
date. The file carries a seal made with a key that lies outside the collection: what somebody else put there (in a
merge request, say) is as if it were not there, and so is what is damaged. It holds JSON, and nothing of it is run.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from hashlib import blake2b, sha256
from hmac import compare_digest
from pathlib import Path
from time import sleep

from planlint.collection.inspection_record import Record
from planlint.inspection.inspection_result import ABSENT
from planlint.model.workshop import Settings

FOLDER = ".planlint-cache"
KEY_VARIABLE = "PLANLINT_CACHE_KEY"
"""A secret in the environment takes the place of the key file: so that machines of one workshop can share a cache."""
_FILE = "inspections"
_MOST_RECORDS = 50_000
"""Records that are kept though this run did not ask for them. Basis: own judgement; 10 MB or so."""
_MOST_BYTES = 500_000_000
_PATIENCE = 100
"""Hundredths of a second to wait for another run that saves. Basis: own judgement; it takes one or two."""
_decode = json.JSONDecoder().raw_decode
_SEAL = 64
"""Characters of the seal: 32 bytes as hexadecimal digits."""


class Cache:
    """Records by key. Reading or writing the file never fails a run: without it, plans are inspected."""

    def __init__(self, folder: Path, *, within: Path | None = None) -> None:
        """``within`` is the root that the folder may not lead out of, where nobody named the folder."""
        self._folder = folder
        self._secret = None if within and not _plain(folder, within) else _secret()
        self._mark = _mark_of_program()
        self._settings: dict[int, tuple[Settings, bytes]] = {}
        self._old = self._load()
        self._used: dict[str, str] = {}
        self._new = False

    def key(self, data: bytes, settings: Settings, *, fixes: bool = False) -> str:
        """What a plan's result depends on, as one word; ``fixes`` tells whether repairs are among it."""
        known = self._settings.get(id(settings))
        if known is None:
            # The files that a plan uses are among its settings, with all they hold.
            mark = blake2b(repr(settings).encode(), digest_size=16).digest() + self._mark
            if settings.files is not None:  # A plan's own, not worth holding.
                return _key(data, mark, fixes)
            known = self._settings[id(settings)] = (settings, mark)  # Held, so that its id stays its own.
        return _key(data, known[1], fixes)

    def find(self, key: str) -> Record | None:
        line = self._used.get(key) or self._old.get(key)
        if line is None:
            return None
        try:
            record, _ = _decode(line)
        except (ValueError, RecursionError):
            return None
        if not isinstance(record, list) or len(record) != 6:
            return None
        self._used[key] = line
        return record

    def keep(self, key: str, record: Record) -> None:
        """Remember a result. One that is not whole is not worth it: the next run may do better.

        But for own rules that are not there: settings and program, which the key holds, say so.
        """
        if not self._secret or any(kind != ABSENT for *_, kind in record[4]):
            return
        self._used[key] = json.dumps(record, separators=(",", ":"))
        self._new = True

    def __enter__(self) -> Cache:
        return self

    def __exit__(self, *_: object) -> None:
        """However a run ends: what it learnt until then is right."""
        self.save()

    def save(self) -> None:
        """Write what was learnt, whole or not at all; a place that cannot be written to is left alone."""
        if not self._new or not self._secret:
            return
        with suppress(OSError), _alone_in(self._folder):
            self._old |= self._load()  # Another run may have learnt something meanwhile.
            others = [key for key in self._old if key not in self._used][-_MOST_RECORDS:]
            lines = [f"{key} {self._old[key]}" for key in others]
            lines += (f"{key} {line}" for key, line in self._used.items())
            body = "\n".join(lines).encode("ascii")
            part = self._folder / f"{_FILE}.{os.getpid()}"
            try:
                with part.open("xb") as file:
                    file.write(_seal(self._secret, body) + b"\n" + body)
                part.replace(self._folder / _FILE)
            finally:
                part.unlink(missing_ok=True)

    def _load(self) -> dict[str, str]:
        if not self._secret:
            return {}
        try:
            handle = os.open(
                self._folder / _FILE,
                os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0),
            )
            with open(handle, "rb") as file:  # noqa: PTH123
                data = file.read(_MOST_BYTES)
        except OSError:
            return {}
        seal, body = data[:_SEAL], data[_SEAL + 1 :]
        if not compare_digest(seal, _seal(self._secret, body)):
            return {}
        return dict(line.split(" ", 1) for line in body.decode("ascii").split("\n") if line)


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """The folder, made where it is not there. Another run that saves there goes first, but nobody waits for ever."""
    if not folder.is_dir():
        folder.mkdir(parents=True, exist_ok=True)
        (folder / ".gitignore").write_text("*\n", encoding="ascii")
    try:
        from fcntl import LOCK_EX, LOCK_NB, flock  # noqa: PLC0415 - where something was inspected, and there is one
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        for _ in range(_PATIENCE):
            with suppress(OSError):
                flock(handle, LOCK_EX | LOCK_NB)
                break
            sleep(0.01)
        yield
    finally:
        os.close(handle)


def _key(data: bytes, mark: bytes, fixes: bool) -> str:
    return sha256(mark + (b"fixes" if fixes else b"plain") + data).hexdigest()


def _seal(secret: bytes, body: bytes) -> bytes:
    return blake2b(body, digest_size=_SEAL // 2, key=secret).hexdigest().encode()


def _plain(folder: Path, within: Path) -> bool:
    """Whether a folder lies where it seems to: a link in a collection may lead anywhere."""
    return folder.resolve() == within.resolve() / folder.name


def _secret() -> bytes | None:
    """The key of this user, made when there is none; ``None`` where it can be neither read nor kept."""
    told = os.environ.get(KEY_VARIABLE)
    if told:
        return blake2b(told.encode("utf-8", "surrogateescape"), digest_size=32).digest()
    try:
        file = _state_folder() / "cache-key"
        try:
            key = file.read_bytes()
        except FileNotFoundError:
            key = os.urandom(32)
            file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            try:
                with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as new:  # noqa: PTH123
                    new.write(key)
            except FileExistsError:  # Another run was first.
                key = file.read_bytes()
    except (OSError, RuntimeError):
        return None
    return key if len(key) == 32 else None


def _state_folder() -> Path:
    told = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(told) if told else Path.home() / ".local" / "state") / "planlint"


@cache
def _mark_of_program() -> bytes:
    """Tells one program from another: all of our code, rules and grammar, other people's rules, and what we run on."""
    import sys  # noqa: PLC0415
    from importlib.util import find_spec  # noqa: PLC0415

    from planlint.plugins.own_rules import own_files, own_rules  # noqa: PLC0415
    from planlint.text.resources import resource  # noqa: PLC0415

    package = Path(__file__).parent.parent
    files = [*package.rglob("*.py"), *resource("rules").rglob("*.toml"), *resource("grammar").glob("*.lark")]
    files += own_files()
    for name in ("lark", "networkx"):
        spec = find_spec(name)
        if spec and spec.origin:  # The version is written there.
            files.append(Path(spec.origin))
    mark = blake2b(sys.version.encode(), digest_size=16)
    # What a rule of somebody else's needs may come and go without a change to its own files.
    mark.update(repr(own_rules().faults).encode())
    for file in sorted(set(files)):
        mark.update(file.name.encode() + b"\0" + file.read_bytes() + b"\0")
    return mark.digest()
