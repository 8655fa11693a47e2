"""What a keeper asks for: what a change touches and accepts, whose plans, how old a ledger is; hostile names."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import pytest

from planlint.command.report_forms import FORMS
from planlint.findings.finding import Finding, Grade, Repair
from planlint.inspection.inspection_result import Inspection, Trouble
from planlint.reports.json_report import JsonReport
from planlint.reports.junit_report import JunitReport
from planlint.reports.line_report import LineReport
from planlint.reports.markdown_report import MarkdownReport
from planlint.reports.quality_report import QualityReport
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Tally
from planlint.reports.text_report import TextReport
from planlint.text.source import Mistake, PlanText, Span
from tests.plans import FAULTY, SOUND
from tests.repositories import called, git, run_git

pytestmark = pytest.mark.usefixtures("own_surroundings")
ACCEPT = 'accept lone-screw on rail.left because "{}"\n'


@git
def test_a_change_tells_what_it_accepts_and_what_of_the_keepers_it_touches(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run_git(folder, "init", "-q")
    (folder / "frames" / "plan03.plan").write_text(FAULTY + ACCEPT.format("an old gift"))
    (folder / "frames" / "plan15.plan").write_text(FAULTY + ACCEPT.format("kept as it was"))
    (folder / "frames" / "unread.plan").unlink()
    called(capsys, "ledger", "record", ".")
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-qm", "one")
    (folder / "frames" / "plan03.plan").write_text("# Moved.\n" + FAULTY + ACCEPT.format("an old gift"))
    (folder / "frames" / "plan09.plan").write_text(FAULTY + ACCEPT.format("it hangs | on a nail"))
    run_git(folder, "mv", "frames/plan15.plan", "frames/renamed.plan")
    (folder / "planlint.toml").write_text("[rules]\nwide-spacing = 'off'\n")
    (folder / "planlint.ledger").write_text("# Empty.\n")
    words = ("inspect", ".", "--changed-since", "HEAD", "--ledger", "planlint.ledger")
    status, summary, err = called(capsys, *words, "--as", "markdown")
    assert status == 1
    assert "**Fails: 7 findings to mend or to accept.**" in summary
    newly = summary.split("### Newly accepted")[1]
    assert "it hangs \\| on a nail" in newly
    assert "an old gift" not in summary
    assert "kept as it was" not in summary
    for name in ("planlint.toml", "planlint.ledger"):
        assert f"This change touches {name}" in summary
        assert f"this change touches {name}" in err
    text = " ".join(called(capsys, *words)[1].split())
    assert "This change touches planlint.toml" in text
    assert "frames/plan03.plan, line 13: lone-screw on rail.left is accepted: an old gift" in text
    assert json.loads(called(capsys, *words, "--as", "json")[1])["touched"] == [
        "planlint.ledger",
        "planlint.toml",
    ]


@git
def test_entries_of_plans_that_are_gone_are_told_of_a_change_too(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run_git(folder, "init", "-q")
    (folder / "frames" / "unread.plan").unlink()
    (folder / "gone.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-qm", "one")
    run_git(folder, "rm", "-q", "gone.plan")
    words = ("inspect", ".", "--ledger", "planlint.ledger", "--changed-since", "HEAD", "--as", "json")
    unmatched = json.loads(called(capsys, *words)[1])["unmatched"]
    assert unmatched and {json.loads(entry)[0] for entry in unmatched} == {"gone.plan"}


def test_settings_are_not_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "planlint.toml").write_text("[rules]\nwide-spacing = 'off'\n")
    status, _, err = called(capsys, "inspect", ".", "--write", "sarif=planlint.toml")
    assert status == 2
    assert "holds a shop's settings" in err
    assert (folder / "planlint.toml").read_text() == "[rules]\nwide-spacing = 'off'\n"


@git
def test_settings_around_a_repository_that_do_not_reach_into_it_are_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "planlint.toml").write_text("[rules]\nwide-spacing = 'off'\n")
    run_git(folder / "frames", "init", "-q")
    told = called(capsys, "settings", "frames/plan03.plan")[1]
    assert "planlint.toml is not in force here: frames is a git repository of its own" in " ".join(
        told.split()
    )


def test_reasons_of_accepted_findings_stand_in_every_report(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "a.plan").write_text(FAULTY + ACCEPT.format("it hangs on a nail"))
    for form in FORMS:
        assert "it hangs on a nail" in called(capsys, "inspect", "a.plan", "--as", form)[1], form
    pytest.importorskip("jinja2")
    called(capsys, "inspect", "a.plan", "--write", "page=pages")
    assert "it hangs on a nail" in (folder / "pages" / "index.html").read_text()


def test_plans_are_grouped_by_owner(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "planlint.toml").write_text('[folders.frames]\nowner = "Ann"\n')
    _, text, _ = called(capsys, "inspect", ".")
    rows = [line.split() for line in text.splitlines()]
    assert ["Ann", "5", "findings", "in", "5", "plans"] in rows
    assert ["nobody", "named", "5", "findings", "in", "5", "plans"] in rows
    assert "| Ann | 5 | 5 |" in called(capsys, "inspect", ".", "--as", "markdown")[1]
    plans = json.loads(called(capsys, "inspect", ".", "--as", "json")[1])["plans"]
    assert {plan["owner"] for plan in plans if plan["path"].startswith("frames/")} == {"Ann"}
    assert {plan["owner"] for plan in plans if plan["path"].startswith("tables/")} == {None}


@git
def test_a_ledger_is_shown_by_rule_folder_owner_and_age(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run_git(folder, "init", "-q")
    (folder / "planlint.toml").write_text('[folders.frames]\nowner = "Ann"\n')
    called(capsys, "ledger", "record", "frames")
    run_git(folder, "add", ".")
    for when in ("GIT_AUTHOR_DATE", "GIT_COMMITTER_DATE"):
        monkeypatch.setenv(when, "2020-02-01T12:00:00")
    run_git(folder, "commit", "-qm", "one")
    called(capsys, "ledger", "record", "tables")
    (folder / "tables" / "plan00.plan").unlink()
    status, out, _ = called(capsys, "ledger", "show")
    assert status == 0
    rows = [" ".join(line.split()) for line in out.splitlines()]
    assert rows[0] == "planlint.ledger: 10 findings known, in 10 plans."
    for row in (
        "10 lone-screw",
        "5 frames",
        "5 tables",
        "5 Ann",
        "5 nobody named",
        "5 older",
        "5 not committed yet",
    ):
        assert row in rows
    assert "1 plan of these is no longer there: record again, and its entries go." in rows
    known = folder / "planlint.ledger"
    known.write_bytes(known.read_bytes().replace(b"\n", b"\r\n"))  # Other line ends make no entry younger.
    assert "5  older" in called(capsys, "ledger", "show")[1]
    assert called(capsys, "ledger", "show", "--ledger", "nowhere")[0] == 2


# ---------------------------------------------------------------- hostile names, read back

PIECES = (
    "a", "é", "\u202e", "\n", "\r", "\x1b[31m", "##x[y]", "::error file=a::", ":3:4: error: ", "<b>", "]]>", "&amp;",
    "|", "`", "``", "\\", '"', "'", "@you", "#1", "[a](b)", "%0A", " ", "\t", "\u2028", "\x00", "\x85", "\udcff",
    "\ud800", "../", "{0}",
)  # fmt: skip
LINE = re.compile(
    r"(?P<path>.*?):(?P<line>\d+):(?P<column>\d+): (error|warning|note): (?P<says>.*) \[(?P<rule>[\w-]+)\]"
)


def written_out(words: str | None) -> str:
    """Half characters, which no UTF-8 has, as JSON for any reader has them."""
    return (words or "").encode("utf-8", "backslashreplace").decode()


def test_a_thousand_hostile_names_come_back_from_every_form() -> None:
    chance = Random(5)
    plans: list[tuple[str, Inspection]] = []
    for number in range(250):  # Four names each: of the plan, of a joint, in words and as a reason.
        name, joint, says, reason = (
            "".join(chance.choices(PIECES, k=chance.randint(1, 6))) + str(number) for _ in range(4)
        )
        source = PlanText(name, "x\ny\nz")
        finding = Finding(
            "lone-screw",
            Grade.STOP,
            joint,
            (joint,),
            Span(2, 3),
            says,
            1,
            2,
            "in",
            says,
            (Repair(says),),
            reason,
        )
        told = Inspection(name, source, findings=(finding,), accepted=(replace(finding, span=Span(0, 1)),))
        if number % 5 == 0:
            told = Inspection(
                name, source, unread=(Mistake(Span(2, 3), says),), crashed=(Trouble(joint, says),)
            )
        plans.append((name, told))
    words: dict[str, list[str]] = {}
    tally = Tally()
    forms = {
        "json": JsonReport, "sarif": SarifReport, "junit": JunitReport, "markdown": MarkdownReport,
        "lines": LineReport, "quality": QualityReport, "text": TextReport,
    }  # fmt: skip
    for _, told in plans:
        tally.add(told)
    for form, make in forms.items():
        report = make(words.setdefault(form, []).append)
        for name, told in plans:
            report.add(name, told)
        report.end(tally)
    out = {form: "".join(each) for form, each in words.items()}

    told_plans = json.loads(out["json"])["plans"]
    assert [plan["name"] for plan in told_plans] == [written_out(name) for name, _ in plans]
    assert [plan["accepted"][0]["reason"] for plan in told_plans if plan["accepted"]] == [
        written_out(told.accepted[0].reason) for _, told in plans if told.accepted
    ]
    for form in ("json", "quality"):  # As a reader has it that takes no half characters.
        json.dumps(json.loads(out[form]), ensure_ascii=False).encode()
    assert len(json.loads(out["sarif"])["runs"][0]["results"]) == 450
    cases = ElementTree.fromstring(out["junit"].encode())[0]
    assert len({case.attrib["classname"] for case in cases}) == 250
    entries = json.loads(out["quality"])
    for severity in ("critical", "info"):
        assert [each["location"]["path"] for each in entries if each["severity"] == severity] == [
            written_out(name) for name, told in plans if told.findings
        ]
    lines = out["lines"].splitlines()
    assert len(lines) == 500
    for line in lines:
        match = LINE.fullmatch(line)
        assert match, line
        assert (match["line"], match["column"]) in {("2", "1"), ("1", "1")}
    listed = out["markdown"].split("### Findings")[1]
    rows = [row for row in listed.splitlines() if row.startswith("| stop | ")]
    assert rows
    for row in rows:
        assert len(re.findall(r"\|", re.sub(r"\\.", "", row))) == 8, (
            row
        )  # As a table is read: what is escaped first.
    for form, whole in out.items():
        for line in whole.splitlines():
            assert not re.search(r"##\w*\[|^\s*::\w", line), (form, line)
            assert line.isprintable()


def test_every_form_of_a_sound_plan_is_empty_or_says_so(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "a.plan").write_text(SOUND)
    assert called(capsys, "inspect", "a.plan", "--as", "lines") == (0, "", "")
    assert called(capsys, "inspect", "a.plan", "--as", "quality") == (0, "[]\n", "")


def test_brief_has_a_line_a_finding_and_tells_what_is_kept(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "planlint.toml").write_text("")
    (folder / "known.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", "known.plan")
    (folder / "kept.plan").write_text(FAULTY + ACCEPT.format("it hangs on a nail"))
    (folder / "new.plan").write_text(FAULTY)
    (folder / "none.plan").mkdir()
    (folder / "none.plan" / "nowhere.plan").symlink_to("nothing-there.plan")
    plans = ("known.plan", "kept.plan", "new.plan", "none.plan")
    told = called(capsys, "inspect", *plans, "--brief", "--ledger", "planlint.ledger")[1].splitlines()
    assert told[:2] == ["known.plan: nothing new, 1 known", "kept.plan: nothing found, 1 accepted"]
    assert re.fullmatch(r"new\.plan, line 12: STOP lone-screw: One screw .* can turn on it\.", told[2])
    assert told[3] == "none.plan/nowhere.plan, line 1: NOT READ: There is no such file or folder."
