"""A collection through the checks: remembered plans at once, the others divided among workers, all in their order.

Plans are read here and sent out with everything they need, a few batches at a time, so that memory does not grow with
the collection and a worker may sit on another machine.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planlint.budget.allowance import DEFAULT_BUDGET, Budget
from planlint.collection.discovery import Found
from planlint.collection.inspection_record import Record, inspection_of, record_of
from planlint.collection.known_results import Desk
from planlint.collection.worker_task import Task, lost
from planlint.inspection.inspection_result import Inspection, refused
from planlint.inspection.plan_files import Refused
from planlint.model.workshop import Settings

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

    from planlint.collection.failing_rules import Dropped
    from planlint.collection.result_cache import Cache
    from planlint.collection.worker_pool import Pool

FEW = 20
"""Plans that one process inspects before another one could have started. Basis: measured, 10 ms a plan."""
_BATCH_PLANS = 32
_BATCH_BYTES = 64_000
"""What is sent out at once: enough that sending costs nothing, little enough that no worker waits at the end."""
_ALONE = "no process could be started to share the work ({}): the plans are inspected one after the other"
_MOST_WAITING = 2000
"""Plans held back because one before them is not done yet."""


@dataclass(frozen=True)
class RunWay:
    """How a collection is inspected: none of it changes a result."""

    settings: Callable[[str], Settings] = lambda _: Settings()
    """The settings for a plan, by its path: the same for all plans of a folder."""
    budget: Budget = DEFAULT_BUDGET
    fixes: bool = False
    """Whether to look for repairs of the text too (``Inspection.proved``)."""
    workers: int = 1
    executor: Executor | None = None
    """Somebody's engine to run on, instead of processes of our own."""
    cache: Cache | None = None
    tell: Callable[[str], None] = lambda _: None
    """Takes what there is to say about the run itself."""


@dataclass(slots=True, eq=False)
class _Slot:
    """A plan's place in the order of the report."""

    name: str
    inspection: Inspection | None = None
    task: Task | None = None
    key: str | None = None
    future: Future[list[Record]] | None = None
    number: int = 0
    """In the batch of the future."""


def inspect_found(
    found: Iterable[Found | Refused], way: RunWay, called: Callable[[Found], str] = lambda found: found.path
) -> Generator[tuple[str, Inspection], None, None]:
    """Inspect plans in their order; each with its name from the root. Never raises for a plan.

    ``called`` gives the path under which an inspection tells a plan.
    """
    desk = Desk(way.settings, way.budget, way.cache, fixes=way.fixes)
    line = _Queue(way)
    try:
        for each in found:
            name = each.name or each.path
            told = refused(*each) if isinstance(each, Refused) else desk.look(each.path, called(each))
            if isinstance(told, Inspection) and not line.slots:
                yield name, told  # Most plans of a collection that has not changed.
            else:
                line.add(name, told)
                yield from line.ready(_MOST_WAITING)
        line.send()
        yield from line.ready(0)
    finally:
        line.end()


class _Queue:
    """Plans on their way, in the order in which they will be told."""

    def __init__(self, way: RunWay) -> None:
        self.way = way
        self.slots: deque[_Slot] = deque()
        self.unsent: list[_Slot] = []
        self.in_flight: deque[Future[list[Record]]] = deque()
        self.pool: Pool | None = None
        self.dropped: Dropped = {}
        self.alone = False
        """Whether it was told that no process could be started."""

    def add(self, name: str, told: Inspection | tuple[Task, str | None]) -> None:
        """A plan behind all others: its inspection, or its task and the key that the result is kept by."""
        if isinstance(told, Inspection):
            self.slots.append(_Slot(name, told))
            return
        slot = _Slot(name, None, *told)
        self.slots.append(slot)
        self.unsent.append(slot)
        if self._parallel(len(self.unsent)):
            self._send_batches(whole=False)

    def _parallel(self, waiting: int) -> bool:
        if self.way.executor or self.pool:
            return True
        return self.way.workers > 1 and waiting > FEW

    def send(self) -> None:
        """Send out what is left; few plans are inspected here."""
        if self._parallel(len(self.unsent)):
            self._send_batches(whole=True)

    def _send_batches(self, *, whole: bool) -> None:
        while self.unsent:
            batch: list[_Slot] = []
            size = 0
            for slot in self.unsent:
                batch.append(slot)
                size += len(slot.task.data) if slot.task else 0
                if len(batch) == _BATCH_PLANS or size >= _BATCH_BYTES:
                    break
            else:
                if not whole:
                    return
            del self.unsent[: len(batch)]
            self._make_room()
            future = self._submit([slot.task for slot in batch if slot.task])
            for number, slot in enumerate(batch):
                slot.future, slot.number = future, number
            self.in_flight.append(future)

    def _submit(self, tasks: list[Task]) -> Future[list[Record]]:
        if self.way.executor:
            from planlint.collection.worker import inspect_batch  # noqa: PLC0415 - an unchanged collection needs none

            return self.way.executor.submit(inspect_batch, tasks)
        if not self.pool:
            from planlint.collection.worker_pool import Pool  # noqa: PLC0415 - only where it pays

            self.pool = Pool(self.way.workers)
        return self.pool.submit(tasks)

    def _make_room(self) -> None:
        """Wait until only so many batches are out that every worker has one to do and one to come."""
        most = (
            2 * max(self.way.workers, 1) + 2 if not self.way.executor else max(64, 4 * (os.cpu_count() or 1))
        )
        while len(self.in_flight) >= most:
            future = self.in_flight.popleft()
            if not future.done():
                _ = future.exception()

    def ready(self, may_wait: int) -> Iterator[tuple[str, Inspection]]:
        """What can be told: all that is done at the head of the line, and more where too much waits behind it."""
        while self.slots:
            slot = self.slots[0]
            if not slot.inspection:
                done = slot.future.done() if slot.future else self.way.workers == 1 and not self.way.executor
                if not done and len(self.slots) <= may_wait:
                    return
                if not slot.future:
                    self.unsent.remove(slot)
            self.slots.popleft()
            yield slot.name, self._told(slot)

    def _told(self, slot: _Slot) -> Inspection:
        if slot.inspection:
            return slot.inspection
        task = slot.task
        assert task
        record = self._result(slot.future, slot.number, task) if slot.future else None
        if record:
            inspection = inspection_of(record, task.called, task.data)
        else:
            from planlint.collection.worker import inspect_within_budget  # noqa: PLC0415 - likewise

            inspection = inspect_within_budget(task, self.dropped)
        if self.way.cache and slot.key:
            self.way.cache.keep(slot.key, record or record_of(inspection))
        return inspection

    def _result(self, future: Future[list[Record]], number: int, task: Task) -> Record | None:
        """``None`` where no process could be started: then a plan is inspected here."""
        if self.pool:
            from planlint.collection.worker_pool import NotStarted  # noqa: PLC0415 - likewise

            try:
                return self.pool.result(future, number, task)
            except NotStarted as problem:
                if not self.alone:
                    self.alone = True
                    self.way.tell(_ALONE.format(problem))
                return None
        try:
            return future.result()[number]
        except Exception as problem:
            says = f"the engine that the plans run on failed ({type(problem).__name__}): this one was not inspected"
            return lost(task.called, says)

    def end(self) -> None:
        """Leave no process behind."""
        if self.pool:
            self.pool.end()
            self.pool = None
