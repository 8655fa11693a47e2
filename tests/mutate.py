"""Small wrong changes made to the code, each of which the tests ought to notice. Bounded, and no part of ``.ci/run``.

    python tests/mutate.py --number 300 --seed 1 [FOLDER OR FILE …]

All tests are collected once, in one process, and run once to learn which functions each calls and how long it takes
(kept in ``.mutants/``, made anew where it is deleted). Then, for each mutant, a fork of that process takes the
changed function in and runs tests that call it, until one fails or ``--seconds`` of tests are spent: those whose names
have its words, those that call little else, and the quickest of each test function. What a module does as it is loaded
(constants, tables) is changed in a copy of the checkout and asked in a process of its own.
A test that fails is run once more on the code as it is, so that no weak test is taken for a keen one. A run
broken off goes on where it was. Tests that start planlint as a program are no help here, and those that take long are
asked with ``--again`` alone, which gives what lived more time; so the share told is of the least that died.
"""

from __future__ import annotations

import argparse
import ast
import builtins
import gc
import json
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from math import inf
from pathlib import Path
from time import process_time
from types import CodeType, FunctionType
from typing import NamedTuple, NoReturn

os.environ["CI"] = "true"  # Examples are the same each time, and all modules are loaded.

import pytest

ROOT = Path(__file__).parent.parent
ROOMS = ("placement", "model", "geometry", "checks", "conversion", "settings", "reports")
KEPT = ROOT / ".mutants"
LONG = 0.8
"""Seconds of work after which a test is no help here."""
FEW = 4
"""Test files asked in a process of their own."""

TURNED = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.Is: "is not",
    ast.IsNot: "is",
    ast.In: "not in",
    ast.NotIn: "in",
    ast.And: "or",
    ast.Or: "and",
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "/",
    ast.Div: "*",
}
OTHERS = {"min": "max", "max": "min", "any": "all", "all": "any"}


class Mutant(NamedTuple):
    """A text put in place of another in one line of a module."""

    path: str
    line: int
    start: int
    end: int
    new: str

    def put(self, text: str) -> str:
        lines = text.splitlines(keepends=True)
        data = lines[self.line - 1].encode()
        lines[self.line - 1] = (data[: self.start] + self.new.encode() + data[self.end :]).decode()
        return "".join(lines)

    def told(self, text: str) -> str:
        old, new = (each.splitlines()[self.line - 1].strip() for each in (text, self.put(text)))
        return f"{self.path}:{self.line}: {old}  ->  {new}"


def mutants(path: str, text: str) -> Iterator[Mutant]:
    """Comparisons turned, ``and`` for ``or``, ``+`` for ``-``, ``min`` for ``max``, no ``not``, numbers one off."""
    for node in ast.walk(ast.parse(text)):
        match node:
            case ast.Compare(left=left, ops=[op], comparators=[right]):
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.BoolOp(op=op, values=[left, right, *_]):
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.BinOp(left=left, op=op, right=right) if type(op) in TURNED:
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=at) if at.lineno == node.lineno:
                yield Mutant(path, node.lineno, node.col_offset, at.col_offset, "")
            case ast.Call(func=ast.Name(id=name) as called) if name in OTHERS and called.end_col_offset:
                yield Mutant(path, called.lineno, called.col_offset, called.end_col_offset, OTHERS[name])
            case ast.Constant(value=bool() | int() | float() as value) if node.end_col_offset:
                new = repr(not value if isinstance(value, bool) else value + 1)
                yield Mutant(path, node.lineno, node.col_offset, node.end_col_offset, new)


def between(path: str, text: str, left: ast.expr, right: ast.expr, word: str) -> Iterator[Mutant]:
    """The operator between two operands on one line, brackets round them left as they are."""
    if left.end_lineno != right.lineno or left.end_col_offset is None:
        return
    line = text.splitlines()[right.lineno - 1].encode()
    gap = line[left.end_col_offset : right.col_offset].decode()
    bare = gap.strip("() ")
    if bare:
        start = left.end_col_offset + gap.index(bare)
        yield Mutant(path, right.lineno, start, start + len(bare), word)


def functions(code: CodeType) -> Iterator[CodeType]:
    """The functions and methods of a module's code, not those inside them."""
    for each in code.co_consts:
        if isinstance(each, CodeType):
            if each.co_flags & 0x2:  # CO_NEWLOCALS: no class body.
                yield each
            else:
                yield from functions(each)


def names_of(code: CodeType) -> set[str]:
    inner = [names_of(each) for each in code.co_consts if isinstance(each, CodeType)]
    return set(code.co_names).union(*inner)


def words_in(name: str) -> set[str]:
    return set(re.split(r"\W|_", name.lower())) - {""}


def one_of_each(tests: list[str]) -> list[str]:
    """Tests, one of each function first, then a second, in the order that they have."""
    rank: defaultdict[str, int] = defaultdict(int)
    ordered = []
    for each in tests:
        ordered.append((rank[each.partition("[")[0]], each))
        rank[each.partition("[")[0]] += 1
    return [each for _, each in sorted(ordered, key=lambda each: each[0])]


def _noting(*args: object, **named: object) -> object:
    import builtins  # noqa: PLC0415 - it runs among the names of any module

    return builtins.noted_call(-1)(*args, **named)  # type: ignore[attr-defined]


class Reach(NamedTuple):
    """What one test calls: ``PATH::NAME`` of functions and methods; what it calls till it has taken ``LONG``."""

    test: str
    seconds: float
    calls: list[str]

    @property
    def long(self) -> bool:
        return self.seconds >= LONG


class Calls:
    """Notes the first call of each function; from then on the function runs as it is, so nothing is slowed."""

    def __init__(self) -> None:
        self.made: list[str] = []
        self.functions: list[tuple[FunctionType, CodeType]] = []
        for each in gc.get_objects():
            code = each.__code__ if isinstance(each, FunctionType) else None
            if (
                code
                and code.co_filename.startswith(f"{ROOT}/planlint/")
                and "<locals>" not in code.co_qualname
            ):
                self.functions.append((each, code))
        builtins.noted_call = self.note  # type: ignore[attr-defined]
        self.watch()

    def note(self, number: int) -> FunctionType:
        function, code = self.functions[number]
        function.__code__ = code
        self.made.append(f"{code.co_filename.removeprefix(f'{ROOT}/')}::{code.co_qualname}")
        return function

    def watch(self) -> None:
        """All functions wait again for their first call."""
        noting = _noting.__code__
        for number, (function, code) in enumerate(self.functions):
            if function.__code__ is code:
                constants = tuple(number if each == -1 else each for each in noting.co_consts)
                function.__code__ = noting.replace(co_consts=constants, co_freevars=code.co_freevars)


def compiled(text: str, path: str) -> CodeType:
    return compile(text, str(ROOT / path), "exec", dont_inherit=True)


class Mutation:
    """Takes the place of pytest's run of the tests that it collected."""

    def __init__(self, call: argparse.Namespace) -> None:
        self.call = call
        every = sorted((ROOT / "planlint").rglob("*.py"))
        self.texts = {each.relative_to(ROOT).as_posix(): each.read_text(encoding="utf-8") for each in every}
        self.found = {path: list(functions(compiled(text, path))) for path, text in self.texts.items()}
        self.failed = ""
        self.skipped = False

    @pytest.hookimpl
    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed = report.nodeid
        self.skipped |= report.skipped

    @pytest.hookimpl
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.items = {each.nodeid: each for each in session.items}
        self.common = Counter(word for name in self.items for word in words_in(name))
        KEPT.mkdir(exist_ok=True)
        kept = KEPT / "reach.jsonl"
        kept.touch()
        while not forked(lambda: self.learn(kept)):
            pass  # A test brought it down: it is known as no help, and the next one goes on.
        self.reached = [Reach(*json.loads(line)) for line in kept.read_text(encoding="utf-8").splitlines()]
        if self.call.number:
            self.try_all()
        return True

    def run(self, tests: list[str], until: float = inf) -> str:
        """The first test that fails; nothing where all pass that are begun ``until`` so much work is done."""
        self.failed, self.skipped = "", False
        items = [self.items[each] for each in tests if each in self.items]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.failed or process_time() > until:
                break
        return self.failed

    def learn(self, kept: Path) -> str:
        """What is not known yet of each test, written down one after another."""
        lines = [json.loads(line) for line in kept.read_text(encoding="utf-8").splitlines()]
        known, spent = {name for name, *_ in lines}, sum(took for _, took, calls in lines if calls)
        signal.signal(signal.SIGVTALRM, too_long)
        until, calls = process_time() + self.call.learning - spent, Calls()
        for name in one_of_each(random.Random(0).sample(sorted(self.items), len(self.items))):
            if name in known or process_time() > until:
                continue
            calls.made.clear()
            with kept.open("a", encoding="utf-8") as out:
                print(json.dumps([name, LONG, []]), file=out)
            began = process_time()
            signal.setitimer(signal.ITIMER_VIRTUAL, LONG)
            bad = self.run([name])
            late = signal.setitimer(signal.ITIMER_VIRTUAL, 0)[0] == 0
            seconds = LONG if late else round(process_time() - began, 3)
            with kept.open("a", encoding="utf-8") as out:
                made = calls.made if late or not (bad or self.skipped) else []
                print(json.dumps([name, seconds, made]), file=out)
            calls.watch()
        return "learnt"

    def near(self, mutant: Mutant) -> tuple[CodeType | None, list[str]]:
        """The changed function (of the module, or none where what it does as it is loaded changes) and tests for it."""
        text = self.texts[mutant.path]
        old = self.found[mutant.path]
        new = list(functions(compiled(mutant.put(text), mutant.path)))
        changed = [b for a, b in zip(old, new, strict=True) if a != b]
        if changed:
            key = f"{mutant.path}::{changed[0].co_qualname}"
            at = [each for each in self.reached if key in each.calls]
            if not at:  # It has moved since, or what it gave is kept from test to test.
                at = [
                    each
                    for each in self.reached
                    if any(k.endswith(key.partition("::")[2]) for k in each.calls)
                ]
            if not at:
                at = [each for each in self.reached if any(k.startswith(mutant.path) for k in each.calls)]
            return changed[0], self.best(at, words_in(f"{Path(mutant.path).stem}_{changed[0].co_qualname}"))
        asked = [
            each for each in ast.parse(text).body if each.lineno <= mutant.line <= (each.end_lineno or 0)
        ]
        names = {
            n.id
            for a in asked
            for n in ast.walk(a)
            if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)
        }
        names |= {each.name for each in asked if isinstance(each, ast.ClassDef | ast.FunctionDef)}
        users = {
            f"{path}::{each.co_qualname}"
            for path, found in self.found.items()
            for each in found
            if names & (names_of(each) | {each.co_qualname.partition(".")[0]})
        }
        return None, self.best(
            [each for each in self.reached if not users.isdisjoint(each.calls)], words_in(mutant.path)
        )

    def best(self, reached: list[Reach], words: set[str]) -> list[str]:
        """As many tests as the time allows, a third of it each: those that are called by what changed, the rarer the
        word the sooner; those that reach least beside it; the quickest of each function. Long ones only again."""
        asked = {each.test: each for each in reached if each.test in self.items}
        if not self.call.again:
            asked = {name: each for name, each in asked.items() if not each.long}
        alike = {name: sum(1 / self.common[word] for word in words & words_in(name)) for name in asked}
        streams = (
            sorted((name for name in asked if alike[name]), key=lambda name: -alike[name]),
            sorted(asked, key=lambda name: len(asked[name].calls)),
            one_of_each(sorted(asked, key=lambda name: asked[name].seconds)),
        )
        chosen: dict[str, None] = {}
        spent = 0.0
        for number, stream in enumerate(streams, 1):
            for name in stream:
                if name not in chosen and spent + asked[name].seconds <= self.call.seconds * number / 3:
                    spent += asked[name].seconds
                    chosen[name] = None
        return list(chosen)

    def likely(self, mutant: Mutant, name: str, asked: list[str]) -> list[str]:
        """Tests of which nothing is known, of functions that have others which call it: those first whose names share
        words with its."""
        known = {each.test for each in self.reached}
        alike = {each.partition("[")[0] for each in asked}
        words = words_in(f"{Path(mutant.path).stem}_{name}")
        found = [each for each in self.items if each not in known and each.partition("[")[0] in alike]
        random.Random(0).shuffle(found)
        return sorted(found, key=lambda each: -len(words & words_in(each)))

    def dies(self, mutant: Mutant) -> tuple[str, int]:
        """The test that notices a mutant, if one does, and how many were asked."""
        changed, tests = self.near(mutant)
        if not tests:
            return "", 0
        if changed is None:
            files = list(dict.fromkeys(each.partition("::")[0] for each in tests))[:FEW]
            tests = [each for each in tests if each.startswith(tuple(files))]
            return self.dies_loaded(mutant, tests), len(tests)

        def changed_run() -> str:
            put_in(str(ROOT / mutant.path), changed)
            by = self.run(tests, process_time() + 2 * self.call.seconds)
            until = process_time() + self.call.seconds
            for each in () if by else self.likely(mutant, changed.co_qualname, tests):
                if by or process_time() > until:
                    break
                by = self.run([each])
            return by

        by = forked(changed_run, 60 + 3 * self.call.seconds)
        return ("" if by and forked(lambda: self.run([by])) else by), len(tests)

    def dies_loaded(self, mutant: Mutant, tests: list[str]) -> str:
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "checkout"
            left_out = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".mutants", ".*_cache")
            shutil.copytree(ROOT, copy, ignore=left_out)
            (copy / mutant.path).write_text(mutant.put(self.texts[mutant.path]), encoding="utf-8")
            words = ["-m", "pytest", "-n", "0", "-x", "-q", "-p", "no:cacheprovider", *tests]
            surroundings = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
            done = subprocess.run(
                [sys.executable, *words],
                cwd=copy,
                env=surroundings,
                capture_output=True,
                text=True,
                check=False,
                preexec_fn=lambda: limited(200),
            )
            if done.returncode in {0, 5}:
                return ""
            return next(
                (line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))), "not run"
            )

    def try_all(self) -> None:
        log = KEPT / f"tried-{self.call.seed}.jsonl"
        log.touch()
        known = {each["told"]: each for each in map(json.loads, log.read_text(encoding="utf-8").splitlines())}
        wanted = [(ROOT / where).resolve() for where in self.call.where]
        texts = {
            path: text
            for path, text in self.texts.items()
            if any((ROOT / path).is_relative_to(each) for each in wanted)
        }
        every = [each for path, text in texts.items() for each in mutants(path, text)]
        tried = random.Random(self.call.seed).sample(every, min(self.call.number, len(every)))
        lived, (share, of) = 0, self.call.share
        tried = tried[share - 1 :: of]
        for mutant in tried:
            told = mutant.told(texts[mutant.path])
            if told not in known or (self.call.again and not known[told]["by"]):
                by, asked = self.dies(mutant)
                known[told] = {"told": told, "by": by, "asked": asked}
                with log.open("a", encoding="utf-8") as out:
                    print(json.dumps(known[told]), file=out)
            by = known[told]["by"]
            lived += not by
            print(
                f"{f'died by {by}' if by else 'LIVED'} ({known[told]['asked']} asked): {told}",
                file=sys.__stderr__,
                flush=True,
            )
        died = len(tried) - lived
        print(
            f"{died} of {len(tried)} mutants of {len(every)} died (seed {self.call.seed})",
            file=sys.__stderr__,
            flush=True,
        )


def too_long(*_: object) -> NoReturn:
    pytest.fail("it takes too long")


def no_program(*_: object, **__: object) -> NoReturn:
    pytest.skip("what another process does is not seen here, and it may be waited for without an end")


def put_in(file: str, changed: CodeType) -> None:
    """The changed code in place of that of the same function."""
    for each in gc.get_objects():
        if isinstance(each, FunctionType):
            code = each.__code__
            same = (code.co_filename, code.co_qualname, code.co_firstlineno)
            if same == (file, changed.co_qualname, changed.co_firstlineno):
                each.__code__ = changed


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
        finally:
            os._exit(0)
    os.close(here)
    with os.fdopen(there, "rb") as pipe:
        told = pipe.read().decode()
    _, status = os.waitpid(child, 0)
    return told or ("" if os.WIFEXITED(status) else "out of time")


def share(words: str) -> tuple[int, int]:
    number, _, of = words.partition("/")
    return int(number), int(of)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--number", type=int, default=20, help="mutants tried")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--seconds", type=float, default=12.0, help="of tests for one mutant")
    asked.add_argument("--again", action="store_true", help="what lived is tried again, by long tests too")
    asked.add_argument("--learning", type=float, default=3600.0, help="seconds of work for what tests reach")
    asked.add_argument("--share", type=share, default=(1, 1), metavar="N/OF", help="for several runs at once")
    asked.add_argument("where", nargs="*", default=[f"planlint/{room}" for room in ROOMS])
    words = ["-n", "0", "-q", "-p", "no:cacheprovider", "-W", "ignore", str(ROOT / "tests")]
    return int(pytest.main(words, plugins=[Mutation(asked.parse_args())]))


if __name__ == "__main__":
    sys.exit(main())
