"""The new text: sums stay sums, comments stay, loops are split only where they must be, every byte else is the same."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planlint.conversion.length_words import bare_number
from planlint.model.seasonal_movement import moisture, movement
from planlint.model.timber import find_material
from planlint.model.workshop import Humidity
from tests.conversions import check_four_things, converted, piece_of

HEAD = """\
plan "Test"
    unit inch
    seen from front

let long_ = 18
let tenon = 3/4
stock post of red oak, 2 x 2
stock rail of red oak, 3/4 x 3-1/2
part post_l, post_r of post, 20 long, upright, facing front
"""


def frame(part: str, joint: str, more: str = "") -> str:
    """A rail between two posts, told by ``part`` and joined by ``joint``."""
    return (
        f"{HEAD}{part}\njoin rail.left to post_l.right as {joint}\n    flush top, front\n"
        f"join rail.right to post_r.left as {joint}\n    flush top, front\n{more}"
    )


@pytest.mark.parametrize(
    ("length", "joint", "after"),
    [
        ("18", "mortise and tenon, tenon 1 long", "16"),
        ("18 in", "mortise and tenon, tenon 3/4 long", "16-1/2"),
        ("long_", "mortise and tenon, tenon 1 long", "long_ - 2"),
        ("long_", "mortise and tenon, tenon tenon long", "long_ - 2 * tenon"),
        ("18", "mortise and tenon, tenon tenon long", "18 - 2 * tenon"),
        ("long_ + 2 * tenon", "mortise and tenon, tenon tenon long", "long_"),
        ("2 * tenon + long_ - 1 + 3/4", "mortise and tenon, tenon tenon long", "long_ - 1 + 3/4"),
        ("long_ + tenon + 1 + tenon", "mortise and tenon, tenon tenon long", "long_ + 1"),
        ("long_ + 3 * tenon - 1-1/2", "mortise and tenon, tenon tenon long", "long_ + tenon - 1-1/2"),
        ("long_ - tenon - 1", "mortise and tenon, tenon tenon long", "long_ - 3 * tenon - 1"),
        ("18 + tenon * 2", "mortise and tenon, tenon tenon long", "18"),
        ("long_ + 2 * 1 - tenon", "mortise and tenon, tenon 1 long", "long_ - tenon"),
        ("long_ - 2 * 3/4", "mortise and tenon, tenon 1 long", "long_ - 2 * 3/4 - 2"),
        ("long_ / 2 + 9", "cope and stick, tenon / 2 deep", "long_ / 2 + 9 - 2 * tenon / 2"),
        (
            "long_ - (1 + 2)",
            "mortise and tenon, tenon tenon + 1/4 long",
            "long_ - (1 + 2) - 2 * (tenon + 1/4)",
        ),
        ("long_", "through dovetail", "long_ - 4"),
        ("long_", "bridle, 1/4 thick", "long_ - 4"),
    ],
)
def test_a_length_stays_what_it_is(length: str, joint: str, after: str) -> None:
    conversion = converted(frame(f"part rail of rail, {length} long, crosswise, facing front", joint))
    assert f"part rail of rail, {after} long, crosswise, facing front\n" in conversion.result.text
    check_four_things(conversion)


def test_a_part_that_shares_its_line_gets_its_own_length_where_it_must() -> None:
    text = frame(
        "part rail, spare of rail, long_ long, crosswise, facing front   # two of them",
        "mortise and tenon, tenon 1 long",
        "join spare.bottom to rail.top as resting\n    flush front\n    centred left to right\n",
    )
    conversion = converted(text)
    assert (
        "part rail of rail, long_ - 2 long, crosswise, facing front   # two of them\n"
        "part spare of rail, long_ long, crosswise, facing front   # two of them\n"
    ) in conversion.result.text
    check_four_things(conversion)


UPRIGHTS = """\
plan "Uprights"
    seen from front
stock ply of birch plywood, 3/4 thick
part side_l, mid of ply, 30 long, 11 wide, upright, facing left{more}
    dado 3/4 wide 3/8 deep across right, 12 from bottom{note}
part side_r of ply, 30 long, 11 wide, upright, facing left
part sh_1, sh_2 of ply, 20-3/8 long, 11 wide, crosswise, facing up
join sh_1.left to side_l.right as dado, 3/8 deep
    flush front
    12 from bottom
join sh_1.right to mid.left
    flush front
    12 from bottom
    pockets 3 in bottom
    screws coarse 1-1/4
join sh_2.left to mid.right as dado, 3/8 deep
    flush front
    12 from bottom
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["lf", "crlf"])
@pytest.mark.parametrize(
    ("more", "note", "apart"),
    [
        ("", "", "part side_l of ply, 30 long, 11 wide, upright, facing left\npart mid of ply"),
        ("", "   # by router", "facing left\n    # by router\npart mid of ply"),
        ("\n    rough", "", "facing left\n    rough\npart mid of ply"),
    ],
    ids=["alone", "with a comment", "below another"],
)
def test_a_part_line_is_told_apart_where_only_one_part_loses_its_dado(
    more: str, note: str, apart: str, end: str
) -> None:
    text = UPRIGHTS.format(more=more, note=note).replace("\n", end)
    conversion = converted(text, "sh_1.left")
    (joint,) = conversion.joints
    assert not conversion.troubles and not joint.refused
    result = conversion.result.text
    assert result.count("\n") == result.count(end)
    result = result.replace("\r\n", "\n")
    assert apart in result
    assert result.count("dado 3/4 wide") == 1
    old, new = piece_of(conversion)
    assert [len(old.plan.part_by_name[name].removals) for name in ("side_l", "mid")] == [1, 1]
    assert [len(new.plan.part_by_name[name].removals) for name in ("side_l", "mid")] == [0, 1]


def test_a_part_told_by_itself_keeps_all_that_it_took_over() -> None:
    """``low`` can be like ``rail`` no more: what is covered adds up, and where it stands was never taken over."""
    tenon = "    as mortise and tenon, tenon 1 long, 1/4 thick, 2 wide\n"
    joins = "".join(
        f"join {part}.{side} to post_{side[0]}.{other}\n    flush front, {at}\n{tenon}"
        for part, at in (("rail", "bottom"), ("low", "top"))
        for side, other in (("left", "right"), ("right", "left"))
    )
    text = f"""\
plan "Likes"
stock board of poplar, 3/4 x 3-1/2
part post_l of board, 30 long, upright, facing front
part post_r like post_l
part rail of board, 24 long, crosswise, facing front
    covered top
    stands on floor
    dado 1/2 wide 1/4 deep across back, 5 from left
part low like rail
    covered bottom
{joins}"""
    after = converted(text, "rail.left", "rail.right").result.text
    assert (
        "across back, 4 from left\npart low of board, 24 long, crosswise, facing front, covered top\n"
        in after
    )
    assert after.count("stands on floor") == 1


def test_a_cut_on_the_last_line_of_a_plan_is_taken_out() -> None:
    lines = UPRIGHTS.format(more="", note="").splitlines()
    at = next(number for number, line in enumerate(lines) if "dado 3/4" in line)
    text = "\n".join([*lines[: at - 1], *lines[at + 1 :], *lines[at - 1 : at + 1]])
    result = converted(text, "sh_1.left").result.text
    assert result.endswith("facing left\n    dado 3/4 wide 3/8 deep across right, 12 from bottom")
    assert result.count("dado 3/4 wide") == 1


def test_only_the_joint_named_is_converted_and_the_rest_stays_as_it_is() -> None:
    text = frame("part rail of rail, long_ long, crosswise, facing front", "mortise and tenon, tenon 1 long")
    conversion = converted(text, "rail.left")
    assert "long_ - 1 long" in conversion.result.text
    assert "join rail.right to post_r.left as mortise and tenon, tenon 1 long\n" in conversion.result.text
    assert [joint.joint for joint in conversion.joints] == ["rail.left"]
    piece_of(conversion)
    with pytest.raises(KeyError):
        converted(text, "rail.top")


def test_the_old_joint_is_named_beside_the_new_and_comments_are_kept() -> None:
    text = frame(
        "part rail of rail, long_ long, crosswise, facing front  # a",
        "mortise and tenon, tenon 1 long, haunched  # b",
    )
    new = converted(text).result.text
    assert "join rail.left to post_l.right  # was: mortise and tenon, tenon 1 long, haunched  # b\n" in new
    assert "facing front  # a\n" in new


def test_spaces_and_sides_told_twice_stay_as_they_are_written() -> None:
    text = frame("part rail of rail, long_ long, crosswise, facing front", "mortise and tenon, tenon 1 long")
    text = text.replace("join rail.left to post_l.right", "join rail.left  to  post_l.right")
    assert "\njoin rail.left  to  post_l.right  # was: mortise" in converted(text).result.text


def test_a_distance_from_a_side_that_moves_is_rewritten() -> None:
    rest = (
        "part block of post, 4 long, crosswise, facing front\njoin block.bottom to rail.top as resting\n"
        "    1-1/4 from left   # over the mortise's end\n    flush front\n"
    )
    conversion = converted(
        frame(
            "part rail of rail, long_ long, crosswise, facing front",
            "mortise and tenon, tenon tenon long",
            rest,
        )
    )
    assert "    1-1/4 - tenon from left   # over the mortise's end\n" in conversion.result.text
    check_four_things(conversion)


@pytest.mark.parametrize(
    ("long", "first", "row"),
    [
        (24, "3", "3 - tenon"),
        (10, "3", "3"),
        # The first one stays where 5/16 in of wood are left to its middle; with less the next one is the first.
        (24, "1-1/16", "1-1/16 - tenon"),
        (24, "1", "6-1/4"),
    ],
)
def test_a_row_measured_from_an_end_that_goes_is_rewritten_where_the_parts_met_there(
    long: int, first: str, row: str
) -> None:
    """A top 10 in long meets the rail well within its ends, and no place of its pockets moves."""
    text = frame(
        "part rail of rail, long_ long, crosswise, facing front",
        "mortise and tenon, tenon tenon long",
        f"part top of rail, {long} long, crosswise, facing up\njoin rail.top to top.bottom\n"
        f"    centred left to right\n    flush front\n    pockets every 6 from {first} of left in back\n"
        "    screws fine 1-1/4\n",
    )
    assert f"    pockets every 6 from {row} of left in back\n" in converted(text).result.text


def test_a_row_in_a_part_that_is_named_is_told_of_the_part_of_the_other_join() -> None:
    """Only one of two joins told alike is converted: the other is written out, and names its own post."""
    text = f"""\
{HEAD}part rail of rail, 18 long, crosswise, facing front
join rail.left to post_l.right as mortise and tenon, tenon 1 long
    flush top, front
    pockets 1 in post_l.back
    screws fine 2-1/2
join rail.right to post_r.left like rail.left
"""
    result = converted(text, "rail.left").result.text
    assert result.endswith(
        "join rail.right to post_r.left as mortise and tenon, tenon 1 long\n    flush top, front\n"
        "    pockets 1 in post_r.back\n    screws fine 2-1/2\n"
    ), result


def test_joins_told_like_others_with_pockets_and_with_tenons() -> None:
    """Both are written out for the conversion, and told like one another again."""
    text = f"""\
{HEAD}part rail of rail, 18 long, crosswise, facing front
part low of rail, 16 long, crosswise, facing front
join rail.left to post_l.right as mortise and tenon, tenon 1 long
    flush top, front
join rail.right to post_r.left like rail.left
join low.left to post_l.right
    flush front
    2 from bottom
    pockets 2 in back
    screws fine 1-1/4
join low.right to post_r.left like low.left
"""
    conversion = converted(text)
    assert not any(joint.refused for joint in conversion.joints)
    assert "\njoin rail.right to post_r.left like rail.left\n" in conversion.result.text
    assert conversion.result.text.endswith("\njoin low.right to post_r.left like low.left\n")


def test_flush_with_a_tenons_end_becomes_proud() -> None:
    rest = (
        "part block of post, 4 long, crosswise, facing front\njoin block.bottom to rail.top as resting\n"
        "    flush front, left\n"
    )
    conversion = converted(
        frame(
            "part rail of rail, long_ long, crosswise, facing front",
            "mortise and tenon, tenon tenon long",
            rest,
        )
    )
    assert "    flush front\n    proud tenon at left\n" in conversion.result.text
    check_four_things(conversion)


def test_a_cut_measured_from_an_end_that_moves_stays_where_it_is() -> None:
    part = (
        "part rail of rail, long_ long, crosswise, facing front\n"
        "    dado 3/4 wide 1/4 deep across back, 5 from left     # for a bracket\n"
        "    groove 1/4 wide 1/4 deep along bottom, 1/4 from front, from 2 to 16\n"
        "    notch 1 x 1/2 at left top"
    )
    conversion = converted(frame(part, "mortise and tenon, tenon 1 long"))
    new = conversion.result.text
    assert "    dado 3/4 wide 1/4 deep across back, 4 from left     # for a bracket\n" in new
    assert "from 1 to 15\n" in new
    assert "notch" not in new  # it was cut in the tenon alone
    check_four_things(conversion)


LOOP = """\
plan "Loop"
    unit inch
    seen from front

stock plank of poplar, 3/4 x 10
part side_l of plank, 60 long, upright, facing left
    {left}
part side_r of plank, 60 long, upright, facing left
for n in 1 to 4
    part shelf_{{n}} of plank, 24-3/8 long, crosswise, facing up
    join shelf_{{n}}.left to side_l.right as dado, 3/8 deep   # the left
        n * 12 from bottom
        flush front
    join shelf_{{n}}.right to side_r.left as dowels
        n * 12 from bottom
        flush front
"""


def test_a_loop_stays_one_where_all_its_turns_change_alike() -> None:
    # All shelves below a seated eye: from beneath a higher one its pockets would be seen, and it alone be plugged.
    conversion = converted(LOOP.format(left="rough").replace("n * 12", "n * 10"))
    assert conversion.result.text.count("for n in") == 1
    check_four_things(conversion)


def test_a_loop_is_told_in_runs_where_they_do_not() -> None:
    conversion = converted(LOOP.format(left="rough"), "shelf_2.left")
    text = conversion.result.text
    assert [line for line in text.splitlines() if line.startswith("for")] == [
        "for n in 1 to 1",
        "for n in 2 to 2",
        "for n in 3 to 4",
    ]
    assert text.count("# was: dado, 3/8 deep   # the left") == 1
    piece_of(conversion)


def test_line_ends_and_the_mark_at_the_start_are_kept() -> None:
    text = frame("part rail of rail, long_ long, crosswise, facing front", "mortise and tenon, tenon 1 long")
    conversion = converted(text.replace("\n", "\r\n"))
    assert conversion.result.text.replace("\r\n", "").count("\n") == 0
    assert conversion.result.text.replace("\r\n", "\n") == converted(text).result.text


@pytest.mark.parametrize(
    ("inches", "unit", "words"),
    [
        ("5/2", "in", "2-1/2"),
        ("3/8", "in", "3/8"),
        ("-3/8", "in", "-3/8"),
        ("10/254", "mm", "1"),
        ("125/254", "mm", "12.5"),
        ("10/762", "mm", "1/3"),
        ("18", "ft", "1-1/2"),
        ("2417/32", "ft", '75-17/32"'),
    ],
)
def test_a_number_in_the_plans_unit(inches: str, unit: str, words: str) -> None:
    assert bare_number(Fraction(inches), unit) == words


@pytest.mark.parametrize(
    ("unit", "curves"),
    [
        ("m", ("bow 1.9185 radius", "through 0.002 at 0, 0.0254 at 0.3048, 0.002 at 0.6096 along")),
        ("cm", ("bow 191.85 radius", "through 0.2 at 0, 2.54 at 30.48, 0.2 at 60.96 along")),
        ("ft", ('bow 75-17/32" radius', 'through 5/64" at 0, 1" at 1, 5/64" at 2 along')),
    ],
)
def test_a_curve_is_told_as_truly_as_a_rule_shows_it_whatever_the_unit(
    unit: str, curves: tuple[str, str]
) -> None:
    """24-1/2 in with a bow of 1 in: (12-1/4 x 12-1/4 + 1 x 1) / 2 of radius. 25 in with an arch of 1 in: half an inch
    from its ends that is 0.077 deep, 5/64 in or 2 mm."""
    plan = f"""\
plan "Curves"
    unit {unit}
    seen from front
stock plank of cherry, 3/4 in x 10 in
part side_l, side_r of plank, 29 in long, upright, facing left
part shelf of plank, 24-1/2 in long, crosswise, facing up
    bow 1 in deep along front
part rail of plank, 25 in long, 4 in wide, crosswise, facing front
    arch 1 in deep along bottom
join shelf.left, shelf.right to side_l.right, side_r.left as dado, 1/4 in deep
    flush back
    10 in from bottom
join rail.left, rail.right to side_l.right, side_r.left as mortise and tenon, 1/2 in long
    flush top, back
"""
    text = converted(plan).result.text
    assert all(words in text for words in curves), text


def test_moisture_is_that_of_the_handbooks_table() -> None:
    """Wood Handbook, FPL-GTR-190, table 4-2, row of 70 degrees F; printed to a tenth of a percent."""
    row = (
        1.3,
        2.5,
        3.5,
        4.5,
        5.4,
        6.2,
        6.9,
        7.7,
        8.5,
        9.2,
        10.1,
        11.0,
        12.0,
        13.1,
        14.4,
        16.0,
        17.9,
        20.5,
        23.9,
    )
    assert [moisture(humidity) for humidity in range(5, 100, 5)] == pytest.approx(row, abs=0.1)


def test_movement_follows_the_humidity_of_the_settings() -> None:
    """A workshop by the sea: 9.8 points between 30 and 80 percent, by the table, instead of 4.8."""
    oak = find_material("red oak")
    assert oak is not None
    usual, sea = movement(oak, 20, Humidity()), movement(oak, 20, Humidity(30, 80))
    assert usual is not None and sea is not None
    assert sea.inches == pytest.approx(20 * 0.00369 * (16.0 - 6.2), abs=0.01)
    assert usual.inches == pytest.approx(20 * 0.00369 * (11.0 - 6.2), abs=0.01)
    assert "30 to 80 percent" in sea.basis


def test_movement_follows_the_handbooks_example() -> None:
    # Its worked example: white fir 9.15 in wide, coefficient 0.00245, three points of moisture, 0.067 in.
    fir = find_material("white fir")
    assert fir is not None
    low, high = 30.0, 60.0
    found = movement(fir, 9.15, Humidity(low, high))
    points = moisture(high) - moisture(low)
    assert found is not None and abs(found.inches / points * 3 - 0.067) < 0.0005
    ply = find_material("plywood")
    assert ply is not None
    none = movement(ply, 24, Humidity())
    assert none is not None and not none.inches


@pytest.mark.parametrize(
    ("called", "now"),
    [
        ("rail.back/post.front", "rail.left/post.right"),
        ("rail.back", "rail.left/post.right"),
        ("rail", "rail"),
    ],
)
def test_what_is_accepted_of_a_joint_follows_its_name(called: str, now: str) -> None:
    """A corner lapped face on face is one part stopped at the other afterwards: neither is in two, and its joint lies
    at other sides."""
    text = f"""\
plan "Corner"
    seen from nowhere
stock lath of poplar, 3/4 x 2-1/2
part post of lath, 30 long, upright, facing front
part rail of lath, 24 long, crosswise, facing front
join rail.back to post.front as half lap, 3/8 thick
    flush left, top
accept wide-spacing on {called} because "tried"
"""
    new = converted(text).result.text
    assert "join rail.left to post.right" in new
    assert new.endswith(f'accept wide-spacing on {now} because "tried"\n')
