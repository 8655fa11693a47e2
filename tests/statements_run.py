"""Which statements each test runs: learnt once, kept, and asked by ``mutate.py``.

Each test runs until it has worked for ``LONG``, on modules that note each statement before they run it. What it ran is
kept in ``.mutants/reach.jsonl``, which may be copied to another checkout: lines that moved since are found again by
their text, and tests that came since are learnt when it is asked for again. Delete it to learn all anew.
"""

from __future__ import annotations

import argparse
import ast
import base64
import builtins
import difflib
import functools
import gc
import json
import os
import random
import resource
import signal
import subprocess
import sys
import traceback
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterable
from importlib.machinery import SourceFileLoader
from math import inf
from pathlib import Path
from time import process_time
from types import CodeType
from typing import NoReturn

import numpy as np
import pytest
from hypothesis import Phase, settings

ROOT = Path(__file__).parent.parent
KEPT = ROOT / ".mutants"
NOTED = "noted_statements"
RECORD = "tests/test_kept_record.py"
LONG = 1.5
"""Seconds of work after which a test is no help here."""
COLD = 20
"""One test of so many begins with nothing remembered, so that what is worked out once is seen too."""


def texts_now() -> dict[str, str]:
    every = sorted((ROOT / "planlint").rglob("*.py"))
    return {each.relative_to(ROOT).as_posix(): each.read_text(encoding="utf-8") for each in every}


def load_as(change: Callable[[str, str], ast.Module | str]) -> None:
    """From here on each module of planlint is loaded as ``change`` makes it of its path and text."""
    as_it_is = SourceFileLoader.get_code

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        file = Path(self.path)
        if not file.is_relative_to(ROOT / "planlint"):
            return as_it_is(self, fullname)
        changed = change(file.relative_to(ROOT).as_posix(), file.read_text(encoding="utf-8"))
        return compile(changed, self.path, "exec", dont_inherit=True)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]


def first_lines(texts: dict[str, str]) -> dict[str, int]:
    """The number of each module's first line, where the lines of all are numbered on."""
    found, number = {}, 0
    for path, text in texts.items():
        found[path] = number
        number += text.count("\n") + 2
    return {**found, "": number}


def noting(text: str, first: int) -> ast.Module:
    """A module that notes each statement of its functions before it runs it."""
    tree = ast.parse(text)
    for node in list(ast.walk(tree)):
        for field in ("body", "orelse", "finalbody"):
            block = getattr(node, field, None)
            if isinstance(block, list) and not isinstance(node, ast.Module | ast.ClassDef):
                setattr(
                    node, field, [new for each in block for new in (note(each, first + each.lineno), each)]
                )
    return ast.fix_missing_locations(tree)


def note(at: ast.stmt, number: int) -> ast.stmt:
    target = ast.Subscript(ast.Name(NOTED, ast.Load()), ast.Constant(number), ast.Store())
    return ast.copy_location(ast.Assign([target], ast.Constant(1)), at)


def ordered(tests: list[str]) -> list[str]:
    """The kept record first, then one of each function."""
    record = [each for each in tests if each.startswith(RECORD)]
    return [*record, *one_of_each([each for each in tests if not each.startswith(RECORD)])]


def one_of_each(tests: list[str]) -> list[str]:
    """Tests, one of each function first, then a second, in the order that they have."""
    rank: defaultdict[str, int] = defaultdict(int)
    ordered = []
    for each in tests:
        ordered.append((rank[each.partition("[")[0]], each))
        rank[each.partition("[")[0]] += 1
    return [each for _, each in sorted(ordered, key=lambda each: each[0])]


class Reached:
    """What ``--learn`` kept: sheets of texts, each followed by the tests that were learnt on them."""

    def __init__(self, kept: Path) -> None:
        self.sheets: list[tuple[dict[str, str], list[str], list[bytes]]] = []
        self.seconds: dict[str, float] = {}
        self.many: dict[str, int] = {}
        if kept.exists():
            for line in kept.read_text(encoding="utf-8").splitlines():
                self.take(json.loads(line))
        self.sheets = [sheet for sheet in self.sheets if sheet[2]]
        self.bits = [
            np.frombuffer(b"".join(rows), np.uint8).reshape(len(rows), -1) for _, _, rows in self.sheets
        ]

    def take(self, line: list[str | float]) -> None:
        head, *rest = line
        data = zlib.decompress(base64.b64decode(str(rest[-1])))
        if head == "texts":
            self.sheets.append((json.loads(data), [], []))
            return
        _, tests, rows = self.sheets[-1]
        self.seconds[str(head)] = float(rest[0])
        if data:
            noted = np.frombuffer(data, np.uint8)
            self.many[str(head)] = int(noted.sum())
            tests.append(str(head))
            rows.append(np.packbits(noted).tobytes())

    def by(self, statements: Iterable[tuple[str, int]], now: dict[str, str]) -> list[str]:
        """The tests that run one of these statements, as they stand now."""
        found: list[str] = []
        wanted = list(statements)
        for (texts, tests, _), bits in zip(self.sheets, self.bits, strict=True):
            first = first_lines(texts)
            numbers = [
                first[path] + then(texts[path], now[path], line) for path, line in wanted if path in texts
            ]
            if tests and numbers:
                at = np.array(numbers)
                hit = (bits[:, at >> 3] >> (7 - (at & 7)) & 1).any(axis=1)
                found += [tests[row] for row in np.flatnonzero(hit)]
        return found


@functools.cache
def same_lines(old: str, new: str) -> list[difflib.Match]:
    return difflib.SequenceMatcher(
        None, new.splitlines(), old.splitlines(), autojunk=False
    ).get_matching_blocks()


def then(old: str, new: str, line: int) -> int:
    """The number that a line had in an older text; that of the line before it that was there."""
    if old == new:
        return line
    before = [each for each in same_lines(old, new) if each.size and each.a < line]
    return before[-1].b + min(line - before[-1].a, before[-1].size) if before else 1


class Plugin:
    """Takes the place of pytest's run of the tests that it collected."""

    def __init__(self, call: argparse.Namespace) -> None:
        self.call = call
        self.texts = texts_now()
        self.failed = ""
        self.skipped = False
        self.items: dict[str, pytest.Item] = {}
        KEPT.mkdir(exist_ok=True)
        self.kept = KEPT / "reach.jsonl"

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        """An example that fails is enough: nobody reads a smaller one."""
        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("first that fails", settings.get_profile("same each time"), phases=phases)
        settings.load_profile("first that fails")

    @pytest.hookimpl
    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed = report.nodeid
        self.skipped |= report.skipped

    @pytest.hookimpl
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        gc.unfreeze()  # What was collected is frozen by now, and what is frozen is not found again.
        self.items = {each.nodeid: each for each in session.items}
        self.go()
        return True

    def go(self) -> None:
        raise NotImplementedError

    def run(self, tests: list[str], until: float = inf) -> str:
        """The first test that fails; nothing where all pass that are begun ``until`` so much work is done."""
        self.failed, self.skipped = "", False
        items = [self.items[each] for each in tests if each in self.items]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.failed or process_time() > until:
                break
        return self.failed


class Learning(Plugin):
    def __init__(self, call: argparse.Namespace) -> None:
        super().__init__(call)
        self.noted = bytearray(first_lines(self.texts)[""])
        setattr(builtins, NOTED, self.noted)
        first = first_lines(self.texts)
        load_as(lambda path, text: noting(text, first[path]))

    def go(self) -> None:
        reached = Reached(self.kept)
        if not reached.sheets or reached.sheets[-1][0] != self.texts:
            self.keep("texts", json.dumps(self.texts).encode())
        size = 0
        while not forked(self.learn) and size < self.kept.stat().st_size:
            size = (
                self.kept.stat().st_size
            )  # A test brought it down: it is no help, and the next one goes on.

    def keep(self, *line: str | float | bytes) -> None:
        *head, data = line
        assert isinstance(data, bytes)
        with self.kept.open("a", encoding="utf-8") as out:
            print(json.dumps([*head, base64.b64encode(zlib.compress(data)).decode()]), file=out)

    def learn(self) -> str:
        """What is not known yet of each test, written down one after another."""
        known = Reached(self.kept).seconds
        signal.signal(signal.SIGVTALRM, too_long)
        caches = [
            each
            for each in gc.get_objects()
            if isinstance(each, functools._lru_cache_wrapper)
            and str(getattr(each, "__module__", "")).startswith("planlint.")
        ]
        names = random.Random(0).sample(sorted(self.items), len(self.items))
        until = process_time() + self.call.learning
        for number, name in enumerate(each for each in ordered(names) if each not in known):
            if process_time() > until:
                break
            if number % COLD == 0:
                for cache in caches:
                    cache.cache_clear()
            self.keep(name, LONG, b"")
            self.noted[:] = bytes(len(self.noted))
            began = process_time()
            signal.setitimer(signal.ITIMER_VIRTUAL, LONG)
            bad = self.run([name])
            late = signal.setitimer(signal.ITIMER_VIRTUAL, 0)[0] == 0
            helps = late or not (bad or self.skipped)
            seconds = LONG if late else round(process_time() - began, 3)
            self.keep(name, seconds, bytes(self.noted) if helps else b"")
        return "learnt"


def too_long(*_: object) -> NoReturn:
    pytest.fail("it takes too long")


def no_program(*_: object, **__: object) -> NoReturn:
    pytest.skip("what another process does is not seen here, and it may be waited for without an end")


def limited(seconds: float) -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))


def forked(action: Callable[[], str], seconds: float = 1e6) -> str:
    """What an action gives in a process of its own; ``out of time`` where it works for longer than so many seconds."""
    there, here = os.pipe()
    child = os.fork()
    if not child:
        os.close(there)
        limited(seconds)
        subprocess.Popen.__init__ = no_program  # type: ignore[method-assign]
        try:
            os.write(here, action().encode())
        except BaseException:
            traceback.print_exc(file=sys.__stderr__)
            os._exit(1)
        os._exit(0)
    os.close(here)
    with os.fdopen(there, "rb") as pipe:
        told = pipe.read().decode()
    _, status = os.waitpid(child, 0)
    return told or ("" if os.WIFEXITED(status) else "out of time")
