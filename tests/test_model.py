"""What a plan comes to once its names, loops and measures are worked out."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.language.joint_table import JOINTS
from planlint.language.reader import read
from planlint.model.directions import Axis, Side
from planlint.model.elaborate import POUNDS_PER_UNIT, elaborate
from planlint.model.join_details import Placing
from planlint.model.plan import Plan, Removal
from planlint.model.workshop import Settings
from planlint.text.source import PlanText

STOCK = """\
stock rail of douglas fir, 1x4, 8 ft
stock post of douglas fir, 4x4
stock sheet of birch plywood, 3/4 thick, 48 x 96
stock board of white oak, 3/4 thick, 6 wide
"""

FRAME = """\
part leg of post, 34 long, upright, facing front
part apron of rail, 17 long, crosswise, facing front
"""


def same(found: object, expected: object) -> None:
    """Equal, whether a number is written as a fraction or as an integer."""
    assert found == expected


def plan_of(text: str) -> Plan:
    tree, unread = read(PlanText("bench.plan", text))
    assert unread == []
    plan, mistakes = elaborate(tree, Settings())
    assert mistakes == []
    assert plan is not None
    return plan


def test_head() -> None:
    head = 'plan "Potting bench"\n    unit mm\n    seen from front, left\n    eye height 63 in\n'
    plan = plan_of(head + STOCK.replace("3/4", "19").replace("6 wide", "140 wide") + FRAME)
    same((plan.title, plan.unit, plan.eye_height), ("Potting bench", "mm", 63))
    assert plan.seen_from == (Side.FRONT, Side.LEFT)
    assert plan.span == (0, 20)
    assert plan.part_by_name["apron"].length == Fraction(170, 254)


@pytest.mark.parametrize(
    ("line", "sides"),
    [
        ("", "front left right back"),
        ("    seen from all round\n", "front left right back"),
        ("    seen from nowhere\n", ""),
        ("    seen from back, back\n", "back"),
    ],
)
def test_seen_from(line: str, sides: str) -> None:
    plan = plan_of(f'plan "x"\n{line}{STOCK}{FRAME}')
    assert {side.value for side in plan.seen_from} == set(sides.split())
    assert len(plan.seen_from) == len(sides.split())


def test_stocks() -> None:
    rail, post, sheet, board = plan_of(f"{STOCK}{FRAME}").stocks
    same(
        (rail.thickness, rail.width, rail.length, rail.nominal, rail.sheet),
        (
            Fraction(3, 4),
            Fraction(7, 2),
            96,
            "1x4",
            False,
        ),
    )
    assert (post.thickness, post.width, post.length, post.nominal) == (
        Fraction(7, 2),
        Fraction(7, 2),
        None,
        "4x4",
    )
    same(
        (sheet.thickness, sheet.width, sheet.length, sheet.nominal, sheet.sheet),
        (
            Fraction(3, 4),
            48,
            96,
            None,
            True,
        ),
    )
    same((board.thickness, board.width, board.sheet), (Fraction(3, 4), 6, False))
    assert board.material.name == "white oak"


@pytest.mark.parametrize(
    ("line", "thick_wide_sheet"),
    [
        ("pine, 3/4 x 5-1/2", (Fraction(3, 4), Fraction(11, 2), False)),
        ("pine, 3/4 x 5-1/2, 8 ft", (Fraction(3, 4), Fraction(11, 2), False)),
        ("pine, 3/4 thick", (Fraction(3, 4), None, False)),
        ("pine, 3/4 thick, 24 x 48", (Fraction(3, 4), 24, True)),
        ("MDF, 3/4 thick", (Fraction(3, 4), None, True)),
        ("MDF, 3/4 x 12", (Fraction(3, 4), 12, True)),
    ],
)
def test_a_sheet_is_known_by_its_material_or_its_size(
    line: str, thick_wide_sheet: tuple[object, ...]
) -> None:
    stock = plan_of(f"{STOCK}stock x of {line}\n{FRAME}").stocks[-1]
    assert (stock.thickness, stock.width, stock.sheet) == thick_wide_sheet


def test_size_follows_how_a_part_lies() -> None:
    plan = plan_of(
        f"{STOCK}{FRAME}part shelf of sheet, 30 long, 12 wide, deep, facing up\n"
        "part lath of rail, 9 long, 2 wide, 1/2 thick, upright, facing left\n"
    )
    parts = plan.part_by_name
    same(parts["leg"].size, (Fraction(7, 2), Fraction(7, 2), 34))
    same(parts["apron"].size, (17, Fraction(3, 4), Fraction(7, 2)))
    same(parts["shelf"].size, (12, 30, Fraction(3, 4)))
    same(parts["lath"].size, (Fraction(1, 2), 2, 9))
    assert [part.index for part in plan.parts] == [0, 1, 2, 3]


def test_details_of_a_part_on_lines_of_their_own() -> None:
    text = (
        f"{STOCK}part a, b of rail\n    30 long, upright\n    facing right, turned 45/2 about vertical\n"
        "    finish left only, rings up, rough, exterior, fixed to wall\n    hung with bottom at 54\n"
    )
    a, b = plan_of(text).parts
    for part in (a, b):
        assert (part.grain, part.facing) == (Axis.Z, Side.RIGHT)
        assert part.turn == (Fraction(45, 2), Axis.Z)
        assert (part.finished, part.rings) == (frozenset({Side.LEFT}), "up")
        assert part.rough and part.exterior and part.fixed_to_wall
        assert part.bottom_height == 54
    assert text[slice(*b.name_span)] == "b"
    assert text[slice(*b.span)] == "part a, b of rail"


def test_cuts() -> None:
    plan = plan_of(
        f"{STOCK}part a of rail, 30 long, upright, facing front, ends cut 45, long at left\n"
        "part b of rail, 7 long, upright, facing front, "
        "top end cut 45, long at left, bottom end cut 60, long at right\n"
        "part c of rail, 7 long, upright, facing front, ends cut 45, long at left\n"
        "part d of rail, 7 long, upright, facing front, ends cut 0, long at left\n"
    )
    a, b, c, d = plan.parts
    same(
        [(cut.end, cut.angle, cut.long_at) for cut in a.cuts],
        [
            (Side.BOTTOM, 45, Side.LEFT),
            (Side.TOP, 45, Side.LEFT),
        ],
    )
    same(
        [(cut.end, cut.angle, cut.long_at) for cut in b.cuts],
        [
            (Side.TOP, 45, Side.LEFT),
            (Side.BOTTOM, 60, Side.RIGHT),
        ],
    )
    assert len(c.cuts) == 2  # the short side comes to a point
    assert d.cut_at(Side.TOP) is None


REMOVALS = {
    # apron: 17 x 3/4 x 3-1/2, as left, front, bottom to right, back, top
    "rabbet 3/8 x 1/2 along bottom back": ("0 1/4 0", "17 3/4 3/8"),
    "rabbet 3/8 x 1/2 along back top": ("0 3/8 3", "17 3/4 7/2"),
    "groove 1/4 wide 3/8 deep along bottom, 1/8 from back": ("0 3/8 0", "17 5/8 3/8"),
    "groove 1/4 wide 3/8 deep along top, 1/8 from front": ("0 1/8 25/8", "17 3/8 7/2"),
    "dado 3/4 wide 1/4 deep across back, 2 from left": ("2 1/2 0", "11/4 3/4 7/2"),
    "dado 3/4 wide 1/4 deep across front, 2 from right": ("57/4 0 0", "15 1/4 7/2"),
    "notch 2 x 1 at left top": ("0 0 5/2", "2 3/4 7/2"),
    "notch 2 x 3/4 x 1 at right front bottom": ("15 0 0", "17 3/4 1"),
}


def numbers(text: str) -> tuple[Fraction, ...]:
    return tuple(Fraction(word) for word in text.split())


@pytest.mark.parametrize("words", REMOVALS)
def test_removals(words: str) -> None:
    low, high = REMOVALS[words]
    text = f"{STOCK}part apron of rail, 17 long, crosswise, facing front, {words}\n"
    (removal,) = plan_of(text).parts[0].removals
    assert isinstance(removal, Removal)
    assert (removal.kind, removal.low, removal.high) == (words.partition(" ")[0], numbers(low), numbers(high))
    assert text[slice(*removal.span)] == words


def test_join() -> None:
    text = (
        f"{STOCK}{FRAME}join apron.left to leg.right\n    flush top, front\n    set back 1/4 from back\n"
        "    proud 1/8 at front\n    1 from bottom\n    centred top to bottom\n    pockets 2 in back\n"
        "    pockets at 1, 2-1/2 from top in leg.front, plugged\n    pockets every 2 from 1/2 of bottom in back\n"
        "    pockets every 2 from 1/2 in back\n    screws coarse 1-1/4 gauge 8\n"
        "    glued along the middle third\n    slotted\n"
    )
    plan = plan_of(text)
    (join,) = plan.joins
    assert (join.name, join.part_a.name, join.side_a, join.part_b.name, join.side_b) == (
        "apron.left",
        "apron",
        Side.LEFT,
        "leg",
        Side.RIGHT,
    )
    assert text[slice(*join.span)] == "join apron.left to leg.right"
    placed = [(placing.side, placing.inset, placing.centred, placing.flush) for placing in join.placings]
    assert placed == [
        (Side.TOP, 0, None, True),
        (Side.FRONT, 0, None, True),
        (Side.BACK, Fraction(1, 4), None, False),
        (Side.FRONT, Fraction(-1, 8), None, False),
        (Side.BOTTOM, 1, None, False),
        (None, 0, Axis.Z, False),
    ]
    assert isinstance(join.placings[0], Placing)
    counted, at, every, open_every = join.pockets
    assert (counted.face, counted.count, counted.in_b, counted.plugged) == (Side.BACK, 2, False, False)
    same(
        (at.face, at.at, at.origin, at.in_b, at.plugged),
        (
            Side.FRONT,
            (1, Fraction(5, 2)),
            Side.TOP,
            True,
            True,
        ),
    )
    same((every.every, every.first, every.origin), (2, Fraction(1, 2), Side.BOTTOM))
    assert open_every.origin is None
    assert join.screws is not None
    assert (join.screws.thread, join.screws.length, join.screws.gauge) == ("coarse", Fraction(5, 4), 8)
    assert (join.glue, join.slotted, join.tradition) == ("middle third", True, None)
    assert plan.join_by_name["apron.left"] is join


def test_screws_to_suit() -> None:
    (join,) = plan_of(f"{STOCK}{FRAME}join apron.left to leg.right\n    screws to suit\n").joins
    assert join.screws is not None
    assert (join.screws.thread, join.screws.length, join.screws.gauge) == (None, None, None)


def test_names_of_joins() -> None:
    text = f"{STOCK}{FRAME}part other of post, 34 long, upright, facing front\n" + "".join(
        f"join {words}\n"
        for words in (
            "apron.left to leg.right",
            "apron.left to other.right",
            "mine: apron.right to leg.left",
            "apron.right to other.left",
            "other.top to leg.bottom",
        )
    )
    assert [join.name for join in plan_of(text).joins] == [
        "apron.left",
        "apron.left/other.right",
        "mine",
        "apron.right",
        "other.top",
    ]
    assert [join.lasting for join in plan_of(text).joins[:3]] == [
        "apron.left/leg.right",
        "apron.left/other.right",
        "mine",
    ]


def test_a_mitre_may_be_placed_along_either_side() -> None:
    text = (
        f"{STOCK}part stile of rail, 30 long, upright, facing front, ends cut 45, long at left\n"
        "part top_rail of rail, 20 long, crosswise, facing front, ends cut 45, long at top\n"
        "join top_rail.left to stile.top\n    flush left, top, front\n"
    )
    assert len(plan_of(text).joins[0].placings) == 3


INSETS = {
    "mortise and tenon, tenon 1 long, 3/8 thick, 2-1/2 wide, haunched": "1",
    "mortise and tenon, through": "7/2",
    "mortise and tenon, 4 long, through": "4",
    "bridle": "7/2",
    "half lap": "7/2",
    "half lap, lap 2 long": "2",
    "cross lap, 1-3/4 deep": "7/4",
    "dado, 1/4 deep": "1/4",
    "dado, 1/4 long": "1/4",
    "rabbet, 3/8 deep": "3/8",
    "tongue and groove, tongue 1/4 long": "1/4",
    "sliding dovetail, 1/2 deep": "1/2",
    "half-blind dovetail, tails 1/2 long": "1/2",
    "cope and stick, 3/8 deep": "3/8",
    "through dovetail": "7/2",
    "box joint": "7/2",
    "breadboard end": "0",
    "breadboard end, tongue 1 long": "1",
    "mitre": "0",
    "splined mitre, spline 1/8 thick": "0",
    "butt": "0",
    "dowels, 3/8 thick, 2 long": "0",
    "biscuits": "0",
    "loose spline, 1/4 thick": "0",
    "resting": "0",
    "glued": "0",
}


@pytest.mark.parametrize("words", INSETS)
@pytest.mark.parametrize(
    "form", ["join apron.left to leg.right as {}\n", "join apron.left to leg.right\n    as {}\n"]
)
def test_how_deep_a_tradition_lets_a_into_b(words: str, form: str) -> None:
    tradition = plan_of(f"{STOCK}{FRAME}{form.format(words)}").joins[0].tradition
    assert tradition is not None
    assert tradition.inset == Fraction(INSETS[words])
    assert tradition.kind == words.partition(",")[0]


def test_every_tradition_is_tried() -> None:
    assert {words.split(",")[0] for words in INSETS} == set(JOINTS)


def test_measures_and_words_of_a_tradition() -> None:
    line = "join apron.left to leg.right as mortise and tenon, tenon 1 long, 3/8 thick, haunched\n"
    tradition = plan_of(f"{STOCK}{FRAME}{line}").joins[0].tradition
    assert tradition is not None
    assert tradition.measures == {"long": 1, "thick": Fraction(3, 8)}
    assert tradition.words == frozenset({"haunched"})


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        ("dado 3/4 wide 5/16 deep across right, 4 from top", "dado"),
        ("groove 3/4 wide 5/16 deep along right, 1 from front", "tongue and groove"),
        ("rabbet 5/16 x 3/4 along right top", "rabbet"),
    ],
)
def test_the_depth_of_a_dado_is_found_in_b(cut: str, words: str) -> None:
    text = (
        f"{STOCK}part leg of post, 34 long, upright, facing front, {cut}\n"
        f"part apron of rail, 17 long, crosswise, facing front\njoin apron.left to leg.right as {words}\n"
    )
    tradition = plan_of(text).joins[0].tradition
    assert tradition is not None
    assert tradition.inset == Fraction(5, 16)


def test_loops() -> None:
    text = (
        f"{STOCK}let slats = 2\nfor n in 0 to slats - 1\n    let gap = n * 2 + 1/2\n"
        "    part slat_{n + 1} of rail, 40 - n long, crosswise, facing up\n"
        "    for m in n to n + 1\n        part peg_{n}_{m} of rail, 3 long, upright, facing front\n"
        "        join peg_{n}_{m}.top to slat_{n + 1}.bottom\n            gap from left\n"
        '    accept wide-spacing on slat_{n + 2 * 3}.left because "dry"\n    load 10 lb on slat_{n + 1}\n'
    )
    plan = plan_of(text)
    assert [part.name for part in plan.parts] == [
        "slat_1",
        "peg_0_0",
        "peg_0_1",
        "slat_2",
        "peg_1_1",
        "peg_1_2",
    ]
    assert [part.length for part in plan.parts if part.name.startswith("slat")] == [40, 39]
    assert [join.placings[0].inset for join in plan.joins] == [Fraction(1, 2)] * 2 + [Fraction(5, 2)] * 2
    assert [accepted.target for accepted in plan.acceptances] == ["slat_6.left", "slat_7.left"]
    assert [load.part.name for load in plan.loads] == ["slat_1", "slat_2"]


def test_statements_come_in_any_order() -> None:
    forward = (
        f"let a = 17\nlet b = a + 1\n{STOCK}part apron of rail, b long, crosswise, facing front\n"
        "part leg of post, 34 long, upright, facing front\njoin apron.left to leg.right\n"
    )
    backward = "".join(f"{line}\n" for line in reversed(forward.splitlines()))
    one, other = plan_of(forward), plan_of(backward)
    assert {(part.name, part.size) for part in one.parts} == {(part.name, part.size) for part in other.parts}
    assert [join.name for join in one.joins] == [join.name for join in other.joins]
    assert one.part_by_name["apron"].length == 18


def test_a_long_chain_of_lets_written_backward() -> None:
    chain = "".join(f"let a{n} = a{n - 1} + 1\n" for n in range(3000, 0, -1))
    plan = plan_of(f"{chain}let a0 = 1\n{STOCK}part p of rail, a3000 long, upright, facing front\n")
    assert plan.parts[0].length == 3001


@pytest.mark.parametrize(
    ("words", "pounds"),
    [
        ("200 lb", Fraction(200)),
        ("1 kg", Fraction(10**8, 45359237)),
        ("4.4482216 N", Fraction("4.4482216") / Fraction("4.4482216152605")),
    ],
)
def test_loads_are_in_pounds(words: str, pounds: Fraction) -> None:
    plan = plan_of(f"{STOCK}{FRAME}load {words} on leg\nload {words} per foot on apron\n")
    assert [(load.part.name, load.pounds, load.per_foot) for load in plan.loads] == [
        ("leg", pounds, False),
        ("apron", pounds, True),
    ]
    assert POUNDS_PER_UNIT["lb"] == 1


def test_acceptances() -> None:
    plan = plan_of(
        f'{STOCK}{FRAME}accept wide-spacing on apron.left because "glued"\naccept lone-screw on leg\n'
    )
    assert [(each.rule, each.target, each.reason) for each in plan.acceptances] == [
        ("wide-spacing", "apron.left", "glued"),
        ("lone-screw", "leg", None),
    ]


# ---------------------------------------------------------------- the unit of a plan

UNITS = {"inch": Fraction(1), "mm": Fraction(10, 254), "cm": Fraction(100, 254), "ft": Fraction(12)}


@given(
    st.sampled_from(sorted(UNITS)),
    st.sampled_from(sorted(UNITS)),
    st.integers(20, 60),
    st.integers(1, 3),
    st.integers(1, 8),
)
def test_a_change_of_unit_leaves_the_piece_the_same(
    one: str, other: str, long: int, wide: int, eighths: int
) -> None:
    def text(unit: str) -> str:
        def bare(inches: Fraction | int) -> str:
            value = Fraction(inches) / UNITS[unit]
            return f"({value.numerator} / {value.denominator})"

        return (
            f'plan "x"\n    unit {unit}\nlet long = {bare(long)} + 1 in\n{STOCK.replace("8 ft", bare(96))}'.replace(
                "3/4 thick, 48 x 96", "3/4 in thick, 48 in x 96 in"
            ).replace("3/4 thick, 6 wide", "3/4 in thick, 6 in wide")
            + f"part a of rail, long * 2 long, {bare(wide)} wide, upright, facing front\n"
            + f"part b of post, max(long, {bare(1)}) long, crosswise, facing front\n"
            + f"join a.left to b.right\n    set back {bare(Fraction(eighths, 8))} from front\n"
            + f"    pockets at {bare(1)} from bottom in front\n"
        )

    first, second = plan_of(text(one)), plan_of(text(other))
    for part, its_like in zip(first.parts, second.parts, strict=True):
        assert part.size == its_like.size
    assert first.parts[0].length == 2 * (long + 1)
    assert first.joins[0].placings[0].inset == second.joins[0].placings[0].inset == Fraction(eighths, 8)
    same(first.joins[0].pockets[0].at, (1,))
    same(second.joins[0].pockets[0].at, (1,))
    assert first.stocks[0].length == second.stocks[0].length == 96
