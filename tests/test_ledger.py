"""The ledger: what was there before does not fail a run, what is new does, and what went is told."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.collection.ledger import LedgerBroken, fingerprint, numbered, read_ledger, write_ledger
from planlint.command import main
from planlint.findings.finding import Finding, Grade
from planlint.inspection.result import Inspection
from planlint.text.source import PlanText, Span
from tests.plans import FAULTY, SOUND

TWO_FAULTS = FAULTY + (
    "part stile_b of board, 24 long, upright, facing front\n"
    "join rail.right to stile_b.left\n    flush top, front\n    pockets 1 in back\n    screws to suit\n"
)


@pytest.fixture(name="folder")
def collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "a.plan").write_text(FAULTY)
    (tmp_path / "b.plan").write_text(SOUND)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main.main(list(words))
    told = capsys.readouterr()
    return status, told.out, told.err


def entries_in(file: Path) -> list[list[object]]:
    return [json.loads(line) for line in file.read_text().splitlines() if not line.startswith("#")]


def test_only_what_is_new_fails(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = called(capsys, "ledger", "record", ".")
    assert status == 0
    assert "1 finding in the ledger planlint.ledger" in out
    assert entries_in(folder / "planlint.ledger") == [["a.plan", "lone-screw", "rail.left", 1]]
    ledger = ["--ledger", "planlint.ledger"]
    status, out, _ = called(capsys, "inspect", ".", *ledger)
    assert status == 0
    assert "1 finding known from the ledger" in out

    # Edits elsewhere, and other names and numbers of lines, change nothing.
    (folder / "a.plan").write_text("# A comment\n\n" + FAULTY.replace("24 long", "26 long"))
    assert called(capsys, "inspect", ".", *ledger)[0] == 0

    (folder / "a.plan").write_text(TWO_FAULTS)
    status, out, _ = called(capsys, "inspect", ".", *ledger)
    assert status == 1
    assert "Joint rail.right" in out
    assert "Joint rail.left" not in out


@pytest.mark.parametrize("form", ["text", "json"])
def test_entry_that_no_longer_matches_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    called(capsys, "ledger", "record", ".")
    (folder / "a.plan").write_text(SOUND)
    status, out, err = called(capsys, "inspect", ".", "--ledger", "planlint.ledger", "--as", form)
    assert status == 0
    told = " ".join((out if form == "text" else err).split())
    assert 'no longer matches: ["a.plan", "lone-screw", "rail.left", 1]' in told
    # Of a plan that this run does not look at, nobody knows.
    assert "no longer" not in "".join(called(capsys, "inspect", "b.plan", "--ledger", "planlint.ledger")[1:])
    (folder / "a.plan").unlink()
    assert "no longer" in called(capsys, "inspect", ".", "--ledger", "planlint.ledger")[1]


def test_nothing_is_recorded_of_what_cannot_be_read(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "c.plan").write_text("nonsense\n")
    status, _, err = called(capsys, "ledger", "record", ".", "--ledger", "known")
    assert status == 2
    assert "could not be inspected whole: ./c.plan" in err
    assert not (folder / "known").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("nonsense\n", "line 1 of the ledger"),
        ('["a", "b"]\n', "no entry"),
        ('# fine\n["a", "b", "c", "d"]\n', "line 2"),
        ("<<<<<<< ours\n", "a merge left it unfinished"),
        ("[" * 100_000, "no entry"),
    ],
)
def test_broken_ledger(folder: Path, capsys: pytest.CaptureFixture[str], text: str, says: str) -> None:
    (folder / "known").write_text(text)
    status, out, err = called(capsys, "inspect", ".", "--ledger", "known")
    assert (status, out) == (2, "")
    assert says in err


def test_no_ledger(folder: Path) -> None:
    with pytest.raises(LedgerBroken, match="cannot be read"):
        read_ledger(folder / "none")


def finding(rule: str, joint: str | None, start: int, parts: tuple[str, ...] = ()) -> Finding:
    return Finding(rule, Grade.STOP, joint, parts, Span(start, start + 1), "x", None, None, None, "judgement")


FINDINGS = st.lists(
    st.builds(
        finding,
        st.sampled_from(["a", "b"]),
        st.one_of(st.none(), st.text(max_size=5)),
        st.integers(0, 9),
        st.tuples(st.text(max_size=3)),
    ),
    max_size=8,
)


@given(FINDINGS, st.text(max_size=10))
def test_every_finding_has_a_line_of_its_own(findings: list[Finding], name: str) -> None:
    inspection = Inspection("a.plan", PlanText("a.plan", " " * 20), findings=tuple(findings))
    lines = [line for _, line in numbered(name, inspection)]
    assert len(set(map(fingerprint, lines))) == len(lines) == len(findings)
    assert all(line.isascii() and "\n" not in line for line in lines)


def test_accepting_one_of_two_keeps_the_others_number() -> None:
    first, second = finding("a", "j", 1), finding("a", "j", 5)
    source = PlanText("a.plan", " " * 20)
    both = Inspection("a", source, (first, second))
    one = Inspection("a", source, (second,), accepted=(first,))
    assert list(numbered("a", both)) == list(numbered("a", one))


def test_order_and_repetition_do_not_matter(tmp_path: Path) -> None:
    lines = [json.dumps([name, "lone-screw", "rail.left", 1]) for name in "cab"]
    write_ledger(tmp_path / "ledger", lines)
    written = [line for line in (tmp_path / "ledger").read_text().splitlines() if not line.startswith("#")]
    assert written == sorted(lines)
    (tmp_path / "other").write_text("\n".join([*lines, *lines, "", "# a note"]))
    assert read_ledger(tmp_path / "other").plans() == read_ledger(tmp_path / "ledger").plans() == set("abc")


@pytest.mark.skipif(not shutil.which("git"), reason="needs git")
def test_two_branches_merge(tmp_path: Path) -> None:
    def run_git(*words: str) -> None:
        who = ["-c", "user.name=A", "-c", "user.email=a@example.com", "-c", "init.defaultBranch=trunk"]
        subprocess.run(["git", *who, *words], cwd=tmp_path, check=True, capture_output=True)

    def record(*numbers: int) -> None:
        write_ledger(
            tmp_path / "ledger", [json.dumps([f"p{number:02}", "lone-screw", "j", 1]) for number in numbers]
        )
        run_git("add", ".")
        run_git("commit", "-q", "-m", "more")

    run_git("init", "-q")
    record(*range(10, 50, 5))
    run_git("checkout", "-q", "-b", "side")
    record(12, *range(10, 50, 5))
    run_git("checkout", "-q", "trunk")
    record(*range(10, 45, 5), 42)
    run_git("merge", "-q", "side")
    expected = {f"p{number:02}" for number in (*range(10, 45, 5), 12, 42)}
    assert read_ledger(tmp_path / "ledger").plans() == expected
