"""Rules that an installed package brings: checked beside ours, told by name where they fail."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from planlint.plugins import own_rules
from tests.plans import FAULTY, SOUND

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
import os
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

def deep(piece, rule):
    import json
    return json.loads("{")

def forever(piece, rule):
    part = piece.plan.parts[0]
    yield rule.finding(span=part.span, parts=(part.name,), says="found before it hangs")
    while True:
        pass

def floods(piece, rule):
    part = piece.plan.parts[0]
    while True:
        yield rule.finding(span=part.span, parts=(part.name,), says="again")

def swallows(piece, rule):
    while True:
        try:
            while True:
                pass
        except BaseException:
            pass
    yield

def cancels(piece, rule):
    raise KeyboardInterrupt
    yield

def ends(piece, rule):
    os._exit(9)
    yield

def chatty(piece, rule):
    print("a word between")
    os.system("echo a word from a process")
    yield from no_oak(piece, rule)

def slips(piece, rule):
    if "slip" in piece.plan.title:
        raise RuntimeError("a slip")
    yield from no_oak(piece, rule)

def immeasurable(piece, rule):
    part = piece.plan.parts[0]
    yield rule.finding(span=part.span, says="so much", measured=float("nan"))

class Abrupt(str):
    def __reduce__(self):
        return os._exit, (5,)

def abrupt(piece, rule):
    part = piece.plan.parts[0]
    yield rule.finding(span=part.span, parts=(part.name,), says=Abrupt("ends whoever takes it over"))

def turns_on_us(piece, rule):
    os.kill(os.getppid(), 9)
    yield from no_oak(piece, rule)

def turns_on_all_of_us(piece, rule):
    os.killpg(os.getpgid(os.getppid()), 9)
    yield from no_oak(piece, rule)

def stops_us(piece, rule):
    os.kill(os.getppid(), 19)
    yield rule.finding(span=(1, 2), says="")

def splits(piece, rule):
    os.fork()
    yield from no_oak(piece, rule)

def wordless(piece, rule):
    yield rule.finding(span=(1, 2), parts=(3,), says="")
"""


def line_of(code: str) -> int:
    return CHECKS[: CHECKS.index(code)].count("\n") + 1


def package(folder: Path, entries: dict[str, str], *, name: str = "shop_rules") -> None:
    """An installed package with a rule file for each entry."""
    code = folder / name
    code.mkdir(parents=True)
    (code / "__init__.py").write_text("")
    (code / "checks.py").write_text(CHECKS)
    (code / "broken.py").write_text("import nothing_of_this_name\n")
    (code / "leaves.py").write_text("raise SystemExit(0)\n")
    (code / "abrupt.py").write_text("import os\nos._exit(7)\n")
    (code / "hangs.py").write_text("while True:\n    pass\n")
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


def inspected(
    tmp_path: Path, *words: str, path: str | None = None, text: str = SOUND
) -> tuple[int, str, str]:
    (tmp_path / "a.plan").write_text(text)
    done = subprocess.run(
        [sys.executable, "-m", "planlint", *(words or ("inspect", "a.plan", "--as", "json"))],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), path or str(tmp_path / "site")])},
    )
    return done.returncode, done.stdout, done.stderr


def told(tmp_path: Path, text: str = SOUND) -> tuple[int, dict[str, Any]]:
    status, out, err = inspected(tmp_path, text=text)
    report = json.loads(out)
    plan: dict[str, Any] = report["plans"][0]
    plan["unread"] += report["unchecked"]
    assert len(err.splitlines()) == len(report["unchecked"])
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


FAULTY_IN_MANY_WAYS = {
    "missing": ("shop_rules.checks:nowhere", "nowhere"),
    "broken": ("shop_rules.broken:check", "nothing_of_this_name"),
    "leaves": ("shop_rules.leaves:check", "SystemExit"),
    "no-file": ("shop_rules.checks:no_oak", "no-file.toml cannot be read: there is no such file"),
    "bad-file": ("shop_rules.checks:no_oak", "grade must be one of 'stop', 'caution' or 'advice'"),
    "lone-screw": ("shop_rules.checks:no_oak", "in the book already"),
    "fails": ("shop_rules.checks:fails", "a slip"),
    "stops": ("shop_rules.checks:stops", "tried to end the program"),
    "nonsense": ("shop_rules.checks:gives_nonsense", "no finding of its rule"),
    "wordless": ("shop_rules.checks:wordless", "a finding whose span lies outside"),
    "immeasurable": ("shop_rules.checks:immeasurable", "a finding with a measure that is no number"),
    "cancels": ("shop_rules.checks:cancels", "failed (KeyboardInterrupt in "),
    "ends": ("shop_rules.checks:ends", "ended the process that it ran in, with status 9 in "),
    "taken-over": ("shop_rules.checks:abrupt", "ended the process that it ran in, with status 5 in "),
    "halts": ("shop_rules.checks:stops_us", "a finding whose span lies outside"),
    "abrupt": ("shop_rules.abrupt:check", "loading it ended the process that did it, with status 7"),
}
"""By the name of a rule: what its package says it is, and what is told of it."""


@pytest.mark.parametrize(
    "rules", [{*FAULTY_IN_MANY_WAYS} - {"taken-over"}, {"taken-over"}], ids=["many", "one"]
)
def test_faulty_rules_are_told_by_name_and_the_others_go_on(tmp_path: Path, rules: set[str]) -> None:
    faulty = {rule: FAULTY_IN_MANY_WAYS[rule] for rule in sorted(rules)}
    entries = {"no-oak": "shop_rules.checks:no_oak"} | {rule: value for rule, (value, _) in faulty.items()}
    package(tmp_path / "site", entries)
    status, plan = told(tmp_path, FAULTY)
    assert status == 2
    assert sorted(each["rule"] for each in plan["findings"]) == ["lone-screw", "no-oak", "no-oak"]
    assert len(plan["unread"]) == len(faulty)
    for rule, (_, says) in faulty.items():
        [unread] = [each["says"] for each in plan["unread"] if f"own rule {rule} " in each["says"]]
        assert says in unread
        assert "fault of planlint" not in unread


@pytest.mark.skipif(not hasattr(os, "fork"), reason="rules run in this process")
@pytest.mark.parametrize("check", ["turns_on_us", "turns_on_all_of_us"])
def test_a_rule_that_kills_its_parent_process_kills_no_run(tmp_path: Path, check: str) -> None:
    package(tmp_path / "site", {"a": f"shop_rules.checks:{check}", "b": "shop_rules.checks:no_oak"})
    status, plan = told(tmp_path, SOUND)
    assert (status, sorted(each["rule"] for each in plan["findings"])) == (1, [*"aabb"])


@pytest.mark.skipif(not hasattr(os, "fork"), reason="rules run in this process")
def test_a_rule_that_goes_on_twice_is_heard_once(tmp_path: Path) -> None:
    entries = {rule: f"shop_rules.checks:{check}" for rule, check in (("a", "splits"), ("b", "fails"))}
    package(tmp_path / "site", entries)
    status, plan = told(tmp_path, SOUND)
    assert (status, [each["rule"] for each in plan["findings"]]) == (2, ["a", "a"])
    assert "own rule b failed" in plan["unread"][0]["says"]


def test_where_no_process_can_be_copied_rules_run_in_this_one(tmp_path: Path) -> None:
    rules = {**FAULTY_RULES, "leaves": "shop_rules.leaves:check", "no-oak": "shop_rules.checks:chatty"}
    package(tmp_path / "site", rules)
    (tmp_path / "site" / "sitecustomize.py").write_text(
        "import os, sys\ndel os.fork\nprint('none', file=sys.stderr)\n"
    )
    _, out, err = inspected(tmp_path)
    report = json.loads(out)
    assert err.startswith("none\n")
    assert "a word from a process" in err
    [plan] = report["plans"]
    assert len(plan["findings"]) == 2
    assert "own rule fails failed" in plan["unread"][0]["says"]
    assert [each["rule"] for each in report["unchecked"]] == ["leaves", "missing"]


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


# ---------------------------------------------------------------- told to its author


def _rule(check: str) -> str:
    return check.replace("_", "-")


def test_place_of_a_failure_is_in_the_code_of_its_author(tmp_path: Path) -> None:
    lines = {
        "fails": 'raise RuntimeError("a slip")',
        "stops": "raise SystemExit(0)",
        "deep": "return json.loads",  # It is raised further in, in code that is not the author's.
        "gives_nonsense": "def gives_nonsense",
    }
    package(tmp_path / "site", {_rule(check): f"shop_rules.checks:{check}" for check in lines})
    unread = told(tmp_path)[1]["unread"]
    for check, line in lines.items():
        [says] = [each["says"] for each in unread if f"own rule {_rule(check)} " in each["says"]]
        assert f"{tmp_path / 'site' / 'shop_rules' / 'checks.py'}, line {line_of(line)}" in says


def test_mistakes_in_rule_files_are_told_plainly(tmp_path: Path) -> None:
    wrong = {
        "no-grade": ('grade = "caution"', "", "grade is missing"),
        "odd-order": (
            "order = 900", 'order = "last"\nmood = 1', "order must be a whole number; mood is no key"
        ),
        "odd-value": ("value = 0", 'value = "none"', "limit no. 1 value must be a number"),
        "no-toml": ('question = "', "question = ", "is not TOML: "),
        "odd-name": ('name = "odd-name"', 'name = "another"', "the rule inside is named another"),
    }  # fmt: skip
    package(tmp_path / "site", dict.fromkeys(wrong, "shop_rules.checks:no_oak"))
    files = {rule: tmp_path / "site" / "shop_rules" / f"{rule}.toml" for rule in wrong}
    for rule, (old, new, _) in wrong.items():
        text = files[rule].read_text()
        assert old in text
        files[rule].write_text(text.replace(old, new))
    unread = told(tmp_path)[1]["unread"]
    for rule, (_, _, told_of_it) in wrong.items():
        [says] = [each["says"] for each in unread if f"its file {files[rule]}" in each["says"]]
        assert told_of_it in says
        assert "Input should" not in says  # The words of the library that finds it.


def test_finding_without_a_basis_rests_on_the_rule_alone(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    file = tmp_path / "site" / "shop_rules" / "no-oak.toml"
    start, rest = RULE.split("[[limit]]")
    file.write_text(start + "[[case]]" + rest.split("[[case]]")[1])
    assert {each["basis"] for each in told(tmp_path)[1]["findings"]} == {"the workshop's own rule"}


def test_example_of_the_keepers_page_works(tmp_path: Path) -> None:
    text = (ROOT / "rules" / "keeping.md").read_text(encoding="utf-8").split("## Rules of your own", 1)[1]
    entry, code, page = (text.split("```")[number].split("\n", 1)[1] for number in (1, 3, 5))
    name, value = entry.splitlines()[1].split(" = ")
    package(tmp_path / "site", {name: value.strip('"')}, name="our_rules")
    (tmp_path / "site" / "our_rules" / "checks.py").write_text(code)
    (tmp_path / "site" / "our_rules" / f"{name}.toml").write_text(page)
    status, plan = told(tmp_path)
    assert (status, plan["unread"]) == (1, [])
    assert [(each["rule"], each["basis"]) for each in plan["findings"]] == [
        ("no-oak", "the workshop's own rule")
    ] * 2


# ---------------------------------------------------------------- time


def test_rule_that_does_not_end_is_named_and_takes_nothing_along(tmp_path: Path) -> None:
    package(
        tmp_path / "site",
        {
            "a-loop": "shop_rules.checks:forever",
            "no-oak": "shop_rules.checks:no_oak",
            "z-loop": "shop_rules.checks:swallows",
        },
    )
    (tmp_path / "b.plan").write_text(FAULTY)
    _, out, _ = inspected(tmp_path, "inspect", "b.plan", "--as", "json", "--most-seconds", "6")
    plan = json.loads(out)["plans"][0]
    assert sorted(each["rule"] for each in plan["findings"]) == [
        "lone-screw",
        "no-oak",
        "no-oak",
    ]
    for rule, unread in zip(("a-loop", "z-loop"), plan["unread"], strict=True):
        says = unread["says"]
        assert says.startswith(f"the workshop's own rule {rule} was stopped in {tmp_path}")
        assert "of 6 seconds" in says
        assert "Divide" not in says


def test_module_that_does_not_load_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package(tmp_path / "site", {"hangs": "shop_rules_that_hang.hangs:check"}, name="shop_rules_that_hang")
    monkeypatch.syspath_prepend(tmp_path / "site")
    monkeypatch.setattr(own_rules, "_SECONDS_TO_LOAD", 0.2)
    own_rules._entries.cache_clear()
    own_rules.own_rules.cache_clear()
    try:
        [(name, says)] = own_rules.own_rules().faults
    finally:
        monkeypatch.undo()
        own_rules._entries.cache_clear()
        own_rules.own_rules.cache_clear()
    assert name == "hangs"
    assert says.startswith("loading it was stopped after 0.2 seconds")
    assert "hangs.py, line " in says


def test_rule_that_finds_without_end_is_named_and_takes_nothing_along(tmp_path: Path) -> None:
    package(tmp_path / "site", {"a-flood": "shop_rules.checks:floods", "no-oak": "shop_rules.checks:no_oak"})
    (tmp_path / "b.plan").write_text(FAULTY)
    status, out, _ = inspected(tmp_path, "inspect", "b.plan", "--as", "json")
    plan = json.loads(out)["plans"][0]
    assert status == 2
    assert sorted(each["rule"] for each in plan["findings"]) == ["lone-screw", "no-oak", "no-oak"]
    assert (
        "own rule a-flood failed (it gave more than 500 findings of one plan in " in plan["unread"][0]["says"]
    )


# ---------------------------------------------------------------- what it prints


@pytest.mark.parametrize("workers", ["1", "2"])
def test_what_a_rule_prints_is_no_part_of_the_report(tmp_path: Path, workers: str) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:chatty"})
    for number in range(22):
        (tmp_path / f"p{number}.plan").write_text(SOUND + f"# {number}\n")
    status, out, err = inspected(tmp_path, "inspect", ".", "--as", "json", "--no-cache", "--workers", workers)
    assert (status, json.loads(out)["summary"]["caution"]) == (1, 46)
    assert "a word between" in err
    assert "a word from a process" in err


# ---------------------------------------------------------------- named in the settings, and not installed


def test_rule_that_is_not_installed_is_told_with_what_to_install(tmp_path: Path) -> None:
    (tmp_path / "planlint.toml").write_text('[rules.no-oak]\nmost = "1 piece"\npackage = "our-rules"\n')
    (tmp_path / "b.plan").write_text(FAULTY + 'accept no-oak on rail because "a gift"\n')
    status, out, err = inspected(tmp_path, "inspect", ".")
    told = " ".join(out.split())
    assert (status, err) == (2, "")
    assert "STOP lone-screw" in told
    assert "stale" not in told
    assert told.count("own rule no-oak is not installed here") == 1
    assert "a.plan Frame: nothing found in 2 parts" in told  # It is the fault of no plan.
    assert "2 plans: 1 stop, 0 caution, 0 advice; 1 own rule not checked." in told
    assert 'planlint.toml, line 1, names it: `pip install our-rules`, or say `no-oak = "off"`' in told
    assert "pip install our-rules" in inspected(tmp_path, "settings")[1]
    status, _, err = inspected(tmp_path, "mend", "--all", "b.plan")
    assert (status, err.count("pip install our-rules")) == (2, 1)
    assert "pockets 2 in back" in (tmp_path / "b.plan").read_text()  # All else went on.
    (tmp_path / "planlint.toml").write_text('[rules]\nno-oak = "off"\n')
    assert inspected(tmp_path, "inspect", "a.plan")[0] == 0
    (tmp_path / "planlint.toml").write_text('[rules]\nlone-scrw = "off"\n')
    assert "the nearest is lone-screw" in inspected(tmp_path, "inspect", ".")[2]


def test_plans_are_changed_without_a_rule_that_fails(tmp_path: Path) -> None:
    package(tmp_path / "site", FAULTY_RULES)
    untidy = FAULTY.replace("flush top, front", "flush  top,front")
    (tmp_path / "b.plan").write_text(untidy)
    status, _, err = inspected(tmp_path, "mend", "--all", "b.plan")
    assert status == 2
    assert err.count("own rule fails failed") == 1
    assert err.count("own rule missing cannot be used") == 1
    assert "pockets 2 in back" in (tmp_path / "b.plan").read_text()
    status, out, err = inspected(tmp_path, "tidy", "b.plan")
    assert (status, err) == (0, "")
    assert out == "b.plan is tidy now\n"
    (tmp_path / "c.plan").write_text(
        FAULTY.replace("    pockets 1 in back", "    as mortise and tenon, 1 long")
    )
    status, out, err = inspected(tmp_path, "convert", "c.plan")
    assert err.count("own rule fails failed") == 1
    assert "rail.left" in out


def test_ledger_records_what_all_other_rules_find(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    (tmp_path / "b.plan").write_text(FAULTY)
    record = ("ledger", "record", "b.plan")
    assert inspected(tmp_path, *record)[0] == 0
    whole = (tmp_path / "planlint.ledger").read_text()
    (tmp_path / "b.plan").write_text(FAULTY.replace("pockets 1", "pockets 2"))
    (tmp_path / "site" / "shop_rules" / "checks.py").write_text("import nothing_of_this_name\n")
    status, out, err = inspected(tmp_path, *record)
    assert (status, out) == (2, "planlint.ledger: 0 findings recorded for 1 plan\n")
    assert "could not be checked, and what the ledger has of them stays: no-oak" in err
    now = (tmp_path / "planlint.ledger").read_text()
    assert now.splitlines() == [line for line in whole.splitlines() if "lone-screw" not in line]


# ---------------------------------------------------------------- once in a run


FAULTY_RULES = {
    "fails": "shop_rules.checks:fails",
    "missing": "shop_rules.checks:nowhere",
    "no-oak": "shop_rules.checks:no_oak",
}


@pytest.mark.parametrize("workers", ["1", "2"])
def test_faulty_rule_is_told_once_in_a_run(tmp_path: Path, workers: str) -> None:
    package(tmp_path / "site", FAULTY_RULES)
    for number in range(25):
        (tmp_path / f"p{number}.plan").write_text(FAULTY + f"# {number}\n")
    forms = ("json", "sarif", "junit", "markdown")
    writes = [word for form in forms for word in ("--write", f"{form}={form}")]
    status, out, _ = inspected(tmp_path, "inspect", ".", *writes, "--no-cache", "--workers", workers)
    assert status == 2
    for form in ("text", *forms):
        said = " ".join((out if form == "text" else (tmp_path / form).read_text()).split())
        # In the one each is told in short and in full, in the other in the entry and in the record that `join` reads.
        assert said.count("own rule fails failed") == (2 if form in {"junit", "json"} else 1)
        assert said.count("own rule missing cannot be used") == (2 if form == "junit" else 1)
        assert said.count("One screw holds rail") >= 1


def test_faulty_rule_is_left_out_of_the_rest_of_a_run(tmp_path: Path) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:slips"})
    accepted = SOUND.replace("oak", "pine") + 'accept no-oak on rail because "a gift"\n'
    for number in range(60):
        text = SOUND.replace("Frame", "A slip") if number == 3 else accepted if number == 40 else SOUND
        (tmp_path / f"p{number:02}.plan").write_text(f"{text}# {number}\n{'#' * 3000}")
    ways = [
        inspected(tmp_path, "inspect", ".", "--as", "json", "--no-cache", "--workers", str(workers))[:2]
        for workers in (1, 3)
    ]
    assert ways[0] == ways[1]
    plans = json.loads(ways[0][1])["plans"]
    assert [len(plan["findings"]) for plan in plans] == [2, 2, 2, 2] + [0] * 57  # With a.plan in front.
    assert [len(plan["unread"]) for plan in plans] == [0] * 4 + [1] + [0] * 56
    assert "in the plans behind this one the rule is left out" in plans[4]["unread"][0]["says"]


def test_faulty_rule_can_be_switched_off(tmp_path: Path) -> None:
    package(tmp_path / "site", FAULTY_RULES)
    (tmp_path / "planlint.toml").write_text('[rules]\nfails = "off"\nmissing = "off"\n')
    status, plan = told(tmp_path)
    assert (status, plan["unread"]) == (1, [])
    assert len(plan["findings"]) == 2
    (tmp_path / "planlint.toml").write_text(
        '[rules.missing]\nmost = 3\n[rules]\nfails = "off"\nmissin = "off"\n'
    )
    status, _, err = inspected(tmp_path, "inspect", ".")
    assert status == 2
    assert "there is no rule called missin" in err
    assert "most" not in err


def test_rule_that_cannot_be_used_is_listed(tmp_path: Path) -> None:
    package(tmp_path / "site", FAULTY_RULES)
    status, out, _ = inspected(tmp_path, "rules")
    assert status == 0
    assert "NOT USABLE  missing" in out
    assert "has no attribute 'nowhere'" in " ".join(out.split())
    status, out, _ = inspected(tmp_path, "rules", "missing")
    assert status == 2
    assert "has no attribute 'nowhere'" in " ".join(out.split())


def test_result_is_not_remembered_past_a_rule_that_can_no_longer_be_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package(tmp_path / "site", {"no-oak": "shop_rules.checks:no_oak"})
    checks = tmp_path / "site" / "shop_rules" / "checks.py"
    table = "Path(__file__).with_name('words.txt').read_text()"
    checks.write_text("import something_it_needs\n" + CHECKS.replace('"oak" in', f"{table} in"))
    (checks.parent / "words.txt").write_text("no such wood")
    needed = tmp_path / "site" / "something_it_needs.py"
    needed.write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    words = ("inspect", "a.plan", "--cache", "kept")
    assert inspected(tmp_path, *words)[0] == 0
    # Nor past a table that it reads, nor past what it imports from elsewhere.
    (checks.parent / "words.txt").write_text("oak")
    assert inspected(tmp_path, *words)[0] == 1
    needed.write_text("import json\n\njson.loads('1')\nraise RuntimeError('so it is now')\n")
    assert "so it is now" in " ".join(inspected(tmp_path, *words)[1].split())
    needed.unlink()
    status, out, _ = inspected(tmp_path, *words)
    assert status == 2
    assert "No module named 'something_it_needs'" in " ".join(out.split())
