"""Mending whole plans: it ends, adds nothing, and leaves alone what it does not mend; and the command."""

from __future__ import annotations

import io
import json
import os
import pty
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planlint.checks.registry import By, hangs_on, waits
from planlint.command.demo_command import DEMO
from planlint.command.main import main
from planlint.inspection.inspect_plan import inspect_text
from planlint.repairs.mended_plan import Mending
from planlint.repairs.mending import MOST_INSPECTIONS, mend
from planlint.text.edits import Clash, TextEdit, apply
from planlint.text.source import PlanText
from tests.faults import FAULTS, Ground, sound_plans
from tests.plans import FAULTY, SOUND

PLANS = sound_plans()
NOT_MENDED = {"key-box", "corner-counter", "plant-stand"}
"""Plans in which only the builder can say what to do."""


@cache
def ground(path: Path) -> Ground:
    return Ground(inspect_text(PlanText(path.name, path.read_text("utf-8"))))


@cache
def places(path: Path, kind: str) -> tuple[TextEdit, ...]:
    return tuple(FAULTS[kind](ground(path)))


@st.composite
def faulty_plans(draw: st.DrawFn) -> PlanText:
    """A sound plan with up to four faults in it."""
    path = draw(st.sampled_from(PLANS))
    edits: list[TextEdit] = []
    for kind in draw(st.lists(st.sampled_from(sorted(FAULTS)), min_size=1, max_size=4)):
        found = places(path, kind)
        if found:
            edits.append(draw(st.sampled_from(found)))
    try:
        text = apply(ground(path).source.text, edits)
    except Clash:
        text = apply(ground(path).source.text, edits[:1])
    return PlanText(path.name, text)


def check(mending: Mending) -> None:
    """What is true of every mending."""
    assert mending.inspections <= MOST_INSPECTIONS
    there, left = (
        Counter(finding.identity for finding in each.findings) for each in (mending.before, mending.after)
    )
    # What waits for the parts to lie where they should is found once they do.
    unsettled = any(hangs_on(each.rule, By.PLACING) for each in mending.before.findings)
    added = [each.rule for each in left - there if not (unsettled and waits(each.rule))]
    assert not added, "mending added a finding"
    text = mending.before.source.text
    for step in mending.steps:
        assert step.before.source.text == text
        text = apply(text, [edit for change in step.changes for edit in change.edits])
        before, after = ({each.identity for each in its.findings} for its in (step.before, step.after))
        assert before - after, "a step that takes nothing away"
        assert all(change.repair.sure for change in step.changes)
    assert text == mending.source.text


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(faulty_plans())
def test_mending_ends_and_adds_nothing(source: PlanText) -> None:
    mending = mend(source)
    check(mending)
    assert mending.inspections < MOST_INSPECTIONS
    assert not mend(mending.source).steps, "a mended plan was mended again"


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(faulty_plans())
def test_line_ends_and_mark_are_kept(source: PlanText) -> None:
    """The same plan with CRLF and a byte-order mark is mended in the same words."""
    plain = mend(source)
    other = mend(PlanText(source.path, source.text.replace("\n", "\r\n"), True))
    assert other.source.byte_order_mark
    assert other.source.text == plain.source.text.replace("\n", "\r\n")


@pytest.mark.parametrize("plan", sorted({*DEMO.glob("*.plan")}.difference(PLANS)), ids=lambda path: path.stem)
def test_demo_plans(plan: Path) -> None:
    mending = mend(PlanText(plan.name, plan.read_text("utf-8")))
    check(mending)
    assert mending.before.findings
    if plan.stem not in NOT_MENDED:
        assert len(mending.after.findings) < len(mending.before.findings)


# ---------------------------------------------------------------- the command


@pytest.fixture
def faulty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "frame.plan"
    file.write_text(FAULTY)
    return file


def test_without_a_terminal_nothing_is_written(faulty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mend", str(faulty)]) == 1
    told = capsys.readouterr().out
    assert "pockets 1 in back" in told
    assert "pockets 2 in back" in told
    assert "lone-screw" in told
    assert "--all" in told
    assert faulty.read_text() == FAULTY


def test_all(faulty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    faulty.chmod(0o600)
    assert main(["mend", "--all", str(faulty.parent)]) == 0
    assert faulty.read_text() == SOUND
    assert faulty.stat().st_mode & 0o777 == 0o600
    assert "1 change made" in capsys.readouterr().out
    assert main(["mend", "--all", str(faulty)]) == 0
    assert "Nothing to mend" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["mend", "tidy"])
def test_a_file_name_steers_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("::a\x1b[31m.plan").write_text(FAULTY.replace(", ", ",   "))
    main([command, "::a\x1b[31m.plan"])
    assert capsys.readouterr().out.startswith(": :a\\x1b[31m.plan")


def test_what_stands_in_a_used_file_is_left_with_its_advice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    head, _, rest = FAULTY.partition("\nstock")
    body = "".join(f"    {line}\n" for line in f"stock{rest}".splitlines() if line)
    Path("unit.plan").write_text(f"{head}\nassembly frame\n{body}end\n")
    Path("whole.plan").write_text('plan "Whole"\nuse "unit.plan"\nplace frame as one\n')
    assert main(["mend", "--all", "whole.plan"]) == 1
    told = capsys.readouterr().out
    assert "lone-screw" in told and "Drill 2 pockets in back" in told and "change made" not in told


def test_show_writes_nothing(faulty: Path) -> None:
    assert main(["mend", "--show", str(faulty)]) == 1
    assert faulty.read_text() == FAULTY


def test_show_lists_the_changes_to_choose_from_each_of_which_is_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A shelf and its dado are told differently: either line may be the right one, and the plan does not say which."""
    text = """\
plan "Wall shelf"
    seen from front
stock board of walnut, 3/4 x 8
part side_l of board, 20 long, upright, facing left
    dado 3/4 wide 3/8 deep across right, 12 from bottom
part side_r mirrors side_l
part shelf of board, 24-3/4 long, crosswise, facing up
join shelf.left, shelf.right to side_l.right, side_r.left as dado
    11 from bottom
    flush front
    glued
"""
    plan = tmp_path / "shelf.plan"
    plan.write_text(text)
    assert main(["mend", "--show", str(plan)]) == 1
    told = capsys.readouterr().out.splitlines()
    choices = [line.split("Choice")[1].strip() for line in told if "Choice" in line]
    assert choices == ["Cut the dado in side_l nearer to the bottom.", "Lay shelf where its cut is."]
    thens = [line.split("then")[1].strip() for line in told if line.strip().startswith("then")]
    right = "dado 3/4 wide 3/8 deep across right, 11 from bottom", "12 from bottom"
    assert tuple(thens) == right
    assert main(["mend", "--show", "--as", "json", str(plan)]) == 1
    (finding,) = json.loads(capsys.readouterr().out)["plans"][0]["left"]
    assert [way["says"] + "." for way in finding["choices"]] == [
        each[0].lower() + each[1:] for each in choices
    ]
    lines = [
        (each["line"], each["then"][0].strip()) for way in finding["choices"] for each in way["passages"]
    ]
    assert lines == [(5, right[0]), (9, right[1])]
    for now, then in zip(
        ("dado 3/4 wide 3/8 deep across right, 12 from bottom", "11 from bottom"), right, strict=True
    ):
        plan.write_text(text.replace(now, then, 1))
        assert main(["inspect", str(plan)]) == 0
        plan.write_text(text)
    assert plan.read_text() == text


@pytest.mark.parametrize("narrow", [["--rule", "wide-spacing"], ["--joint", "stile.left"]])
def test_narrowed(faulty: Path, narrow: list[str]) -> None:
    assert main(["mend", "--all", *narrow, str(faulty)]) == 1
    assert faulty.read_text() == FAULTY
    own = ["--rule", "lone-screw"] if "--rule" in narrow else ["--joint", "rail"]
    assert main(["mend", "--all", *own, str(faulty)]) == 0


@pytest.mark.parametrize(
    "words", [["--all", "--show"], ["--all", "--as", "patch"], ["--rule", "lone-scew"], ["--as", "xml"]]
)
def test_calls_that_make_no_sense(faulty: Path, words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mend", *words, str(faulty)]) == 2
    assert capsys.readouterr().err.startswith("planlint: ")
    assert faulty.read_text() == FAULTY


def test_json(faulty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mend", "--as", "json", str(faulty)]) == 1
    (plan,) = json.loads(capsys.readouterr().out)["plans"]
    assert plan["written"] is False
    assert plan["left"] == plan["unread"] == []
    (change,) = plan["changes"]
    assert change["rules"] == ["lone-screw"]
    assert change["sure"] is True
    assert change["passages"] == [
        {"line": 12, "now": ["    pockets 1 in back"], "then": ["    pockets 2 in back"]}
    ]
    assert faulty.read_text() == FAULTY


@pytest.mark.parametrize("tool", [["git", "apply", "-"], ["patch", "-p1"]])
def test_patch(faulty: Path, tool: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mend", "--as", "patch", str(faulty)]) == 1
    assert faulty.read_text() == FAULTY
    told = capsys.readouterr().out
    subprocess.run(tool, input=told.encode(), cwd=faulty.parent, check=True, capture_output=True)
    assert faulty.read_text() == SOUND


@pytest.mark.usefixtures("faulty")
def test_standard_input() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "planlint", "mend", "-"],
        input=b"\xef\xbb\xbf" + FAULTY.replace("\n", "\r\n").encode(),
        capture_output=True,
        check=False,
        cwd=DEMO.parent.parent,
    )
    assert done.returncode == 0
    assert done.stdout == b"\xef\xbb\xbf" + SOUND.replace("\n", "\r\n").encode()
    assert b"lone-screw" in done.stderr


def test_plan_that_cannot_be_read(faulty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    faulty.write_text(FAULTY + "join\n")
    assert main(["mend", "--all", str(faulty)]) == 2
    assert faulty.read_text() == FAULTY + "join\n"
    assert "NOT READ" in capsys.readouterr().out


def test_link_out_of_the_folder(faulty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = faulty.parent / "named"
    folder.mkdir()
    (folder / "link.plan").symlink_to(faulty)
    assert main(["mend", "--all", str(folder)]) == 2
    assert "outside the folder named" in capsys.readouterr().err
    assert faulty.read_text() == FAULTY


@pytest.mark.parametrize("word", ["mend --all", "tidy"])
def test_folder_leaves_out_what_inspecting_leaves_out(faulty: Path, word: str) -> None:
    folder = faulty.parent
    untidy = FAULTY.replace("    ", "  ")
    for name in ("mine", "excluded", "ignored"):
        (folder / name).mkdir()
        (folder / name / "frame.plan").write_text(untidy)
    subprocess.run(["git", "init", "-q"], cwd=folder, check=True)
    (folder / ".gitignore").write_text("ignored/\n")
    (folder / "planlint.toml").write_text('exclude = ["excluded"]\n')
    assert main([*word.split(), str(folder), str(folder / "mine")]) == 0
    assert (folder / "mine" / "frame.plan").read_text() != untidy
    for name in ("excluded", "ignored"):
        assert (folder / name / "frame.plan").read_text() == untidy
    # Named itself, a plan is changed.
    assert main([*word.split(), str(folder / "ignored" / "frame.plan")]) == 0
    assert (folder / "ignored" / "frame.plan").read_text() != untidy


@pytest.mark.parametrize("word", ["mend --all", "tidy"])
def test_broken_settings_leave_every_plan_of_a_folder(
    faulty: Path, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = faulty.parent
    untidy = FAULTY.replace("    ", "  ")
    (folder / "later").mkdir()
    (folder / "later" / "planlint.toml").write_text("nonsense = 3\n")
    for file in (faulty, folder / "later" / "frame.plan"):
        file.write_text(untidy)
    assert main([*word.split(), str(faulty), str(folder)]) == 2
    assert "planlint.toml, line 1" in capsys.readouterr().err
    assert faulty.read_text() == untidy


def test_changed_meanwhile(
    faulty: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from planlint.command import mend_command as command  # noqa: PLC0415

    def slow(*words: object, **more: object) -> Mending:
        mending = mend(*words, **more)  # type: ignore[arg-type]
        faulty.write_text("theirs")
        return mending

    monkeypatch.setattr(command, "mend", slow)
    assert main(["mend", "--all", str(faulty)]) == 2
    assert faulty.read_text() == "theirs"
    assert "changed since" in capsys.readouterr().err


# ---------------------------------------------------------------- asked at a terminal


def asked(file: Path, answers: str) -> str:
    """Run the command at a terminal and answer it; returns what it told."""
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "planlint", "mend", str(file)],
        stdin=theirs, stdout=theirs, stderr=theirs, cwd=DEMO.parent.parent, env={**os.environ, "COLUMNS": "100"},
    ):  # fmt: skip
        os.close(theirs)
        os.write(ours, answers.encode())
        told = io.BytesIO()
        while True:
            try:
                data = os.read(ours, 65536)
            except OSError:
                break
            if not data:
                break
            told.write(data)
    os.close(ours)
    return told.getvalue().decode()


TWO = FAULTY.replace("stile of board", "stile, other of board") + (
    "join rail.right to other.left\n    flush top, front\n    pockets 1 in back\n"
)
FIRST, SECOND = "    pockets 2 in back\n    screws", "    flush top, front\n    pockets 2 in back\n"


@pytest.mark.parametrize(
    ("answers", "first", "second"),
    [
        ("yes\nyes\n", True, True),
        ("y\nno\nno\nno\nno\nno\n", True, False),
        ("what?\nall\n", True, True),
        ("stop\n", False, False),
        ("n\ny\n" + "n\n" * 8, False, True),
    ],
)
def test_asked(faulty: Path, answers: str, first: bool, second: bool) -> None:
    faulty.write_text(TWO)
    told = asked(faulty, answers)
    text = faulty.read_text()
    assert "Make this change?" in told
    assert (FIRST in text) is first, told
    assert text.endswith(SECOND) is second, told
    assert "pockets" in told
