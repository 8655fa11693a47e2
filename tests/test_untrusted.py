"""Names and words that somebody else chose: no report lets them be more than words, and no file outside is touched."""

from __future__ import annotations

import io
import json
import os
import re
from pathlib import Path
from urllib.parse import unquote_to_bytes
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.command import main
from planlint.findings.finding import Finding, Grade, Repair
from planlint.inspection.inspection_result import About, Inspection, Trouble
from planlint.reports.json_report import JsonReport
from planlint.reports.junit_report import JunitReport
from planlint.reports.markdown_report import MarkdownReport
from planlint.reports.page_layout import Page
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Report, Tally
from planlint.reports.text_report import write_inspection
from planlint.text.source import Mistake, PlanText, Span
from tests.plans import FAULTY, SOUND
from tests.test_sarif import validator

NAMES = [
    b"<script>alert(1)</script>".replace(b"/", b"\\"),
    b"]]>",
    b"a|b",
    b"`a``b`",
    b"\x1b[2J\x1b]0;x\x07",
    b"new\nline\rreturn",
    b"[link](http:x)",
    b"![x](y)",
    b"&lt;&amp;",
    b"\"quoted\" 'twice'",
    b"%41%00",
    b"--option=x",
    b"@everybody #1",
    b"\xff\xfe not UTF-8",
    "\u202egnp.exe".encode(),
    b"{0} {x!r} %s",
    b"$(touch x);`touch y`",
    b" ",
]
FORMS = ("text", "json", "sarif", "junit", "markdown")
CONTROLS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


@pytest.fixture(name="folder")
def hostile_collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    plans = tmp_path / "plans"
    plans.mkdir()
    for number, name in enumerate(NAMES):
        text = FAULTY if number % 2 else FAULTY.replace("rail of board", "rail of bord")
        try:
            (plans / os.fsdecode(name + b".plan")).write_text(text)
        except OSError:  # A file system that does not take every name.
            continue
    monkeypatch.chdir(plans)
    return plans


def called(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    main.main(list(words))
    told = capsys.readouterr()
    assert not told.err
    return told.out


def cells(row: str) -> list[str]:
    """The cells of a Markdown row: only a bar that nothing escapes divides them."""
    return re.split(r"(?<!\\)\|", row)[1:-1]


def check_markdown(told: str) -> None:
    assert not CONTROLS.search(told)
    tables = [line for line in told.splitlines() if line.startswith("|")]
    rules = [index for index, line in enumerate(tables) if set(line) <= set("|-:")]
    for start, end in zip(rules, [*(index - 1 for index in rules[1:]), len(tables)], strict=True):
        for row in tables[start:end]:
            assert len(cells(row)) == len(cells(tables[start])), row
    for line in told.splitlines():
        outside = re.sub(r"(`+)(?!`).*?(?<!`)\1(?!`)", "", line)  # Without what stands as code.
        assert not re.search(r"(?<!\\)[<\[]", outside), line
        calls = re.sub(r"^#+ |[@#]&#8203;|&#8203;", "", outside)
        assert not re.search("[@#]", calls), line


def test_hostile_names_in_every_report(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = {os.fsencode(path.name) for path in folder.iterdir()}
    assert len(there) > 10
    told = {form: called(capsys, "inspect", ".", "--as", form) for form in FORMS}
    for form, words in told.items():
        assert not CONTROLS.search(words), form
    assert len(json.loads(told["json"])["plans"]) == len(there)

    sarif = json.loads(told["sarif"])
    validator().validate(sarif)
    (run,) = sarif["runs"]
    places = [result["locations"][0] for result in run["results"]]
    places += [note["locations"][0] for note in run["invocations"][0]["toolExecutionNotifications"]]
    addresses = {place["physicalLocation"]["artifactLocation"]["uri"] for place in places}
    assert all(re.fullmatch(r"[A-Za-z0-9_.~%/-]+", address) for address in addresses)
    assert {unquote_to_bytes(address) for address in addresses} == there

    suite = ElementTree.fromstring(told["junit"])[0]
    assert len(suite) == len(there)
    assert {child.tag for child in suite.iter()} == {"testsuite", "testcase", "failure", "error"}
    check_markdown(told["markdown"])


def test_hostile_names_in_the_ledger(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in list(folder.iterdir()):
        if b"bord" in path.read_bytes():
            path.unlink()
    ledger = folder.parent / "known"
    called(capsys, "ledger", "record", ".", "--ledger", str(ledger))
    lines = ledger.read_text(encoding="ascii").splitlines()
    assert len(lines) == 1 + len(list(folder.iterdir()))
    assert main.main(["inspect", ".", "--ledger", str(ledger)]) == 0
    assert not CONTROLS.search(capsys.readouterr().out)


WORDS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        [
            "<b>",
            "]]>",
            "|",
            "`",
            "``|``",
            "\\|",
            "\\",
            "&",
            "[a](b)",
            "\x1b[0m",
            "\n",
            "\r\n| x |",
            "{0}",
            "http://x",
        ]
    ),
    st.text(alphabet="<>&|`\\[]()*_~$@#!\n\x1b\u202e:/ ", max_size=30),
)


@given(WORDS, WORDS, WORDS, WORDS)
def test_any_words_in_every_report(name: str, title: str, joint: str, says: str) -> None:
    text = "x\ny\nz"
    finding = Finding(
        "lone-screw", Grade.STOP, joint, (joint,), Span(2, 3), says, 1, 2, joint, says, (Repair(says),)
    )
    inspection = Inspection(
        name,
        PlanText(name, text),
        findings=(finding,),
        accepted=(finding,),
        unread=(Mistake(Span(0, 1), says),),
        crashed=(Trouble(joint, says),),
        about=About(title, "in", 1, 1),
    )
    tally = Tally()
    tally.add(inspection)
    told = {}
    for form, make in (
        ("json", JsonReport),
        ("sarif", SarifReport),
        ("junit", JunitReport),
        ("markdown", MarkdownReport),
    ):
        words: list[str] = []
        report: Report = make(words.append)
        report.add(name, inspection)
        report.end(tally)
        told[form] = "".join(words)
        assert not CONTROLS.search(told[form])
    validator().validate(json.loads(told["sarif"]))
    assert json.loads(told["json"])["plans"][0]["path"] == name
    suite = ElementTree.fromstring(told["junit"])[0]
    assert [len(case) for case in suite] == [1, 1, 1, 1]
    assert all(len(child) == 0 for case in suite for child in case)
    check_markdown(told["markdown"])
    file = io.StringIO()
    write_inspection(Page(file, 80), inspection)
    assert not CONTROLS.search(file.getvalue())


def test_nothing_outside_is_read(
    folder: Path, capsys: pytest.CaptureFixture[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.plan").write_text("let secret_word = 3\n")
    for path in list(folder.iterdir()):
        path.unlink()
    (folder / "planlint.toml").write_text("")
    (folder / "link.plan").symlink_to(outside / "secret.plan")
    (folder / "a.plan").write_text(f'use "{os.path.relpath(outside, folder)}/secret.plan"\n' + FAULTY)
    (folder / "b.plan").write_text(f'use "{outside}/secret.plan"\n' + FAULTY)
    told = called(capsys, "inspect", ".")
    assert "secret_word" not in told
    assert told.count("NOT READ") == 3


@pytest.mark.parametrize("sign", ["##[error]", "##vso[task.setvariable]", "::warning::", "::add-mask::x"])
def test_nothing_speaks_to_a_build_server(
    sign: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / f"{sign}.plan").write_text(SOUND.replace("Frame", sign).replace("pockets 2", "pockets 1"))
    (tmp_path / f"{sign}2.plan").write_text(f'plan "{sign}"\n{sign}\n')
    for more in ([], ["--brief"], ["--as", "markdown"]):
        main.main(["inspect", ".", *more])
        out = capsys.readouterr().out
        assert sign[2:8] in out.replace("\\", "")
        assert not any(
            line.lstrip().startswith(("##[", "##vso", "::")) or "##[" in line for line in out.splitlines()
        )
        assert "##vso[" not in out
    main.main(["ledger", "record", ".", "--ledger", "known"])  # It tells the one that cannot be read.
    main.main(["tidy", f"{sign}2.plan"])
    err = capsys.readouterr().err
    assert sign[2:8] in err
    assert not re.search(r"##\w*\[|^\s*::", err, re.MULTILINE)
