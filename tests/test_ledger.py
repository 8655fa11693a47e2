"""The ledger: what was there before does not fail a run, what is new does, and what went is told."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.collection.findings_ledger import (
    LEDGER_HEAD,
    LedgerBroken,
    fingerprint,
    read_ledger,
    with_lines,
    write_ledger,
)
from planlint.command import ledger_command
from planlint.command.inspect_command import Wishes, inspected
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.text.source import PlanText, Span
from tests.plans import FAULTY, SOUND
from tests.repositories import called, git, run_git

ROOT = Path(__file__).parent.parent
KEEPING = (ROOT / "rules" / "keeping.md").read_text(encoding="utf-8")
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


def entries_in(file: Path) -> list[list[object]]:
    return entries_in_text(file.read_text())


def entries_in_text(text: str) -> list[list[object]]:
    return [json.loads(line) for line in text.splitlines() if not line.startswith("#")]


def test_only_what_is_new_fails(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = called(capsys, "ledger", "record", ".")
    assert status == 0
    assert out == "planlint.ledger: 1 finding recorded for 2 plans\n"
    assert entries_in(folder / "planlint.ledger") == [["a.plan", "lone-screw", "rail.left/stile.right", 1]]
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


def test_entries_of_rules_that_are_not_known_here_stay(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Somebody else has the package that brings them."""
    ledger, entry = folder / "planlint.ledger", ["a.plan", "no-oak", "rail", 1]
    called(capsys, "ledger", "record", ".")
    ledger.write_text(ledger.read_text() + json.dumps(entry) + "\n")
    _, out, err = called(capsys, "inspect", ".", "--ledger", "planlint.ledger")
    assert "no longer" not in out
    assert "not known here, and they stay: no-oak" in " ".join(err.split())
    assert called(capsys, "ledger", "record", ".")[0] == 2
    assert entry in entries_in(ledger)


@pytest.mark.parametrize("form", ["text", "json"])
def test_entry_that_no_longer_matches_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    called(capsys, "ledger", "record", ".")
    (folder / "a.plan").write_text(SOUND)
    status, out, err = called(capsys, "inspect", ".", "--ledger", "planlint.ledger", "--as", form)
    assert status == 0
    told = " ".join((out if form == "text" else err).split())
    assert 'no longer matches: ["a.plan", "lone-screw", "rail.left/stile.right", 1]' in told
    # Of a plan that this run does not look at, nobody knows.
    assert "no longer" not in "".join(called(capsys, "inspect", "b.plan", "--ledger", "planlint.ledger")[1:])
    (folder / "a.plan").unlink()
    assert "no longer" in called(capsys, "inspect", ".", "--ledger", "planlint.ledger")[1]


def test_what_a_plan_accepts_needs_no_entry(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "ledger", "record", ".")
    (folder / "a.plan").write_text(f'{FAULTY}accept lone-screw on rail.left because "it hangs"\n')
    status, out, _ = called(capsys, "inspect", ".", "--ledger", "planlint.ledger")
    assert status == 0
    assert 'no longer matches: ["a.plan", "lone-screw", "rail.left/stile.right", 1]' in out
    assert "\n\n\n" not in out
    called(capsys, "ledger", "record", ".")
    assert not entries_in(folder / "planlint.ledger")
    assert called(capsys, "ledger", "show")[1] == "planlint.ledger: 0 findings known, in 0 plans.\n"


def test_standard_input_has_no_name_in_a_ledger(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = called(capsys, "ledger", "record", "-")
    assert (status, (folder / "planlint.ledger").exists()) == (2, False)
    assert "standard input has no name by which a ledger could know it" in err


def test_a_file_without_words_is_a_plan_that_cannot_be_read(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "empty.plan").write_text("")
    status, out, _ = called(capsys, "inspect", "empty.plan", "nowhere.plan", "--write", "json=r.json")
    assert status == 2
    words = "1 plan: 0 stop, 0 caution, 0 advice; 1 plan not read or not inspected whole; 1 path could not be read."
    assert words in " ".join(out.split())
    assert words in " ".join(called(capsys, "join", "r.json", "--as", "text")[1].split())


def test_what_cannot_be_read_keeps_its_entries_and_the_rest_is_recorded(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "c.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    before = entries_in(folder / "planlint.ledger")
    (folder / "c.plan").write_text("nonsense\n")
    (folder / "d.plan").write_text(FAULTY)
    status, out, err = called(capsys, "ledger", "record", ".")
    assert (status, out) == (2, "planlint.ledger: 2 findings recorded for 3 plans; 1 of other plans kept\n")
    assert "could not be inspected whole, and what the ledger has of them stays: c.plan" in err
    assert entries_in(folder / "planlint.ledger") == [
        *before,
        ["d.plan", "lone-screw", "rail.left/stile.right", 1],
    ]
    # The rest of a run goes on, too.
    status, out, _ = called(capsys, "inspect", ".", "--ledger", "planlint.ledger")
    assert status == 2
    assert "NOT READ" in out
    assert "2 findings known from the ledger" in out


@git
def test_what_git_only_did_not_check_out_keeps_its_entries(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A submodule that was not fetched, as on most build servers, and a file that a sparse checkout leaves out."""
    (folder / "lib").mkdir()
    for name in ("lib/c.plan", "d.plan", "e.plan"):
        (folder / name).write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    before = (folder / "planlint.ledger").read_text()
    (folder / ".gitmodules").write_text('[submodule "lib"]\n\tpath = lib\n\turl = ./lib\n')
    (folder / "lib" / "c.plan").unlink()
    run_git(folder, "init", "-q")
    run_git(folder, "add", ".")
    run_git(folder, "update-index", "--add", "--cacheinfo", f"160000,{'1' * 40},lib")
    run_git(folder, "update-index", "--skip-worktree", "d.plan")
    (folder / "d.plan").unlink()
    (folder / "e.plan").unlink()
    _, out, err = called(capsys, "inspect", ".", "--ledger", "planlint.ledger")
    assert "lib is a submodule that is not checked out here: no plan of it is inspected" in err
    assert out.count("no longer matches") == 1  # Of the one that is gone indeed.
    assert "1 plan of these is no longer there" in called(capsys, "ledger", "show")[1]
    status, _, err = called(capsys, "ledger", "record", ".")
    assert status == 0
    assert "2 plans not checked out here: what the ledger has there stays" in err
    left = [line for line in before.splitlines() if "e.plan" not in line]
    assert (folder / "planlint.ledger").read_text().splitlines() == left
    (folder / "planlint.toml").write_text('exclude = ["lib/*"]\n')
    assert "submodule" not in called(capsys, "inspect", ".")[2]


def test_report_is_not_written_over_a_ledger(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "ledger", "record", ".")
    before = (folder / "planlint.ledger").read_bytes()
    status, _, err = called(capsys, "inspect", ".", "--write", "json=planlint.ledger")
    assert status == 2
    assert "planlint.ledger is not written: what begins so is a ledger, and would be lost" in err
    assert (folder / "planlint.ledger").read_bytes() == before


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("nonsense\n", "line 1 of the ledger"),
        ('["a", "b"]\n', "no entry"),
        ('# fine\n["a", "b", "c", "d"]\n', "line 2"),
        (
            "<<<<<<< ours\n",
            "line 1 of the ledger known is a mark that a merge left (<<<<<<<): keep the lines",
        ),
        ("# ours\n||||||| base\n", "line 2 of the ledger known is a mark that a merge left"),
        ("=======\n", "a mark that a merge left"),
        (">>>>>>> theirs\n", "a mark that a merge left"),
        ("[" * 100_000, "no entry"),
    ],
)
def test_broken_ledger(folder: Path, capsys: pytest.CaptureFixture[str], text: str, says: str) -> None:
    (folder / "known").write_text(text)
    status, out, err = called(capsys, "inspect", ".", "--ledger", "known")
    assert (status, out) == (2, "")
    assert says in err
    # Recording a part must know the rest.
    status, _, err = called(capsys, "ledger", "record", "a.plan", "--ledger", "known")
    assert status == 2
    assert says in err
    # What is no ledger may be anything: nobody is told to remove it.
    assert "say another file" in err
    (folder / "known").write_text(LEDGER_HEAD + text)
    err = called(capsys, "ledger", "record", "a.plan", "--ledger", "known")[2]
    assert "remove the file, to record everything anew" in err
    assert (folder / "known").read_text() == LEDGER_HEAD + text


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes")
@pytest.mark.parametrize("how", ["pipe", "device", "folder", "bytes", "utf-16"])
def test_what_is_no_ledger_is_refused_at_once(
    folder: Path, capsys: pytest.CaptureFixture[str], how: str
) -> None:
    file = folder / "known"
    says = "the ledger known cannot be read: it is not a plain file"
    if how == "pipe":
        os.mkfifo(file)
    elif how == "device":
        file.symlink_to("/dev/zero")
    elif how == "folder":
        file.mkdir()
    else:
        file.write_bytes(b"# ours\n# Gro\xdfe" if how == "bytes" else LEDGER_HEAD.encode("utf-16"))
        says = "this file is saved as UTF-16, not as UTF-8: save it as UTF-8"
        if how == "bytes":
            says = "this file is not UTF-8: byte 13 of it (hexadecimal DF, on line 2) belongs to no character"
    for words in (("inspect", "."), ("ledger", "record", "."), ("ledger", "show")):
        status, out, err = called(capsys, *words, "--ledger", "known")
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
    lines = [line for _, line in with_lines(name, inspection)]
    assert len(set(map(fingerprint, lines))) == len(lines) == len(findings)
    assert all(line.isascii() and "\n" not in line for line in lines)


def test_accepting_one_of_two_keeps_the_others_number() -> None:
    first, second = finding("a", "j", 1), finding("a", "j", 5)
    source = PlanText("a.plan", " " * 20)
    both = Inspection("a", source, (first, second))
    one = Inspection("a", source, (second,), accepted=(first,))
    assert list(with_lines("a", both)) == list(with_lines("a", one))


def test_order_and_repetition_do_not_matter(tmp_path: Path) -> None:
    lines = [json.dumps([name, "lone-screw", "rail.left/stile.right", 1]) for name in "cab"]
    write_ledger(tmp_path / "ledger", lines)
    written = [line for line in (tmp_path / "ledger").read_text().splitlines() if not line.startswith("#")]
    assert written == sorted(lines)
    (tmp_path / "other").write_text("\n".join([*lines, *lines, "", "# a note"]))
    assert read_ledger(tmp_path / "other").plans() == read_ledger(tmp_path / "ledger").plans() == set("abc")


def test_recording_a_part_keeps_the_entries_of_others(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("own/c", "own/d", "own/old/e", "owner/f"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / f"{name}.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    whole = (folder / "planlint.ledger").read_text()
    (folder / "own" / "c.plan").write_text(TWO_FAULTS)

    told = called(capsys, "ledger", "record", "own/c.plan")
    assert told == (0, "planlint.ledger: 2 findings recorded for 1 plan; 4 of other plans kept\n", "")
    assert entries_in(folder / "planlint.ledger") == sorted(
        [*entries_in_text(whole), ["own/c.plan", "lone-screw", "rail.right/stile_b.left", 1]]
    )
    assert called(capsys, "inspect", ".", "--ledger", "planlint.ledger")[0] == 0

    # Of a folder, what is gone goes: of other folders nobody asked.
    shutil.rmtree(folder / "own" / "old")
    (folder / "owner" / "f.plan").unlink()
    out = called(capsys, "ledger", "record", "own")[1]
    assert out == (
        "planlint.ledger: 3 findings recorded for 2 plans; 1 of plans that are gone or left out taken out; "
        "2 of other plans kept\n"
    )
    (folder / "own" / "c.plan").write_text(SOUND)
    called(capsys, "ledger", "record", "own/c.plan")
    left = {str(name) for name, *_ in entries_in(folder / "planlint.ledger")}
    assert left == {"a.plan", "own/d.plan", "owner/f.plan"}
    called(capsys, "ledger", "record", ".")
    assert {str(name) for name, *_ in entries_in(folder / "planlint.ledger")} == {"a.plan", "own/d.plan"}


@pytest.mark.parametrize("target", ["b.plan", "link"])
def test_a_ledger_is_not_written_over_a_plan(
    folder: Path, capsys: pytest.CaptureFixture[str], target: str
) -> None:
    (folder / "link").symlink_to("b.plan")
    status, _, err = called(capsys, "ledger", "record", "a.plan", "--ledger", target)
    assert status == 2
    assert f"{target} is not written: what ends in .plan is a plan" in err
    assert (folder / "b.plan").read_text() == SOUND


def test_what_another_run_recorded_meanwhile_stays(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("a.plan", "b.plan"):
        (folder / name).write_text(FAULTY)
    usual = inspected

    def slowly(paths: list[str], wishes: Wishes) -> Iterator[tuple[str, Inspection]]:
        yield from usual(paths, wishes)
        monkeypatch.setattr(ledger_command, "inspected", usual)
        called(capsys, "ledger", "record", "b.plan")

    monkeypatch.setattr(ledger_command, "inspected", slowly)
    called(capsys, "ledger", "record", "a.plan")
    assert {name for name, *_ in entries_in(folder / "planlint.ledger")} == {"a.plan", "b.plan"}


def test_a_link_to_a_ledger_stays_a_link(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "planlint.ledger").symlink_to("kept")
    called(capsys, "ledger", "record", ".")
    assert (folder / "planlint.ledger").is_symlink()
    assert entries_in(folder / "kept") == [["a.plan", "lone-screw", "rail.left/stile.right", 1]]


def test_json_tells_what_is_known_and_what_no_longer_matches(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "c.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    (folder / "c.plan").write_text(SOUND)
    words = ["--ledger", "planlint.ledger", "--as", "json"]
    whole = json.loads(called(capsys, "inspect", ".", *words)[1])
    assert [[found["rule"] for found in plan["known"]] for plan in whole["plans"]] == [["lone-screw"], [], []]
    assert whole["unmatched"] == ['["c.plan", "lone-screw", "rail.left/stile.right", 1]']
    assert {word: count for word, count in whole["summary"].items() if count} == {"known": 1, "unmatched": 1}
    for number in (1, 2):
        out = called(capsys, "inspect", ".", *words, "--shard", f"{number}/2")[1]
        (folder / f"{number}.json").write_text(out)
    status, out, _ = called(capsys, "join", "1.json", "2.json")
    assert (status, json.loads(out)) == (0, whole)


def test_plans_in_which_all_is_known_are_told_so(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number in range(22):
        (folder / f"more{number}.plan").write_text(SOUND)
    called(capsys, "ledger", "record", ".")
    words = ["--ledger", "planlint.ledger", "--write", "markdown=summary.md"]
    status, out, _ = called(capsys, "inspect", ".", *words)
    assert status == 0
    assert " ".join(out.split()) == (
        "24 plans: 0 stop, 0 caution, 0 advice; 23 sound, 1 with nothing new; 1 finding known from the ledger."
    )
    assert "24 plans inspected, 23 sound, 1 with nothing new" in (folder / "summary.md").read_text()
    assert "a.plan  Frame: nothing new, 1 known" in called(capsys, "inspect", "./a.plan", *words)[1]


@pytest.mark.skipif(sys.platform != "linux", reason="names of files are bytes on Linux only")
def test_names_are_known_in_every_locale(folder: Path) -> None:
    names = [os.fsdecode(name) for name in (b"tabl\xc3\xa9.plan", b"odd\xff.plan")]
    for name in names:
        (folder / name).write_text(FAULTY)
    utf_8 = {"PYTHONUTF8": "1"}
    ascii_only = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}

    def run(locale: dict[str, str], *words: str) -> str:
        done = subprocess.run(
            [sys.executable, "-m", "planlint", *words],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONPATH": str(ROOT), **locale},
        )
        return done.stdout

    run(utf_8, "ledger", "record", ".", "--ledger", "one")
    run(ascii_only, "ledger", "record", ".", "--ledger", "other")
    assert (folder / "one").read_bytes() == (folder / "other").read_bytes()
    assert "3 findings known" in run(ascii_only, "inspect", ".", "--ledger", "one")
    assert "1 of other plans kept" in run(ascii_only, "ledger", "record", *names, "--ledger", "one")
    (folder / names[0]).unlink()
    assert 'matches: ["tabl\\u00e9.plan",' in run(ascii_only, "inspect", ".", "--ledger", "one")


@pytest.mark.skipif(not shutil.which("git"), reason="needs git")
@pytest.mark.parametrize("union", [True, False])
def test_git_merges_additions_side_by_side_where_it_is_told_to(folder: Path, union: bool) -> None:
    """What the keepers' page says of ``.gitattributes``, tried on branches that both change the same place."""
    ledger = folder / "planlint.ledger"

    def entry(name: str) -> str:
        return json.dumps([name, "lone-screw", "rail.left/stile.right", 1])

    def record(*names: str) -> None:
        write_ledger(ledger, map(entry, names))
        run_git(folder, "add", ".")
        run_git(folder, "commit", "-q", "-m", "more")

    run_git(folder, "init", "-q")
    if union:
        (line,) = (
            line for line in KEEPING.splitlines() if "merge=union" in line and line.startswith("planlint")
        )
        (folder / ".gitattributes").write_text(f"{line}\n")
    record("a.plan", "m.plan", "z.plan")
    run_git(folder, "checkout", "-q", "-b", "side")
    record("a.plan", "m.plan", "o.plan", "p.plan", "z.plan")
    run_git(folder, "checkout", "-q", "trunk")
    record("a.plan", "n.plan", "p.plan", "z.plan")  # Without m: somebody mended it.
    if not union:
        with pytest.raises(subprocess.CalledProcessError):
            run_git(folder, "merge", "-q", "side")
        with pytest.raises(LedgerBroken, match="a mark that a merge left"):
            read_ledger(ledger)
        return
    run_git(folder, "merge", "-q", "side")
    merged = [name for name, *_ in entries_in(ledger)]
    assert merged.count("p.plan") == 2 or merged != sorted(map(str, merged))
    # What one side took out may be back, and is told as an entry that no longer matches.
    assert read_ledger(ledger).plans() - {"m.plan"} == {"a.plan", "n.plan", "o.plan", "p.plan", "z.plan"}


@pytest.mark.skipif(not shutil.which("git"), reason="needs git")
@pytest.mark.parametrize("before", [False, True])
def test_another_join_written_elsewhere_leaves_what_is_known(
    folder: Path, capsys: pytest.CaptureFixture[str], before: bool
) -> None:
    called(capsys, "ledger", "record", ".")
    head, joins = FAULTY.split("join ", 1)
    post = "part post of board, 24 long, upright, facing front\n"
    more = "join rail.left to post.right\n    proud 2 at front\n    pockets 2 in back\n    screws to suit\n"
    (folder / "a.plan").write_text(
        head + post + (more if before else "") + f"join {joins}" + more * (not before)
    )
    _, out, _ = called(capsys, "inspect", "a.plan", "--ledger", "planlint.ledger", "--as", "json")
    told = json.loads(out)
    assert [each["rule"] for each in told["plans"][0]["known"]] == ["lone-screw"]
    assert told["unmatched"] == []
    if not before:  # What is written below renames nothing.
        assert told["plans"][0]["known"][0]["joint"] == "rail.left"


def test_two_branches_merge(tmp_path: Path) -> None:
    def record(*numbers: int) -> None:
        write_ledger(
            tmp_path / "ledger", [json.dumps([f"p{number:02}", "lone-screw", "j", 1]) for number in numbers]
        )
        run_git(tmp_path, "add", ".")
        run_git(tmp_path, "commit", "-q", "-m", "more")

    run_git(tmp_path, "init", "-q")
    record(*range(10, 50, 5))
    run_git(tmp_path, "checkout", "-q", "-b", "side")
    record(12, *range(10, 50, 5))
    run_git(tmp_path, "checkout", "-q", "trunk")
    record(*range(10, 45, 5), 42)
    run_git(tmp_path, "merge", "-q", "side")
    expected = {f"p{number:02}" for number in (*range(10, 45, 5), 12, 42)}
    assert read_ledger(tmp_path / "ledger").plans() == expected


@pytest.mark.parametrize("mark", ["planlint.toml", ".git"])
def test_a_folder_with_a_root_of_its_own_leaves_the_rest_of_the_ledger(
    folder: Path, capsys: pytest.CaptureFixture[str], mark: str
) -> None:
    (folder / "own").mkdir()
    (folder / "own" / mark).mkdir() if mark == ".git" else (folder / "own" / mark).write_text("")
    (folder / "own" / "c.plan").write_text(FAULTY)
    assert called(capsys, "ledger", "record", ".")[0] == 0
    before = (folder / "planlint.ledger").read_text()
    assert '"own/c.plan"' in before
    status, out, _ = called(capsys, "ledger", "record", "own")
    assert status == 0
    assert "of other plans kept" in out
    assert (folder / "planlint.ledger").read_text() == before
    assert called(capsys, "inspect", "own", "--ledger", "planlint.ledger")[0] == 0
    assert called(capsys, "inspect", "own/c.plan", "--ledger", "planlint.ledger")[0] == 0


def test_a_ledger_that_lies_in_a_folder_of_the_collection(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "own" / "deep").mkdir(parents=True)
    (folder / "own" / "c.plan").write_text(FAULTY)
    deep = ("--ledger", "own/deep/known")
    called(capsys, "ledger", "record", ".", *deep)
    out = called(capsys, "ledger", "record", "own", *deep)[1]
    assert out == "own/deep/known: 1 finding recorded for 1 plan; 1 of other plans kept\n"
    ledger = ("--ledger", "own/known")
    called(capsys, "ledger", "record", ".", *ledger)
    before = (folder / "own" / "known").read_text()
    assert {name for name, *_ in entries_in_text(before)} == {"../a.plan", "c.plan"}
    out = called(capsys, "ledger", "record", "own", *ledger)[1]
    assert out == "own/known: 1 finding recorded for 1 plan; 1 of other plans kept\n"
    assert (folder / "own" / "known").read_text() == before
    assert "no longer matches" not in called(capsys, "inspect", "own", *ledger)[1]
    # Above it, what is gone goes, beside the ledger as elsewhere.
    (folder / "own" / "c.plan").unlink()
    assert 'no longer matches: ["c.plan"' in called(capsys, "inspect", ".", *ledger)[1]
    called(capsys, "ledger", "record", ".", *ledger)
    assert [name for name, *_ in entries_in(folder / "own" / "known")] == ["../a.plan"]


def test_a_folder_that_cannot_be_read_keeps_its_entries(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "shut").mkdir()
    (folder / "shut" / "c.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", ".")
    before = (folder / "planlint.ledger").read_text()
    scandir = os.scandir

    def shut(path: str) -> object:
        if Path(path).name == "shut":
            raise PermissionError(13, "Permission denied", path)
        return scandir(path)

    monkeypatch.setattr(os, "scandir", shut)
    for path in (".", "shut"):
        assert called(capsys, "ledger", "record", path)[0] == 2
        assert (folder / "planlint.ledger").read_text() == before
        status, out, _ = called(capsys, "inspect", path, "--ledger", "planlint.ledger")
        assert (status, "NOT READ" in out, "no longer matches" in out) == (2, True, False)
