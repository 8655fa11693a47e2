"""What decides in a conversion, each by a case where it alone does: ways to drill, what is kept, which lap is cut."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from planlint.conversion.conversion_result import traditional
from planlint.conversion.conversion_words import reasons_of
from planlint.conversion.drilling_choices import Choice, choices_for, choices_shifted
from planlint.conversion.drilling_trials import (
    ANYWHERE,
    Reach,
    Trial,
    drilled_alike,
    groups_apart,
    in_every,
    least_cost,
    misplaced,
    trial_of,
    with_plugs,
)
from planlint.conversion.kept_joints import crate, kept
from planlint.conversion.lap_changes import find_laps
from planlint.conversion.length_words import Term, less
from planlint.conversion.refused_joints import refusal
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding, Grade
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import understand
from planlint.language.reader import read
from planlint.language.syntax_tree import Let
from planlint.model.directions import Side
from planlint.model.elaborate import elaborate
from planlint.model.plan import Join
from planlint.model.workshop import Settings
from planlint.text.sayings import Saying
from planlint.text.source import PlanText, Span


def piece_told(text: str) -> tuple[Piece, list[Join]]:
    """A piece and its traditional joints."""
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan, Settings()), [join for join in plan.joins if traditional(join)]


def told(plan: str, **words: object) -> str:
    """A plan with words put in; what is cut from a sheet says its own width."""
    return plan.format(
        **words, wide=", 10 wide" if "plywood" in str(words.get("wood", words.get("rail", ""))) else ""
    )


# ---------------------------------------------------------------- ways to drill, weighed


def found(rule: str, grade: Grade, says: str = "", measured: float | None = None) -> Finding:
    return Finding(rule, grade, "rail.left", ("rail",), Span(0, 0), says, measured, None, None, "")


STOP, CAUTION = found("tip-through", Grade.STOP, "It comes out."), found("breakout", Grade.CAUTION)
ADVICE, HOLE = found("long-reach", Grade.ADVICE), found("hole-in-sight", Grade.CAUTION, measured=0.25)


def way(
    *findings: Finding,
    face: Side = Side.BACK,
    count: int = 2,
    plugged: bool = False,
    fewer: int = 0,
    outward: bool = False,
    seen: float = 0.0,
) -> Trial:
    return Trial(Choice(False, face, count, plugged, fewer=fewer, outward=outward), "rail", findings, seen)


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (way(fewer=3), way(STOP)),
        (way(STOP, fewer=3), way(STOP, STOP)),
        (way(CAUTION, CAUTION, HOLE), way(fewer=1)),
        (way(ADVICE, ADVICE), way(CAUTION)),
        (way(), way(ADVICE)),
        (way(CAUTION), way(plugged=True)),
        (way(plugged=True), way(CAUTION, CAUTION)),
        (way(plugged=True), way(HOLE)),
        (way(CAUTION, plugged=True, count=1), way(HOLE, CAUTION)),
        (way(ADVICE, plugged=True), way(plugged=True, outward=True)),
        (way(plugged=True, count=1), way(plugged=True)),
        (way(outward=True), way(plugged=True, count=1)),
        (way(plugged=True, seen=0.2), way(plugged=True, seen=0.8)),
        (way(face=Side.TOP, plugged=True, seen=0.10), way(face=Side.TOP, plugged=True, seen=0.12)),
        (way(face=Side.BOTTOM, seen=0.0), way(face=Side.BOTTOM, seen=0.02)),
    ],
)
def test_ways_are_weighed_by_one_thing_after_another(better: Trial, worse: Trial) -> None:
    assert better.cost < worse.cost


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (way(outward=True), way()),
        (way(seen=0.01), way(seen=0.24)),
        (way(seen=0.26), way(seen=0.74)),
        (way(face=Side.TOP, seen=0.101), way(face=Side.TOP, seen=0.104)),
    ],
)
def test_what_hardly_differs_is_alike(one: Trial, other: Trial) -> None:
    assert one.cost == other.cost


def test_what_stops_is_taken_as_mended_and_plugs_hide_what_is_seen() -> None:
    assert least_cost([way(STOP, CAUTION), way(STOP, STOP, ADVICE)]) == way(ADVICE).cost
    told = trial_of(
        Choice(False, Side.BACK, 2), "rail", (HOLE, found("hole-in-sight", Grade.CAUTION, measured=0.75))
    )
    assert told.seen == 0.75 and not told.clean
    hidden = with_plugs(told)
    assert hidden.clean and hidden.choice.plugged and hidden.seen == 0.75
    assert trial_of(Choice(False, Side.BACK, 2), "rail", (CAUTION,)).seen == 0


@pytest.mark.parametrize(
    ("rules", "moves"),
    [
        ("", False),
        ("hole-in-sight", False),
        ("breakout", True),
        ("breakout long-reach", True),
        ("long-reach", False),
        ("breakout hole-in-sight", True),
        ("STOP close-spacing", True),
        ("STOP screws-meet", True),
        ("STOP thin-cover", True),
        ("STOP stepped-face", True),
        ("STOP tip-through", False),
        ("STOP close-spacing, STOP tip-through", False),
        ("STOP tip-through, breakout", False),
        ("STOP close-spacing, long-reach", True),
    ],
)
def test_pockets_are_set_out_otherwise_where_that_may_help(rules: str, moves: bool) -> None:
    findings = [
        found(each.removeprefix("STOP "), Grade.STOP if each.startswith("STOP") else Grade.CAUTION)
        for each in rules.replace(" hole", ", hole").replace(" long", ", long").replace(",,", ",").split(", ")
        if each
    ]
    assert misplaced(findings) is moves


def test_reasons_are_told_by_face_with_what_stops_the_first() -> None:
    back = way(STOP, CAUTION)
    at = Trial(Choice(False, Side.BACK, 2, at=(Fraction(1), Fraction(2)), origin=Side.TOP), "rail", (STOP,))
    fewer, hidden = way(STOP, ADVICE, count=1, fewer=1), way(STOP, plugged=True)
    assert Saying(reasons_of([back, at, fewer, hidden, way(face=Side.FRONT)], "in")) == (
        "2 pockets in the back of rail, set out in 2 ways: tip-through (stop), breakout (caution); "
        "2 pockets in the front of rail: clean. Of the first: It comes out"
    )
    assert Saying(reasons_of([fewer], "in")) == (
        "1 pocket in the back of rail: tip-through (stop), long-reach (advice). Of the first: It comes out"
    )
    assert Saying(reasons_of([way(ADVICE)], "in")) == "2 pockets in the back of rail: long-reach (advice)"


def test_joints_six_inches_apart_do_not_touch() -> None:
    def room(low: float, axis: int, long: float = 1) -> Reach:
        corner, size = [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]
        corner[axis], size[axis] = low, long
        x, y, z = (at + by for at, by in zip(corner, size, strict=True))
        return (corner[0], corner[1], corner[2]), (x, y, z)

    for axis in range(3):
        rooms = {
            (0, 0): [("post", room(0, axis)), ("rail", ANYWHERE)],
            (1, 0): [("post", room(6.9, axis))],
            (2, 0): [("post", room(7, axis))],
            (3, 0): [("post", room(-6.9, axis))],
            (4, 0): [("leg", room(0, axis))],
            (5, 0): [("rail", room(90, axis))],
        }
        assert groups_apart(rooms) == [[(0, 0), (2, 0), (4, 0)], [(1, 0), (3, 0), (5, 0)]]
        # Long ones are as far apart as their nearest ends are, whichever is asked first.
        long = [room(0, axis, 30), room(33, axis, 30), room(69.1, axis, 30)]
        for order in (long, long[::-1]):
            told = {(n, 0): [("post", each)] for n, each in enumerate(order)}
            apart = [[(0, 0), (2, 0)], [(1, 0)]] if order is long else [[(0, 0), (1, 0)], [(2, 0)]]
            assert groups_apart(told) == apart


def test_what_every_round_finds_is_shared_and_each_counts() -> None:
    assert in_every([[CAUTION, CAUTION, HOLE], [CAUTION, STOP]]) == {CAUTION.identity: 1}
    assert in_every([[CAUTION, CAUTION]]) == {CAUTION.identity: 2} and not in_every([])


# ---------------------------------------------------------------- ways to drill, in their order

POST_AND_RAIL = """\
plan "Post and rail"
    seen from nowhere
stock post of {post}, 2 x 2
stock rail of {rail}
part post of post, 40 long, upright, facing front
part rail of rail, 18 long{wide}, crosswise, facing {facing}
join rail.left to post.right as butt
    {where}
    {high} from bottom
"""


def ways_of(text: str) -> list[str]:
    piece, (join,) = piece_told(text)
    return [
        f"{way.words((join.part_b if way.in_b else join.part_a).name, 'in')}{' (outward)' if way.outward else ''}"
        for way in choices_for(piece, join)
    ]


@pytest.mark.parametrize(
    ("post", "rail", "facing", "where", "ways"),
    [
        # Toward the middle of the piece, whichever face that is; where both are alike, behind and underneath.
        ("oak", "oak, 3/4 x 3", "front", "flush front", ["2 back of rail", "2 front of rail (outward)"]),
        ("oak", "oak, 3/4 x 3", "front", "flush back", ["2 front of rail", "2 back of rail (outward)"]),
        ("oak", "oak, 3/4 x 3", "front", "centred front to back", ["2 back of rail", "2 front of rail"]),
        # How many: two at least, one where there is no room, from 7 in on one more for each 7 in.
        ("oak", "oak, 5/8 x 1-1/4", "front", "centred front to back", ["2 back of rail", "2 front of rail"]),
        ("oak", "oak, 5/8 x 1-3/16", "front", "centred front to back", ["1 back of rail", "1 front of rail"]),
        ("oak", "oak, 3/4 x 14", "front", "centred front to back", ["2 back of rail", "2 front of rail"]),
        (
            "oak",
            "oak, 3/4 x 14-1/16",
            "front",
            "centred front to back",
            ["3 back of rail", "3 front of rail"],
        ),
        ("oak", "oak, 3/4 x 21", "front", "centred front to back", ["3 back of rail", "3 front of rail"]),
        # A squarish rail through any long side; of those that look alike, the one that shows least by habit.
        (
            "oak",
            "oak, 1-1/2 x 2",
            "front",
            "centred front to back",
            ["2 bottom of rail", "2 back of rail", "2 top of rail", "2 front of rail"],
        ),
        # Nothing is end grain in a sheet: its own end first, then the post, which a bore would come out of.
        (
            "oak",
            "birch plywood, 3/4 thick",
            "front",
            "flush front",
            ["2 back of rail", "2 front of rail (outward)", "1 back of post", "1 front of post"],
        ),
    ],
)
def test_ways_to_drill_in_their_order(post: str, rail: str, facing: str, where: str, ways: list[str]) -> None:
    text = told(POST_AND_RAIL, post=post, rail=rail, facing=facing, where=where, high=19)
    assert ways_of(text) == [
        f"{words[0]} pocket{'' if words[0] == '1' else 's'} in the {words[2:]}" for words in ways
    ]


def test_pockets_are_shifted_by_a_bore_or_two_all_or_the_outermost() -> None:
    """Two in 3 in lie at 3/4 and 2-1/4; half a bore and 1/8 in of wood, 5/16 in, stay to either edge."""
    text = told(POST_AND_RAIL, post="oak", rail="oak, 3/4 x 3", facing="front", where="flush front", high=19)
    piece, (join,) = piece_told(text)
    ways = choices_shifted(piece, join, choices_for(piece, join)[0])
    assert [" ".join(str(each) for each in way.at) for way in ways] == [
        "3/8 15/8",
        "9/8 21/8",
        "5/16 3/2",
        "3/2 43/16",
        "3/4 15/8",
        "3/8 9/4",
        "3/4 21/8",
        "9/8 9/4",
        "",
    ]
    assert {way.origin for way in ways[:-1]} == {Side.TOP} and ways[-1].count == 1 and ways[-1].fewer == 1
    assert not choices_shifted(piece, join, ways[-1])[-1].fewer > 1 or ways[-1].count > 1


@pytest.mark.parametrize("wide", ["1-1/2", "2", "2-1/2", "3", "5"])
@pytest.mark.parametrize("count", [2, 3])
def test_pockets_that_are_shifted_keep_what_bores_keep_of_one_another(wide: str, count: int) -> None:
    rail = f"oak, 3/4 x {wide}"
    text = told(POST_AND_RAIL, post="oak", rail=rail, facing="front", where="flush front", high=19)
    piece, (join,) = piece_told(text)
    for way in choices_shifted(piece, join, replace(choices_for(piece, join)[0], count=count)):
        assert all(after - before >= 5 / 8 for before, after in pairwise(way.at))


def test_places_are_whole_millimetres_in_a_metric_plan() -> None:
    """Two in 80 mm, 20.6 mm from its edges as a rule of sixteenths shows it, moved by 9.525 mm and twice that."""
    text = """\
plan "Metric"
    unit mm
    seen from nowhere
stock post of oak, 50 x 50
stock rail of oak, 20 x 80
part post of post, 1000 long, upright, facing front
part rail of rail, 400 long, crosswise, facing front
join rail.left to post.right as butt
    flush front
    500 from bottom
"""
    piece, (join,) = piece_told(text)
    ways = choices_shifted(piece, join, choices_for(piece, join)[0])
    assert [[float(at * 254 / 10) for at in way.at] for way in ways[:4]] == [
        [11, 50],
        [30, 69],
        [8, 40],
        [40, 72],
    ]


def test_the_faces_of_the_same_parts_drilled_elsewhere() -> None:
    _, joins = piece_told(
        told(POST_AND_RAIL, post="oak", rail="oak, 3/4 x 3", facing="front", where="flush front", high=19)
        + "part low of rail, 18 long, crosswise, facing front\njoin low.left to post.right as butt\n    flush front\n"
        "    2 from bottom\n"
    )
    by_key = {(join.index, 0): join for join in joins}
    current = {(0, 0): Choice(False, Side.BACK, 2), (1, 0): Choice(True, Side.LEFT, 2)}
    assert drilled_alike((0, 0), by_key, current) == {("post", Side.LEFT)}
    assert drilled_alike((1, 0), by_key, current) == set()


# ---------------------------------------------------------------- joints that are better left


def kept_in(text: str) -> dict[str, str]:
    piece, joins = piece_told(text)
    return {join.name: Saying(why) for join, why in kept(piece, joins)}


SLATS = """\
plan "Head board"
stock rail of oak, 1-1/2 x 4
stock slat of oak, {slat}
part rail of rail, 40 long, crosswise, facing front
{slats}"""


@pytest.mark.parametrize(
    ("slat", "count", "why"),
    [
        ("1/2 x 3", 3, "s_1 is one of 3 slats only 1/2 in thick let into rail"),
        ("1/2 x 3", 2, ""),
        ("9/16 x 3", 3, ""),
        ("1/2 x 3-1/16", 3, ""),
        ("3/4 x 1-1/4", 3, ""),
        ("3/4 x 1-3/16", 1, "s_1 is only 1-3/16 in wide: its end has room for one pocket, and on one screw it "
         "turns (two need 1-1/4 in, by close-spacing and breakout)"),
        ("1-1/4 x 1-1/4", 1, ""),
    ],
)  # fmt: skip
def test_thin_slats_and_narrow_bars_are_kept(slat: str, count: int, why: str) -> None:
    slats = "".join(
        f"part s_{n} of slat, 20 long, upright, facing front\n"
        f"join s_{n}.bottom to rail.top as mortise and tenon, 1/2 long\n"
        f"    {n * 6} from left\n    centred front to back\n"
        for n in range(1, count + 1)
    )
    found_ = kept_in(SLATS.format(slat=slat, slats=slats))
    assert len(found_) == (count if why else 0)
    assert found_.get("s_1.bottom", "").startswith(why)


SEAT = """\
plan "{title}"
    seen from front
stock post of oak, 2 x 2
stock board of oak, 3/4 x 4
part leg_l, leg_r of post, {high} long, upright, facing front
part rail of board, 20 long, crosswise, facing front
part {seat} of board, 24 long, crosswise, facing up
join rail.left, rail.right to leg_l.right, leg_r.left as {joint}
    flush top, front
join {seat}.bottom to rail.top as resting
    centred left to right
    flush front
{load}"""
STRONG, WEAK = "mortise and tenon, 1 long", "biscuits"


@pytest.mark.parametrize(
    ("title", "high", "joint", "load", "why"),
    [
        ("Dining chair", 17, STRONG, "", "people sit on it, as the plan's title says: the legs rack"),
        ("Dining chair", 17, WEAK, "", ""),
        ("Side table", 17, STRONG, "", ""),
        (
            "Side table",
            17,
            STRONG,
            "load 100 lb on seat",
            "seat bears 100 lb of people at 17-3/4 in above the floor",
        ),
        ("Side table", 17, STRONG, "load 99 lb on seat", ""),
        (
            "Side table",
            "23-1/4",
            STRONG,
            "load 100 lb on seat",
            "seat bears 100 lb of people at 24 in above the floor",
        ),
        ("Side table", "23-5/16", STRONG, "load 100 lb on top", ""),
        ("Side table", 17, STRONG, "load 100 lb per foot on seat", ""),
        ("Side table", 17, WEAK, "load 100 lb on seat", ""),
    ],
)
def test_rails_stay_at_the_legs_of_what_bears_people(
    title: str, high: object, joint: str, load: str, why: str
) -> None:
    found_ = kept_in(
        SEAT.format(
            title=title, high=high, joint=joint, load=load, seat="top" if load.endswith("top") else "seat"
        )
    )
    assert sorted(found_) == (["rail.left", "rail.right"] if why else [])
    assert all(each.startswith(why) for each in found_.values())


def test_what_bears_people_stands_under_them() -> None:
    """By paper: the seat lies on the rail, that ends on the legs, a stretcher ends on the legs lower down, and a stub
    stands on the stretcher. A tall post beside a leg, face on face, bears nothing, nor does what hangs on it."""
    text = (
        SEAT.format(title="Table", high=17, joint=STRONG, load="load 150 lb on seat\n", seat="seat")
        + f"""part tie of board, 20 long, crosswise, facing front
join tie.left, tie.right to leg_l.right, leg_r.left as {STRONG}
    3 from bottom
part peg of post, 5 long, upright, facing front
part brace of board, 6 long, crosswise, facing front
join peg.bottom to tie.top
    8 from left
    centred front to back
join brace.left to peg.right as {STRONG}
    1 from bottom
part tall of post, 40 long, upright, facing front
part shelf of board, 10 long, crosswise, facing front
join tall.right to leg_l.left
    flush bottom, front
join shelf.right to tall.left as {STRONG}
    20 from bottom
"""
    )
    found_ = kept_in(text)
    assert {joint: why.split(", and ")[1].split(":")[0] for joint, why in found_.items()} == {
        "rail.left": "leg_l stands under it",
        "rail.right": "leg_r stands under it",
        "tie.left": "leg_l stands under it",
        "tie.right": "leg_r stands under it",
        "brace.left": "peg stands under it",
    }


STEPS = """\
plan "{title}"
stock plank of oak, 3/4 x 8
part side of plank, 20 long, upright, facing left
part tread of plank, 16 long, {lies}
join tread.left to side.right as {joint}
    8 from bottom
    flush front
"""


@pytest.mark.parametrize(
    ("title", "lies", "joint", "why"),
    [
        ("Step stool", "crosswise, facing up", "dado, 1/4 deep", "the dado carries its end"),
        ("Step stool", "crosswise, facing up", "rabbet, 1/4 deep", "the rabbet carries its end"),
        # A rail that is dovetailed to a post keeps that from racking.
        ("Step stool", "crosswise, facing up", "sliding dovetail, 1/4 deep", "the legs rack"),
        ("Step stool", "crosswise, facing up", "biscuits", ""),
        ("Step stool", "crosswise, facing front", "dado, 1/4 deep", ""),
        ("Step stool", "deep, facing up", "dado, 1/4 deep", ""),
        ("Shoe rack", "crosswise, facing up", "dado, 1/4 deep", ""),
    ],
)
def test_treads_stay_on_what_carries_their_ends(title: str, lies: str, joint: str, why: str) -> None:
    found_ = kept_in(STEPS.format(title=title, lies=lies, joint=joint))
    assert list(found_) == (["tread.left"] if why else [])
    assert all(why in each for each in found_.values())


# ---------------------------------------------------------------- laps

LAP = """\
plan "Lap"
stock one of oak, 3/4 x {one}
stock other of oak, 3/4 x {other}
part bar of one, {bar} long, crosswise, facing front
part post of other, {post} long, upright, facing front
join bar.back to post.front as cross lap, {deep} deep
    {along}
    {up}
"""


@pytest.mark.parametrize(
    ("given", "cut", "ends"),
    [
        # Of one that lies and one that stands, the one that is let in.
        ({}, "bar", False),
        # One that ends there is cut there, whichever that is.
        ({"along": "flush left"}, "bar", True),
        ({"up": "flush bottom"}, "post", True),
        ({"along": "flush left", "up": "flush bottom"}, "bar", True),
        # What stands out 2-1/2 in is long enough to be screwed on, and shorter horns are not: then the post is cut.
        ({"along": "proud 2-1/2 at left"}, "bar", False),
        ({"along": "proud 2-7/16 at left"}, "post", False),
        ({"along": "proud 25 at left"}, "bar", False),
        ({"along": "proud 25-1/16 at left"}, "post", False),
        # Nor is what is left of one that ends there.
        ({"bar": "5", "along": "flush left"}, "bar", True),
        ({"bar": "4-15/16", "along": "flush left"}, "post", False),
        ({"bar": "4-15/16", "along": "flush right"}, "post", False),
    ],
)
def test_which_part_of_a_lap_is_cut(given: dict[str, str], cut: str, ends: bool) -> None:
    words = {"one": "2", "other": "2-1/2", "bar": "30", "post": "30", "deep": "3/4"}
    words |= {"along": "proud 10 at left", "up": "10 from bottom"} | given
    piece, joins = piece_told(LAP.format(**words))
    (lap,) = find_laps(piece, joins).laps.values()
    assert (lap.split.name, lap.ends_there) == (cut, ends)


SHORT = "cut off, that is a block too short to screw on (at least 2-1/2 in; own judgement)"
LOST = "cut there, that wood would be lost"


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (
            {"deep": "3/8"},
            f"bar stands 3/8 in out past post at the front: {LOST}; "
            f"post stands 3/8 in out past bar at the back: {LOST}; 3/8 in is how far bar goes into post in all, "
            "not what is cut out of each: for flush faces that is 3/4 in",
        ),
        (
            {"along": "proud 1 at left", "up": "2-7/16 from bottom"},
            f"bar stands only 1 in out past post at the left: {SHORT}; "
            f"post stands only 2-7/16 in out past bar at the bottom: {SHORT}",
        ),
        (
            {"along": "proud 26-1/2 at left", "up": "27 from bottom"},
            f"bar stands only 1 in out past post at the right: {SHORT}; "
            f"post stands only 1 in out past bar at the top: {SHORT}",
        ),
        (
            {"bar": "2-1/2", "along": "flush left", "up": "1 from bottom"},
            "bar is not longer than post is wide: nothing would be left of it; "
            f"post stands only 1 in out past bar at the bottom: {SHORT}",
        ),
    ],
)
def test_why_a_lap_is_not_cut(given: dict[str, str], why: str) -> None:
    words = {"one": "2", "other": "2-1/2", "bar": "30", "post": "30", "deep": "3/4"}
    words |= {"along": "proud 10 at left", "up": "10 from bottom"} | given
    piece, joins = piece_told(LAP.format(**words))
    assert [*map(Saying, find_laps(piece, joins).refused.values())] == [why]


@pytest.mark.parametrize(
    ("posts", "why"), [(2, ""), (3, "3 crossings hang together: cut there, 1 parts would be 4 pieces")]
)
def test_a_part_is_cut_at_two_laps_at_most(posts: int, why: str) -> None:
    plan = """\
plan "Grid"
stock lath of oak, 3/4 x 2
part bar of lath, 40 long, crosswise, facing front
"""
    for n in range(posts):
        plan += f"part post_{n} of lath, 30 long, upright, facing front\n"
        plan += f"join bar.back to post_{n}.front as cross lap, 3/4 deep\n"
        plan += f"    proud {5 + 10 * n} at left\n    10 from bottom\n"
    piece, joins = piece_told(plan)
    laps = find_laps(piece, joins).laps
    assert {lap.split.name for lap in laps.values()} == {"bar"}
    assert crate(laps.values()).startswith(why) and bool(crate(laps.values())) is bool(why)


TURNED = LAP.replace("facing front\npart post", "facing front\n    turned 10 about deep\npart post")
IN_LINE = LAP.replace("upright", "crosswise")
RAIL_TOO = (
    LAP
    + """\
part rail of one, 30 long, crosswise, facing front
join rail.back to post.front as cross lap, {deep} deep
    proud 10 at left
    1 from top
"""
)


@pytest.mark.parametrize(
    ("text", "given", "why"),
    [
        (TURNED, {}, "a part of this lap is turned: cut and fit it by hand"),
        (
            IN_LINE,
            {"up": "flush bottom"},
            "bar and post run the same way: that is no lap; post and bar run the same way: that is no lap",
        ),
        # The bar's horn is too short, so the post would be cut; the post's end is, so the rail would be cut at it.
        (
            RAIL_TOO,
            {"along": "proud 1 at left"},
            "these laps hang together, and whichever way is cut, a part would be cut at one that is cut itself",
        ),
    ],
)
def test_why_no_lap_of_a_group_is_cut(text: str, given: dict[str, str], why: str) -> None:
    words = {"one": "2", "other": "2-1/2", "bar": "30", "post": "30", "deep": "3/4"}
    words |= {"along": "proud 10 at left", "up": "10 from bottom"} | given
    piece, joins = piece_told(text.format(**words))
    found_ = find_laps(piece, joins)
    assert (
        not found_.laps
        and {*map(Saying, found_.refused.values())} == {why}
        and len(found_.refused) == len(joins)
    )


@pytest.mark.parametrize(
    ("where", "how", "cut"),
    [
        ("10 from left", "glued", "post"),
        ("10 from left", "as resting", "bar"),
        ("4 from left", "glued", "post"),
        ("3-15/16 from left", "glued", "bar"),
        ("12-1/2 from left", "glued", "post"),
        ("12-9/16 from left", "glued", "bar"),
    ],
)
def test_the_part_that_something_is_joined_to_right_there_stays_whole(where: str, how: str, cut: str) -> None:
    """A shelf 6 in long on the bar, which crosses the post from 10 to 12-1/2 in from its left."""
    words = {"one": "2", "other": "2-1/2", "bar": "30", "post": "30", "deep": "3/4"}
    text = LAP.format(**words, along="proud 10 at left", up="10 from bottom")
    text += f"part shelf of one, 6 long, crosswise, facing up\njoin shelf.bottom to bar.top\n    {where}\n"
    text += f"    flush front\n    {how}\n"
    piece, joins = piece_told(text)
    laps = find_laps(piece, [join for join in joins if join.name == "bar.back"]).laps
    assert [lap.split.name for lap in laps.values()] == [cut]


# ---------------------------------------------------------------- joints that stay whatever the pockets

RAIL = """\
plan "Rail"
stock post of oak, 2 x 6
stock rail of {rail}
part post of post, 20 long, upright, facing {facing}
part rail of rail, 18 long{wide}, crosswise, facing front
join rail.left to post.right as {joint}
    flush top, front
"""
MITRE = """\
plan "Mitre"
stock strip of oak, 3/4 x {wide}
stock other of oak, 3/4 x {other}
part rail of strip, 20 long, crosswise, facing front
    left end cut 45, long at top
part stile of other, 16 long, upright, facing front
    top end cut 45, long at left
join rail.left to stile.top as {joint}
    flush top, front
"""
BREAD = """\
plan "Breadboard"
stock slab of {wood}
stock cap of oak, 3/4 x 3
part board of slab, 32 long{wide}, crosswise, facing up
part cap of cap, 30 long, deep, facing up
join board.left to cap.right as {joint}
    flush front, top
"""


LET_IN = """\
plan "Let in"
stock post of oak, 2 x 6
stock board of oak, 3/4 x 6
part post of post, 20 long, upright, facing front
part board of board, 18 long, {lies}
join board.{sides} as {joint}
    {words}
"""
LIES = "crosswise, facing front"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (told(RAIL, rail="oak, 15/32 x 3", facing="front", joint="dowels"), ""),
        (told(RAIL, rail="oak, 7/16 x 3", facing="front", joint="dowels"), "rail is only 7/16 in thick"),
        (told(RAIL, rail="birch plywood, 7/16 thick", facing="front", joint="dowels"), ""),
        (
            told(RAIL, rail="birch plywood, 1/4 thick", facing="front", joint="dowels"),
            "rail is only 1/4 in",
        ),
        (
            LET_IN.format(
                lies="crosswise, facing up",
                sides="bottom to post.top",
                joint="dado, 1/4 deep",
                words="flush front\n    flush left",
            ),
            "board is let in by its face: taken back it would only be thinner, so it stays let in",
        ),
        (
            LET_IN.format(
                lies=LIES, sides="left to post.right", joint="dowels", words="20 from bottom\n    flush front"
            ),
            "board and post do not meet here as the plan says: mend that first",
        ),
        (
            LET_IN.format(
                lies=LIES,
                sides="left to post.right",
                joint="dowels",
                words="5 from bottom\n    flush front\n    screws 2 through post, gauge 8, 3 long\n"
                "    nails 2 through post, 3 long",
            ),
            "screws and nails are told for it already, and hold it as it is: leave that line out to have it converted",
        ),
        (MITRE.format(wide=3, other=3, joint="mitre"), ""),
        (
            MITRE.format(wide="2-15/16", other=3, joint="mitre"),
            "rail is 2-15/16 in wide: a mitre is screwed only where",
        ),
        (
            MITRE.format(wide=3, other="2-15/16", joint="splined mitre, 1/8 thick"),
            "stile is 2-15/16 in wide: a mitre",
        ),
        (MITRE.format(wide="2-15/16", other="2-15/16", joint="dowels"), ""),
        (told(BREAD, wood="oak, 3/4 x 6", joint="breadboard end, 1 long"), ""),
        (
            told(BREAD, wood="oak, 3/4 x 10", joint="breadboard end, 1 long"),
            "it would lock board across its grain: 10 in",
        ),
        (
            told(BREAD, wood="oak, 3/4 x 10", joint="dado, 1/4 deep"),
            "it would lock board across its grain: 10 in",
        ),
        (told(BREAD, wood="oak, 3/4 x 10", joint="dowels"), ""),
        (told(BREAD, wood="oak, 3/4 x 10", joint="breadboard end, 1 long\n    slotted"), ""),
        (told(BREAD, wood="birch plywood, 3/4 thick", joint="breadboard end, 1 long"), ""),
    ],
)
def test_why_a_joint_stays(text: str, why: str) -> None:
    piece, (join,) = piece_told(text)
    stays = Saying(refusal(piece, join))
    assert stays.startswith(why) and bool(stays) is bool(why), stays


SPLAYED = """\
plan "Splayed"
stock post of cherry, 1-1/2 x 1-1/2
stock rail of cherry, 3/4 x 4
part leg of post, 24 long, upright, facing front
    turned {lean} about deep
part rail of rail, 16 long, crosswise, facing front
    left end cut {cut}, long at bottom
    {more}
join rail.left to leg.right as {joint}
    2 from top
    {where} front
"""
LEANING = """\
plan "Leaning side"
stock plank of poplar, 3/4 x 8
part side of plank, 30 long, upright, facing left
    turned -5 about deep
    {cut}
part shelf of plank, 20 long, {wide} wide, crosswise, facing up
    left end cut 5, long at top
join shelf.left to side.right as dado, 3/8 deep
    10 from bottom
    flush front
"""
DADO = "dado 3/4 wide 3/8 deep across right, 10 from bottom"


@pytest.mark.parametrize(
    ("text", "given", "why"),
    [
        (SPLAYED, {}, ""),
        (SPLAYED, {"cut": "8-1/128"}, ""),
        (
            SPLAYED,
            {"cut": "8-1/64"},
            "lies 0.016 degrees off the right of leg: cut it to lie flat there first",
        ),
        (SPLAYED, {"joint": "half lap, 1 long"}, "is lapped, or is no plain slant"),
        (SPLAYED, {"more": "left end cut 5, long at front"}, "is no plain slant"),
        (SPLAYED, {"where": "proud 1/128 at"}, ""),
        (
            SPLAYED,
            {"where": "proud 1/64 at"},
            "stands 1/64 in out of leg: cut there, that wood would be lost",
        ),
        (SPLAYED, {"lean": "0", "cut": "8"}, "do not meet here as the plan says"),
        # Three quarters of its dado are enough; a groove that was not cut for it is another matter.
        (LEANING, {"cut": DADO, "wide": "6"}, ""),
        (LEANING, {"cut": DADO, "wide": "5-15/16"}, "fills 74% of the dado in side"),
        (
            LEANING,
            {"cut": "groove 1/4 wide 3/8 deep along right, 1 from front"},
            "fills 3% of the groove in side",
        ),
        (LEANING, {"cut": "groove 1/4 wide 3/8 deep along right, 7 from front", "wide": "7"}, ""),
        (LEANING, {"cut": DADO.replace("10 from", "9-3/16 from"), "wide": "8"}, ""),
    ],
)
def test_why_a_joint_at_a_slant_stays(text: str, given: dict[str, str], why: str) -> None:
    words = {
        "more": "rough",
        "lean": "8",
        "cut": "8",
        "joint": "mortise and tenon, 1 long",
        "where": "set back 3/8 from",
        "wide": "8",
    }
    piece, (join,) = piece_told(text.format(**words | given))
    stays = Saying(refusal(piece, join))
    assert why in stays and bool(stays) is bool(why), stays


# ---------------------------------------------------------------- sums


@pytest.mark.parametrize(
    ("whole", "taken", "left"),
    [
        ("a", ["1"], "a - 1"),
        ("a + 1-1/2", ["1"], "a + 1/2"),
        ("a + 1-1/2", ["1-1/2"], "a"),
        ("a + 1-1/2", ["2"], "a - 1/2"),
        ("a - 1", ["1"], "a - 2"),
        ("a - 1", ["1", "1"], "a - 3"),
        ("a + 2 * 1", ["1"], "a + 2 * 1 - 1"),
        ("a + 2 * 1", ["2"], "a"),
        ("a + t", ["t"], "a"),
        ("a + t", ["t", "t"], "a - t"),
        ("a - t", ["t"], "a - 2 * t"),
        ("a + 3 * t", ["t"], "a + 2 * t"),
        ("a + t * 2", ["t"], "a + t"),
        ("a + 2 * t", ["2 * t"], "a"),
        ("a + 1-1/2 * t", ["t"], "a + 1-1/2 * t - t"),
        ("a + 1 * t", ["t"], "a + 1 * t - t"),
        ("t + a", ["t"], "a"),
        ("t", ["t"], "0"),
        ("3", ["t"], "3 - t"),
        ("a + 3 * 1/4", ["t + 1/4"], "a + 3 * 1/4 - (t + 1/4)"),
        ("a", ["t + 1/4", "t + 1/4"], "a - 2 * (t + 1/4)"),
        ("a - (t + 1/4)", ["1/4"], "a - (t + 1/4) - 1/4"),
        ("7", ["1", "2"], "4"),
    ],
)
def test_what_is_left_of_a_length(whole: str, taken: list[str], left: str) -> None:
    """a is 10 in and t is 1 in, as a plan with them works it out."""

    def term(words: str) -> Term:
        source = PlanText("test.plan", f'plan "Sum"\nlet a = 10\nlet t = 1\nlet sum = {words}\n')
        plan, _ = elaborate(read(source)[0], Settings())
        assert plan is not None
        sites = Sites(plan)
        statement = sites.tree.statements[-1]
        assert isinstance(statement.node, Let)
        return sites.term(statement, statement.node.value, sites.root)

    now = less(term(whole), [term(each) for each in taken], "in")
    assert now.text == left
    assert now.value == term(whole).value - sum(term(each).value for each in taken) == term(left).value
