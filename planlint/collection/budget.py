"""The time and the memory that one plan may take, held against the plan's will.

The checks look at the clock themselves. Where one of them does not come back, an alarm takes the plan away from it
(POSIX systems, main thread), and in a worker process that does not even listen to an alarm a watchdog ends the process.
Memory is limited where the system tells how much a process has (Linux); elsewhere the size of a plan is the limit.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import NamedTuple, NoReturn

GRACE = 1.1
"""How much longer than its time a plan has before it is taken away. Basis: our own judgement."""


class Budget(NamedTuple):
    """What one plan may take. Basis of both numbers: our own judgement; 10,000 parts need far less."""

    seconds: float = 60.0
    megabytes: int = 2000


DEFAULT_BUDGET = Budget()


class TimeSpent(BaseException):
    """The plan's time is over. Not an ``Exception``: no check may catch it."""


@contextmanager
def within(budget: Budget) -> Iterator[None]:
    """Hold what runs inside to a budget: ``TimeSpent`` or ``MemoryError`` where it is spent.

    Both limits are the whole process's, so they are set in its main thread only.
    """
    import signal  # noqa: PLC0415

    def over(_signal: int, _frame: FrameType | None) -> NoReturn:
        raise TimeSpent

    try:
        before = signal.signal(signal.SIGALRM, over)
    except (AttributeError, ValueError):  # A system without alarms, or not the main thread.
        yield
        return
    signal.setitimer(signal.ITIMER_REAL, budget.seconds * GRACE)
    try:
        with _memory(budget.megabytes):
            yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@contextmanager
def _memory(megabytes: int) -> Iterator[None]:
    now = _address_space()
    if not now:
        yield
        return
    import resource  # noqa: PLC0415 - only where there is one

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = now + megabytes * 1_000_000
    limits = [limit for limit in (wanted, soft, hard) if limit != resource.RLIM_INFINITY]
    resource.setrlimit(resource.RLIMIT_AS, (min(limits), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _address_space() -> int:
    """Bytes of address space that this process has now; 0 where the system does not tell."""
    try:
        with open("/proc/self/statm", "rb") as file:  # noqa: PTH123 - once for each plan
            return int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, AttributeError):
        return 0
