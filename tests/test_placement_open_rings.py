"""Rings that stay open: what is told of each, what waits for it, and what is judged all the same."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import pytest

from planlint.checks.registry import By, hangs_on
from planlint.command.demo_command import DEMO
from planlint.geometry.shapes.body import Body
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import SIDE_BY_WORD
from planlint.model.workshop import Settings
from planlint.repairs.mending import mend
from planlint.text.resources import resource
from planlint.text.source import PlanText
from tests.word_lists import REFERENCE_PAGES

ROW = """\
plan "Three equal rails"
    seen from front
stock ff of hard maple, 3/4 x 1-1/2
part top of ff, 45 long, crosswise, facing front
part s_0, s_1, s_2, s_3 of ff, 20 long, upright, facing front
part r_1, r_2, r_3 of ff, 13 long, crosswise, facing front
for n in 0 to 3
    join s_{n}.top to top.bottom
        flush front
        14-1/2 * n from left
        pockets 2 in back
        screws fine 1-1/4
for n in 1 to 3
    join r_{n}.left to s_{n - 1}.right
        flush front, bottom
        pockets 2 in back
        screws fine 1-1/4
    join r_{n}.right to s_{n}.left
        pockets 2 in back
        screws fine 1-1/4
"""

FLOORED = """\
plan "Legs, rails and a floor between the rails"
    seen from nowhere
stock leg of ash, 1-1/2 x 1-1/2
stock rail of ash, 3/4 x 4
part leg_fl, leg_fr, leg_bl, leg_br of leg, 18 long, upright, facing front
part f, b of rail, 20 long, crosswise, facing front
part l, r of rail, 10 long, deep, facing left
part floor of rail, 11-1/4 long, deep, facing up
join f.left to leg_fl.right
    flush top
    set back 1/8 from front
    pockets 2 in back
    screws fine 1-1/4
join f.right to leg_fr.left
    flush top
    set back 1/8 from front
    pockets 2 in back
    screws fine 1-1/4
join l.front to leg_fl.back
    flush top
    set back 1/8 from left
    pockets at 1-1/2, 2-1/2 from top in right
    screws fine 1-1/4
join l.back to leg_bl.front
    flush top
    set back 1/8 from left
    pockets at 1-1/2, 2-1/2 from top in right
    screws fine 1-1/4
join floor.front to f.back
    flush bottom
    centred left to right
    pockets 2 in bottom
    screws fine 1-1/4
join floor.back to b.front
    flush bottom
    pockets 2 in bottom
    screws fine 1-1/4
join b.left to leg_bl.right
    set back 1/8 from back
    flush top
    pockets 2 in front
    screws fine 1-1/4
join b.right to leg_br.left
    flush top
    pockets 2 in front
    screws fine 1-1/4
join r.front to leg_fr.back
    flush top
    set back 1/8 from right
    pockets at 1-1/2, 2-1/2 from top in left
    screws fine 1-1/4
join r.back to leg_br.front
    flush top
    set back 1/8 from right
    pockets at 1-1/2, 2-1/2 from top in left
    screws fine 1-1/4
"""

TABLE = """\
plan "Table with two rails on each short side"
    seen from nowhere
stock legs of cherry, 1-3/4 x 1-3/4
stock apron of cherry, 3/4 x 4
part leg_fl, leg_fr, leg_bl, leg_br of legs, 16-1/4 long, upright, facing front
part apron_f, apron_b of apron, 38-1/2 long, crosswise, facing front
part apron_l, apron_r, low_l, low_r of apron, 16-1/2 long, deep, facing left
join apron_f.left to leg_fl.right
    flush top
    set back 1/4 from front
    glued
join apron_f.right to leg_fr.left
    flush top
    set back 1/4 from front
    glued
join apron_b.left to leg_bl.right
    flush top
    set back 1/4 from back
    glued
join apron_b.right to leg_br.left
    flush top
    set back 1/4 from back
    glued
join apron_l.front to leg_fl.back
    flush top, left
    glued
join apron_l.back to leg_bl.front
    flush top, left
    glued
join apron_r.front to leg_fr.back
    flush top, right
    glued
join apron_r.back to leg_br.front
    flush top, right
    glued
join low_l.front to leg_fl.back
    3 from bottom
    flush left
    glued
join low_l.back to leg_bl.front
    3 from bottom
    flush left
    glued
join low_r.front to leg_fr.back
    3 from bottom
    flush right
    glued
join low_r.back to leg_br.front
    3 from bottom
    flush right
    glued
"""


def inspected(text: str) -> Inspection:
    inspection = inspect_text(PlanText("ring.plan", text))
    assert inspection.whole, inspection.unread
    return inspection


def told(inspection: Inspection) -> set[tuple[str, str | None]]:
    return {(finding.rule, finding.joint) for finding in inspection.findings}


def repairs(inspection: Inspection, rule: str) -> list[list[str]]:
    return [
        [repair.says for repair in finding.repairs] for finding in inspection.findings if finding.rule == rule
    ]


def changed(text: str, *pairs: tuple[str, str]) -> str:
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    return text


# ---------------------------------------------------------------- each ring by itself


def test_rails_in_a_row_that_want_the_same_are_told_together() -> None:
    """The second ring does not count what the first has told: all three rails want the same, and are told once."""
    inspection = inspected(changed(ROW, ("13 long", "13-1/8 long")))
    assert told(inspection) == {("misfit", f"r_{n}.right") for n in (1, 2, 3)}
    assert [finding.measured for finding in inspection.findings] == [0.125] * 3
    assert [first for first, *_ in repairs(inspection, "misfit")] == [
        f"Make r_{n} and the 2 others of that length 13 in long instead of 13-1/8 in." for n in (1, 2, 3)
    ]
    assert len(inspection.told) == 1


@pytest.mark.parametrize("lengths", [("12-7/8", "12-3/4"), ("13-1/16", "12-7/8"), ("12-1/2", "13-3/8")])
def test_lengths_told_close_the_rings_when_obeyed(lengths: tuple[str, str]) -> None:
    text = changed(
        ROW,
        (
            "part r_1, r_2, r_3 of ff, 13 long, crosswise, facing front",
            "part r_1 of ff, 13 long, crosswise, facing front\n"
            f"part r_2 of ff, {lengths[0]} long, crosswise, facing front\n"
            f"part r_3 of ff, {lengths[1]} long, crosswise, facing front",
        ),
    )
    inspection = inspected(text)
    for first, *_ in repairs(inspection, "misfit"):
        name, new, old = re.findall(r"Make (\w+) (\S+) in long instead of (\S+) in", first)[0]
        text = changed(text, (f"part {name} of ff, {old} long", f"part {name} of ff, {new} long"))
    assert inspected(text).sound


def test_a_mitred_ring_is_closed_by_a_length_not_by_the_gap() -> None:
    frame = 'plan "Mitred frame"\nstock wood of cherry, 3/4 x 3\n'
    for name, size, lies in (
        ("top", "24-1/4", "crosswise"),
        ("bottom", "24", "crosswise"),
        ("left", "18", "upright"),
        ("right", "18", "upright"),
    ):
        frame += f"part {name} of wood, {size} long, {lies}, facing front, ends cut 45, long at {name}\n"
    for rail in ("top", "bottom"):
        for stile in ("left", "right"):
            frame += f"join {rail}.{stile} to {stile}.{rail} as mitre\n    flush front, {rail}\n    glued\n"
    ((first, second),) = repairs(inspected(frame), "misfit")
    assert first.startswith(
        "Make top 24 in long instead of 24-1/4 in, or bottom 24-1/4 in long instead of 24 in"
    )
    assert second == "Or change another length or distance in the ring by 1/4 in."


# ---------------------------------------------------------------- the change that heals


def test_unlike_setbacks_at_the_two_ends_are_named() -> None:
    """A shorter apron would close one ring and open the one of the low rail."""
    inspection = inspected(changed(TABLE, ("set back 1/4 from front", "set back 1 from front")))
    assert {each for each in told(inspection) if hangs_on(each[0], By.PLACING)} == {
        ("misfit", "apron_f.left")
    }
    ((first, *others),) = repairs(inspection, "misfit")
    assert first == "Lay the front of apron_f 1/4 in from the front of leg_fl, as at leg_fr, instead of 1 in."
    assert not any("long instead of" in each for each in others)


def test_a_length_that_opens_no_other_ring_is_told() -> None:
    inspection = inspected(
        changed(
            TABLE,
            ("part apron_l, apron_r, low_l, low_r", "part low_r of apron, 16 long, deep, facing left\n"
             "part apron_l, apron_r, low_l"),
        )
    )  # fmt: skip
    ((first, *_),) = repairs(inspection, "misfit")
    assert first == "Make low_r 16-1/2 in long instead of 16 in."


# ---------------------------------------------------------------- what waits, and what does not


def test_what_follows_from_a_ring_waits_for_it() -> None:
    assert inspected(FLOORED).sound
    open_ring = changed(FLOORED, ("11-1/4 long", "12-1/2 long"))
    assert told(inspected(open_ring)) == {("misfit", "floor.back")}


WITHOUT_DOUBT = ("f.left", "f.right", "b.left", "l.front", "l.back", "floor.front", "r.front", "r.back")
"""Joints whose own words say how their parts lie, in a plan whose floor is too long or too short."""


@pytest.mark.parametrize("size", ["12-1/2", "11-3/8", "11"])
@pytest.mark.parametrize("joint", WITHOUT_DOUBT)
def test_a_fault_that_does_not_depend_on_the_ring_is_told(joint: str, size: str) -> None:
    text = changed(FLOORED, ("11-1/4 long", f"{size} long"))
    start = text.index(f"join {joint} ")
    end = text.find("\njoin", start)
    here = text[start : end if end > 0 else len(text)]
    lone = re.sub(r"pockets (?:\d|at 1-1/2, 2-1/2 from top) in", "pockets 1 in", here)
    assert lone != here
    found = told(inspected(text.replace(here, lone)))
    assert ("lone-screw", joint) in found
    assert ("misfit", "floor.back") in found


def test_parts_that_hang_on_a_ring_in_one_place_are_judged() -> None:
    """A cleat on a rail of an open ring lies where it is said to, though its other join says nothing of its own."""
    text = changed(FLOORED, ("11-1/4 long", "12-1/2 long"))
    text += """\
part cleat of rail, 6 long, deep, facing left
part lip of rail, 6 long, deep, facing left
join cleat.left to r.right
    2 from front
    flush top
    pockets 1 in top
    screws fine 1-1/4
    glued
join lip.left to cleat.right
    flush front, top
    glued
"""
    piece = inspected(text).piece
    assert piece is not None
    by_name, fixed = piece.plan.part_by_name, piece.placement.fixed_together
    assert fixed(by_name["lip"], by_name["r"])
    assert fixed(by_name["cleat"], by_name["lip"])
    assert not fixed(by_name["lip"], by_name["b"])
    assert not fixed(by_name["leg_br"], by_name["b"])


@pytest.mark.parametrize("plan", sorted(DEMO.glob("*.plan")), ids=lambda path: path.stem)
def test_no_pair_of_a_plan_whose_rings_close_is_in_doubt(plan: Path) -> None:
    piece = inspect_text(PlanText(plan.name, plan.read_text("utf-8"))).piece
    assert piece is not None
    placement = piece.placement
    if placement.misfits or placement.free or placement.askew:
        return
    for component in placement.components:
        assert all(placement.fixed_together(component[0], other) for other in component)


# ---------------------------------------------------------------- which way a part is turned

REFERENCE = "\n".join(resource("grammar", page).read_text("utf-8") for page in REFERENCE_PAGES)
TURNS = next(
    block for block in re.findall(r"^```plan\n(.*?)^```$", REFERENCE, re.M | re.S) if "turned 10" in block
)


def directions(text: str) -> Iterable[tuple[str, str, str]]:
    return re.findall(r"part (\w+) of.*\n +turned .* # its (\w+) goes to the (\w+)", text)


@pytest.mark.parametrize(("name", "side", "toward"), directions(TURNS))
def test_parts_turn_the_way_the_reference_says(name: str, side: str, toward: str) -> None:
    plan, mistakes = understand(PlanText("turns.plan", TURNS), Settings())
    assert plan is not None
    assert mistakes == []
    body = Body(plan.part_by_name[name], (0.0, 0.0, 0.0))
    normal, goal = body.planes[SIDE_BY_WORD[side]].normal, SIDE_BY_WORD[toward]
    assert normal[goal.axis] * goal.sign > 0.1


def test_the_reference_shows_all_axes() -> None:
    assert {
        axis for axis in ("vertical", "crosswise", "deep") if re.search(rf"about {axis} +# its", TURNS)
    } == {
        "vertical",
        "crosswise",
        "deep",
    }


WINGS = """\
plan "Front of a curved counter"
    seen from front
stock board of poplar, 3/4 x 5-1/2
part middle of board, 24 long, crosswise, facing front
    ends cut 15, long at front
part wing of board, 24 long, crosswise, facing front
    turned 30 about vertical
    left end cut 15, long at front
join middle.right to wing.left
    flush top, back
    glued
"""


@pytest.mark.parametrize(
    ("old", "new", "first"),
    [
        ("turned 30", "turned 35", "Write `turned 30 about vertical` for wing, not `turned 35`."),
        ("turned 30", "turned 25", "Write `turned 30 about vertical` for wing, not `turned 25`."),
        ("turned 30", "turned -30", "Write `turned 30 about vertical` for wing, not `turned -30`."),
        ("left end cut 15", "left end cut 12-1/2", "Write `turned 27-1/2 about vertical` for wing, not `turned 30`."),
    ],
)  # fmt: skip
def test_askew_says_which_part_and_which_way(old: str, new: str, first: str) -> None:
    inspection = inspected(changed(WINGS, (old, new)))
    told_first = next(iter(repairs(inspection, "askew")))[0]
    assert told_first == first
    way = re.findall(r"`(turned \S+) about vertical` for wing, not `(turned \S+)`", first)[0]
    healed = inspected(changed(WINGS, (old, new)).replace(f"{way[1]} about", f"{way[0]} about"))
    assert "askew" not in {finding.rule for finding in healed.findings}


GATE = """\
plan "Gate"
    unit mm
    seen from nowhere
stock rail of larch, 28 x 95
stock board of larch, 20 x 120
part ledge_t, ledge_b of rail, 900 long, crosswise, facing back
for n in 1 to 3
    part board_{n} of board, 1200 long, upright, facing front
    join board_{n}.back to ledge_t.front as glued
        (n - 1) * 300 from left
        proud 150 at top
    join board_{n}.back to ledge_b.front as glued
        (n - 1) * 300 from left
        proud 150 at bottom
part brace of rail, 1000 long, upright, facing back, turned 40 about deep
    top end cut 40, long at right
    bottom end cut 40, long at left
join brace.top to ledge_t.bottom as mitre
    40 from right
    flush back
    glued
join brace.bottom to ledge_b.top as mitre
    flush back
    glued
"""


def test_a_brace_that_does_not_reach_is_made_longer() -> None:
    """710 mm lie between the ledges: the brace is (710 + 95 sin 40) / cos 40 = 1006.55 mm from point to point."""
    (finding,) = (each for each in inspected(GATE).findings if each.rule == "misfit")
    assert finding.repairs[0].says == "Make brace 1006.6 mm long instead of 1000 mm."
    assert not [
        each for each in inspected(GATE.replace("1000 long", "1006.6 long")).findings if each.rule == "misfit"
    ]


@pytest.mark.parametrize("cut", ["top end cut 40, long at right", "bottom end cut 40, long at left"])
def test_an_end_that_is_left_square_is_told_how_it_is_cut(cut: str) -> None:
    text = changed(GATE, ("1000 long", "1006.6 long"), (f"    {cut}\n", ""))
    (finding,) = (each for each in inspected(text).findings if each.rule == "askew")
    says = f"Cut the {cut.replace(' cut 40', ' of brace 40 degrees')}."
    assert [each.says for each in finding.repairs] == [says]


def test_an_end_cut_for_another_slant_and_the_other_way_is_told_how_it_is_cut() -> None:
    text = GATE.replace("top end cut 40, long at right", "top end cut 50, long at left")
    (finding,) = (each for each in inspected(text).findings if each.rule == "askew")
    says = "Cut the top end of brace 40 degrees, long at right, not 50 degrees."
    assert [each.says for each in finding.repairs] == [says]


@pytest.mark.parametrize(
    ("top", "bottom"), [("50, long at left", "50, long at right"), ("10, long at left", "10, long at right")]
)
def test_both_ends_of_a_brace_cut_for_another_slant_are_cut_anew_together(top: str, bottom: str) -> None:
    sound = GATE.replace("1000 long", "1006.6 long")
    text = sound.replace("top end cut 40, long at right", f"top end cut {top}")
    text = text.replace("bottom end cut 40, long at left", f"bottom end cut {bottom}")
    assert mend(PlanText("gate.plan", text)).source.text == sound


FACE_FRAME = """\
plan "Face frame"
    seen from nowhere
stock frame of hard maple, 3/4 x 1-1/2
part stile_l, stile_r of frame, 30 long, upright, facing front
part rail_t, rail_m, rail_b of frame, 21 long, crosswise, facing front
join rail_t.left to stile_l.right as glued
    flush front, top
join rail_t.right to stile_r.left as glued
    flush front, top
join rail_m.left to stile_l.right as glued
    flush front
    12 from bottom
join rail_m.right to stile_r.left as glued
    flush front
    12 from bottom
join rail_b.left to stile_l.right as glued
    flush front, bottom
join rail_b.right to stile_r.left as glued
    flush front, bottom
"""


@pytest.mark.parametrize(
    ("old", "new", "first"),
    [
        (
            "flush front, bottom",
            "flush front, top",
            "Say `flush bottom` for rail_b.left, as rail_b lies on stile_r, not `flush top`.",
        ),
        (
            "    12 from bottom",
            "    12 from front",
            "Say `12 in from bottom` for rail_m.left, as rail_m lies on stile_r, not `set back 12 in from front`.",
        ),
    ],
)
def test_one_word_for_another_at_one_end_is_told_as_at_the_other(old: str, new: str, first: str) -> None:
    """Not that a stile is 1-1/2 in long, nor that a rail lies where another does, nor that an inch is a millimetre."""
    inspection = inspected(FACE_FRAME.replace(old, new, 1))
    assert next(iter(repairs(inspection, "misfit")))[0] == first


@pytest.mark.parametrize(("short", "long"), [("rail_t", "rail_b"), ("rail_b", "rail_t")])
def test_the_rail_is_told_by_whose_length_no_other_ring_opens(short: str, long: str) -> None:
    """A ledge measures as the short rail does, so the long one would be likelier wrong; but two rails end to end, of 12
    and 9 in, are just as long as it."""
    parts = [f"{short} of frame, 20 long", f"{long} of frame, 21 long", "rail_m of frame, 12 long"]
    parts += ["rail_n of frame, 9 long", "ledge of frame, 20 long"]
    lines = "".join(f"part {each}, crosswise, facing front\n" for each in parts)
    text = changed(
        FACE_FRAME,
        ("part rail_t, rail_m, rail_b of frame, 21 long, crosswise, facing front\n", lines),
        ("rail_m.right", "rail_n.right"),
    )
    text += "join rail_m.right to rail_n.left as glued\n    flush front, top\n"
    text += "join ledge.back to rail_b.front as glued\n    flush left, top\n"
    (told,) = repairs(inspected(text), "misfit")
    assert told[0] == f"Make {short} 21 in long instead of 20 in."


def test_a_rail_that_lies_flat_is_turned_rather_than_laid_at_one_end_as_at_the_other() -> None:
    """Flush in front at the one stile and behind at the other: 1-1/2 in deep, where the stiles are 3/4."""
    text = FACE_FRAME.replace("rail_m, ", "").replace(
        "join rail_t.left", "part rail_m of frame, 21 long, crosswise, facing up\njoin rail_t.left"
    )
    last = "join rail_m.right to stile_r.left as glued\n    flush "
    (told,) = repairs(inspected(changed(text, (f"{last}front", f"{last}back"))), "misfit")
    assert told[0] == "Check how rail_m faces: facing front it takes 3/4 in here, not 1-1/2 in."
