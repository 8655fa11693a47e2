"""Assemblies, parts like others, stopped grooves, and parts that are called by a side's name."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st

from planlint.inspection.inspect_plan import inspect_text
from planlint.language.reader import read
from planlint.model.directions import Side
from planlint.model.elaborate import elaborate
from planlint.model.plan import Plan
from planlint.model.workshop import Settings
from planlint.text.source import PlanText

HEAD = """\
plan "Chest"
    seen from front
stock board of red oak, 3/4 x 2
stock sheet of birch plywood, 3/4 thick
"""
FRAME = """\
assembly frame(wide)
    part rail of board, wide long, crosswise, facing front
    part stile of board, 24 long, upright, facing front
    join rail.left to stile.right
        flush top, front
        pockets 1 in back
        screws to suit
end
"""


def worked_out(text: str, most: int = 20_000) -> tuple[Plan | None, list[tuple[str, str]]]:
    source = PlanText("a.plan", text)
    tree, unread = read(source)
    plan, mistakes = elaborate(tree, Settings(most_items=most))
    return plan, [(text[slice(*each.span)], each.says) for each in [*unread, *mistakes]]


def plan_of(text: str) -> Plan:
    plan, mistakes = worked_out(text)
    assert mistakes == []
    assert plan is not None
    return plan


def mistake(text: str, most: int = 20_000) -> tuple[str, str]:
    [found] = worked_out(text, most)[1]
    return found


# ---------------------------------------------------------------- placing


def test_a_unit_gives_its_name_to_its_parts_and_joins() -> None:
    plan = plan_of(HEAD + FRAME + "place frame as f1, wide 12\nplace frame as f2, wide 1 ft + 2\n")
    assert list(plan.part_by_name) == ["f1_rail", "f1_stile", "f2_rail", "f2_stile"]
    assert list(plan.join_by_name) == ["f1_rail.left", "f2_rail.left"]
    assert [plan.part_by_name[name].length for name in ("f1_rail", "f2_rail")] == [12, 14]


def test_units_are_joined_loaded_and_accepted_by_their_whole_names() -> None:
    plan = plan_of(
        HEAD
        + FRAME.replace("end\n", '    load 5 lb on rail\n    accept lone-screw on rail.left/stile.right\nend\n')
        + "place frame as f1, wide 12\npart post of board, 30 long, upright, facing front\n"
        + "join f1_rail.right to post.left\n    flush top\n"
        + "    pockets 2 in f1_rail.back\nload 60 lb on f1_stile\n"
        + 'accept lone-screw on f1_rail.left because "glued"\n'
    )  # fmt: skip
    assert plan.join_by_name["f1_rail.right"].part_b.name == "post"
    assert [load.part.name for load in plan.loads] == ["f1_rail", "f1_stile"]
    assert {each.target for each in plan.acceptances} == {"f1_rail.left", "f1_rail.left/f1_stile.right"}


def test_a_finding_points_into_the_assembly_and_names_the_unit() -> None:
    text = HEAD + FRAME + "place frame as f1, wide 12\n"
    [found] = inspect_text(PlanText("a.plan", text)).findings
    assert (found.rule, found.joint) == ("lone-screw", "f1_rail.left")
    assert text[slice(*found.span)] == "pockets 1 in back"
    assert "f1_rail" in found.says


def test_loops_and_nested_units() -> None:
    plan = plan_of(
        HEAD + FRAME
        + "assembly pair(wide)\n    for n in 1 to 2\n        place frame as f_{n}, wide wide / n\n"
        + "    join f_1_rail.right to f_2_rail.left as resting\nend\n"
        + "for n in 1 to 3\n    place pair as p{n}, wide 10 * n\n"
    )  # fmt: skip
    assert len(plan.parts) == 12
    assert plan.part_by_name["p3_f_2_rail"].length == 15
    assert "p2_f_1_rail.right" in plan.join_by_name


def test_inside_measures_go_before_lengths_and_lets_are_the_units_own() -> None:
    plan = plan_of(
        "let wide = 3\nlet gap = 1\n" + HEAD
        + "assembly a(wide, deep)\n    let clear = wide - gap\n"
        + "    part p of board, clear long, deep, facing up\n"
        + "    part q of board, deep long, deep, facing up\nend\n"
        + "place a as one, wide 10, deep wide\nplace a as two, deep 7, wide 20\n"
    )  # fmt: skip
    assert [part.length for part in plan.parts] == [9, 3, 19, 7]


@pytest.mark.parametrize(
    ("rest", "marked", "said"),
    [
        ("place frame as f1", "frame as f1", "frame needs its wide too: add `, wide …`"),
        ("place frame as f1, wide 3, high 4", "high", "takes no measure called high; it takes wide"),
        ("place frame as f1, wide 3, wide 4", "wide", "is given twice"),
        ("place frane as f1, wide 3", "frane", "the nearest is frame"),
        ("place frame as f1, wide -3", "wide long", "the length comes to less than nothing"),
        ("place frame as f1, wide 3\nplace frame as f1, wide 4", "f1", "already placed as f1 on line 13"),
        ("for n in 1 to 2\n    place frame as f1, wide 3", "f1", "in another turn of its loop"),
        ("place frame as f1, wide 3\njoin rail.left to f1_stile.top", "rail", "no part called rail"),
        ("place frame as f1, wide gup", "gup", "nothing here is called gup"),
        ("assembly frame\n    let a = 1\nend\nplace frame as f, wide 3", "frame", "already told on line 5"),
        ("assembly a(b, b)\n    let c = 1\nend\nplace a as d, b 3", "b", "two measures"),
    ],
)  # fmt: skip
def test_wrong_places(rest: str, marked: str, said: str) -> None:
    where, says = mistake(HEAD + FRAME + rest + "\npart z of board, 3 long, upright, facing front\n")
    assert said in says
    assert where == marked if "less than nothing" not in said else where == "wide"


def test_a_mistake_inside_names_the_unit_it_shows_in() -> None:
    where, says = mistake(HEAD + FRAME + "place frame as ok, wide 3\nplace frame as bad, wide 0\n")
    assert where == "wide"
    assert says.endswith("(in bad)")


def test_a_mistake_in_every_unit_is_told_once() -> None:
    text = FRAME.replace("flush top", "flush left")
    _, mistakes = worked_out(HEAD + text + "place frame as a, wide 3\nplace frame as b, wide 4\n")
    assert len(mistakes) == 1


def test_parts_around_an_assembly_are_not_seen_inside() -> None:
    text = (
        HEAD
        + "part post of board, 3 long, upright, facing front\nassembly a\n"
        + "    part p of board, 3 long, upright, facing front\n"
        + "    join p.left to post.right\nend\nplace a as b\n"
    )
    assert "post is no part of this assembly" in mistake(text)[1]


def test_rings_are_shown() -> None:
    where, says = mistake(
        HEAD
        + "assembly a\n    place b as x\nend\nassembly b\n    for n in 1 to 2\n"
        + "        place a as y{n}\nend\nplace a as z\n"
        + "part p of board, 3 long, upright, facing front\n"
    )
    assert where == "place a as y{n}"
    assert "a places b places a" in says
    assert "places itself" in mistake(HEAD + "assembly a\n    place a as x\nend\n")[1]


def test_only_so_deep() -> None:
    chain = "".join(f"assembly a{n}\n    place a{n + 1} as x\nend\n" for n in range(2_000))
    last = "assembly a2000\n    part p of board, 3 long, upright, facing front\nend\n"
    plan, mistakes = worked_out(HEAD + chain + last + "place a1989 as fine\n")
    assert mistakes == []
    assert plan is not None
    assert "12 deep" in worked_out(HEAD + chain + last + "place a0 as z\n")[1][0][1]


@pytest.mark.parametrize("body", ["    part p of board, 3 long, upright, facing front\n", "    let q = 1\n"])
def test_more_than_enough_is_told_at_once(body: str) -> None:
    towers = f"assembly a0\n{body}end\n" + "".join(
        f"assembly a{n}\n" + "".join(f"    place a{n - 1} as x{m}\n" for m in range(10)) + "end\n"
        for n in range(1, 11)
    )
    where, says = mistake(HEAD + towers + "place a10 as z\n")
    assert where == "place a10 as z"
    assert "more than 20,000 parts and joins" in says


def test_more_than_enough_in_loops_that_lean_on_measures() -> None:
    text = (
        "assembly a(n)\n    for m in 1 to n\n        part p{m} of board, 3 long, upright, facing front\nend\n"
    )
    assert (
        "more than 20,000" in mistake(HEAD + text + "for n in 1 to 1000\n    place a as x{n}, n n * n\n")[1]
    )
    assert len(plan_of(HEAD + text + "for n in 1 to 10\n    place a as x{n}, n n\n").parts) == 55
    nested = "".join(
        f"assembly b{n}(k)\n" + "".join(f"    place b{n - 1} as x{m}, k k\n" for m in range(10)) + "end\n"
        for n in range(1, 11)
    )
    first = "assembly b0(k)\n    for m in 1 to k\n        let q = 1\nend\n"
    assert "more than 20,000" in mistake(HEAD + first + nested + "place b10 as z, k 1\n")[1]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(1, 3)), min_size=1, max_size=4))
@trials(max_examples=40, deadline=None)
def test_what_is_counted_is_what_is_made(levels: list[tuple[int, int]]) -> None:
    """The limit is met at just the number of parts and joins that a plan comes to."""
    text = HEAD + "assembly a0(k)\n    part p of board, 3 long, upright, facing front\nend\n"
    for number, (places, turns) in enumerate(levels, 1):
        text += f"assembly a{number}(k)\n    part p of board, 3 long, upright, facing front\n"
        text += "".join(f"    place a{number - 1} as x{m}, k {turns}\n" for m in range(places))
        text += f"    for m in 1 to k\n        place a{number - 1} as y{{m}}, k {turns}\nend\n"
    text += f"place a{len(levels)} as z, k 2\n"
    amount = len(plan_of(text).parts)
    assert worked_out(text, amount)[1] == []
    assert "more than" in mistake(text, amount - 1)[1]


# ---------------------------------------------------------------- a file for others


def test_a_file_that_others_use_is_sound_without_parts() -> None:
    assert inspect_text(PlanText("a.plan", HEAD + FRAME)).sound
    assert inspect_text(PlanText("a.plan", "let gap = 3\n")).sound
    assert not inspect_text(PlanText("a.plan", 'plan "Nothing"\n')).sound


# ---------------------------------------------------------------- like


def test_like_copies_and_overrides() -> None:
    plan = plan_of(
        HEAD
        + "part b like a, 50 long, left end cut 30, long at top\n    rings down\n"
        + "    groove 1/4 wide 1/4 deep along back, 1 from top\n"
        + "part a of sheet, 40 long, 12 wide, crosswise, facing front\n    ends cut 45, long at bottom\n"
        + "    rabbet 3/8 x 1/4 along back top, finish both faces, rings up, exterior\n"
        + "part c, d like b, upright\n    ends cut 10, long at left\n"
    )
    a, b = plan.part_by_name["a"], plan.part_by_name["b"]
    assert [a.length, b.length, b.width] == [40, 50, 12]
    assert b.stock is a.stock
    assert (b.finished, b.rings, b.exterior) == (frozenset({b.facing, b.facing.opposite}), "down", True)
    assert {(cut.end, cut.angle) for cut in b.cuts} == {(Side.LEFT, Fraction(30)), (Side.RIGHT, Fraction(45))}
    assert [each.kind for each in b.removals] == ["rabbet", "groove"]
    assert [each.high[0] for each in b.removals] == [50, 50]
    assert {cut.angle for cut in plan.part_by_name["d"].cuts} == {Fraction(10)}
    assert plan.part_by_name["c"].size[2] == 50


def test_like_in_loops_and_assemblies() -> None:
    plan = plan_of(
        HEAD
        + "part slat_1 of board, 1 long, upright, facing front\nfor n in 2 to 300\n"
        + "    part slat_{n} like slat_{n - 1}, n long\n"
        + "assembly a(w)\n    part p of board, w long, upright, facing front\n    part q like p\nend\n"
        + "place a as x, w 3\nplace a as y, w 4\n"
    )
    assert plan.part_by_name["slat_300"].length == 300
    assert [plan.part_by_name[name].length for name in ("x_q", "y_q")] == [3, 4]


def test_a_long_chain_of_parts_like_others_runs_either_way() -> None:
    lines = [f"part s{n} like s{n + 1}\n" for n in range(3_000)]
    text = HEAD + "".join(lines) + "part s3000 of board, 3 long, upright, facing front\n"
    assert len(plan_of(text).parts) == 3_001


@pytest.mark.parametrize(
    ("rest", "marked", "said"),
    [
        ("part a like b\n", "b", "there is no part called b"),
        ("part a like a\n", "a", "a cannot be like itself"),
        ("part a like b\npart b like c\npart c like a\n", "b", "a is like b is like c is like a"),
        (
            "part a of sheet, upright, facing front\npart b like a\n",
            "part a of sheet, upright, facing front",
            "no length",
        ),
        ("part a of shet, 3 long\npart b like a\npart c like b\n", "shet", "the nearest is sheet"),
        (
            "part a of sheet, 30 long, 12 wide, upright, facing front\n"
            "    rabbet 8 x 1/4 along left back\npart b like a, 7 wide\n",
            "part b like a, 7 wide",
            "in a.plan, line 6, column 12: the rabbet goes 8 in in from left",
        ),
    ],
)
def test_wrong_likes(rest: str, marked: str, said: str) -> None:
    found = worked_out(HEAD + rest)[1]
    assert found[0][0] == marked
    assert said in found[0][1]
    assert len({says for _, says in found}) == len(found) <= 2


# ---------------------------------------------------------------- stopped grooves, names of sides


def test_a_stopped_groove() -> None:
    plan = plan_of(
        HEAD
        + "part a of sheet, 30 long, 12 wide, crosswise, facing up\n"
        + "    groove 1/4 wide 3/8 deep along bottom, 1/2 from back, from 2 to 28\n"
        + "    rabbet 3/8 x 1/4 along left top, from 0 to 6\n"
        + "    dado 1 wide 1/4 deep across top, 3 from left\n"
    )
    groove, rabbet, dado = plan.parts[0].removals
    assert [groove.low[0], groove.high[0]] == [2, 28]
    assert [rabbet.low[1], rabbet.high[1]] == [0, 6]
    assert [dado.low[1], dado.high[1]] == [0, 12]


@pytest.mark.parametrize(
    ("run", "marked", "said"),
    [
        ("from 28 to 2", "28 to 2", "stops before it starts"),
        ("from 2 to 2", "2 to 2", "stops before it starts"),
        ("from 2 to 31", "31", "the part is only 30 in that way"),
        ("from 2 to 28 in", "", ""),
    ],
)
def test_wrong_stops(run: str, marked: str, said: str) -> None:
    text = (
        HEAD
        + f"part a of sheet, 30 long, 12 wide, crosswise, facing up, rabbet 1/4 x 1/4 along back top, {run}\n"
    )
    if not said:
        plan_of(text)
        return
    where, says = mistake(text)
    assert (where, said in says) == (marked, True)


def test_parts_stock_and_joins_may_be_called_by_sides() -> None:
    plan = plan_of(
        HEAD
        + "stock top of birch plywood, 3/4 thick\n"
        + "part top of top, 30 long, 12 wide, crosswise, facing up\n"
        + "part left, right, back of board, 20 long, upright, facing front\n"
        + "join left.top to top.bottom\n    flush left\n    pockets 1 in left.back\n    pockets 1 in back\n"
        + 'join top: right.top to top.bottom\nload 60 lb on top\naccept lone-screw on top because "x"\n'
    )
    assert [part.name for part in plan.parts] == ["top", "left", "right", "back"]
    assert list(plan.join_by_name) == ["left.top", "top"]
    assert [row.face for row in plan.joins[0].pockets] == [Side.BACK, Side.BACK]
    assert plan.loads[0].part.name == "top"


@pytest.mark.parametrize(
    "place",
    [
        "place frame as f1, wide w in",
        "place frame as 4, wide 12, high 3",
        "place frame f1, wide 12",
    ],
)
def test_a_place_line_that_cannot_be_read_is_one_mistake(place: str) -> None:
    """Neither its measures nor the parts that it would make are told as well."""
    text = (
        HEAD
        + FRAME
        + place
        + "\npart post of board, 30 long, upright, facing front\njoin f1_rail.right to post.left\n"
    )
    unread = inspect_text(PlanText("a.plan", text)).unread
    assert [text.count("\n", 0, mistake.span.start) for mistake in unread] == [(HEAD + FRAME).count("\n")]
