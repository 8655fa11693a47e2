"""What a worker does: a batch of plans in, their records out. Runs in any executor, here or on another machine."""

from __future__ import annotations

import gc
from _thread import allocate_lock
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from planlint.budget.alarm import TimeSpent
from planlint.budget.allowance import GRACE, Budget, within
from planlint.collection.failing_rules import Dropped, rules_off, with_dropped
from planlint.collection.inspection_record import Record, record_of
from planlint.collection.worker_task import Task, troubled
from planlint.findings.finding import Finding, Repair
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, Trouble, our_fault, refused
from planlint.inspection.plan_files import Refused, decoded
from planlint.text.held_signals import leave_interrupts_to_parent
from planlint.text.source import PlanText

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

_ONE_AT_A_TIME = allocate_lock()
"""The parser has a state, and threads gain nothing here: processes do."""


def inspect_batch(tasks: Sequence[Task]) -> list[Record]:
    """The records of some plans, in their order. Never raises for a plan."""
    dropped: Dropped = {}
    with _ONE_AT_A_TIME:
        return [record_of(inspect_within_budget(task, dropped)) for task in tasks]


def inspect_within_budget(task: Task, dropped: Dropped | None = None) -> Inspection:
    """One plan, taken away from us where it takes too long or too much.

    Own rules that failed in the run until now are left out; those that fail here are put to them.
    """
    dropped = {} if dropped is None else dropped
    inspection = _within_budget(task._replace(settings=rules_off(task.settings, dropped)))
    return with_dropped(inspection, task.settings, dropped)


def _within_budget(task: Task) -> Inspection:
    read: PlanText | Refused | None = None
    try:
        with within(task.budget):
            read = decoded(task.called, task.data)
            if isinstance(read, Refused):
                return refused(*read)
            inspection = inspect_text(read, task.settings, task.budget.seconds)
        return _with_fixes(inspection, task) if task.fixes else inspection
    except TimeSpent:
        trouble = Trouble("time", out_of("time", task.budget))
    except MemoryError:
        trouble = Trouble("memory", out_of("memory", task.budget))
    except Exception as problem:
        trouble = our_fault("inspecting", problem)
    return troubled(task.called, trouble, read if isinstance(read, PlanText) else None)


def _with_fixes(inspection: Inspection, task: Task) -> Inspection:
    """The inspection with repairs that were proved, each alone; as many as are found in the time of one plan."""
    if not inspection.findings or not inspection.whole:
        return inspection
    from planlint.repairs.mending import right_alone  # noqa: PLC0415 - only where a report has a place for them

    proved: dict[Finding, Repair] = {}
    with suppress(TimeSpent, Exception), within(task.budget):
        for change in right_alone(inspection, task.settings):
            proved.update(dict.fromkeys(change.findings, change.repair))
    return replace(
        inspection, proved=tuple((each, proved[each]) for each in inspection.findings if each in proved)
    )


def out_of(what: str, budget: Budget) -> str:
    """How a spent budget is told."""
    much = f"{budget.seconds:g} seconds" if what == "time" else f"{budget.megabytes} MB"
    return (
        f"the {what} that one plan may take ({much}) ran out before it was inspected. "
        f"Divide the plan into smaller ones, or allow more by --most-{'seconds' if what == 'time' else 'memory'}."
    )


# ---------------------------------------------------------------- our own worker processes


def work(pipe: Connection) -> None:
    """A process of ours, from its start to its end: says ``None`` when it is ready, then records for each batch."""
    import os  # noqa: PLC0415

    _settle_in()
    dropped: Dropped = {}
    try:
        pipe.send(None)
        while True:
            pipe.send(_inspect_watched(pipe.recv(), dropped))
    except (EOFError, OSError):  # Nobody is there any more.
        pass
    except Exception:  # Whatever it is, the plans of this batch are tried once more, each alone.
        os._exit(1)


def _settle_in() -> None:
    """Make a process ready for work: it leaves Ctrl-C to its parent and ends when that does, however it ends."""
    import os  # noqa: PLC0415
    import threading  # noqa: PLC0415
    from multiprocessing import parent_process  # noqa: PLC0415

    leave_interrupts_to_parent()
    gc.set_threshold(200_000, 20, 20)
    os.dup2(2, 1)  # The report is written elsewhere: what anybody prints here is none of it.
    parent = parent_process()
    if parent:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    import os  # noqa: PLC0415
    from multiprocessing.connection import wait  # noqa: PLC0415

    wait([sentinel])
    os._exit(1)


def _inspect_watched(tasks: Sequence[Task], dropped: Dropped) -> list[Record]:
    """``inspect_batch`` in a process of ours: it ends, without a word, where a plan does not even heed the alarm."""
    import faulthandler  # noqa: PLC0415
    import os  # noqa: PLC0415

    records = []
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123
        for task in tasks:
            most = task.budget.seconds * GRACE * GRACE * (2 if task.fixes else 1) + 1
            faulthandler.dump_traceback_later(most, exit=True, file=nowhere)
            try:
                records.append(record_of(inspect_within_budget(task, dropped)))
            finally:
                faulthandler.cancel_dump_traceback_later()
    return records
