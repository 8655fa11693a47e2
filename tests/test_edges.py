"""Just inside a limit and just outside it, and the odd one of a row: each case worked out on paper."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, permutations
from math import dist, inf

import pytest

from planlint.checks.guard_gap import Gaps
from planlint.checks.looped_parts import LoopedParts
from planlint.checks.row_trial import shows
from planlint.checks.row_view import rows
from planlint.checks.stock_sizes import NotKept, TooShort
from planlint.checks.tipping_piece import PushedOver
from planlint.conversion.conversion_result import Conversion
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.joint_facts import Vector
from planlint.geometry.let_in import tongue_to_fit
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.convex import gap_between, point
from planlint.geometry.shapes.vectors import cross, dot, minus, plus
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.inspection_result import Trouble
from planlint.model.fastener_sizes import pilot_hole
from planlint.model.nearest_name import nearest
from planlint.model.stock import Stock
from planlint.model.workshop import DrillingProfile, Settings
from planlint.placement.likely_lengths import ends_forgotten
from planlint.placement.placement_results import Closing
from planlint.reports.conversion_record import json_conversion
from planlint.reports.joint_explanations import write_joints
from planlint.reports.mending_report import Passage, passages
from planlint.reports.page_layout import Page
from planlint.reports.run_marks import RunMarks
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Tally
from planlint.text.edits import TextEdit
from planlint.text.source import PlanText, Span
from tests.builders import stock


def piece_of(text: str, settings: Settings | None = None) -> Piece:
    plan, mistakes = understand(PlanText("a.plan", text), settings or Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan, settings or Settings())


def found(text: str, rule: str, settings: Settings | None = None) -> list[Finding]:
    return [each for each in inspect_text(PlanText("a.plan", text), settings).findings if each.rule == rule]


# ---------------------------------------------------------------- stock

SHELF = """\
plan "A"
stock ply of birch plywood, 3/4 thick
part a of ply, {long} long, {wide} wide, crosswise, facing up
"""
BOARD = 'plan "A"\nstock board of red oak, 3/4 x 5\npart a of board, 30 long, crosswise, facing up\n'


def kept(thick: str, wide: int | None = None, long: int | None = None, wood: str = "birch plywood") -> Stock:
    made = stock(thick, wide, wood)
    return replace(made, length=None if long is None else Fraction(long), sheet=wood == "birch plywood")


@pytest.mark.parametrize(
    ("long", "wide", "turns"),
    [
        ("100", "10", False),
        ("60", "50", False),
        ("95-15/16", "20", None),
        ("70", "48", None),
        ("61", "47", True),
    ],
)
def test_the_largest_that_a_shop_keeps_is_what_a_part_is_too_large_for(
    long: str, wide: str, turns: bool | None
) -> None:
    """Two sheets as long, one wider; a sheet 60 x 49 takes a part 47 long and 61 wide no way but turned."""
    sheets = {"100": (48, 96), "60": (48, 96), "61": (62, 60)}
    size = sheets.get(long, (48, 96))
    settings = Settings(stock=(kept("3/4", 40, size[1]), kept("3/4", *size)))
    told = found(SHELF.format(long=long, wide=wide), "stock-too-short", settings)
    if turns is None:
        assert not told
        return
    (fact,) = (each.fact for each in told)
    assert isinstance(fact, TooShort)
    assert [fact.stock.width, fact.stock.length] == [*size]
    assert fact.turned is turns


@pytest.mark.parametrize(
    ("thick", "told"),
    [(("1/2", "1"), False), (("1/2", "5/8"), True), (("3/4",), False), ((), False)],
)
def test_boards_are_planed_down_and_never_up(thick: tuple[str, ...], told: bool) -> None:
    settings = Settings(stock=tuple(kept(each, wood="red oak") for each in thick))
    facts = [each.fact for each in found(BOARD, "stock-too-short", settings)]
    assert [isinstance(each, NotKept) for each in facts] == [True] * told


# ---------------------------------------------------------------- placement


@pytest.mark.parametrize(
    ("by", "ends"),
    [("-3", 2), ("3", 1), ("-2-15/16", 0), ("1-1/2", 0), ("-1-1/2", 0), ("0", 0)],
)
def test_a_rail_measured_over_all_is_too_long_by_both_posts(by: str, ends: int) -> None:
    """Between two posts 1-1/2 in wide: too long by both of them, or, which is rarer, too short by as much."""
    piece = piece_of("""\
plan "Rail"
stock post of red oak, 1-1/2 x 1-1/2
part left, right of post, 30 long, upright, facing front
part rail of post, 20 long, crosswise, facing front
join rail.left to left.right
    glued
join rail.right to right.left
    glued
""")
    whole, _, rest = by.removeprefix("-").partition("-")
    length = (Fraction(whole) + (Fraction(rest) if rest else 0)) * (-1 if by.startswith("-") else 1)
    closing = Closing(piece.plan.part_by_name["rail"], length)
    assert ends_forgotten(piece.graph, closing) == ends


@pytest.mark.parametrize(("inset", "by"), [("1/2", "1"), ("1/2", "1/2"), ("3/8", "3/4"), ("3/8", "3/8")])
def test_a_shelf_measured_between_its_sides_is_too_short_by_what_they_let_in(inset: str, by: str) -> None:
    """At one end, or at both."""
    piece = piece_of(f"""\
plan "Shelf"
stock board of red oak, 3/4 x 9
part left, right of board, 30 long, upright, facing left
part shelf of board, 20 long, crosswise, facing up
join shelf.left to left.right as dado, {inset} deep
    glued
join shelf.right to right.left as dado, {inset} deep
    glued
""")
    closing = Closing(piece.plan.part_by_name["shelf"], Fraction(by))
    assert ends_forgotten(piece.graph, closing) == 2
    assert ends_forgotten(piece.graph, closing._replace(by=-Fraction(by))) == 0


# ---------------------------------------------------------------- geometry


def nearest_of(a: Vector, b: Vector, c: Vector) -> float:
    """How far a triangle lies from the origin: at the foot on its plane where that is in it, else on an edge."""
    ways = []
    for p, q in combinations((a, b, c), 2):
        along = minus(q, p)
        share = min(max(-dot(p, along) / dot(along, along), 0.0), 1.0)
        ways.append(dist(plus(p, along, share), (0.0, 0.0, 0.0)))
    normal = cross(minus(b, a), minus(c, a))
    foot = tuple(dot(normal, a) / dot(normal, normal) * each for each in normal)
    turns = [
        dot(normal, cross(minus(q, p), minus((foot[0], foot[1], foot[2]), p)))
        for p, q in ((a, b), (b, c), (c, a))
    ]
    if min(turns) >= 0:
        ways.append(dist(foot, (0.0, 0.0, 0.0)))
    return min(ways)


def test_how_far_a_point_is_from_small_triangles_all_round_it() -> None:
    """Every order of corners within half an inch of it, so that each corner, each edge and the middle is the nearest
    of some."""
    corners = [
        (x / 8, y / 8, z / 8)
        for x, y, z in ((1, 1, 2), (3, -1, 1), (-2, 3, 1), (1, 4, 2), (-3, -1, 2), (2, 2, -4))
    ]
    for a, b, c in permutations(corners, 3):
        gap = gap_between([point(a), point(b), point(c)], [point((0.0, 0.0, 0.0))], inf)
        assert gap == pytest.approx(nearest_of(a, b, c), abs=1e-9)


@pytest.mark.parametrize(("diameter", "hole"), [("1/64", "1/64"), ("1/32", "1/64"), ("1/4", "9/64")])
def test_no_drill_of_a_set_is_thinner_than_a_64th(diameter: str, hole: str) -> None:
    """Seven tenths, in soft wood, of the root, which is 0.79 of the whole, to the nearest 64th."""
    assert pilot_hole(Fraction(diameter), None, hard=False) == Fraction(hole)


TONGUES = """\
plan "Tongues"
stock board of red oak, {thick} x 5
stock other of red oak, 3/4 x 5
part a of board, 20 long, crosswise, facing up
part b of other, 20 long, crosswise, facing up
join a.back to b.front as tongue and groove, tongue 1/4 long{more}
    flush left
    glued
"""


@pytest.mark.parametrize(
    ("thick", "more", "fits"),
    [("3/4", "", True), ("1", "", True), ("1/2", "", False), ("3/4", ", 1/4 thick", False)],
)
def test_a_tongue_is_cut_to_its_groove_where_nothing_else_is_said(thick: str, more: str, fits: bool) -> None:
    (join,) = piece_of(TONGUES.format(thick=thick, more=more)).plan.joins
    assert tongue_to_fit(join) is fits


EDGES = [
    ("crosswise", "front", "top", "left", "upright, facing left", "bottom", "front"),
    ("deep", "left", "top", "front", "upright, facing front", "bottom", "left"),
    ("upright", "front", "right", "bottom", "crosswise, facing up", "left", "front"),
]
"""How a rail runs and faces, its edge, the end of it that is measured from, how a slat lies, its end, what is flush."""


@pytest.mark.parametrize(("runs", "facing", "into", "first", "slat", "end", "flush"), EDGES)
@pytest.mark.parametrize(("there", "off"), [("5", None), ("6", 1.0), ("4-1/2", 0.5)])
def test_a_dado_as_wide_as_its_board_is_thick_lies_off_along_the_board(
    runs: str,
    facing: str,
    into: str,
    first: str,
    slat: str,
    end: str,
    flush: str,
    there: str,
    off: float | None,
) -> None:
    """3/4 in each way: which way it runs its shape does not tell."""
    text = f"""\
plan "Slats on an edge"
stock board of poplar, 3/4 x 4
stock slat of poplar, 3/4 x 3/4
part rail of board, 20 long, {runs}, facing {facing}
    dado 3/4 wide 1/2 deep across {into}, 5 from {first}
part slat of slat, 12 long, {slat}
join slat.{end} to rail.{into} as dado, 1/2 deep
    {there} from {first}
    flush {flush}
    glued
"""
    told = found(text, "poor-fit")
    assert [(each.kind, each.measured) for each in told] == ([("misplaced", off)] if off else [])


# ---------------------------------------------------------------- beds, feet, screws


@pytest.mark.parametrize(("rule", "which"), [("bunk-guard", slice(1, 3)), ("guard-gap", slice(-3, -1))])
def test_a_bed_is_judged_alike_whichever_part_is_written_first(rule: str, which: slice) -> None:
    """The order in which a piece is written is no part of it."""
    for case in rule_book()[rule].cases[which]:
        head, *parts = re.split(r"\n(?=part )", case.plan)
        posts = "post_fl, post_fr, post_bl, post_br"
        turned = case.plan.replace(posts, ", ".join(reversed(posts.split(", "))))
        one, *others = (
            [(each.kind, each.measured, each.limit) for each in found(text, rule)]
            for text in (case.plan, turned, "\n".join([head, *reversed(parts)]) + "\n")
        )
        assert all(each == one for each in others)


PLANK = """\
plan "Plank on edge"
stock plank of red oak, {thick} x 20
part plank of plank, 24 long, crosswise, facing front
load 30 lb on plank
load {push} lb on plank towards the back
"""


@pytest.mark.parametrize(("push", "over"), [("1", False), ("5", True)])
def test_what_pushes_a_piece_over_is_named_and_not_what_lies_on_it(push: str, over: bool) -> None:
    """3/4 in from the middle to the foot: 30 lb and 18 of its own keep 36 in-lb; pushed 10 in up, 5 lb turn by 50."""
    told = found(PLANK.format(thick="1-1/2", push=push), "tip-over")
    facts = [each for each in told if isinstance(each.fact, PushedOver)]
    assert bool(facts) is over
    text = PLANK.format(thick="1-1/2", push=push)
    assert all(text[each.span.start : each.span.end].endswith("back") for each in facts)


def test_a_run_is_told_apart_by_its_commit() -> None:
    for run, ends in ((RunMarks(), "planlint/"), (RunMarks(revision="0a1b"), "planlint/0a1b")):
        words: list[str] = []
        sarif = SarifReport(words.append, run=run)
        sarif.end(Tally())
        assert json.loads("".join(words))["runs"][0]["automationDetails"]["id"] == ends


BACKED = """\
plan "Backed rail"
    seen from back
stock board of red oak, 3/4 x 5
stock block of red oak, 3/4 x 3
part post, other of board, 5 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
part block of block, 5 long, upright, facing front
join rail.left to post.right
    flush top, front
    pockets 2 in back
    screws fine 1-1/4
join rail.right to other.left
    flush top, front
    glued
join block.front to rail.back
    {at}
    flush top
    glued
"""


@pytest.mark.parametrize(
    ("at", "seen"), [("flush left", False), ("flush right", True), ("flush left\n    2-1/2 from top", True)]
)
def test_one_hole_of_a_row_in_sight_is_enough(at: str, seen: bool) -> None:
    """A block that covers both mouths, none, or the lower one alone."""
    (row,) = rows(piece_of(BACKED.format(at=at).replace("    flush top\n" * ("2-1/2" in at), "")))
    assert shows(row, row.pockets) is seen


def test_what_is_open_below_a_bunk_is_no_gap_of_its_guard() -> None:
    """A stretcher 10 in up leaves 18-1/2 in to the beam, where nobody lies."""
    cases = [each for each in rule_book()["guard-gap"].cases if 'plan "Loft bed"' in each.plan]
    assert len(cases) == 2
    for case in cases:
        text = (
            case.plan
            + """\
part stretcher of beam, 75 long, crosswise, facing front
join stretcher.left to post_fl.right as dowels
    10 from bottom
    flush back
    glued
join stretcher.right to post_fr.left as dowels
    glued
"""
        )
        before, after = (inspect_text(PlanText("a.plan", each)).findings for each in (case.plan, text))
        assert [(each.rule, each.kind, each.measured) for each in before] == [
            (each.rule, each.kind, each.measured) for each in after
        ]


TRESTLE = """\
plan "Three posts"
    seen from nowhere
stock bar of red oak, 1-1/2 x 3
stock pad of red oak, 3/4 x 3
part beam of bar, 48 long, crosswise, facing up
part post_l, post_r of bar, 10 long, upright, facing left
part post_m of bar, 9-1/4 long, upright, facing left
part pad of pad, {long} long, crosswise, facing up
join post_l.top to beam.bottom as mortise and tenon, tenon 1 long, 1/2 thick
    flush left, front
join post_m.top to beam.bottom as mortise and tenon, tenon 1 long, 1/2 thick
    centred left to right
    flush front
join post_r.top to beam.bottom as mortise and tenon, tenon 1 long, 1/2 thick
    flush right, front
join pad.left to post_l.right as dowels
    {low} from bottom
    flush front
    glued
"""


@pytest.mark.parametrize(
    ("low", "long", "stands"),
    [("0", "45", True), ("2", "45", False), ("0", "21-3/4", False), ("0", "21-13/16", True)],
)
def test_a_shorter_post_on_a_pad_that_it_is_not_joined_to_stands(low: str, long: str, stands: bool) -> None:
    """3/4 in shorter than its fellows, on a pad 3/4 in thick that lies on the floor; or over none, or beside it: the
    pad begins 1-1/2 in from the left, and the post 23-1/4 in."""
    told = [each for each in found(TRESTLE.format(low=low, long=long), "misfit") if each.kind == "foot"]
    assert not told if stands else told


@pytest.mark.parametrize("swapped", [False, True])
def test_the_side_of_a_bed_whose_guard_is_open_is_named(swapped: bool) -> None:
    """The guard in front lies 45-1/4 in up, that at the back 43-1/2; or the other way round."""
    (text,) = (
        each.plan
        for each in rule_book()["guard-gap"].cases
        if "Loft bed" in each.plan[:20] and "45-1/4" in each.plan
    )
    if swapped:
        text = text.replace("45-1/4", "there").replace("43-1/2", "45-1/4", 1).replace("there", "43-1/2")
    (told,) = found(text, "guard-gap")
    assert isinstance(told.fact, Gaps)
    assert told.fact.where == ("back" if swapped else "front")
    assert told.measured == 5


def test_of_openings_of_a_guard_the_widest_is_measured() -> None:
    """Three slats 3-1/2, 9-1/2 and 16 in along a rail: 4-1/2 in lie between two of them, 5 between the others."""
    text = rule_book()["guard-gap"].cases[0].plan
    wider = text.replace("(n - 1) * (4-1/2 + 1-1/2)", "(n - 1) * 6 + (n - 1) * (n - 2) / 4")
    assert wider != text
    (told,) = found(wider, "guard-gap")
    assert isinstance(told.fact, Gaps)
    assert [round(each.size, 6) for each in told.fact.openings] == [5, 4.5]
    assert told.measured == 5


def test_what_a_bridle_leaves_of_each_part_is_a_third() -> None:
    """1-1/2 in: the rail's tongue from 1/2 to 1, the post's cheeks on both sides of it."""
    shares = piece_of("""\
plan "Bridle"
stock bar of red oak, 1-1/2 x 3
part rail of bar, 20 long, crosswise, facing front
part post of bar, 20 long, upright, facing front
join rail.left to post.right as bridle, 3 deep
    flush top, front
    glued
""").tenons
    assert [(each.body.part.name, each.box.low[1], each.box.high[1]) for each in shares] == [
        ("rail", 0.5, 1.0),
        ("post", 0.0, 0.5),
        ("post", 1.0, 1.5),
    ]


def test_other_bits_and_other_drivers_are_tried_by_turns_before_both_are_changed() -> None:
    tried = DrillingProfile(bits=(6.0, 3.0), drivers=((8.0, 2.0), (5.5, 2.0), (3.0, 1.5))).set_ups
    assert [(each[0], each[1]) for each in tried] == [
        (6.0, 8.0),
        (6.0, 5.5),
        (3.0, 8.0),
        (6.0, 3.0),
        (3.0, 5.5),
        (3.0, 3.0),
    ]


@pytest.mark.parametrize("points", ["1 at 0, 1/4 at 10, 2 at 28", "1 at 1, 1/4 at 10, 2 at 30"])
def test_all_points_of_a_bow_that_does_not_run_from_end_to_end_are_marked(points: str) -> None:
    text = BOARD.replace("facing up", "facing front") + f"    bow through {points} along top\n"
    _, (mistake,) = understand(PlanText("a.plan", text), Settings())
    assert "its first point is at 0, its last at 30 in" in mistake.says
    assert text[mistake.span.start : mistake.span.end] == points


STEPPED = """\
plan "Stepped"
stock thick of red oak, 3/4 x 5
stock thin of red oak, 1/2 x 5
part a of thick, 24 long, crosswise, facing up
part b of thin, 24 long, crosswise, facing up
join a.back to b.front
    flush left, top{more}
    glued
"""


@pytest.mark.parametrize(("more", "steps"), [("", [0.25]), ("\n    1/4 from bottom", [])])
def test_a_step_that_is_told_at_the_side_where_it_is_is_meant(more: str, steps: list[float]) -> None:
    told = found(STEPPED.format(more=more), "stepped-face")
    assert [each.measured for each in told] == steps


@pytest.mark.parametrize(("long", "refused"), [("24", False), ("24-1/16", True)])
def test_the_longest_screw_there_is_may_be_told(long: str, refused: bool) -> None:
    text = BOARD.replace("part a", "part a, b") + (
        f"join a.back to b.front\n    flush left, top\n    pockets 2 in bottom\n    screws coarse {long}\n"
    )
    assert bool(understand(PlanText("a.plan", text), Settings())[1]) is refused


def test_a_change_of_several_lines_shows_those_alone_that_change() -> None:
    text = "a\nb\nc\nd\ne\n"
    (told,) = passages(text, (TextEdit(Span(0, len("a\nb\nc\nd")), "a\nx\nc\nd"),))
    assert told == Passage(2, ("b",), ("x",))


def test_assemblies_that_place_one_another_are_told_without_a_file() -> None:
    text = """\
plan "Ring"
stock board of red oak, 3/4 x 5
assembly one
    part a of board, 20 long, crosswise, facing up
    place two as inner
end
assembly two
    part b of board, 20 long, crosswise, facing up
    place one as inner
end
place one as x
"""
    says = [each.says for each in understand(PlanText("a.plan", text), Settings())[1]]
    assert any("in a ring: one places two places one" in each for each in says)


def test_of_a_panel_of_boards_too_wide_the_widest_is_measured() -> None:
    (told,) = found(
        """\
plan "Panel"
stock narrow of red oak, 3/4 x 10
stock wide of red oak, 3/4 x 11
part a of narrow, 20 long, crosswise, facing up
part b of wide, 20 long, crosswise, facing up
join a.back to b.front
    flush left, top
    glued
""",
        "wide-boards",
    )
    assert told.measured == 11


def test_a_board_of_which_nothing_is_cut_is_wood_all_through() -> None:
    (whole,) = piece_of(BOARD).bodies[0].own_solid
    assert (whole.low, whole.high) == ((0.0, 0.0, 0.0), (30.0, 5.0, 0.75))


SLIDES = """\
plan "Drawer side"
stock ply of birch plywood, 3/4 thick
part side of ply, 30 long, 12 wide, upright, facing left
part box of ply, 10 long, 5 wide, deep, facing left
join box.left to side.right
    flush front
    3 from top
    slides 9 long, 1/2 thick, 2 from bottom
"""


def test_the_screws_of_a_slide_go_in_37_mm_from_its_ends() -> None:
    """9 in long, in the middle of 10."""
    holes = [
        each for each in piece_of(SLIDES).bored if each.fitted == "slides" and each.body.part.name == "box"
    ]
    middles = [(each.box.low[1] + each.box.high[1]) / 2 for each in holes]
    assert middles == pytest.approx([0.5 + 37 / 25.4, 9.5 - 37 / 25.4])


@pytest.mark.parametrize(("first", "late"), [("7", True), ("5", False), ("2", False)])
def test_a_row_each_of_which_lies_one_too_far_is_known(first: str, late: bool) -> None:
    """Three of 1 in, 3 apart, along 15: from 7 they end 1 before the end, which is 6 less, and from 4 they would end
    evenly."""
    text = BOARD.replace("part a", "part a, b") + "join a.back to b.front\n    5 from left\n"
    (placing,) = piece_of(text).plan.joins[0].placings
    row = LoopedParts(placing, 3, Fraction(first), Fraction(3), Fraction(1), Fraction(15))
    assert row.one_late is late


def test_what_kept_a_conversion_from_running_is_told_at_the_first_line() -> None:
    source = PlanText("a.plan", BOARD)
    told = json.loads(
        json_conversion(Conversion(source, source, troubles=(Trouble("it", "it broke"),)), None)
    )
    assert told["unread"] == [{"line": 1, "column": 1, "says": "it broke"}]


def test_rows_of_pockets_are_numbered_from_1() -> None:
    file = io.StringIO()
    page = Page(file, 100)
    write_joints(
        page,
        piece_of("""\
plan "Two rows"
stock post of red oak, 3 x 3
part post of post, 20 long, upright, facing front
part rail of post, 20 long, crosswise, facing front
join rail.left to post.right
    flush top, front
    pockets 1 in back
    pockets 1 in front
    screws fine 1-1/4
"""),
    )
    page.flush()
    assert set(re.findall("row ([0-9]+)", file.getvalue())) == {"1", "2"}


def test_a_line_far_down_a_plan_is_told_with_room_behind_its_number() -> None:
    file = io.StringIO()
    page = Page(file, 80)
    page.marked("Line 12345", "part rail of post", 5, 9)
    page.flush()
    assert file.getvalue().splitlines() == ["    Line 12345  part rail of post", "                     ├──┤"]


def test_the_nearest_to_a_name_of_64_letters_is_told_yet() -> None:
    long = "a" * 63
    assert [nearest(long + end, [long + "b"]) for end in ("c", "cc")] == [long + "b", None]
