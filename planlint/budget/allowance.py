"""The time and the memory that one plan may take, held against the plan's will.

The checks look at the clock themselves. Where one of them does not come back, an alarm takes the plan away from it
(POSIX systems, main thread), and in a worker process that does not even listen to an alarm a watchdog ends the process.
Memory is limited where the system tells how much a process has (Linux); elsewhere the size of a plan is the limit.
"""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import NamedTuple

from planlint.budget.alarm import address_space, alarm, memory_ran_out

GRACE = 1.1
"""How much longer than its time a plan has before it is taken away. Basis: our own judgement."""


class Budget(NamedTuple):
    """What one plan may take. Basis of both numbers: our own judgement; 10,000 parts need far less."""

    seconds: float = 60.0
    megabytes: int = 2000


DEFAULT_BUDGET = Budget()


@contextmanager
def within(budget: Budget) -> Iterator[None]:
    """Hold what runs inside to a budget: ``TimeSpent`` or ``MemoryError`` where it is spent.

    Both limits are the whole process's, so they are set in its main thread only.
    """
    with alarm(budget.seconds * GRACE) as rings, _memory(budget.megabytes) if rings else nullcontext():
        yield


@contextmanager
def _memory(megabytes: int) -> Iterator[None]:
    now = address_space()
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
    except Exception as problem:
        if memory_ran_out(problem):  # To be seen only as long as the limit holds.
            raise MemoryError from problem
        raise
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
