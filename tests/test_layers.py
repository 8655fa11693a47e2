"""The one-way street of floors, and what a usual run must not import."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.plans import SOUND

ROOT = Path(__file__).parent.parent
SLOW = {
    "networkx",
    "pydantic",
    "numpy",
    "asyncio",
    "subprocess",
    "importlib.metadata",
    "tomllib",
    "rich.table",
    "rich.markdown",
    "rich.syntax",
    "pygments",
    "planlint.rulebook.rule_page",
    "planlint.reports.json_schema",
    "planlint.reports.sheet_schema",
    "planlint.reports.joint_explanations",
    "planlint.reports.rule_catalogue",
}
"""Modules that cost time and that inspecting a plan does not need."""


def test_floors_import_only_from_floors_below() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_room_is_where_it_is_said_to_be() -> None:
    """The top level is just that of DEVELOPERS.md, and no file and no class is called as another is."""
    told = {
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "pyproject.toml",
        "planlint",
        "grammar",
        "rules",
        "tests",
    }
    assert {each.name for each in ROOT.iterdir() if not each.name.startswith((".", "__"))} == told
    files = [file.name for folder in ("planlint", "tests") for file in (ROOT / folder).rglob("*.py")]
    assert [name for name, count in Counter(files).items() if count > 1] == ["__init__.py"]
    kinds = [
        node.name.lstrip("_")
        for file in (ROOT / "planlint").rglob("*.py")
        for node in ast.walk(ast.parse(file.read_bytes()))
        if isinstance(node, ast.ClassDef)
    ]
    assert [name for name, count in Counter(kinds).items() if count > 1] == []


def test_files_and_names_that_developers_are_told_of_are_there() -> None:
    """Each path and each name of the code in DEVELOPERS.md, but for what is made up there or made by the build."""
    folders = ("planlint", "grammar", "rules", "tests", ".ci")
    inside = (path for folder in folders for path in (ROOT / folder).rglob("*"))
    here = [*ROOT.glob("*.*"), *(ROOT / folder for folder in folders), *inside]
    paths = "".join(f"/{path.relative_to(ROOT)}\n" for path in here)
    kinds = {".py", ".lark", ".md", ".toml"}
    texts = [
        path.read_text("utf-8") for path in here if path.suffix in kinds and path.name != "DEVELOPERS.md"
    ]
    words = {word for text in texts for word in re.findall(r"\w+", text)}
    missing = []
    for told in re.findall(r"`([^`\n]+)`", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")):
        if "/" in told or told.endswith(".py"):
            if not re.search(re.escape(f"/{told.rstrip('/')}").replace(r"\*", ".*") + "\n", paths):
                missing.append(told)
        else:
            missing += [name for name in re.findall(r"[A-Za-z_]\w*", told) if name not in words]
    assert {*missing} <= {"rules/NAME.toml", "planlint/_ready/", "3 * 1/3", "Fact"}


def test_no_file_is_too_long_to_be_read_at_a_sitting() -> None:
    long = [file.name for file in (ROOT / "planlint").rglob("*.py") if file.read_bytes().count(b"\n") > 400]
    assert long == []


def test_checks_yield_facts_and_no_words() -> None:
    """What a finding says is made of its fact in ``wording`` alone; only a workshop's own rules bring a text."""
    calls = [
        (file.name, each.lineno)
        for file in (ROOT / "planlint" / "checks").glob("*.py")
        for each in ast.walk(ast.parse(file.read_bytes()))
        if isinstance(each, ast.keyword) and each.arg in {"says", "repairs"}
    ]
    assert calls == []


def private_names(tree: ast.Module) -> set[str]:
    """What a module itself calls by a name of its own: functions, classes, variables and what ``self`` holds."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "self":
            found.add(node.attr)
    of_tuples = {"_replace", "_asdict", "_fields"}
    return {name for name in found if name.startswith("_") and not name.endswith("__")} - of_tuples


def reached_into(trees: dict[str, ast.Module]) -> list[str]:
    """Where a module takes what another keeps to itself."""
    own = {name: private_names(tree) for name, tree in trees.items()}
    everybodys = set().union(*own.values())
    found = []
    for name, tree in trees.items():
        theirs = everybodys - own[name]
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and (node.attr == "__dict__" or node.attr in theirs):
                found.append(f"{name}, line {node.lineno}: {ast.unparse(node)}")
            elif isinstance(node, ast.ImportFrom):
                taken = [each.name for each in node.names if each.name in theirs]
                found += [f"{name}, line {node.lineno}: {each}" for each in taken]
    return found


def test_no_module_reaches_into_anothers_own() -> None:
    package = ROOT / "planlint"
    trees = {str(file.relative_to(ROOT)): ast.parse(file.read_bytes()) for file in package.rglob("*.py")}
    assert reached_into(trees) == []


def test_reaching_in_is_seen() -> None:
    trees = {
        "a": ast.parse(
            "class A:\n    def __init__(self): self._kept = 1\n    def own(self, b): return b._kept"
        ),
        "b": ast.parse("from a import A, _own\nA()._kept, vars(A), A.__dict__\ndef _mine(): return _mine.x"),
        "c": ast.parse("_own = 1"),
    }
    assert reached_into(trees) == ["b, line 1: _own", "b, line 2: A()._kept", "b, line 2: A.__dict__"]


def modules_of(code: str, plan: Path) -> set[str]:
    """What is imported when the code has run in a fresh interpreter."""
    code = f"import sys, json\n{code}\nprint(json.dumps(sorted(sys.modules)), file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", code, str(plan)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    modules: list[str] = json.loads(done.stderr.splitlines()[-1])
    return set(modules)


@pytest.fixture(name="plan")
def plan_file(tmp_path: Path) -> Path:
    path = tmp_path / "frame.plan"
    path.write_text(SOUND, encoding="utf-8")
    return path


@pytest.mark.parametrize("more", ["", ', "--as", "json"'])
def test_usual_run_imports_nothing_slow(plan: Path, more: str) -> None:
    inspect = f'from planlint.command.main import main; main(["inspect", sys.argv[1]{more}])'
    modules_of(inspect, plan)  # The first run may have to make the ready-made files.
    modules = modules_of(inspect, plan)
    assert "planlint.inspection.inspect_plan" in modules
    assert not modules & SLOW
    ours = (name.split(".") for name in SLOW if name.startswith("planlint."))
    assert all(ROOT.joinpath(*name).with_suffix(".py").exists() for name in ours)
    if more:
        assert "rich" not in modules


def test_importing_planlint_imports_nothing_of_it(plan: Path) -> None:
    modules = modules_of("import planlint", plan)
    assert {name for name in modules if name.startswith("planlint")} == {"planlint"}
