"""A part of a collection for each of several machines, and their reports joined to one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest
from typing import Any, NamedTuple, TypeVar

from planlint.inspection.inspection_result import Trouble

_Each = TypeVar("_Each")
_Report = dict[str, Any]
"""A report as JSON has it."""


class Shard(NamedTuple):
    """The ``number``-th (from 1) of ``of`` parts."""

    number: int
    of: int

    @classmethod
    def read(cls, words: str) -> Shard:
        """``2/5``. Raises ``ValueError`` for anything else."""
        number, _, of = words.partition("/")
        if not (number.isdecimal() and of.isdecimal() and 1 <= int(number) <= int(of)):
            raise ValueError(f"{words!r} is no part of a whole; say 2/5 for the second of five")
        return cls(int(number), int(of))

    def of_all(self, found: Iterable[_Each]) -> Iterator[_Each]:
        """Every ``of``-th: so that big plans, which often lie side by side, are shared out."""
        return (each for place, each in enumerate(found) if place % self.of == self.number - 1)


class NotJoined(ValueError):  # noqa: N818 - says what happened
    """Reports do not belong together; the message says why."""


def join(reports: Sequence[_Report]) -> _Report:
    """The plans of several reports, ``unmatched``, ``touched``, ``unchecked`` and ``run``: shards in the order of the
    whole run, others behind one another. ``told`` says in what others differ.

    Raises ``NotJoined`` where shards were made with unlike things, or reports by unlike versions; where a shard is
    missing or there twice, and where a plan is told twice.
    """
    shards = [report.get("shard") for report in reports]
    run = dict(reports[0]["run"])
    unlike = [what for what in run if any(report["run"][what] != run[what] for report in reports)]
    if "version" in unlike or (unlike and any(shards)):
        what = unlike[0]
        each = dict.fromkeys(str(report["run"][what] or "none") for report in reports)
        raise NotJoined(f"the reports are of unlike {_UNLIKE[what]}: {', '.join(each)}")
    if any(shards):
        lists = _in_order(reports, shards)
        run["plans"] = None  # As in a run that was not divided.
        plans = [plan for row in zip_longest(*lists) for plan in row if plan is not None]
    else:
        plans = [plan for report in reports for plan in report["plans"]]
    seen: set[str] = set()
    for plan in plans:
        if plan["path"] in seen:
            raise NotJoined(f"the plan {plan['path']!r} is in two of the reports")
        seen.add(plan["path"])
    lists_of = {
        what: sorted({each for report in reports for each in report[what]})
        for what in ("unmatched", "touched")
    }
    told = [f"the reports are of unlike {_UNLIKE[what]}" for what in unlike]
    return {
        "plans": plans,
        "run": {**run, **{what: "" if what == "rule_pages" else None for what in unlike}},
        "told": told,
        "unchecked": _unchecked(reports),
        **lists_of,
    }


def _unchecked(reports: Sequence[_Report]) -> list[Trouble]:
    told = [(each["rule"], each["says"]) for report in reports for each in report["unchecked"]]
    return [Trouble(rule, says, (rule,)) for rule, says in dict.fromkeys(told)]


_UNLIKE = {
    "version": "versions",
    "settings": "settings",
    "ledger": "ledgers",
    "revision": "revisions",
    "plans": "plans, by their names or what is in them",
    "rule_pages": "rule pages",
}


def _in_order(reports: Sequence[_Report], shards: list[Any]) -> list[list[Any]]:
    if not all(shards):
        raise NotJoined("some of the reports are shards and others are not")
    of = {shard["of"] for shard in shards}
    if len(of) > 1:
        raise NotJoined(f"the shards are of different runs: of {' and of '.join(map(str, sorted(of)))}")
    by_number: dict[int, list[Any]] = {}
    for report, shard in zip(reports, shards, strict=True):
        if shard["number"] in by_number:
            raise NotJoined(f"shard {shard['number']} of {shard['of']} is there twice")
        by_number[shard["number"]] = report["plans"]
    whole = of.pop()
    missing = [str(number) for number in range(1, whole + 1) if number not in by_number]
    if missing:
        raise NotJoined(f"of {whole} shards these are missing: {', '.join(missing[:20])}")
    return [by_number[number] for number in range(1, whole + 1)]
