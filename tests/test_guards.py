"""Openings of guards against sums worked by hand, and the same piece told another way."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.checks.guard_gap import Gaps
from planlint.checks.piece_purpose import purpose
from planlint.checks.registry import judge
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.openings import Rect, guards, openings
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.directions import Axis
from planlint.model.workshop import Settings
from planlint.repairs.guard_repairs import guard_gap
from planlint.repairs.repair_context import Context
from planlint.text.edits import apply
from planlint.text.source import PlanText
from planlint.wording.words_by_rule import worded
from tests.builders import part
from tests.transforms import in_unit, mirrored

OURS = (
    "loose-panel",
    "wide-boards",
    "rings-not-alternated",
    "one-face-finish",
    "rough-edge",
    "corrosion",
    "guard-gap",
    "bunk-guard",
)
SAFETY = ("guard-gap", "bunk-guard")


def piece_of(text: str) -> Piece:
    inspection = inspect_text(PlanText("a.plan", text))
    assert inspection.piece is not None, inspection.unread
    return inspection.piece


def found(piece: Piece) -> Counter[tuple[object, ...]]:
    return Counter(
        (each.rule, each.kind, len(each.parts), each.measured and round(each.measured, 4))
        for each in judge(Settings()).ask(piece, *OURS)
    )


def frame(wide: float, high: float) -> list[Rect]:
    """Two rails and two posts round an opening of that size."""
    return [
        Rect((-2.0, -2.0), (wide + 2, 0.0)),
        Rect((-2.0, high), (wide + 2, high + 3)),
        Rect((-2.0, 0.0), (0.0, high)),
        Rect((wide, 0.0), (wide + 2, high)),
    ]


@given(st.lists(st.integers(1, 90), min_size=1, max_size=9, unique=True))
def test_gaps_between_slats_are_those_between_their_edges(places: list[int]) -> None:
    starts = sorted(places)
    slats = [Rect((float(at), 0.0), (at + 1.5, 30.0)) for at in starts]
    edges = [0.0, *(edge for at in starts for edge in (at, at + 1.5)), 92.0]
    gaps = sorted(b - a for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 1e-9)
    sizes = sorted(each.size for each in openings([*frame(92.0, 30.0), *slats]))
    assert sizes == pytest.approx([min(gap, 30.0) for gap in gaps])
    higher = [Rect((low[1], low[0]), (high[1], high[0])) for low, high in (*frame(92.0, 30.0), *slats)]
    assert sorted(each.size for each in openings(higher)) == pytest.approx(sizes)


def test_what_passes_an_opening_that_is_no_rectangle() -> None:
    """An L of two arms, 4 and 3 wide: a square of 4 passes the one; an opening without a top is none."""
    wood = [*frame(10.0, 8.0), Rect((4.0, 3.0), (10.0, 8.0))]
    assert [each.size for each in openings(wood)] == [4.0]
    assert not list(openings([*frame(10.0, 8.0)[:1], *frame(10.0, 8.0)[2:]]))
    assert not list(openings([]))


@pytest.mark.parametrize(
    ("title", "what"),
    [
        ("Bunk bed", "bunk bed"),
        ("Twin bunk beds, pine", "bunk bed"),
        ("Twin over full bunk bed", "bunk bed"),
        ("Bunk bed plans", "bunk bed"),
        ("Loft bed with desk", "loft bed"),
        ("Mid sleeper", "loft bed"),
        ("Baby cot", "crib"),
        ("Porch railing", "guard"),
        ("Banister", "stair guard"),
        ("Feed bunk", None),
        ("Crib", "crib"),
        ("Crib for the blue room", "crib"),
        ("Balcony railing", "guard"),
        ("Stair rail", "stair guard"),
        ("Doll's crib", None),
        ("Corn crib", None),
        ("Cribbage board", None),
        ("Ladder for a bunk bed", None),
        ("Bunk bed ladder", None),
        ("Crib mattress drawer", None),
        ("Towel rail", None),
        ("Bed", None),
    ],
)
def test_what_a_title_says(title: str, what: str | None) -> None:
    piece = piece_of(f'plan "{title}"\nstock b of pine, 1x4\npart b_1 of b, 30 long, upright, facing front\n')
    assert purpose(piece.plan) == what


def test_a_rail_that_is_not_placed_yet_is_not_missing() -> None:
    """That the joint leaves it free to slide is told; once it is placed, the bed is judged."""
    whole = next(
        case.plan for case in rule_book()["bunk-guard"].cases if case.title == "rails and ends all round"
    )
    place = "join guard_f.left to post_fl.right as dowels\n    43-1/2 from bottom\n"
    assert place in whole
    piece = piece_of(whole.replace(place, place.partition("    ")[0]))
    assert not all(map(piece.trusted, piece.plan.joins))
    assert not found(piece)


def cases(*rules: str) -> list[str]:
    """The worked cases in which these rules find something."""
    every = [(rule, case) for rule in rules for case in rule_book()[rule].cases]
    return [case.plan for rule, case in every if any(each.startswith(f"{rule} on") for each in case.findings)]


@pytest.mark.parametrize("text", cases(*OURS))
def test_told_another_way_the_same_is_found(text: str) -> None:
    here = found(piece_of(text))
    assert here
    assert found(piece_of(in_unit(text, "mm"))) == here
    assert found(piece_of(mirrored(text, Axis.X))) == here


@pytest.mark.parametrize("text", cases(*SAFETY))
def test_safety_ends_with_the_rule_that_decides(text: str) -> None:
    piece = piece_of(text)
    told = [worded(piece, each) for each in judge(Settings()).ask(piece, *SAFETY)]
    assert told
    for each in told:
        last = each.repairs[-1].says
        assert "Follow " in last
        assert len(each.repairs) == 2  # All of them are shown beside a picture.
        assert last.endswith("itself and local codes: planlint certifies nothing.")


def test_slats_that_no_rail_closes_off_have_gaps_too() -> None:
    """Five balusters of 1-1/4 in, 4-3/4 in apart, that only a bottom rail holds: four gaps wider than 4-3/8."""
    text = """plan "Guard"
    use as stair guard
stock rail of red oak, 1-1/2 x 2-1/2
stock bal of red oak, 1-1/4 x 1-1/4
part bottom of rail, 40 long, crosswise, facing front
for n in 1 to 5
    part bal_{n} of bal, 32 long, upright, facing front
    join bal_{n}.bottom to bottom.top as dowels
        2 + (n - 1) * (4-3/4 + 1-1/4) from left
        centred front to back
        glued
"""
    for plan, gaps in ((text, 4), (text.replace("4-3/4", "4-3/8"), 0)):
        told = list(judge(Settings()).ask(piece_of(plan), "guard-gap"))
        assert [len(each.judged(Gaps).openings) for each in told] == ([gaps] if gaps else [])


def test_what_lies_under_a_high_bed_is_no_guard_of_it() -> None:
    """A rail 8-1/2 in under the beam of a loft bed: a sleeper does not get there. Of the guard above only the opening
    under its rail is told, 5 in."""
    title = "a guardrail 5 in above what the mattress lies on, at the front of a loft bed"
    text = next(case.plan for case in rule_book()["guard-gap"].cases if case.title == title)
    low = """
part low of rail, 75 long, crosswise, facing front
join low.left to post_fl.right as dowels
    22 from bottom
    flush back
    glued
join low.right to post_fr.left as dowels
    glued
"""
    for plan in (text, text + low):
        (gap,) = judge(Settings()).ask(piece_of(plan), "guard-gap")
        assert gap.measured == 5.0
        assert [each.size for each in gap.judged(Gaps).openings] == [5.0]


RAKED = """plan "Stair guard"
    seen from nowhere
    use as stair guard
stock post of red oak, 3 x 3
stock rail of red oak, 1-1/2 x 2-1/2
stock bar of red oak, 1-1/4 x 1-1/4
part post_l of post, 40 long, upright, facing front
part top, mid, bottom of rail, 50 long, crosswise, facing front
    turned -35 about deep
    ends cut 35, long at bottom
join top.left to post_l.right as dowels
    4 from top
    centred front to back
join mid.left to post_l.right as dowels
    {mid} from top
    centred front to back
join bottom.left to post_l.right as dowels
    30 from top
    centred front to back
"""
BARS = """for n in 1 to 6
    part bar_{n} of bar, 20 long, upright, facing front
        ends cut 35, long at left
    join bar_{n}.bottom to bottom.top as dowels
        (n - 1) * STEP + FIRST from left
        centred front to back
"""


@pytest.mark.parametrize(("mid", "wide"), [(17, 13 * 0.819152 - 2.5), (29, 25 * 0.819152 - 2.5)])
def test_rails_that_run_aslant_are_as_far_apart_as_square_to_them(mid: int, wide: float) -> None:
    """Set out along the post, they stand closer by the cosine of 35 degrees; each is 2-1/2 in wide."""
    text = RAKED.replace("{mid}", str(mid))
    for plan in (text, mirrored(text, Axis.X), in_depth(text), mirrored(in_depth(text), Axis.Y)):
        found = inspect_text(PlanText("stair.plan", plan)).findings
        (gap,) = (each for each in found if each.rule == "guard-gap")
        assert gap.measured == pytest.approx(wide, abs=1e-3)


def in_depth(text: str) -> str:
    """A guard from front to back instead of from left to right: a quarter turned."""
    words = {
        "crosswise, facing front": "deep, facing left",
        "turned -35 about deep": "turned 35 about crosswise",
        ".left to": ".front to",
        ".right as": ".back as",
        "centred front to back": "centred left to right",
        "facing front": "facing left",
    }
    for here, there in words.items():
        assert here in text
        text = text.replace(here, there)
    return text


@pytest.mark.parametrize(
    ("many", "first", "step", "wide"),
    [
        (6, 4, 5, None),
        (6, 4, 7, 7 * 0.819152 - 1.25),
        (2, 4, 7, 7 * 0.819152 - 1.25),
        (6, 10, 5, 10 * 0.819152 - 2.5 * 0.573576),
    ],
)
def test_bars_and_a_post_between_rails_that_run_aslant(
    many: int, first: int, step: int, wide: float | None
) -> None:
    """Set out along the rail from its long point, which lies 2-1/2 times the sine behind the post's side above it. Two
    bars are no row; they stand beside one another on the low rail."""
    text = RAKED.replace("part top, mid, bottom", "part top, bottom")
    text = text[: text.index("join mid")] + text[text.index("join bottom") :]
    text += BARS.replace("STEP", str(step)).replace("FIRST", str(first)).replace("1 to 6", f"1 to {many}")
    found = [each for each in inspect_text(PlanText("stair.plan", text)).findings if each.rule == "guard-gap"]
    assert len(found) == (wide is not None)
    if wide is not None:
        assert found[0].measured == pytest.approx(wide, abs=1e-3)


@pytest.mark.parametrize(
    ("title", "slats"),
    [("slats of a balcony guard 4-1/2 in apart", 4), ("a crib with slats 2-3/4 in apart", 14)],
)
def test_a_loop_of_slats_is_made_again_with_as_many_as_keep_its_gaps(title: str, slats: int) -> None:
    text = next(case.plan for case in rule_book()["guard-gap"].cases if case.title == title)
    inspection = inspect_text(PlanText("a.plan", text))
    (proposal,) = guard_gap(Context(inspection), inspection.findings[0])
    assert proposal.asks
    mended = inspect_text(PlanText("a.plan", apply(text, proposal.edits)))
    assert not mended.findings
    assert mended.piece is not None
    assert sum(part.name.startswith("slat") for part in mended.piece.plan.parts) == slats


@pytest.mark.parametrize(("apart", "count"), [(0.0, 1), (0.25, 1), (0.3125, 2), (20.0, 2)])
def test_bars_of_one_guard_lie_close_through_it(apart: float, count: int) -> None:
    """Slats before a rail, or a quarter of an inch before it, are one guard; those at the two sides of a bed two."""
    slats = [Body(part(f"slat_{n}", "30 x 3 x 3/4", "upright front"), (6.0 * n, 0.0, 0.0)) for n in range(3)]
    rail = Body(part("rail", "30 x 3 x 3/4", "crosswise front"), (0.0, 0.75 + apart, 10.0))
    found = list(guards([*slats, rail], Axis.Y))
    assert len(found) == count
    assert sorted(len(each.bars) for each in found) == ([4] if count == 1 else [1, 3])
