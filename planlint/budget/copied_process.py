"""Somebody else's code in a copy of this process: whatever it does there, it takes nothing along.

A copy knows all that this process knows, so nothing need be sent to it; what it tells comes back through a pipe. There
is one clock, on this side: a copy that is late is asked where it is, and ended with all that it started. Between it and
this process stands another, which only waits for it: code that ends its parent process does not end this one.
Systems that cannot copy a process run the code in this one.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from functools import partial
from types import FrameType
from typing import Any, NoReturn

CAN_COPY = hasattr(os, "fork")
CodePlace = tuple[str, int]
"""A file and a line of it, from 1."""
_MOST_PATIENCE = 1.0
"""Seconds in which a copy may say where it is. Basis: our own judgement; a thousandth of it is usual."""
_FAILED = 70
_HELD: list[object] = []
"""Of a copy: streams that may hold the start of a report, and must not write it as they are let go."""


class Late(Exception):  # noqa: N818 - says what happened
    """The copy did not tell anything in time; ``places`` lead to where it was, the innermost last."""

    def __init__(self, places: list[CodePlace]) -> None:
        super().__init__()
        self.places = places


class Ended(Exception):  # noqa: N818 - likewise
    """The copy is gone; the message says how it ended."""


def each_apart(
    names: Iterable[str], work: Callable[[tuple[str, ...]], Iterator[Any]], seconds: Callable[[int], float]
) -> Iterator[tuple[str, Any]]:
    """What ``work`` yields for each name, in a copy of this process: of types that pickle, or how the copy was lost.

    What is lost costs one name: the others have another copy. ``seconds`` gives the time for the next of so many.
    """
    waiting = list(names)
    while waiting:
        try:
            with _Copy(partial(work, tuple(waiting))) as copy:
                told: Any = None
                while waiting and not isinstance(told, Late | Ended):
                    try:
                        told = copy.hear(seconds(len(waiting)))
                    except (Late, Ended) as problem:
                        told = problem
                    yield waiting.pop(0), told
        except _NoCopy as problem:
            yield waiting.pop(0), Ended(f"before it started: {problem}")


class _NoCopy(Exception):  # noqa: N818 - says what happened
    """The system gives no more processes; the message says why."""


class _Copy:
    """Tells one after the other what ``work`` yields."""

    def __init__(self, work: Callable[[], Iterator[Any]]) -> None:
        self._here = None if CAN_COPY else work()
        if CAN_COPY:
            from multiprocessing import Pipe  # noqa: PLC0415 - few have own rules

            self._pipe, theirs = Pipe()
            self._there = True
            try:
                self._between = os.fork()
            except OSError as problem:
                raise _NoCopy(problem.strerror) from problem
            if not self._between:
                self._pipe.close()
                _stand_between(work, theirs)
            theirs.close()
            try:
                self._process: int = self._pipe.recv()
            except (EOFError, OSError):
                os.waitpid(self._between, 0)
                raise _NoCopy("the system gives no more processes") from None

    def hear(self, seconds: float) -> Any:
        """What is told next. Raises ``Late`` or ``Ended``; both are the end of the copy."""
        if self._here:
            return next(self._here)
        patience = min(_MOST_PATIENCE, seconds / 5)
        in_time = self._pipe.poll(seconds - patience)
        if not in_time:
            import signal  # noqa: PLC0415

            with suppress(ProcessLookupError):
                os.kill(self._process, signal.SIGALRM)
            if not self._pipe.poll(patience):
                raise Late([])
        try:
            places, told = self._pipe.recv()
        except EOFError:
            raise (Ended(self._how()) if in_time else Late([])) from None
        except Exception as problem:  # Whatever somebody else's object does where it is put together again.
            raise Ended(f"what it told was lost: {type(problem).__name__}") from problem
        if places:
            raise Late(places)
        return told

    def _how(self) -> str:
        """How it ended by itself; a copy that only closed the pipe is ended with the others."""
        from time import sleep  # noqa: PLC0415

        for _ in range(100):
            code = self._ended()
            if code is not None:
                return f"with status {code}" if code >= 0 else f"by signal {-code}"
            sleep(0.01)
        return "without a word"

    def _ended(self) -> int | None:
        """How the process between ended, and so the copy; ``None`` while it is there."""
        with suppress(ChildProcessError):
            process, status = os.waitpid(self._between, os.WNOHANG)
            if process:
                self._there = False
                return os.waitstatus_to_exitcode(status)
        return None

    def __enter__(self) -> _Copy:
        return self

    def __exit__(self, *_: object) -> None:
        if self._here:
            return
        import signal  # noqa: PLC0415

        self._pipe.close()
        if self._there:
            self._ended()
        for end in (os.killpg, os.kill) if self._there else (os.killpg,):  # It and all that it started.
            with suppress(ProcessLookupError, PermissionError):
                end(self._process, signal.SIGKILL)
        if self._there:
            with suppress(ChildProcessError, ProcessLookupError):
                os.kill(self._between, signal.SIGCONT)
                os.waitpid(self._between, 0)


def _stand_between(work: Callable[[], Iterator[Any]], pipe: Any) -> NoReturn:
    """The parent process of the copy, as far as that can see: ends as it does."""
    import signal  # noqa: PLC0415

    try:
        os.setsid()
        process = os.fork()
        if not process:
            _be_the_copy(work, pipe)
        pipe.close()
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_DFL)
        code = os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])
        if code >= 0:
            os._exit(code)
        with suppress(OSError, ValueError):
            signal.signal(-code, signal.SIG_DFL)
        os.kill(os.getpid(), -code)
    finally:
        os._exit(_FAILED)


def _be_the_copy(work: Callable[[], Iterator[Any]], pipe: Any) -> NoReturn:
    import signal  # noqa: PLC0415
    from threading import Thread  # noqa: PLC0415

    def late(_signal: int, frame: FrameType | None) -> None:
        places: list[CodePlace] = []
        while frame:
            places.append((frame.f_code.co_filename, frame.f_lineno))
            frame = frame.f_back
        pipe.send((places[::-1], None))
        os._exit(_FAILED)

    def end_with_parent() -> None:
        with suppress(EOFError, OSError):
            pipe.recv()
        os.killpg(0, signal.SIGKILL)

    from pickle import dumps, loads  # noqa: PLC0415

    _HELD.extend((sys.stdout, sys.__stdout__))
    itself = os.getpid()
    try:
        os.setsid()
        pipe.send(itself)
        nowhere = os.open(os.devnull, os.O_RDONLY)
        os.dup2(nowhere, 0)
        os.dup2(2, 1)
        sys.stdout = sys.__stdout__ = sys.stderr  # type: ignore[assignment,misc]
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_DFL)
        Thread(target=end_with_parent, daemon=True).start()
        signal.signal(signal.SIGALRM, late)
        for told in work():
            if os.getpid() != itself:  # A copy that was made over there, and ran on: only one may tell.
                break
            loads(dumps(told))  # Whatever it does where it is put together again, it does here first.
            signal.signal(signal.SIGALRM, signal.SIG_IGN)  # Nothing comes between the halves of a message.
            pipe.send(([], told))
            signal.signal(signal.SIGALRM, late)
        os._exit(0)
    except BaseException:
        import traceback  # noqa: PLC0415

        traceback.print_exc()
    finally:
        os._exit(_FAILED)
