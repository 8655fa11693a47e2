"""Plans damaged at random, for a bounded time: whatever comes, the answer is clear and all reports can tell it.

``PLANLINT_FUZZ_SECONDS`` makes it longer than the usual few seconds.
"""

from __future__ import annotations

import json
import os
import random
import re
import resource
from collections.abc import Iterator
from pathlib import Path
from time import monotonic, process_time
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.budget.allowance import Budget
from planlint.collection.inspection_record import inspection_of, record_of
from planlint.collection.worker import inspect_within_budget
from planlint.collection.worker_task import Task
from planlint.inspection.inspection_result import Inspection
from planlint.model.workshop import Settings
from planlint.reports.json_report import JsonReport
from planlint.reports.junit_report import JunitReport
from planlint.reports.markdown_report import MarkdownReport
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Tally

SECONDS = float(os.environ.get("PLANLINT_FUZZ_SECONDS", "5"))
PLANS = [
    path.read_bytes() for path in sorted((Path(__file__).parent.parent / "planlint/demo").glob("*.plan"))
]
SMALL = Settings(most_items=300)
BUDGET = Budget(20, 2000)
SCRAPS = [
    b"0", b"-1", b"1/0", b"999999999999", b"1e9", b"1" * 400, b"{", b"}", b"(", b")", b'"', b"'", b"#", b",",
    b"..", b"\t", b"\r\n", b"\n\n", b" " * 40, b"for n in 1 to 9\n    ", b"use \"a.plan\"\n", b"assembly a\n    ",
    b"place a as b\n", b"turned 90 about vertical", b"left end cut 45, long at top", b"accept all on rail",
    b"\xc3\xa9", b"\xf0\x9f\x98\x80", b"\xff", b"\x00", b"\x1b[0m", b"pockets every 0 from 0 in back",
    b"mm", b"ft", b"upright", b"as mortise and tenon, tenon 1 long", b"min(1, )", b"_", b"a.b.c", b"flush top",
]  # fmt: skip


def damaged(plan: bytes, chance: random.Random) -> bytes:
    """A plan after a few accidents."""
    for _ in range(chance.choice((1, 1, 2, 3, 10))):
        at, to = sorted((chance.randrange(len(plan) + 1), chance.randrange(len(plan) + 1)))
        match chance.randrange(7):
            case 0:
                plan = plan[:at] + chance.choice(SCRAPS) + plan[at:]
            case 1:
                plan = plan[:at] + plan[min(to, at + 30) :]
            case 2:
                plan = plan[:at] + bytes([chance.randrange(256)]) + plan[at + 1 :]
            case 3:
                lines = plan.split(b"\n")
                chance.shuffle(lines)
                plan = b"\n".join(lines)
            case 4:
                lines = plan.split(b"\n")
                line = chance.randrange(len(lines))
                lines[line:line] = chance.choice(PLANS).split(b"\n")[: chance.randrange(30)]
                plan = b"\n".join(lines)
            case 5:
                words = plan.split(b" ")
                words[chance.randrange(len(words))] = chance.choice(SCRAPS + words)
                plan = b" ".join(words)
            case _:
                plan = plan[:at] + plan[at : min(to, at + 200)] * 2 + plan[min(to, at + 200) :]
    return plan


VALUES = [
    b"0", b"1/64", b"1", b"3/4", b"7-1/2", b"23", b"180", b"1000", b"12000", b"99999999", b"1/3", b"0.001", b"5 mm",
    b"2 m", b"40 ft", b"90", b"45", b"-3/4",
]  # fmt: skip
SIDES = [b"left", b"right", b"front", b"back", b"bottom", b"top"]


def revalued(plan: bytes, chance: random.Random) -> bytes:
    """A plan that is spelt as well as it was, with other numbers, units and sides in a few places."""
    for _ in range(chance.choice((1, 1, 2, 4))):
        which, instead = chance.choice(
            (
                (rb"(?<![\w./-])\d+(?:-\d+/\d+|/\d+|\.\d+)?(?![\w./])", VALUES),
                (rb"\b(?:" + b"|".join(SIDES) + rb")\b", SIDES),
            )
        )
        places = list(re.finditer(which, plan))
        if places:
            place = chance.choice(places)
            plan = plan[: place.start()] + chance.choice(instead) + plan[place.end() :]
    return plan


MOST_SECONDS, MOST_REPORT, MOST_MEMORY = 20.0, 1_000_000, 300_000
"""What one plan may take of the processor, characters that any report may come to, and kilobytes that all plans of a
run may add to what this process takes."""


def check(data: bytes) -> Inspection:
    """One plan, from its bytes to every report."""
    start = process_time()
    inspection = inspect_within_budget(Task("a.plan", data, SMALL, BUDGET))
    assert process_time() - start < MOST_SECONDS
    assert not inspection.crashed, inspection.crashed
    length = len(inspection.source.text)
    for span in (
        *(each.span for each in inspection.findings),
        *(each.span for each in inspection.accepted),
        *(each.span for each in inspection.unread),
    ):
        assert 0 <= span.start <= span.end <= length
    back = inspection_of(json.loads(json.dumps(record_of(inspection))), "a.plan", data)
    assert back.findings == inspection.findings
    assert back.unread == inspection.unread
    tally = Tally()
    tally.add(inspection)
    for make, reads in (
        (JsonReport, json.loads),
        (SarifReport, json.loads),
        (JunitReport, ElementTree.fromstring),
        (MarkdownReport, str),
    ):
        words: list[str] = []
        report = make(words.append)
        report.add("a.plan", inspection)
        report.end(tally)
        whole = "".join(words)
        assert len(whole) < MOST_REPORT, len(whole)
        reads(whole)
    return inspection


def test_damaged_plans() -> None:
    seed = random.SystemRandom().randrange(2**32)
    chance = random.Random(seed)
    end = monotonic() + SECONDS
    tried, before = 0, _most_memory()
    while monotonic() < end:
        data = (revalued if tried % 2 else damaged)(chance.choice(PLANS), chance)
        try:
            check(data)
        except BaseException as problem:
            pytest.fail(f"{problem!r} for the plan (seed {seed}):\n{data!r}")
        tried += 1
    assert tried
    assert _most_memory() - before < MOST_MEMORY


def _most_memory() -> int:
    """The most that this process ever took, in kilobytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def pieces() -> Iterator[bytes]:
    for plan in PLANS:
        yield from plan.split(b"\n")


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([*pieces(), *SCRAPS]), max_size=30), st.booleans())
def test_lines_of_other_plans(lines: list[bytes], ends: bool) -> None:
    check((b"\r\n" if ends else b"\n").join(lines))


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    check(data)
