"""Rules that an installed package brings: checked beside ours, told by name where they fail."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.plans import SOUND

ROOT = Path(__file__).parent.parent
RULE = """\
name = "no-oak"
grade = "caution"
order = 900
question = "Is oak used, which this shop does not keep?"
why = "The shop's rack holds no oak."
repair = "Use a wood that is on the rack."
[[limit]]
name = "most"
value = 0
unit = "pieces"
basis = "judgement"
[[case]]
title = "none"
plan = "plan"
findings = []
"""
CHECKS = """\
from pathlib import Path

def no_oak(piece, rule):
    for part in piece.plan.parts:
        if "oak" in part.stock.material.name:
            yield rule.finding(span=part.span, parts=(part.name,), says=f"{part.name} is of oak")

def fails(piece, rule):
    raise RuntimeError("a slip")
    yield

def stops(piece, rule):
    raise SystemExit(0)
    yield

def gives_nonsense(piece, rule):
    yield "nonsense"
"""


def package(folder: Path, entries: dict[str, str], *, name: str = "shop_rules") -> None:
    """An installed package with a rule file for each entry."""
    code = folder / name
    code.mkdir(parents=True)
    (code / "__init__.py").write_text("")
    (code / "checks.py").write_text(CHECKS)
    (code / "broken.py").write_text("import nothing_of_this_name\n")
    (code / "leaves.py").write_text("raise SystemExit(0)\n")
    for rule in entries:
        if rule != "no-file":
            text = RULE.replace("no-oak", rule) if rule != "bad-file" else "grade = 3\n"
            (code / f"{rule}.toml").write_text(text)
    info = folder / f"{name}-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
    lines = [f"{rule} = {value}" for rule, value in entries.items()]
    (info / "entry_points.txt").write_text(
        "\n".join(["[console_scripts]", "x = y:z", "", "[planlint.rules]", *lines, ""])
    )


def inspected(tmp_path: Path, *words: str, path: str | None = None) -> tuple[int, str, str]:
    (tmp_path / "a.plan").write_text(SOUND)
    done = subprocess.run(
        [sys.executable, "-m", "planlint", *(words or ("inspect", "a.plan", "--as", "json"))],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), path or str(tmp_path / "site")])},
    )
    return done.returncode, done.stdout, done.stderr


def told(tmp_path: Path) -> tuple[int, dict[str, Any]]:
    status, out, err = inspected(tmp_path)
    assert not err
    plan: dict[str, Any] = json.loads(out)["plans"][0]
    return status, plan


def test_own_rule_finds(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    status, plan = told(tmp_path)
    assert status == 1
    assert [(each["rule"], each["grade"], each["says"]) for each in plan["findings"]] == [
        ("no-oak", "caution", "rail is of oak"),
        ("no-oak", "caution", "stile is of oak"),
    ]
    assert plan["findings"][0]["basis"] == "judgement"
    assert plan["unread"] == []


def test_own_rule_is_like_any_other(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    assert "no-oak" in inspected(tmp_path, "rules")[1]
    assert "rack holds no oak" in inspected(tmp_path, "rules", "no-oak")[1]
    sarif = json.loads(inspected(tmp_path, "inspect", "a.plan", "--as", "sarif")[1])
    rules = [rule["id"] for rule in sarif["runs"][0]["tool"]["driver"]["rules"]]
    assert rules[sarif["runs"][0]["results"][0]["ruleIndex"]] == "no-oak"
    (tmp_path / "b.plan").write_text(
        SOUND + 'accept no-oak on rail because "a gift"\naccept no-oak on stile because "a gift"\n'
    )
    assert inspected(tmp_path, "inspect", "b.plan")[0] == 0


@pytest.mark.parametrize(
    ("rule", "value", "says"),
    [
        ("missing", "shop_rules.checks:nowhere", "nowhere"),
        ("broken", "shop_rules.broken:check", "nothing_of_this_name"),
        ("leaves", "shop_rules.leaves:check", "SystemExit"),
        ("no-file", "shop_rules.checks:no_oak", "FileNotFoundError"),
        ("bad-file", "shop_rules.checks:no_oak", "ValueError"),
        ("lone-screw", "shop_rules.checks:no_oak", "in the book already"),
        ("fails", "shop_rules.checks:fails", "a slip"),
        ("stops", "shop_rules.checks:stops", "tried to end the program"),
        ("nonsense", "shop_rules.checks:gives_nonsense", "no finding of its rule"),
    ],
)
def test_faulty_rule_is_told_by_name_and_the_others_go_on(
    tmp_path: Path, rule: str, value: str, says: str
) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak", rule: value})
    status, plan = told(tmp_path)
    assert status == 2
    assert len(plan["findings"]) == 2
    (unread,) = plan["unread"]
    assert rule in unread["says"]
    assert says in unread["says"]
    assert "own rule" in unread["says"]


def test_two_packages_with_one_name(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    package(tmp_path / "site", {"no-oak": "more_rules.checks:no_oak"}, name="more_rules")
    status, plan = told(tmp_path)
    assert status == 2
    assert len(plan["findings"]) == 2
    assert "two packages" in plan["unread"][0]["says"]


def test_collection_of_plans_brings_no_code(tmp_path: Path) -> None:
    package(tmp_path, {"no-oak": "shop_rules.checks:no_oak"})
    status, plan = told(tmp_path)
    assert status == 0
    assert plan["findings"] == []


def test_own_rules_with_workers_and_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    for number in range(25):
        (tmp_path / f"p{number}.plan").write_text(SOUND + f"# {number}\n")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    words = ("inspect", ".", "--workers", "2", "--as", "json")
    status, out, _ = inspected(tmp_path, *words)
    assert status == 1
    assert json.loads(out)["summary"]["caution"] == 52
    checks = tmp_path / "site" / "shop_rules" / "checks.py"
    checks.write_text(CHECKS.replace('"oak" in', '"elm" in'))
    assert json.loads(inspected(tmp_path, *words)[1])["summary"]["caution"] == 0
