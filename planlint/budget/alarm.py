"""What a plan may take, once it is spent: time, by an alarm that takes a check away; memory, by what little is left."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from math import inf
from time import monotonic
from types import FrameType
from typing import NoReturn

_LITTLE = 10_000_000
"""Bytes of memory left at which any failure is put down to that. Basis: the largest library that is loaded on the way
takes half of them."""
_LEAST = 0.001
"""Seconds: an alarm at 0 would be none."""


class TimeSpent(BaseException):
    """The time is over. Not an ``Exception``: no check may catch it. The message may say where it came."""


@contextmanager
def alarm(seconds: float) -> Iterator[bool]:
    """Raise ``TimeSpent`` in what runs inside when its time is over; gives whether that is so.

    Only POSIX systems have alarms, and only the main thread hears them. One inside another: the outer one holds too.
    """
    import signal  # noqa: PLC0415

    def over(_signal: int, _frame: FrameType | None) -> NoReturn:
        raise TimeSpent

    try:
        before = signal.signal(signal.SIGALRM, over)
    except (AttributeError, ValueError):
        yield False
        return
    start = monotonic()
    outer, _ = signal.getitimer(signal.ITIMER_REAL)
    signal.setitimer(signal.ITIMER_REAL, max(_LEAST, min(seconds, outer) if outer else seconds))
    try:
        yield True
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
        if outer:
            signal.setitimer(signal.ITIMER_REAL, max(_LEAST, outer - (monotonic() - start)))


class Stopwatch:
    """Time for work that goes on in stretches: what lies between them does not count."""

    def __init__(self, seconds: float) -> None:
        """Without end where ``seconds`` is ``inf``."""
        self.left = seconds

    @contextmanager
    def running(self) -> Iterator[None]:
        """Raises ``TimeSpent`` in what runs inside when no time is left."""
        if self.left == inf:
            yield
            return
        start = monotonic()
        try:
            with alarm(max(self.left, _LEAST)):
                yield
        finally:
            self.left -= monotonic() - start


def memory_ran_out(problem: BaseException) -> bool:
    """Whether a lack of memory is behind a failure: it shows itself in a library that cannot be loaded, too, or in
    whatever fails when next to nothing is left.
    """
    return _shows_lack(problem) or _memory_left() < _LITTLE


def _shows_lack(problem: BaseException | None) -> bool:
    for _ in range(10):  # What it came from, and what that came from.
        if problem is None:
            return False
        if isinstance(problem, MemoryError) or getattr(problem, "errno", None) == errno.ENOMEM:
            return True
        if isinstance(problem, ImportError) and "failed to map" in str(problem):
            return True
        problem = problem.__cause__ or problem.__context__
    return False


def _memory_left() -> float:
    """Bytes that this process may still ask for; infinite where nobody limits them, or the system does not tell."""
    try:
        import resource  # noqa: PLC0415

        most, _ = resource.getrlimit(resource.RLIMIT_AS)
    except (ImportError, OSError, AttributeError):
        return float("inf")
    used = address_space()
    return most - used if used and most != resource.RLIM_INFINITY else float("inf")


def address_space() -> int:
    """Bytes of address space that this process has now; 0 where the system does not tell."""
    try:
        with open("/proc/self/statm", "rb") as file:  # noqa: PTH123 - once for each plan
            return int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, AttributeError):
        return 0
