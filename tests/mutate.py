"""Small wrong changes made to the code, each of which the tests ought to notice. Bounded, and no part of ``.ci/run``.

    python tests/mutate.py --number 30 --seed 1 [--tests test_plan …] [FOLDER OR FILE …]

First each test file is run once with ``coverage`` to learn which lines it reaches (kept in ``.mutants/``, made anew
where it is deleted); then, for each mutant, only the files that reach its line are run, those that reach fewest lines
first, until one fails. The checkout itself is never changed: mutants live in a copy. Told are those that lived, and
the share that died.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent
ROOMS = ("placement", "model", "geometry", "checks", "conversion", "settings", "reports")
KEPT = ROOT / ".mutants"

COMPARED = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.Is: "is not",
}
COMPARED |= {ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in"}
REACHES = dict[str, dict[str, list[int]]]
"""For each test file the lines of each module that it reaches."""


class Mutant(NamedTuple):
    """A text put in place of another in one line of a module."""

    path: str
    line: int
    start: int
    end: int
    new: str

    def told(self, text: str) -> str:
        old = text.splitlines()[self.line - 1]
        return f"{self.path}:{self.line}: {old.strip()}  ->  {self.put(old).strip()}"

    def put(self, line: str) -> str:
        data = line.encode()
        return (data[: self.start] + self.new.encode() + data[self.end :]).decode()


def mutants(path: str, text: str) -> Iterator[Mutant]:
    """Comparisons turned, ``and`` for ``or``, ``+`` for ``-``, ``not`` left out, numbers one off."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Compare) and len(node.ops) == 1:
            yield from between(path, text, node.left, node.comparators[0], COMPARED[type(node.ops[0])])
        elif isinstance(node, ast.BoolOp):
            word = "or" if isinstance(node.op, ast.And) else "and"
            yield from between(path, text, node.values[0], node.values[1], word)
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
            yield from between(
                path, text, node.left, node.right, "-" if isinstance(node.op, ast.Add) else "+"
            )
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
            at = node.operand
            if at.lineno == node.lineno:
                yield Mutant(path, node.lineno, node.col_offset, at.col_offset, "")
        elif isinstance(node, ast.Constant) and isinstance(node.value, int | float) and node.end_col_offset:
            new = repr(not node.value if isinstance(node.value, bool) else node.value + 1)
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


def reached(copy: Path, names: list[str]) -> REACHES:
    """What test files reach; asked once and kept."""
    KEPT.mkdir(exist_ok=True)
    names = names or sorted(file.stem for file in (ROOT / "tests").glob("test_*.py"))
    for name in names:
        kept = KEPT / f"{name}.json"
        if kept.exists():
            continue
        data = copy / "lines.json"
        data.unlink(missing_ok=True)
        words = [
            "-m",
            "coverage",
            "run",
            "--source=planlint",
            "-m",
            "pytest",
            "-n",
            "0",
            "-q",
            f"tests/{name}.py",
        ]
        subprocess.run(
            [sys.executable, *words], cwd=copy, env=surroundings(copy), capture_output=True, check=False
        )
        subprocess.run(
            [sys.executable, "-m", "coverage", "json", "-q", "-o", str(data)],
            cwd=copy,
            capture_output=True,
            check=False,
        )
        files = json.loads(data.read_text(encoding="utf-8"))["files"] if data.exists() else {}
        lines = {path: each["executed_lines"] for path, each in files.items()}
        kept.write_text(json.dumps(lines), encoding="utf-8")
    return {name: json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8")) for name in names}


def surroundings(copy: Path) -> dict[str, str]:
    return {
        **os.environ,
        "PYTHONPATH": str(copy),
        "PYTHONDONTWRITEBYTECODE": "1",
        "HYPOTHESIS_PROFILE": "default",
    }


def dies(copy: Path, mutant: Mutant, files: list[str], seconds: float) -> str | None:
    """The test file that notices a mutant; one that takes too long has noticed it. ``None`` where it lives."""
    path = copy / mutant.path
    whole = path.read_text(encoding="utf-8")
    lines = whole.splitlines(keepends=True)
    lines[mutant.line - 1] = mutant.put(lines[mutant.line - 1])
    path.write_text("".join(lines), encoding="utf-8")
    try:
        for name in files:
            words = [
                sys.executable,
                "-m",
                "pytest",
                "-n",
                "0",
                "-x",
                "-q",
                "-p",
                "no:cacheprovider",
                f"tests/{name}.py",
            ]
            try:
                done = subprocess.run(
                    words, cwd=copy, env=surroundings(copy), capture_output=True, check=False, timeout=seconds
                )
            except subprocess.TimeoutExpired:
                return f"{name} (out of time)"
            if done.returncode not in {0, 5}:
                return name
        return None
    finally:
        path.write_text(whole, encoding="utf-8")


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--number", type=int, default=20, help="mutants tried")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--seconds", type=float, default=120.0, help="for one test file")
    asked.add_argument(
        "--tests", nargs="+", default=[], metavar="NAME", help="test files asked; all, if not said"
    )
    asked.add_argument("where", nargs="*", default=[f"planlint/{room}" for room in ROOMS])
    call = asked.parse_args()
    files = [
        file
        for where in call.where
        for file in ([ROOT / where] if where.endswith(".py") else sorted((ROOT / where).rglob("*.py")))
    ]
    texts = {file.relative_to(ROOT).as_posix(): file.read_text(encoding="utf-8") for file in files}
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "checkout"
        left_out = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".mutants", ".*_cache")
        shutil.copytree(ROOT, copy, ignore=left_out)
        known = reached(copy, call.tests)
        every = [each for path, text in texts.items() for each in mutants(path, text)]
        tried = random.Random(call.seed).sample(every, min(call.number, len(every)))
        lived = 0
        for mutant in tried:
            near = [name for name, lines in known.items() if mutant.line in lines.get(mutant.path, ())]
            near.sort(key=lambda name: sum(map(len, known[name].values())))
            by = dies(copy, mutant, near, call.seconds)
            lived += by is None
            print(f"{f'died by {by}' if by else 'LIVED'}: {mutant.told(texts[mutant.path])}", flush=True)
    print(f"{len(tried) - lived} of {len(tried)} mutants died (seed {call.seed})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
