"""Worker processes of our own, that never take a run with them and never outlive it.

One pipe to each process, and no thread between: what was said is heard whenever somebody asks for a result. A process
that is gone, whenever and however, shows itself by the end of its pipe, and is waited for before another is started.
"""

from __future__ import annotations

import sys
from collections import deque
from concurrent.futures import Future
from multiprocessing import get_context
from multiprocessing.connection import wait
from pickle import UnpicklingError
from warnings import catch_warnings, simplefilter

from planlint.collection.inspection_record import Record
from planlint.collection.worker import work
from planlint.collection.worker_task import Task, lost
from planlint.text.held_signals import undisturbed
from planlint.text.os_error_words import refused_by_system

_ENDED = (
    "inspecting this plan ended the process that did it, by time or memory: it was not inspected. "
    "Divide the plan into smaller ones, or allow more by --most-seconds or --most-memory."
)
_ENDED_FIRST = (
    "the process that inspected this plan and others was ended, and no other could be started ({}): "
    "it was not inspected. With --workers 1 none is needed."
)
_TRIES = 3
"""Processes that end while they start, one after the other, before no more are started. Basis: our own judgement."""
_FAREWELL = 5.0
"""Seconds to wait for a process that was killed. Basis: our own judgement; a few milliseconds are usual."""


class _ProcessGone(Exception):  # noqa: N818 - says what happened
    """The process that was at a batch is gone."""


class NotStarted(Exception):  # noqa: N818 - likewise
    """No process could be started; the message says what came of the last."""


class Batch(Future[list[Record]]):
    """Plans that are waiting or at work. Asking whether they are done hears what the processes have said."""

    def __init__(self, pool: Pool, tasks: list[Task]) -> None:
        super().__init__()
        self.tasks = tasks
        self._pool = pool

    def done(self) -> bool:
        if not super().done():
            self._pool.hear(0)
        return super().done()

    def exception(self, timeout: float | None = None) -> BaseException | None:
        self._wait()
        return super().exception(timeout)

    def result(self, timeout: float | None = None) -> list[Record]:
        self._wait()
        return super().result(timeout)

    def _wait(self) -> None:
        while not super().done():
            self._pool.hear(None)


class _Worker:
    """A process, and our end of the pipe to it. Raises ``OSError`` where none can be started."""

    def __init__(self) -> None:
        # Started afresh, not a copy of this one: the same on every system, and safe beside threads.
        context = get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=work, args=(theirs,), daemon=True)
        self.ready = False
        self.batch: Batch | None = None
        try:
            with catch_warnings():
                simplefilter("ignore")  # Of a helper of the library that was killed too: it starts another.
                _start_library_helper()
                # Else an interrupt shows from each of them where its start was.
                with undisturbed():
                    self.process.start()
        except BaseException:
            self.pipe.close()
            raise
        finally:
            theirs.close()

    def end(self) -> str:
        """See that the process is gone; gives how it ended."""
        self.pipe.close()
        self.process.kill()
        self.process.join(_FAREWELL)
        code = self.process.exitcode
        return f"signal {-code}" if code is not None and code < 0 else f"status {code}"


def _start_library_helper() -> None:
    """Else it starts with the first process, and lets all signals through to that."""
    if sys.platform != "win32":
        from multiprocessing.resource_tracker import ensure_running  # noqa: PLC0415

        ensure_running()


class Pool:
    """So many processes at most, started as they are needed."""

    def __init__(self, workers: int) -> None:
        self._most = workers
        self._workers: list[_Worker] = []
        self._waiting: deque[Batch] = deque()
        self._not_started = 0
        self._why = ""

    def submit(self, tasks: list[Task]) -> Batch:
        batch = Batch(self, tasks)
        self._waiting.append(batch)
        self.hear(0)
        return batch

    def result(self, batch: Future[list[Record]], number: int, task: Task) -> Record:
        """A plan's record out of its batch; ``task`` is tried once more, alone, where the batch was lost.

        Raises ``NotStarted`` for a plan that came to no process.
        """
        try:
            return batch.result()[number]
        except _ProcessGone:  # One plan did it, and must not take the others along.
            pass
        try:
            alone = Batch(self, [task])
            self._waiting.appendleft(alone)
            return alone.result()[0]
        except NotStarted as problem:  # It may be the one that ends processes, and must not end this one.
            return lost(task.called, _ENDED_FIRST.format(problem))
        except _ProcessGone:
            return lost(task.called, _ENDED)

    def hear(self, seconds: float | None) -> None:
        """Take what the processes have said, or wait so long for it (``None``: however long), and hand out work."""
        self._hand_out()
        by_pipe = {worker.pipe: worker for worker in self._workers}
        for pipe in wait(list(by_pipe), seconds) if by_pipe else ():
            self._listen(by_pipe[pipe])  # type: ignore[index]
        self._hand_out()

    def end(self) -> None:
        """Everything is done, or the run is broken off: end the processes whatever they are at."""
        while self._workers:
            self._workers.pop().end()

    def _listen(self, worker: _Worker) -> None:
        try:
            records = worker.pipe.recv()
        except (EOFError, OSError, UnpicklingError):
            self._lose(worker)
            return
        if not worker.ready:
            worker.ready, self._not_started = True, 0
        elif worker.batch:
            batch, worker.batch = worker.batch, None
            batch.set_result(records)

    def _lose(self, worker: _Worker) -> None:
        self._workers.remove(worker)
        how = worker.end()
        if not worker.ready:
            self._fail(f"it ended while it started, with {how}")
        if worker.batch:
            worker.batch.set_exception(_ProcessGone())

    def _fail(self, why: str) -> None:
        self._not_started += 1
        self._why = why

    def _hand_out(self) -> None:
        while self._waiting:
            idle = next((each for each in self._workers if each.ready and not each.batch), None)
            if idle is None:
                break
            batch = self._waiting.popleft()
            try:
                idle.pipe.send(batch.tasks)
            except OSError:  # It ended while it had nothing to do.
                self._waiting.appendleft(batch)
                self._lose(idle)
                continue
            idle.batch = batch
        starting = sum(not each.ready for each in self._workers)
        while (
            len(self._waiting) > starting and len(self._workers) < self._most and self._not_started < _TRIES
        ):
            try:
                self._workers.append(_Worker())
                starting += 1
            except OSError as problem:
                self._fail(refused_by_system(problem))
        if not self._workers:
            while self._waiting:
                self._waiting.popleft().set_exception(NotStarted(self._why))
