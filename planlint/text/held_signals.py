"""Signals that would end the program, held back while it must not be disturbed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed() -> Iterator[None]:
    """Such signals wait until this is over. A process that is started meanwhile is born with them held back."""
    import signal  # noqa: PLC0415 - a run that starts no process and writes no file needs none of this

    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    held = {signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT}
    was = signal.pthread_sigmask(signal.SIG_BLOCK, held)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, was)


def leave_interrupts_to_parent() -> None:
    """For a process that was born ``undisturbed``: Ctrl-C is its parent's, and other signals reach it again."""
    import signal  # noqa: PLC0415

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_SETMASK, ())
