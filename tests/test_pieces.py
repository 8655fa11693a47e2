"""Pieces written by hand, as a builder would: a sound one is silent, a faulty one is told its one cause, once.

What must be found stands in notes at a piece's top, written before it was first inspected: ``# fault: RULE on NAME``,
NAME a join or a part that the finding names, ``# told: WORDS`` that the finding or its repairs must hold, and
``# mended: LINE`` that the plan holds after mending, its first choices taken, and then it is sound.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from planlint.findings.finding import Finding
from planlint.inspection.inspect_plan import inspect_text
from planlint.repairs.mending import mend
from planlint.text.source import PlanText

FOLDER = Path(__file__).parent / "pieces"
PIECES = sorted(FOLDER.glob("*.plan"))

NOT_YET = frozenset((FOLDER / "not-yet.txt").read_text("utf-8").split())
"""Pieces that are not told right yet. Strict: one that is told right has to be taken out."""


def notes(text: str, kind: str) -> list[str]:
    start = f"# {kind}: "
    return [line.removeprefix(start) for line in text.splitlines() if line.startswith(start)]


def names(finding: Finding) -> set[str]:
    return {name for each in (finding, *finding.also) for name in each.names}


def wrong(text: str) -> list[str]:
    """What differs between what a piece's notes foretell and what is found in it; nothing where all is right."""
    inspection = inspect_text(PlanText("piece.plan", text))
    if inspection.unread:
        return [f"not read: {says}" for _, says in inspection.unread]
    left = list(inspection.told)
    differs = [f"failed: {each}" for each in inspection.crashed]
    told = notes(text, "told")
    for fault in notes(text, "fault"):
        rule, _, name = fault.partition(" on ")
        match = next((each for each in left if each.rule == rule and name in names(each)), None)
        if match is None:
            differs.append(f"missed: {fault}")
            continue
        left.remove(match)
        said = " ".join([match.says, *(repair.says for repair in match.repairs)])
        differs += [f"not told: {words} in: {said}" for words in told if words not in said]
    return differs + [f"too many: {each.rule} on {each.joint or each.parts}: {each.says}" for each in left]


def test_there_are_enough_of_both_kinds() -> None:
    faulty = [path for path in PIECES if notes(path.read_text("utf-8"), "fault")]
    assert len(PIECES) >= 150
    assert len(PIECES) - len(faulty) >= 50


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, marks=[pytest.mark.xfail(strict=True)] if path.stem in NOT_YET else [])
        for path in PIECES
    ],
    ids=lambda path: path.stem,
)
def test_a_piece_is_told_exactly(path: Path) -> None:
    assert wrong(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "path",
    [path for path in PIECES if notes(path.read_text("utf-8"), "mended")],
    ids=lambda path: path.stem,
)
def test_a_piece_is_mended_as_its_builder_meant(path: Path) -> None:
    text = path.read_text("utf-8")
    mending = mend(PlanText("piece.plan", text), asked=True)
    assert mending.after.told == ()
    lines = [line.strip() for line in mending.source.text.splitlines()]
    assert [line for line in notes(text, "mended") if line not in lines] == []
