"""Running the checks: acceptances, crashes of our own, the budget, and finding plan files."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import planlint
from planlint.checks import registry
from planlint.checks.registry import Check, Judges
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.inspection import inspect_plan as engine
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import Refused, read_plan_file
from planlint.repairs.mending import mend
from planlint.text.source import PlanText
from tests.plans import FAULTY, SOUND


def inspected(text: str) -> Inspection:
    return inspect_text(PlanText("frame.plan", text))


def rules_of(inspection: Inspection) -> list[str]:
    assert inspection.whole, (inspection.unread, inspection.crashed)
    return [finding.rule for finding in inspection.findings]


def test_sound_plan() -> None:
    inspection = inspected(SOUND)
    assert inspection.sound, inspection
    assert inspection.piece


def test_fault_is_found_in_its_place() -> None:
    inspection = inspected(FAULTY)
    assert rules_of(inspection) == ["lone-screw"]
    (finding,) = inspection.findings
    assert inspection.position(finding.span.start).line == 12
    assert finding.joint == "rail.left"
    assert finding.repairs


@pytest.mark.parametrize("target", ["rail.left", "rail.left/stile.right", "rail", "stile"])
def test_acceptance_takes_a_finding_away(target: str) -> None:
    inspection = inspected(FAULTY + f'accept lone-screw on {target} because "glued too"\n')
    assert rules_of(inspection) == []
    assert [finding.rule for finding in inspection.accepted] == ["lone-screw"]


def test_acceptance_by_a_joints_own_name() -> None:
    named = FAULTY.replace("join rail", "join corner: rail") + 'accept lone-screw on corner because "glued"\n'
    assert rules_of(inspected(named)) == []


def test_acceptance_of_nothing_is_stale() -> None:
    inspection = inspected(SOUND + 'accept lone-screw on rail.left because "glued too"\n')
    assert rules_of(inspection) == ["stale-acceptance"]
    assert inspection.findings[0].joint == "rail.left"


def test_acceptance_of_a_misspelt_joint_names_the_nearest() -> None:
    [finding] = inspected(SOUND + 'accept lone-screw on rail.lft because "so"\n').findings
    assert finding.says == "lone-screw is accepted on rail.lft, but no joint or part is called so."
    assert [repair.says for repair in finding.repairs] == ["Correct the name: the nearest is rail.left."]


def test_acceptance_of_a_rule_by_one_of_its_words_names_the_rule() -> None:
    [finding] = inspected(SOUND + 'accept tip-thru on rail.left because "so"\n').findings
    assert finding.says == "no rule called tip-thru is known here, so this line accepts nothing."
    assert finding.repairs[0].says == "Correct the name: the nearest is tip-through."


def test_a_number_in_words_is_told_as_a_number() -> None:
    [mistake] = inspected(SOUND.replace("pockets 2 ", "pockets two ")).unread
    assert mistake.says == "`two` is a word: write the number: `2`"


def test_acceptance_on_another_part_is_stale() -> None:
    more = "part other of board, 12 long, crosswise, facing front\njoin other.left to stile.right\n"
    more += "    flush bottom, front\n    pockets 2 in back\n    screws to suit\n"
    inspection = inspected(FAULTY + more + 'accept lone-screw on other because "glued too"\n')
    assert sorted(rules_of(inspection)) == ["lone-screw", "stale-acceptance"]


def test_reasons_of_all_lines_that_accept_a_fault_are_told() -> None:
    """As they stand after two branches were merged."""
    lines = [f'accept lone-screw on rail.left because "{why}"\n' for why in ("one", "two", "one")]
    (finding,) = inspected(FAULTY + "".join(lines)).accepted
    assert finding.reason == "one; two"


@pytest.mark.parametrize("reason", ["", ' because ""', ' because "  "'])
def test_acceptance_without_a_reason(reason: str) -> None:
    inspection = inspected(FAULTY + f"accept lone-screw on rail.left{reason}\n")
    assert rules_of(inspection) == ["bare-acceptance"]


def test_acceptances_cannot_be_accepted() -> None:
    text = FAULTY + 'accept lone-screw on rail.left\naccept bare-acceptance on rail.left because "so"\n'
    assert sorted(rules_of(inspected(text))) == ["bare-acceptance", "stale-acceptance"]


def test_acceptance_of_an_unknown_rule_is_stale_and_the_plan_is_inspected() -> None:
    inspection = inspected(FAULTY + 'accept lone-screws on rail.left because "so"\n')
    assert rules_of(inspection) == ["lone-screw", "stale-acceptance"]
    stale = inspection.findings[1]
    assert (stale.grade, inspection.position(stale.span.start).line) == (Grade.CAUTION, 14)
    assert stale.repairs[0].says == "Correct the name: the nearest is lone-screw."


def test_acceptance_of_a_rule_that_a_package_brings_elsewhere_stays_in_the_plan() -> None:
    """The line is right where that package is installed: mending must not take it out."""
    text = FAULTY + 'accept no-oak on rail because "a gift"\n'
    [stale] = [each for each in inspected(text).findings if each.rule == "stale-acceptance"]
    assert "Install the package" in stale.repairs[0].says
    mended = mend(PlanText("a.plan", text)).source.text
    assert mended != text
    assert "accept no-oak on rail" in mended


def test_plan_with_a_mistake_has_no_findings() -> None:
    inspection = inspected(FAULTY.replace("24 long", "24 lonng"))
    assert inspection.unread
    assert not inspection.findings
    assert not inspection.whole


def broken(_piece: Piece, _rule: Rule) -> Iterator[Finding]:
    raise ZeroDivisionError("a slip")


BROKEN = Check(broken, Judges.JOINT)


def test_check_that_crashes_is_our_fault_and_the_others_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "CHECKS", {**registry.CHECKS, "tip-through": BROKEN, "thin-stock": BROKEN})
    inspection = inspected(FAULTY)
    assert [finding.rule for finding in inspection.findings] == ["lone-screw"]
    assert [trouble.what for trouble in inspection.crashed] == ["tip-through", "thin-stock"]
    assert "tip-through failed (ZeroDivisionError in registry.py" in inspection.crashed[0].says
    assert "fault of planlint, not of the plan" in inspection.crashed[0].says


@pytest.mark.parametrize("step", ["understand", "Piece", "every_rule"])
def test_crash_of_any_step_is_told(monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("a slip")

    monkeypatch.setattr(engine, step, fails)
    inspection = inspected(SOUND)
    assert len(inspection.crashed) == 1
    assert not inspection.unread
    assert not inspection.whole


def test_acceptance_of_a_rule_that_crashed_is_not_stale(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "CHECKS", {"lone-screw": BROKEN})
    inspection = inspected(SOUND + 'accept lone-screw on rail.left because "glued too"\n')
    assert not inspection.findings
    assert len(inspection.crashed) == 1


def test_budget_that_is_spent_is_told() -> None:
    inspection = inspect_text(PlanText("frame.plan", FAULTY), budget=0)
    assert [trouble.what for trouble in inspection.crashed] == ["time"]
    assert next(reversed(registry.CHECKS)) in inspection.crashed[0].says
    assert not inspection.whole


def test_findings_stand_in_the_order_of_the_text() -> None:
    more = FAULTY + "part other of board, 12 long, crosswise, facing front\n"
    more += (
        "join other.left to stile.right\n    flush bottom, front\n    pockets 1 in back\n    screws to suit\n"
    )
    inspection = inspected(more)
    starts = [finding.span.start for finding in inspection.findings]
    assert len(starts) == 2
    assert starts == sorted(starts)


@given(st.text(max_size=200))
@settings(max_examples=200, deadline=None)
def test_any_text_gives_a_clear_answer(text: str) -> None:
    inspection = planlint.inspect(text + "\n")
    assert not inspection.crashed
    assert inspection.unread or inspection.piece


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_any_damaged_plan_gives_a_clear_answer(data: st.DataObject) -> None:
    lines = FAULTY.splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        number = data.draw(st.integers(0, len(lines) - 1))
        words = lines[number].split(" ")
        where = data.draw(st.integers(0, len(words) - 1))
        words[where] = data.draw(
            st.sampled_from(["", "0", "-1", "rail", "left", "1e9", "99999999", ",", "(", "x", "top", '"'])
        )
        lines[number] = " ".join(words)
    inspection = inspected("\n".join(lines) + "\n")
    assert not inspection.crashed


# ---------------------------------------------------------------- files


@pytest.mark.skipif(
    os.name == "nt" or (hasattr(os, "geteuid") and os.geteuid() == 0), reason="needs file permissions"
)
def test_what_may_not_be_read_is_told(tmp_path: Path) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text("")
    plan.chmod(0)
    assert read_plan_file(str(plan)) == Refused(str(plan), "this may not be read: permission denied")


def test_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(SOUND.encode())))
    assert read_plan_file("-") == PlanText("-", SOUND)


@pytest.mark.parametrize("data", [b"plan \xff", b"plan \0", b"plan \x1b[2J", "plan \u202e".encode()])
def test_refused_bytes_are_told_in_their_place(tmp_path: Path, data: bytes) -> None:
    plan = tmp_path / "a.plan"
    plan.write_bytes(b"# bad\n" + data)
    inspection = planlint.inspect(plan)
    (mistake,) = inspection.unread
    assert inspection.position(mistake.span.start) == (2, 6)


# ---------------------------------------------------------------- the Python side


def test_inspect_takes_text_or_a_path(tmp_path: Path) -> None:
    path = tmp_path / "frame.plan"
    path.write_text(FAULTY)
    for inspection in (
        planlint.inspect(FAULTY, path="x.plan"),
        planlint.inspect(path),
        planlint.inspect(str(path)),
    ):
        assert rules_of(inspection) == ["lone-screw"]
    assert planlint.inspect(FAULTY, path="x.plan").path == "x.plan"
    assert planlint.inspect(tmp_path / "gone.plan").unread


def test_read_plan(tmp_path: Path) -> None:
    path = tmp_path / "frame.plan"
    path.write_text(SOUND)
    plan = planlint.read_plan(path)
    assert [part.name for part in plan.parts] == ["rail", "stile"]
    assert plan.parts[0].size[0] == 12


def test_read_plan_tells_mistakes(tmp_path: Path) -> None:
    with pytest.raises(planlint.PlanNotRead, match="line 7, column ") as problem:
        planlint.read_plan(SOUND.replace("rail of board", "rail of bord"))
    assert problem.value.mistakes[0][0].line == 7
    with pytest.raises(planlint.PlanNotRead, match="no such file"):
        planlint.read_plan(tmp_path / "gone.plan")
