"""Worker processes of our own, that never take a run with them and never outlive it."""

from __future__ import annotations

from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children, get_context

from planlint.collection.inspection_record import Record
from planlint.collection.worker import inspect_watched, start_worker
from planlint.collection.worker_task import Task, lost

_ENDED = (
    "inspecting this plan ended the process that did it, by time or memory: it was not inspected. "
    "Divide the plan into smaller ones, or allow more by --most-seconds or --most-memory."
)


class Pool:
    """Processes started afresh (not copies of this one): the same on every system, and safe beside threads."""

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._others = {child.pid for child in active_children()}
        self._executor = _executor(workers)
        self._single: ProcessPoolExecutor | None = None
        """For plans that were under way when a process ended: one of them did it, and must not take others along."""

    def submit(self, tasks: list[Task]) -> Future[list[Record]]:
        try:
            return self._executor.submit(inspect_watched, tasks)
        except BrokenProcessPool:
            self._executor.shutdown(wait=False)
            self._executor = _executor(self._workers)
            return self._executor.submit(inspect_watched, tasks)

    def result(self, future: Future[list[Record]], number: int, task: Task) -> Record:
        """A plan's record out of its batch; ``task`` is tried once more, alone, where the batch was lost."""
        try:
            return future.result()[number]
        except BrokenProcessPool:
            return self._alone(task)

    def _alone(self, task: Task) -> Record:
        if self._single is None:
            self._single = _executor(1)
        try:
            return self._single.submit(inspect_watched, [task]).result()[0]
        except BrokenProcessPool:
            self._single.shutdown(wait=False)
            self._single = None
            return lost(task.called, _ENDED)

    def close(self) -> None:
        """Everything is done: let the processes end."""
        self._executor.shutdown()
        if self._single:
            self._single.shutdown()

    def kill(self) -> None:
        """The run is broken off: end the processes whatever they are at."""
        watching = []
        for executor in filter(None, (self._executor, self._single)):
            watching.append(getattr(executor, "_executor_manager_thread", None))
            executor.shutdown(wait=False, cancel_futures=True)
        for child in active_children():
            if child.pid not in self._others:
                child.kill()
        # Left to the end of the program, it may be told to wake up just when it has closed its ears: a traceback.
        for thread in filter(None, watching):
            thread.join(_FAREWELL)


_FAREWELL = 2.0
"""Seconds for a thread to see that its processes are gone. Basis: our own judgement; a few milliseconds are usual."""


def _executor(workers: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=start_worker)
