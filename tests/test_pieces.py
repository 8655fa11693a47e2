"""Pieces written by hand, as a builder would: a sound one is silent, a faulty one is told its one cause, once.

What must be found stands in notes at a piece's top, written before it was first inspected: ``# fault: RULE on NAME``,
NAME a join or a part that the finding names, ``# told: WORDS`` that the finding or its repairs must hold, and
``# mended: LINE`` that the plan holds after mending, its first choices taken, and then it is sound.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planlint.findings.finding import Finding
from planlint.model.directions import Axis
from planlint.repairs.mending import mend
from planlint.text.source import PlanText
from tests.test_invariance import check_mirrored, inspected
from tests.transforms import mirrored

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
    inspection = inspected(text)
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


DRAWN_ONE_WAY = frozenset(
    {
        # Places along a joint, and which of two alike is told first, go from its low end.
        "f_apron_faces_up", "f_apron_mirrored_left_to_right", "f_corner_screws_meet", "f_every_twelve",
        "f_half_lap_end_to_edge", "f_mm_wide_spacing", "f_planter_screws_meet", "f_top_glued_to_aprons",
        "f_crib_four_slats_forgotten",
        # What is offered as an example, and of a part that may as well look either way its usual side.
        "f_brace_turned_the_other_way", "f_case_side_faces_front", "f_misfit_divider_faces_front",
        "f_seat_centred_the_other_way", "f_slanted_brace_top_forgotten", "f_tie_right_forgotten",
        "f_vanity_metric_seite_steht_falsch",
        # Its parts are called `left` and `right`.
        "f_mirror_one_end_cut_the_other_way",
    }
)  # fmt: skip


def words_of(text: str, swap: dict[str, str]) -> list[tuple[str, ...]]:
    """What is told of each fault and offered, its sides swapped; whichever way along an axis, or round it, is one."""

    def straight(words: str) -> str:
        words = re.sub(r"\b[a-z]+\b", lambda found: swap.get(found[0], found[0]), words)
        return words.replace("right to left", "left to right").replace("turned -", "turned ")

    found = inspected(text).findings
    return sorted(tuple(map(straight, (each.says, *(way.says for way in each.repairs)))) for each in found)


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
def test_a_piece_is_told_exactly_and_its_mirror_image_differs_by_hand_alone(path: Path) -> None:
    text = path.read_text("utf-8")
    assert wrong(text) == []
    if notes(text, "fault") and path.stem not in DRAWN_ONE_WAY:
        check_mirrored(text, Axis.X)
        assert words_of(text, {"left": "right", "right": "left"}) == words_of(mirrored(text, Axis.X), {})


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
