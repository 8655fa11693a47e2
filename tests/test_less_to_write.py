"""What is written short means what its long form means: each pair of plans is written out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planlint.conversion.convert_plan import convert
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.plan import Join, Part, Plan
from planlint.model.workshop import Files, Settings
from planlint.text.source import Mistake, PlanText

STOCK = """
stock post of douglas fir, 4x4
stock board of pine, 1x4
stock sheet of birch plywood, 3/4 thick
"""

TABLE_LONG = """
part leg_fl of post, 29 long, upright, facing front
    rabbet 3/8 x 1/2 along front left, from 2 to 5
    bottom end cut 5, long at left
    turned 2 about deep
part leg_fr of post, 29 long, upright, facing front
    rabbet 3/8 x 1/2 along front right, from 2 to 5
    bottom end cut 5, long at right
    turned -2 about deep
part leg_bl of post, 29 long, upright, facing back
    rabbet 3/8 x 1/2 along back left, from 2 to 5
    bottom end cut 5, long at left
    turned 2 about deep
part leg_br of post, 29 long, upright, facing back
    rabbet 3/8 x 1/2 along back right, from 2 to 5
    bottom end cut 5, long at right
    turned -2 about deep
part apron_f of board, 40 long, crosswise, facing front
    finish front only
    groove 1/4 wide 1/4 deep along back, 1/2 from top
part apron_b of board, 40 long, crosswise, facing back
    finish back only
    groove 1/4 wide 1/4 deep along front, 1/2 from top
join apron_f.left to leg_fl.right
    flush top
    set back 1/4 from front
    pockets at 1, 2-1/2 from top in back
    screws coarse 1-1/4
join apron_f.right to leg_fr.left
    flush top
    set back 1/4 from front
    pockets at 1, 2-1/2 from top in back
    screws coarse 1-1/4
join apron_b.left to leg_bl.right
    flush top
    set back 1/4 from back
    pockets at 1, 2-1/2 from top in front
    screws coarse 1-1/4
join apron_b.right to leg_br.left
    flush top
    set back 1/4 from back
    pockets at 1, 2-1/2 from top in front
    screws coarse 1-1/4
"""

TABLE_SHORT = """
part leg_fl of post, 29 long, upright, facing front
    rabbet 3/8 x 1/2 along front left, from 2 to 5
    bottom end cut 5, long at left
    turned 2 about deep
part leg_fr mirrors leg_fl, with its joins
part leg_bl mirrors leg_fl front to back, with its joins
part leg_br mirrors leg_bl, with its joins
part apron_f of board, 40 long, crosswise, facing front
    finish front only
    groove 1/4 wide 1/4 deep along back, 1/2 from top
part apron_b mirrors apron_f front to back, with its joins
join apron_f.left to leg_fl.right
    flush top
    set back 1/4 from front
    pockets at 1, 2-1/2 from top in back
    screws coarse 1-1/4
"""

RAILS_LONG = """
part stile_l, stile_r of board, 30 long, upright, facing front
part rail_t, rail_b of board, 20 long, crosswise, facing front
join rail_t.left to stile_l.right
    flush front
    pockets 2 in back
join rail_b.left to stile_l.right
    flush front
    pockets 2 in back
join rail_t.right to stile_r.left
    flush top
join rail_b.right to stile_r.left
    flush top
join stile_l.front to rail_t.back as resting
join stile_r.front to rail_b.back as resting
"""

RAILS_SHORT = """
part stile_l, stile_r of board, 30 long, upright, facing front
part rail_t, rail_b of board, 20 long, crosswise, facing front
join rail_t.left, rail_b.left to stile_l.right
    flush front
    pockets 2 in back
join rail_t.right, rail_b.right to stile_r.left
    flush top
join stile_l.front, stile_r.front to rail_t.back, rail_b.back as resting
"""

DOOR = """
assembly door(wide)
    part hinge_side, {other} of board, 30 long, upright, facing front
    part rail of board, wide long, crosswise, facing {look}
        {cut}
    join rail.{near} to hinge_side.{far}
        set back 2 from {edge}
        pockets every 2 from 1 in {face}
        screws coarse 1-1/4
    join rail.{far} to {other}.{near}
        set back 2 from {edge}
        pockets 2 in {face}
end
place {called}door as one, wide 12
"""


def plan_of(text: str) -> Plan:
    plan, mistakes = understand(PlanText("short.plan", STOCK + text), Settings())
    assert plan is not None
    assert mistakes == []
    return plan


def mistakes_of(text: str) -> list[str]:
    _, mistakes = understand(PlanText("short.plan", STOCK + text), Settings())
    return [each.says for each in mistakes]


def of_part(part: Part) -> object:
    return (
        part.name,
        part.size,
        part.grain,
        part.facing,
        part.turn,
        {(cut.end, cut.angle, cut.long_at) for cut in part.cuts},
        {(removal.kind, removal.low, removal.high) for removal in part.removals},
        (part.finished, part.rings, part.rough, part.exterior, part.fixed_to_wall, part.bottom_height),
    )


def of_join(join: Join) -> object:
    return (
        (join.name, join.part_a.name, join.side_a, join.part_b.name, join.side_b, join.glue, join.slotted),
        {(each.side, each.inset, each.centred) for each in join.placings},
        None if join.tradition is None else (join.tradition.kind, join.tradition.inset),
        [
            (row.face, row.in_b, row.count, row.at, row.every, row.first, row.last, row.origin)
            for row in join.pockets
        ],
        None if join.screws is None else (join.screws.thread, join.screws.length),
    )


def meaning(plan: Plan) -> object:
    return (
        {part.name: of_part(part) for part in plan.parts},
        {join.name: of_join(join) for join in plan.joins},
    )


@pytest.mark.parametrize(("short", "long"), [(TABLE_SHORT, TABLE_LONG), (RAILS_SHORT, RAILS_LONG)])
def test_short_means_what_is_written_out(short: str, long: str) -> None:
    assert meaning(plan_of(short)) == meaning(plan_of(long))


def test_a_mirrored_unit_is_its_assembly_in_the_mirror() -> None:
    plain = plan_of(
        DOOR.format(
            other="lock_side", called="", look="front", near="left", far="right", edge="top", face="back",
            cut="dado 1/2 wide 1/4 deep across back, 2 from left",
        )
    )  # fmt: skip
    text = DOOR.format(
        other="lock_side", called="", look="front", near="left", far="right", edge="top", face="back",
        cut="dado 1/2 wide 1/4 deep across back, 2 from left",
    ).replace("place door as one", "place door as one mirrored")  # fmt: skip
    by_hand = DOOR.format(
        other="lock_side", called="", look="front", near="right", far="left", edge="top", face="back",
        cut="dado 1/2 wide 1/4 deep across back, 2 from right",
    )  # fmt: skip
    assert meaning(plan_of(text)) == meaning(plan_of(by_hand))
    assert meaning(plan_of(text)) != meaning(plain)
    twice = text.replace(
        "assembly door", "assembly pair\n    place door as one mirrored, wide 12\nend\nassembly door"
    )
    nested = twice.replace("place door as one mirrored, wide 12\n", "place pair as both mirrored\n").replace(
        "    place pair as both mirrored\n", "    place door as one mirrored, wide 12\n"
    )
    both = plan_of(nested)
    assert [part.name for part in both.parts] == [f"both_{part.name}" for part in plain.parts]
    assert [of_part(part)[1:] for part in both.parts] == [of_part(part)[1:] for part in plain.parts]  # type: ignore[index]


def test_what_is_said_in_a_mirrored_unit_is_told_of_its_mirror_image() -> None:
    plan = plan_of(
        """
assembly frame
    part a of board, 20 long, upright, facing front
    part b of board, 10 long, crosswise, facing front
    join b.left to a.right
        flush top, front
        pockets 1 in back
        screws coarse 1-1/4
    accept lone-screw on b.left because "short"
end
place frame as f mirrored
"""
    )
    assert [join.name for join in plan.joins] == ["f_b.right"]
    assert [each.target for each in plan.acceptances] == ["f_b.right"]


def test_a_join_that_an_image_takes_along_to_what_has_none_is_told_as_that() -> None:
    """The cleat at the left end is asked to reach the right end as well, since that mirrors the left one."""
    text = f"""{STOCK}
part front of board, 24 long, crosswise, facing front
part end_l of board, 12 long, deep, facing left
join front.left to end_l.right
    flush top, front
    glued
part end_r mirrors end_l, with its joins
part cleat_l of board, 12 long, deep, facing left
join cleat_l.left to end_l.right
    flush bottom, back
    glued
"""
    (found,) = [each for each in inspect_text(PlanText("s", text)).findings if each.rule == "misfit"]
    assert found.repairs[0].says.startswith("end_r takes its join to cleat_l along from end_l, which")


CROSSED = """
part post of post, 30 long, upright, facing front
part post_2 mirrors post, with its joins
part brace of board, 44 long, crosswise, facing front, turned 40 about deep
join brace.back to post.front as glued
    4 from bottom
join brace.back to {other}.front as glued
    22 from bottom
part brace_2 mirrors brace, with its joins
"""


def test_the_image_of_what_meets_a_part_and_its_image_meets_both_the_other_way_round() -> None:
    """A cross of two braces: what stands at the foot of the one post stands at the head of the other."""
    joins = [join for join in plan_of(CROSSED.format(other="post_2")).joins if join.part_a.name == "brace_2"]
    assert [(join.part_b.name, join.placings[0].inset) for join in joins] == [
        ("post_2", Fraction(4)),
        ("post", Fraction(22)),
    ]


def test_a_join_that_two_images_bring_is_told_without_words_for_another_one() -> None:
    """Post is the one's image, and has the other for its own: of no brace is a third post meant."""
    chain = "part post_1 of post, 30 long, upright, facing front\npart post mirrors post_1, with its joins\n"
    text = CROSSED.replace("part post of post, 30 long, upright, facing front\n", chain)
    text = text.replace("brace.back to post.front", "brace.back to post_1.front")
    (says,) = mistakes_of(text.format(other="post_2"))
    assert "is joined to post.front already" in says and "say all of it there. Of several" in says


def test_mirror_images_need_their_own_words_for_nothing_but_measures() -> None:
    told = "part a of board, 20 long, upright, facing front\n"
    plan, mistakes = understand(PlanText("s", f"{STOCK}{told}part b mirrors a, 19 long\n"), Settings())
    assert not mistakes and plan is not None and plan.parts[1].length == 19
    assert "but for its measures" in mistakes_of(f"{told}part b mirrors a, facing back")[0]
    assert "takes its joins along" in mistakes_of(f"{told}part b like a, with its joins")[0]
    assert "takes its joins along" in mistakes_of(f"{told}part b, c mirrors a, with its joins")[0]


@pytest.mark.parametrize("line", ["join apron_f.right to leg_fr.left", "join leg_fr.left to apron_f.right"])
def test_what_is_joined_by_hand_goes_before_what_an_image_brings_along(line: str) -> None:
    by_hand = f"{TABLE_SHORT}{line}\n    flush top\n    set back 1/4 from front\n    glued\n"
    joins = [
        join for join in plan_of(by_hand).joins if {part.name for part in join.parts} == {"apron_f", "leg_fr"}
    ]
    assert [(join.glue, join.pockets) for join in joins] == [("all", ())]
    assert len(plan_of(by_hand).joins) == len(plan_of(TABLE_SHORT).joins)


# ---------------------------------------------------------------- rows that keep both ends


@pytest.mark.parametrize(
    ("row", "places"),
    [
        ("pockets 5 from 1 to 1 in back", [1, 3.5, 6, 8.5, 11]),
        ("pockets 2 from 1 to 2 in back", [1, 10]),
        ("pockets 2 from 1 to 2 of top in back", [2, 11]),
        ("pockets every 4 from 2 to 2 in back", [2, 6, 10]),
        ("pockets every 3 from 2 to 2 in back", [2, 14 / 3, 22 / 3, 10]),
        ("pockets every 20 from 2 to 1 in back", [2, 11]),
    ],
)
def test_rows_keep_both_ends(row: str, places: list[float]) -> None:
    text = f"""
part wide_board of sheet, 12 wide, 20 long, crosswise, facing front
part side of sheet, 12 long, 12 wide, upright, facing left
join wide_board.left to side.right
    flush top
    centred front to back
    {row}
"""
    plan = plan_of(text)
    piece = Piece(plan, Settings())
    found = [pocket.station for pocket in piece.pockets(plan.joins[0])]
    assert found == pytest.approx(places)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("pockets 1 from 1 to 1 in back", "say 2 or more"),
    ],
)
def test_ends_that_cannot_be_kept(row: str, says: str) -> None:
    text = f"""
part wide_board of sheet, 12 wide, 20 long, crosswise, facing front
part side of sheet, 12 long, 12 wide, upright, facing left
join wide_board.left to side.right
    flush top
    centred front to back
    {row}
"""
    assert any(says in each for each in mistakes_of(text)), mistakes_of(text)


# ---------------------------------------------------------------- what is accepted together

SLATS = """
part stile of board, 24 long, upright, facing front
for n in 1 to 3
    part slat_{{n}} of board, 10 long, crosswise, facing front
    join slat_{{n}}.left to stile.right
        flush front
        (n - 1) * 5 from top
        pockets 1 in back
        screws coarse 1-1/4
    {inside}
assembly box
    part a of board, 20 long, upright, facing front
    part b of board, 10 long, crosswise, facing front
    join b.left to a.right
        flush top, front
        pockets 1 in back
        screws coarse 1-1/4
    {in_box}
end
place box as one
place box as two
{outside}
"""


def accepted(inside: str = "", in_box: str = "", outside: str = "") -> set[str]:
    """The joints of one screw that are accepted."""
    text = STOCK + SLATS.format(inside=inside, in_box=in_box, outside=outside)
    inspection = inspect_text(PlanText("slats.plan", text))
    assert inspection.unread == ()
    assert not [each for each in inspection.findings if each.rule in {"stale-acceptance", "bare-acceptance"}]
    return {each.joint or "" for each in inspection.accepted if each.rule == "lone-screw"}


def test_a_line_accepts_for_a_loop_an_assembly_a_unit_or_a_part() -> None:
    why = 'because "tried"'
    slats = {f"slat_{n}.left" for n in (1, 2, 3)}
    boxes = {"one_b.left", "two_b.left"}
    assert accepted() == set()
    assert accepted(inside=f"accept lone-screw here {why}") == slats
    assert accepted(in_box=f"accept lone-screw here {why}") == boxes
    assert accepted(outside=f"accept lone-screw on box {why}") == boxes
    assert accepted(outside=f"accept lone-screw on two {why}") == {"two_b.left"}
    assert accepted(outside=f"accept lone-screw on stile {why}") == slats
    assert accepted(outside=f"accept lone-screw on slat_2 {why}") == {"slat_2.left"}


def test_here_reaches_loops_and_units_within_and_nothing_beside() -> None:
    text = (
        STOCK
        + """part stile of board, 24 long, upright, facing front
assembly rack
    for n in 1 to 2
        part post_{n} of board, 30 long, upright, facing front
        part bar_{n} of board, 10 long, crosswise, facing front
        join bar_{n}.left to post_{n}.right
            flush top, front
            pockets 1 in back
            screws coarse 1-1/4
    accept lone-screw here because "tried"
end
place rack as one
place rack as two
part bar of board, 10 long, crosswise, facing front
join bar.left to stile.right
    flush top, front
    pockets 1 in back
    screws coarse 1-1/4
"""
    )
    inspection = inspect_text(PlanText("rack.plan", text))
    assert inspection.unread == ()
    told = [
        {each.joint for each in found if each.rule == "lone-screw"}
        for found in (inspection.accepted, inspection.findings)
    ]
    assert told == [{f"{unit}_bar_{n}.left" for unit in ("one", "two") for n in (1, 2)}, {"bar.left"}]


def test_here_needs_a_block_and_is_told_once_where_it_is_stale() -> None:
    assert any("`here` is all that" in says for says in mistakes_of("accept lone-screw here\n"))
    text = STOCK + SLATS.format(inside='accept tip-through here because "no"', in_box="", outside="")
    inspection = inspect_text(PlanText("slats.plan", text))
    assert [each.rule for each in inspection.findings].count("stale-acceptance") == 1


# ---------------------------------------------------------------- some names of another file


def used(line: str, more: str = "") -> tuple[Plan | None, list[Mistake]]:
    other = PlanText(
        "shop.plan",
        "let gap = 1/8\nlet wide = 4\nstock thin of pine, 1x3\nstock thick of pine, 2x4\n"
        "assembly peg\n    part p of thin, 9 long, upright, facing front\nend\n",
    )
    text = f"{line}\n{more}"
    return understand(PlanText("test.plan", text), Settings(files=Files({"shop.plan": other})))


def test_a_plan_takes_only_the_names_it_asks_for() -> None:
    plan, mistakes = used(
        'use "shop.plan" for peg, thick', "let gap = 3\nstock thin of oak, 1x2\nplace peg as one\n"
    )
    assert not mistakes and plan is not None
    assert {stock.name for stock in plan.stocks} == {"thick", "thin"}
    assert plan.parts[0].stock.material.name == "pine"
    _, mistakes = used('use "shop.plan" for thick', "part a of thin, 9 long, upright, facing front\n")
    assert "no stock called thin" in mistakes[0].says
    _, mistakes = used('use "shop.plan" for pegs', "")
    assert "no length, stock or assembly called pegs; the nearest is peg" in mistakes[0].says


# ---------------------------------------------------------------- functions


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("12 * sin(30)", 6), ("12 * cos(60)", 6), ("12 * tan(45)", 12), ("sqrt(9/4)", Fraction(3, 2)),
        ("hypot(5, 12)", 13), ("hypot(3 in, 4)", 5), ("12 * sin(210)", -6), ("3 * cos(180)", -3), ("tan(135)", -1),
        ("12 * sin(45)", 8.48528137424), ("sqrt(2)", 1.41421356237), ("10 * tan(20)", 3.63970234266),
        ("cos(-60)", 0.5), ("hypot(1, 1)", 1.41421356237), ("sin(10) * sin(10) + cos(10) * cos(10)", 1),
    ],
)  # fmt: skip
def test_functions_give_what_a_table_of_them_gives(words: str, value: float) -> None:
    plan = plan_of(f"let drop = 100 + {words}\npart a of sheet, drop long, 9 wide, upright, facing front\n")
    exact = isinstance(value, int | Fraction) and "10)" not in words
    assert float(plan.parts[0].length) - 100 == pytest.approx(float(value), abs=2e-8)
    assert not exact or plan.parts[0].length - 100 == value


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("sin(3 in)", "an angle in degrees"), ("sqrt(-1)", "less than 0"), ("tan(90)", "no end"),
        ("hypot(3)", "two values"), ("sin(1, 2)", "one value"), ("sqrt(4 in)", "hypot(a, b)"),
    ],
)  # fmt: skip
def test_functions_refuse_what_they_cannot_take(words: str, says: str) -> None:
    assert says in mistakes_of(f"let a = {words}\n")[0]


def test_a_length_may_still_be_called_like_a_function() -> None:
    plan = plan_of(
        "let tan = 3\nlet sin = tan + 2\npart a of sheet, sin long, tan wide, upright, facing front\n"
    )
    assert [plan.parts[0].length, plan.parts[0].width] == [Fraction(5), Fraction(3)]


def test_conversion_keeps_the_one_line_of_joints_told_together() -> None:
    text = STOCK + (
        "part post_l, post_r of post, 30 long, upright, facing front\n"
        "part bar of board, 20 long, crosswise, facing front\n"
        "join bar.left, bar.right to post_l.right, post_r.left as dowels\n    flush top, front\n"
    )
    done = convert(PlanText("short.plan", text))
    told = "join bar.left, bar.right to post_l.right, post_r.left  # was: dowels\n    flush top, front\n"
    assert f"{told}    pockets 2 in back" in done.result.text
    assert not done.unread and not done.troubles
