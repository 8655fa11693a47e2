"""The command line as a builder meets it: what it prints, where, and its exit status."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from planlint import __version__
from planlint.checks import registry
from planlint.collection import worker
from planlint.command import demo_command, main
from planlint.findings.rules_in_force import rule_book
from planlint.reports import joint_explanations
from planlint.reports.json_schema import json_schema
from tests.plans import FAULTY, SOUND
from tests.repositories import git, run_git
from tests.test_inspection import BROKEN

ROOT = Path(__file__).parent.parent


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("COLUMNS", "FORCE_COLOR", "NO_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(name="plans")
def folder_of_plans(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "sound.plan").write_text(SOUND)
    (tmp_path / "faulty.plan").write_text(FAULTY)
    (tmp_path / "unread.plan").write_text(SOUND.replace("rail of board", "rail of bord"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main.main(list(words))
    told = capsys.readouterr()
    return status, told.out, told.err


@pytest.mark.usefixtures("plans")
@pytest.mark.parametrize(
    ("words", "status"),
    [
        (["sound.plan"], 0),
        (["faulty.plan"], 1),
        (["sound.plan", "faulty.plan"], 1),
        (["unread.plan", "faulty.plan"], 2),
        (["gone.plan"], 2),
        (["faulty.plan", "--from", "stop"], 1),
        (["faulty.plan", "--as", "json"], 1),
        (["sound.plan", "--as=json"], 0),
        (["."], 2),
    ],
)
def test_exit_status(capsys: pytest.CaptureFixture[str], words: list[str], status: int) -> None:
    assert called(capsys, "inspect", *words)[0] == status


@pytest.mark.usefixtures("plans")
def test_from_leaves_lower_grades_out_of_the_status_only(capsys: pytest.CaptureFixture[str]) -> None:
    text = SOUND + 'accept lone-screw on rail.left because "so"\n'
    Path("stale.plan").write_text(text)
    assert called(capsys, "inspect", "stale.plan", "--from", "caution")[0] == 1
    status, out, _ = called(capsys, "inspect", "stale.plan", "--from", "stop")
    assert status == 0
    assert "stale-acceptance" in out


@pytest.mark.usefixtures("plans")
def test_report_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, err = called(capsys, "inspect", ".")
    assert not err
    assert "faulty.plan" in out
    assert "STOP  lone-screw" in out
    assert "Line 12   pockets 1 in back" in out
    assert "sound.plan  Frame: nothing found in 2 parts and 1 joint" in out
    assert "NOT READ  line 7" in out
    assert (
        out.splitlines()[-1]
        == "3 plans: 1 stop, 0 caution, 0 advice; 1 plan not read or not inspected whole."
    )


@pytest.mark.usefixtures("plans")
def test_report_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, err = called(capsys, "inspect", ".", "--as", "json")
    assert not err
    told = json.loads(out)
    jsonschema.validate(told, json_schema())
    assert [Path(plan["path"]).name for plan in told["plans"]] == ["faulty.plan", "sound.plan", "unread.plan"]
    grades = {"stop": 1, "caution": 0, "advice": 0}
    assert told["summary"] == {**grades, "unread": 1, "accepted": 0, "known": 0, "unmatched": 0}


@pytest.mark.usefixtures("plans")
def test_joints_explained(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = called(capsys, "inspect", "sound.plan", "--explain-joints")
    assert status == 0
    assert "Joint rail.left  rail.left to stile.right" in out
    assert "Kind      frame: " in out
    assert "Contact   3/4 in front to back by 2 in top to bottom" in out
    assert "Pockets   in the back face of rail, 1/2 in and 1-1/2 in from the bottom" in out
    told = " ".join(out.split())
    assert (
        "Screws fine 1-1/4 in, gauge 7 (chosen for this joint); shoulder 5/8 in back, point 0.604 in into stile"
        in told
    )


@pytest.mark.usefixtures("plans")
def test_sides_square_to_one_another_are_explained_as_askew(capsys: pytest.CaptureFixture[str]) -> None:
    """No gap closes them: how wide it is cannot be told."""
    Path("askew.plan").write_text(SOUND.replace("to stile.right", "to stile.front"))
    _, out, _ = called(capsys, "inspect", "askew.plan", "--explain-joints")
    assert "the two sides are askew by 90 degrees" in out
    assert "fault of planlint" not in out


def test_standard_input(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(FAULTY.encode())))
    status, out, _ = called(capsys, "inspect", "-")
    assert status == 1
    assert out.startswith("standard input  Frame: 1 stop\n")


@pytest.mark.usefixtures("plans")
@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["inspekt", "a"], "the nearest is inspect"),
        (["sound.plan"], "planlint inspect sound.plan"),
        (["polish"], "the commands are inspect, "),
        (["inspect"], "PLAN is missing"),
        (["inspect", "a.plan", "--as", "jsn"], "the nearest is json"),
        (["inspect", "a.plan", "--as", "paper"], "say text, json, sarif, junit, markdown, lines or quality"),
        (["inspect", "a.plan", "--from", "stpo"], "the nearest is stop"),
        (["inspect", "a.plan", "--as"], "needs a word"),
        (["inspect", ""], "no value"),
        (["inspect", "a.plan", "--ledger", ""], "no value"),
        (["ledger", "record", "a.plan", "--ledger="], "no value"),
        (["inspect", "a.plan", "--explain-joint"], "the nearest is --explain-joints"),
        (["inspect", "a.plan", "--as", "json", "--explain-joints"], "--as text"),
        (["rules", "lone-scrwe"], "the nearest is lone-screw"),
        (["rules", "lone-screw", "more"], "nothing more is due where 'more' stands"),
        (["rules", "--cases"], "needs the name of a rule"),
        (["demo", "--overwrite"], "needs a folder"),
        (["\x1b[2J"], "\\x1b"),
    ],
)
def test_wrong_call_is_told_in_one_line(
    capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    status, out, err = called(capsys, *words)
    assert (status, out) == (2, "")
    assert err.startswith("planlint: ")
    assert says in err
    assert err.count("\n") == 1
    assert "\x1b" not in err


def test_no_words_at_all(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = called(capsys)
    assert (status, out) == (2, "")
    assert "inspect" in err


def test_help_and_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert called(capsys, "--version") == (0, f"planlint {__version__}\n", "")
    status, out, _ = called(capsys, "inspect", "--help")
    assert status == 0
    assert "--explain-joints" in out


def test_catalogue_names_every_rule(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = called(capsys, "rules")
    assert status == 0
    words = set(out.split())
    assert words >= set(rule_book())


@pytest.mark.parametrize("name", list(rule_book()))
def test_rule_in_full(capsys: pytest.CaptureFixture[str], name: str) -> None:
    status, out, _ = called(capsys, "rules", name, "--cases")
    assert status == 0
    rule = rule_book()[name]
    told = " ".join(out.split())
    for limit in rule.limits.values():
        assert limit.name in told
        assert " ".join(limit.told.split()) in told
    for case in rule.cases:
        assert all(line.strip() in out for line in case.plan.splitlines())
    assert all(line == line.rstrip() for line in out.splitlines())


def test_rule_without_its_cases_says_where_they_are(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = called(capsys, "rules", "lone-screw")
    assert status == 0
    assert "screws: at least 2 screws" in out
    assert "Case 1" not in out
    assert out.rstrip().splitlines()[-1].startswith("`planlint rules lone-screw --cases` adds ")


# ---------------------------------------------------------------- the demo


def test_demo_in_place(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = called(capsys, "demo")
    # On a slow machine a run that takes long says how far it is.
    assert all(re.fullmatch(r"planlint: \d+ of \d+ plans inspected", line) for line in err.splitlines())
    assert status == 1
    for plan in demo_command.DEMO.glob("*.plan"):
        assert f"demo/{plan.name}" in out
    assert "NOT " not in out
    # A newcomer is greeted by one plan in full, and a line for each finding of the others.
    assert [set(line) for line in out.splitlines()].count({"─"}) == 1
    assert len(out.splitlines()) < 200
    # The page is offered.
    assert "planlint inspect demo --write page=pages" in out.splitlines()[-1]


@git
def test_demo_inside_a_repository_that_ignores_where_it_lies(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The environment that the README's command makes lies in a checkout, and git ignores it."""
    place = tmp_path / ".venv" / "demo"
    place.mkdir(parents=True)
    (place / "frame.plan").write_text(FAULTY)
    (tmp_path / ".gitignore").write_text(".venv/\n")
    run_git(tmp_path, "init", "-q")
    monkeypatch.setattr(demo_command, "DEMO", place)
    status, out, err = called(capsys, "demo")
    assert (status, err) == (1, "")
    assert "demo/frame.plan" in out


def test_demo_is_written_and_never_over_a_changed_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    folder = tmp_path / "new" / "plans"
    assert called(capsys, "demo", str(folder))[0] == 0
    written = sorted(folder.glob("*.plan"))
    assert [path.name for path in written] == sorted(path.name for path in demo_command.DEMO.glob("*.plan"))
    assert called(capsys, "demo", str(folder))[0] == 0

    written[0].write_text("my own")
    written[1].unlink()
    status, _, err = called(capsys, "demo", str(folder))
    assert status == 2
    assert written[0].name in err
    assert written[0].read_text() == "my own"
    assert not written[1].exists()

    assert called(capsys, "demo", str(folder), "--overwrite")[0] == 0
    assert written[0].read_bytes() == (demo_command.DEMO / written[0].name).read_bytes()


def test_demo_where_it_cannot_be_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    status, _, err = called(capsys, "demo", str(tmp_path / "file"))
    assert status == 2
    assert "cannot be written" in err


# ---------------------------------------------------------------- how a run ends


def test_crash_is_told_and_ends_with_2(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, plans: Path
) -> None:
    monkeypatch.setattr(registry, "CHECKS", {**registry.CHECKS, "thin-stock": BROKEN})
    status, out, _ = called(capsys, "inspect", str(plans / "sound.plan"))
    assert status == 2
    assert "NOT CHECKED  thin-stock" in out
    status, out, _ = called(capsys, "inspect", str(plans / "sound.plan"), "--as", "json")
    assert status == 2
    summary = json.loads(out)["summary"]
    assert {word: count for word, count in summary.items() if count} == {"unread": 1}


def test_explaining_that_crashes_is_told(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, plans: Path
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("a slip")

    monkeypatch.setattr(joint_explanations, "write_joints", fails)
    status, out, _ = called(capsys, "inspect", str(plans / "sound.plan"), "--explain-joints")
    assert status == 2
    assert "fault of planlint" in out


def test_ctrl_c(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, plans: Path) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(worker, "inspect_text", interrupted)
    status, _, err = called(capsys, "inspect", str(plans / "sound.plan"))
    assert (status, err) == (130, "planlint: stopped before the end\n")


def started(*words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "planlint", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def test_reader_that_goes_away(plans: Path) -> None:
    for number in range(300):
        (plans / f"faulty{number}.plan").write_text(FAULTY)
    process = started("inspect", str(plans))
    assert process.stdout
    assert process.stderr
    process.stdout.read(10)
    process.stdout.close()
    told = process.stderr.read().splitlines()
    assert all(line.endswith(b"plans inspected") for line in told)  # How far it was, where that took long.
    assert process.wait() == 141


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a full device")
def test_full_disk(plans: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "planlint", "inspect", str(plans / "sound.plan")],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
    assert done.returncode == 2
    assert done.stderr.startswith(b"planlint: the report cannot be written")
    assert done.stderr.count(b"\n") == 1


def test_terminal_without_utf_8(plans: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "planlint", "inspect", str(plans / "faulty.plan")],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 1
    assert b"|---------------|" in done.stdout


# ---------------------------------------------------------------- where reports are written


@pytest.mark.parametrize(
    "target", ["faulty.plan", "./sound.plan", "new.plan", "new.PLAN", "link.md", "notes"]
)
def test_no_report_is_written_over_a_plan(
    capsys: pytest.CaptureFixture[str], plans: Path, target: str
) -> None:
    (plans / "link.md").symlink_to("sound.plan")
    (plans / "notes").write_text(SOUND)
    before = {file.name: file.read_bytes() for file in plans.iterdir()}
    status, out, err = called(capsys, "inspect", "faulty.plan", "notes", "--write", f"markdown={target}")
    assert (status, out) == (2, "")
    assert f"{target} is not written: " in err
    assert "plan" in err.split(": ")[2]
    assert {file.name: file.read_bytes() for file in plans.iterdir()} == before


@pytest.mark.usefixtures("plans")
@pytest.mark.parametrize(
    ("writes", "says"),
    [
        (["json=.git/config"], ".git/config is not written: what lies there is git's own"),
        (["page=.git/pages"], "no pages are written to .git/pages: what lies there is git's own"),
        (["page=faulty.plan"], "no pages are written to faulty.plan: it is no folder"),
        (["page=out", "page=./out"], "no pages are written to ./out: the same folder is named twice"),
        (["page=out", "markdown=out/index.html"], "out/index.html is not written: the pages of the plans go"),
    ],
)
def test_what_is_not_written(capsys: pytest.CaptureFixture[str], writes: list[str], says: str) -> None:
    Path(".git").mkdir()
    words = (word for each in writes for word in ("--write", each))
    status, out, err = called(capsys, "inspect", "faulty.plan", *words)
    assert (status, out) == (2, "")
    assert says in err
    assert not Path("out").exists()


@pytest.mark.usefixtures("plans")
@pytest.mark.parametrize("other", ["one", "./one", "link"])
def test_a_file_named_twice(capsys: pytest.CaptureFixture[str], other: str) -> None:
    Path("link").symlink_to("one")
    status, out, err = called(capsys, "inspect", "a.plan", "--write", "json=one", "--write", f"sarif={other}")
    assert (status, out) == (2, "")
    assert f"{other} is not written: the same file is named twice" in err
    assert not Path("one").exists()


@pytest.mark.usefixtures("plans")
def test_no_report_is_written_over_the_ledger(capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "ledger", "record", "faulty.plan")
    words = ["--ledger", "planlint.ledger", "--write", "text=planlint.ledger"]
    assert "that is the ledger" in called(capsys, "inspect", "faulty.plan", *words)[2]
    assert called(capsys, "inspect", "faulty.plan", "--ledger", "planlint.ledger")[0] == 0


@pytest.mark.skipif(os.name != "posix", reason="closed as a shell of these systems closes them")
def test_closed_output_is_nobodys_fault(plans: Path) -> None:
    shell = f'exec "{sys.executable}" -m planlint inspect - --write json=told.json <&- >&- 2>&-'
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    assert subprocess.run(["/bin/sh", "-c", shell], check=False, env=env).returncode == 2
    assert "no parts yet" in (plans / "told.json").read_text()


def test_a_report_where_standard_output_goes(plans: Path) -> None:
    target = plans / "both"
    with target.open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "planlint", "inspect", "sound.plan", "--write", "markdown=both"],
            stdout=out,
            stderr=subprocess.PIPE,
            check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
    assert done.returncode == 2
    assert b"both is not written: the report on standard output goes there already" in done.stderr


@pytest.mark.usefixtures("plans")
def test_a_report_into_a_folder(capsys: pytest.CaptureFixture[str]) -> None:
    Path("reports").mkdir()
    status, out, err = called(capsys, "inspect", "sound.plan", "--write", "json=reports")
    assert (status, out, err) == (2, "", "planlint: the report reports cannot be written: it is a folder\n")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes")
def test_a_report_into_a_pipe(plans: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(plans / "pipe")
    reader = os.open(plans / "pipe", os.O_RDONLY | os.O_NONBLOCK)
    try:
        assert called(capsys, "inspect", "faulty.plan", "--write", "markdown=pipe")[0] == 1
        assert os.read(reader, 5000).startswith(b"## planlint: 1 finding")
    finally:
        os.close(reader)


@pytest.mark.parametrize(
    ("straight", "surroundings"),
    [
        ("junit", {"PYTHONIOENCODING": "latin-1"}),
        ("markdown", {"PYTHONIOENCODING": "utf-16"}),
        ("json", {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
    ],
)
@pytest.mark.skipif(sys.platform != "linux", reason="names of files are bytes on Linux only")
def test_reports_for_programs_are_utf_8(plans: Path, straight: str, surroundings: dict[str, str]) -> None:
    """On standard output, which has an encoding of its own, and in files."""
    (plans / "tabl\u00e9.plan").write_text(FAULTY.replace("rail", "trav\u00e9e"), encoding="utf-8")
    files = [form for form in ("junit", "markdown", "json", "sarif", "text") if form != straight]
    writes = [word for form in files for word in ("--write", f"{form}={form}")]
    done = subprocess.run(
        [sys.executable, "-m", "planlint", "inspect", "tabl\u00e9.plan", "--as", straight, *writes],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), **surroundings},
    )
    assert (done.returncode, done.stderr) == (1, b"")

    def told(form: str) -> bytes:
        return done.stdout if form == straight else (plans / form).read_bytes()

    suite = ElementTree.fromstring(told("junit"))[0]
    assert suite[0].attrib["classname"] == "tabl\u00e9.plan"
    assert "`tabl\u00e9.plan`" in told("markdown").decode()
    assert json.loads(told("json").decode())["plans"][0]["path"] == "tabl\u00e9.plan"
    assert '"uri": "tabl%C3%A9.plan"' in told("sarif").decode()
    text = told("text").decode()
    assert text.startswith("tabl\u00e9.plan  Frame: 1 stop\n")
    assert "One screw holds trav\u00e9e" in text


@pytest.mark.usefixtures("plans")
def test_mistakes_in_the_settings_have_a_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    Path("planlint.toml").write_text("x = 1\n[drilling]\nangle = 'steep'\n")
    status, out, err = called(capsys, "inspect", ".")
    assert (status, out) == (2, "")
    first, second, third = err.splitlines()
    assert first == "planlint: 2 mistakes in the settings:"
    assert second.startswith("  planlint.toml, line 1, column 1: ")
    assert third.startswith("  planlint.toml, line 3, ")
    Path("planlint.toml").write_text("x = 1\n")
    assert called(capsys, "inspect", ".")[2].startswith("planlint: planlint.toml, line 1, column 1: ")


@pytest.mark.usefixtures("plans")
def test_paths_without_a_plan_are_not_counted_as_plans(capsys: pytest.CaptureFixture[str]) -> None:
    Path("empty").mkdir()
    status, out, _ = called(capsys, "inspect", "sound.plan", "gone.plan", "empty")
    assert status == 2
    assert out.splitlines()[-1] == "1 plan: 0 stop, 0 caution, 0 advice; 2 paths could not be read."


# ---------------------------------------------------------------- the README


def fenced(after: str) -> str:
    """The first fenced block behind a mark in the README."""
    text = (ROOT / "README.md").read_text(encoding="utf-8").split(after, 1)[1]
    return text.split("```", 2)[1].split("\n", 1)[1]


def test_sample_in_the_readme_is_what_the_tool_prints(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "footstool.plan"
    plan.write_text(fenced("<!-- sample plan -->"))
    os.chdir(tmp_path)
    _, out, _ = called(capsys, "inspect", "footstool.plan")
    assert fenced("<!-- sample report -->") == out
