"""The one-way street of floors, and what a usual run must not import."""

from __future__ import annotations

import json
import os
import subprocess
import sys
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
    "planlint.findings.rule_page",
    "planlint.reports.json_schema",
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
    if more:
        assert "rich" not in modules


def test_importing_planlint_imports_nothing_of_it(plan: Path) -> None:
    modules = modules_of("import planlint", plan)
    assert {name for name in modules if name.startswith("planlint")} == {"planlint"}
