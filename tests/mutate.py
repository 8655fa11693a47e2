"""Small wrong changes made to the code, each of which the tests ought to notice. Bounded, and no part of ``.ci/run``.

    python -m tests.mutate --learn
    python -m tests.mutate --number 300 --seed 1 [FOLDER OR FILE …]

``--learn`` notes which statements each test runs (``statements_run.py`` tells where that is kept).
For each mutant a fork of the process that collected all tests takes the changed function in and runs tests that run its
very statement, until one fails or ``--seconds`` of tests are spent: pieces of the kept record, those whose names have
its words, those that run little else, and the quickest of each test function. What a module does as it is loaded
(constants, tables) is asked in a process of its own. A test that fails must pass on the code as it is, so that no weak
test is taken for a keen one. A run broken off goes on where it was. Tests that start planlint as a program are no help
here, and those that take long are asked with ``--again`` alone, which gives what lived more time; so the share told is
of the least that died. What lived and cannot matter stands in ``explained_survivors.txt`` with its reason.
"""

from __future__ import annotations

import argparse
import ast
import gc
import json
import os
import random
import re
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from time import process_time
from types import CodeType, FunctionType
from typing import NamedTuple

os.environ["CI"] = "true"  # Examples are the same each time, and all modules are loaded.

import pytest

from tests.statements_run import (
    KEPT,
    LONG,
    RECORD,
    ROOT,
    Learning,
    Plugin,
    Reached,
    forked,
    limited,
    load_as,
    one_of_each,
)

ROOMS = ("placement", "model", "geometry", "checks", "conversion", "settings", "reports")
EXPLAINED = Path(__file__).parent / "explained_survivors.txt"
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
    """Comparisons turned, ``and`` for ``or``, ``+`` for ``-``, ``min`` for ``max``, no ``not``, numbers one off: of all
    that may matter."""
    tree = ast.parse(text)
    idle = set(map(id, what_cannot_matter(tree)))
    for node in (each for each in ast.walk(tree) if id(each) not in idle):
        match node:
            case ast.Compare(left=left, ops=[op], comparators=[right]):
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.BoolOp(op=op, values=[left, right, *_]):
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.BinOp(left=left, op=op, right=right) if type(op) in TURNED:
                yield from between(path, text, left, right, TURNED[type(op)])
            case ast.UnaryOp(op=ast.Not() | ast.USub() as op):
                end = node.col_offset + len("not " if isinstance(op, ast.Not) else "-")
                yield Mutant(path, node.lineno, node.col_offset, end, "")
            case ast.Call(func=ast.Name(id=name) as called) if name in OTHERS and called.end_col_offset:
                yield Mutant(path, called.lineno, called.col_offset, called.end_col_offset, OTHERS[name])
            case ast.Constant(value=bool() | int() | float() as value) if node.end_col_offset:
                new = repr(not value if isinstance(value, bool) else value + 1)
                yield Mutant(path, node.lineno, node.col_offset, node.end_col_offset, new)


TOLERANCES = {"NIL", "ROUNDING", "ON", "TOUCH", "STILL", "SOLVED", "LEAST_DIVISOR"}
SIGNS = {"sign", "toward"}
FLAGS = {"strict", "frozen", "slots"}


def what_cannot_matter(tree: ast.Module) -> Iterator[ast.AST]:
    """The nodes that are not changed, for what they would do otherwise is the same whatever the code.

    Whether a comparison with a tolerance of sums of lengths holds at the tolerance itself: no length lies just so far
    beyond a limit, to the last bit. ``strict``, where both are as long by what made them; ``frozen`` and ``slots``, of
    what nobody changes. Times a sign or by it, which is -1 or 1; a sign at 0, which it never is, and whether it is less
    than 0 or than 1. Which of two equal numbers is the less, and by how much. How much finer than to a millionth
    numbers are rounded that are compared. How often a text is parted of which the first part is taken. How much a
    cache keeps. What an ``assert`` holds of a type for whoever checks types, where it would hold less. What is usual in
    a protocol, which nobody runs. Which of two is taken times 0, where the other is taken times more and less than 0.
    """
    tolerances = TOLERANCES | {
        name.id
        for each in tree.body
        if isinstance(each, ast.Assign) and is_fine(each.value)
        for name in each.targets
        if isinstance(name, ast.Name)
    }
    for node in ast.walk(tree):
        match node:
            case ast.keyword(arg=name, value=ast.Constant(True)) if name in FLAGS:
                yield node.value
            case ast.keyword(arg="maxsize", value=ast.Constant() as value):
                yield value
            case ast.FunctionDef(args=args, body=[ast.Expr(ast.Constant(value=value))]) if value is ...:
                yield from (*args.defaults, *filter(None, args.kw_defaults))
            case ast.Assert(test=ast.BoolOp(op=ast.And()) as test):
                yield test
            case ast.Subscript(
                value=ast.Call(func=ast.Attribute(attr="split"), args=[_, most]), slice=ast.Constant(0)
            ):
                yield most
            case ast.Call(func=ast.Name("round"), args=[_, ast.Constant(int() as digits)]) if digits > 5:
                yield node.args[1]
            case ast.BinOp(op=ast.Mult() | ast.Div(), left=left, right=right):
                yield from [node] if last_name(right) in SIGNS else taken_by_sign(left, right)
            case ast.IfExp(
                test=ast.Compare(
                    left=one, ops=[ast.Lt() | ast.LtE() | ast.Gt() | ast.GtE()], comparators=[other]
                ) as test
            ) if is_the_less(node, ast.unparse(one), ast.unparse(other)):
                yield test
            case ast.Compare(
                left=left, ops=[ast.Lt() | ast.LtE() | ast.Gt() | ast.GtE() as op], comparators=[right]
            ):
                sign = last_name(left) in SIGNS and ast.unparse(right) == "0"
                if sign and isinstance(op, ast.Lt | ast.GtE):
                    yield right
                terms = (*ast.walk(left), *ast.walk(right))
                if sign or any(is_fine(each) or last_name(each) in tolerances for each in terms):
                    yield node


def taken_by_sign(one: ast.expr, other: ast.expr) -> Iterator[ast.AST]:
    """The comparison with 0 of one factor by which the other one is chosen."""
    for times, chosen in ((one, other), (other, one)):
        match chosen:
            case ast.IfExp(test=ast.Compare(left=left, comparators=[ast.Constant(0)]) as test):
                if ast.unparse(left) == ast.unparse(times):
                    yield test


def is_the_less(node: ast.IfExp, one: str, other: str) -> bool:
    """Whether it is the less or greater of two numbers, or by how much the one is beyond the other, and else 0."""
    body, orelse = ast.unparse(node.body), ast.unparse(node.orelse)
    past = body == f"{one} - {other}" and orelse.rpartition(" ")[2] == "0.0"
    return past or {body, orelse} == {one, other}


def last_name(node: ast.AST) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


def is_fine(node: ast.AST) -> bool:
    """Whether it is a number so small that no builder measures it."""
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and 0 < node.value < 1e-4


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


def compiled(text: str, path: str) -> CodeType:
    return compile(text, str(ROOT / path), "exec", dont_inherit=True)


def functions(code: CodeType) -> Iterator[CodeType]:
    """The functions and methods of a module's code, not those inside them."""
    for each in code.co_consts:
        if isinstance(each, CodeType):
            if each.co_flags & 0x2:  # CO_NEWLOCALS: no class body.
                yield each
            else:
                yield from functions(each)


def statement_at(text: str, line: int) -> int:
    """The line on which the innermost statement begins that a line is part of."""
    return max(
        each.lineno
        for each in ast.walk(ast.parse(text))
        if isinstance(each, ast.stmt) and each.lineno <= line <= (each.end_lineno or 0)
    )


def words_in(name: str) -> set[str]:
    return set(re.split(r"\W|_", name.lower())) - {""}


def explained() -> set[str]:
    """The survivors that are explained, without their line numbers: the lines that are not indented."""
    lines = EXPLAINED.read_text(encoding="utf-8").splitlines() if EXPLAINED.exists() else []
    return {line for line in lines if "  ->  " in line and not line.startswith(" ")}


class Trying(Plugin):
    def go(self) -> None:
        self.common = Counter(word for name in self.items for word in words_in(name))
        self.reached = Reached(self.kept)
        self.found = {path: list(functions(compiled(text, path))) for path, text in self.texts.items()}
        self.loaded: defaultdict[tuple[str, str, int], list[FunctionType]] = defaultdict(list)
        for each in gc.get_objects():
            if isinstance(each, FunctionType):
                self.loaded[placed(each.__code__)].append(each)
        assert any(file.startswith(str(ROOT / "planlint")) for file, _, _ in self.loaded)
        self.keen: set[str] = set()
        self.try_all()

    def near(self, mutant: Mutant) -> tuple[CodeType | None, list[str]]:
        """The changed function (of the module, or none where what it does as it is loaded changes) and tests for it."""
        text, old = self.texts[mutant.path], self.found[mutant.path]
        new = list(functions(compiled(mutant.put(text), mutant.path)))
        changed = next((b for a, b in zip(old, new, strict=True) if a != b), None)
        if changed is None or changed.co_name in {"<listcomp>", "<dictcomp>", "<setcomp>", "<genexpr>"}:
            users = self.reached.by(self.users(mutant), self.texts)
            figures = [name for name in self.items if name.startswith(RECORD) and "[figures" in name]
            return None, [*figures, *self.best(users, words_in(mutant.path))]
        at = (mutant.path, statement_at(text, mutant.line))
        tests = self.reached.by([at], self.texts)
        if not tests:  # What it gave may be kept from test to test.
            lines = {line for _, _, line in changed.co_lines() if line}
            tests = self.reached.by([(mutant.path, line) for line in lines], self.texts)
        return changed, self.best(tests, words_in(f"{Path(mutant.path).stem}_{changed.co_qualname}"))

    def users(self, mutant: Mutant) -> Iterator[tuple[str, int]]:
        """The statements that use what a module sets as it is loaded."""
        tops = ast.parse(self.texts[mutant.path]).body
        top = next(each for each in tops if mutant.line <= (each.end_lineno or 0))
        names = {n.id for n in ast.walk(top) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
        if isinstance(top, ast.ClassDef | ast.FunctionDef):
            names = {top.name}
        module = mutant.path.removesuffix(".py").replace("/", ".")
        for path, text in self.texts.items():
            if path == mutant.path or module in text:
                for each in ast.walk(ast.parse(text)):
                    if isinstance(each, ast.Name) and each.id in names and each.lineno != mutant.line:
                        yield path, statement_at(text, each.lineno)
        if isinstance(top, ast.ClassDef):
            for each in ast.walk(top):
                if isinstance(each, ast.FunctionDef):
                    yield mutant.path, each.body[-1].lineno

    def best(self, reached: list[str], words: set[str]) -> list[str]:
        """As many tests as the time allows, a part of it each: those of the kept record; those that are called by what
        changed, the rarer the word the sooner; those that run least beside it; the quickest of each function."""
        seconds = self.reached.seconds
        asked = [each for each in reached if each in self.items and (seconds[each] < LONG or self.call.again)]
        quick = sorted(asked, key=lambda name: seconds[name])
        alike = {name: sum(1 / self.common[word] for word in words & words_in(name)) for name in asked}
        streams = (
            [name for name in quick if name.startswith(RECORD)],
            sorted((name for name in asked if alike[name]), key=lambda name: -alike[name]),
            sorted(asked, key=lambda name: self.reached.many[name]),
            one_of_each(quick),
        )
        chosen: dict[str, None] = {}
        spent = 0.0
        for number, stream in enumerate(streams, 1):
            for name in stream:
                if name not in chosen and spent + seconds[name] <= self.call.seconds * number / len(streams):
                    spent += seconds[name]
                    chosen[name] = None
        return list(chosen)

    def dies(self, mutant: Mutant) -> tuple[str, int]:
        """The test that notices a mutant, if one does, and how many were asked."""
        changed, tests = self.near(mutant)
        if not tests:
            return "", 0
        if changed is None:
            files = list(dict.fromkeys(each.partition("::")[0] for each in tests))[:FEW]
            tests = [each for each in tests if each.startswith(tuple(files))]

        def changed_run() -> str:
            assert changed is not None
            for each in self.loaded[placed(changed)]:
                each.__code__ = changed
            return self.run(tests, process_time() + 2 * self.call.seconds)

        def by() -> str:
            return forked(changed_run, 60 + 3 * self.call.seconds) if changed else planted(mutant, tests)

        while (found := by()) in self.items and found not in self.keen:
            if not forked(lambda: self.run([found])):
                self.keen.add(found)
                break
            del self.items[found]  # It fails on the code as it is: it is not asked again.
            tests.remove(found)
        return found, len(tests)

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
        share, of = self.call.share
        tried = tried[share - 1 :: of]
        may_live, ends = explained(), Counter[str]()
        for mutant in tried:
            told = mutant.told(texts[mutant.path])
            if told not in known or (self.call.again and not known[told]["by"]):
                by, asked = self.dies(mutant)
                known[told] = {"told": told, "by": by, "asked": asked}
                with log.open("a", encoding="utf-8") as out:
                    print(json.dumps(known[told]), file=out)
            by = known[told]["by"]
            cannot_matter = re.sub(r":\d+:", ":", told, count=1) in may_live
            end = "died" if by else "explained" if cannot_matter else "lived"
            ends[end] += 1
            told_end = f"died by {by}" if by else end.upper()
            say(f"{told_end} ({known[told]['asked']} asked): {told}")
        say(
            f"Of {len(tried)} mutants of {len(every)} (seed {self.call.seed}) died {ends['died']},"
            f" explained {ends['explained']}, lived {ends['lived']}"
        )


def planted(mutant: Mutant, tests: list[str]) -> str:
    """The first test that fails in a process that loads the mutant; nothing where all pass."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutate", "--planted", json.dumps(mutant), *tests],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: limited(200),
    )
    lines = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode in {0, 5}:
        return ""
    return lines[0].partition(" ")[2].partition(" - ")[0] if lines else "not run"


def say(words: str) -> None:
    print(words, file=sys.__stderr__, flush=True)


def placed(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def share(words: str) -> tuple[int, int]:
    number, _, of = words.partition("/")
    return int(number), int(of)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument(
        "--learn", action="store_true", help="which statements each test runs, where not known"
    )
    asked.add_argument("--learning", type=float, default=900.0, help="seconds of work for that")
    asked.add_argument("--number", type=int, default=20, help="mutants tried")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--seconds", type=float, default=12.0, help="of tests for one mutant")
    asked.add_argument("--again", action="store_true", help="what lived is tried again, by long tests too")
    asked.add_argument("--share", type=share, default=(1, 1), metavar="N/OF", help="for several runs at once")
    asked.add_argument(
        "--tests", nargs="*", default=[str(ROOT / "tests")], help="files of tests that are asked"
    )
    asked.add_argument("--planted", help=argparse.SUPPRESS)
    asked.add_argument("where", nargs="*", default=[f"planlint/{room}" for room in ROOMS])
    call = asked.parse_args()
    words = ["-n", "0", "-q", "-p", "no:cacheprovider", "-W", "ignore"]
    if call.planted:
        mutant = Mutant(*json.loads(call.planted))
        load_as(lambda path, text: mutant.put(text) if path == mutant.path else text)
        return int(pytest.main([*words, "-x", *call.where]))
    plugin = Learning(call) if call.learn else Trying(call)
    return int(pytest.main([*words, *call.tests], plugins=[plugin]))


if __name__ == "__main__":
    sys.exit(main())
