"""What is likely meant by a join whose names or places are copied from another: which twin, which end."""

from __future__ import annotations

import pytest

from planlint.checks.loose_end import LooseEnd
from planlint.checks.placement_faults import LyingPast
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import Side
from planlint.model.workshop import Settings
from planlint.placement.copied_names import across_from, other_end
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Closing
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText
from tests.builders import exactly

LADDER = """\
plan "Ladder"
stock wood of oak, 3/4 x 2
part post_l, post_r of wood, 40 long, upright, facing front
part rung_1, rung_2, rung_3 of wood, 16 long, crosswise, facing front
part stile of wood, 12 long, upright, facing front
"""


def joined(*joins: str) -> JointGraph:
    lines = "".join(f"join {words}\n    {3 * n} from top\n" for n, words in enumerate(joins))
    plan, mistakes = understand(PlanText("a.plan", LADDER + lines), Settings())
    assert plan is not None and not mistakes, mistakes
    return JointGraph(plan, Limits())


@pytest.mark.parametrize(
    ("joins", "meant"),
    [
        # The rung's other end is joined to that side of that post already: the other post is meant.
        (["rung_1.left to post_l.right", "rung_1.right to post_l.right"], "post_r"),
        # Its other end stands on another side of it, on another post, or the same end is told twice: nothing says so.
        (["rung_1.left to post_l.left", "rung_1.right to post_l.right"], None),
        (["rung_1.left to stile.right", "rung_1.right to post_l.right"], None),
        (["rung_1.right to post_l.left", "rung_1.right to post_l.right"], None),
        # The other post has this rung already.
        (
            ["rung_1.left to post_r.right", "rung_1.left to post_l.right", "rung_1.right to post_l.right"],
            None,
        ),
        # Its fellows end against the other post by that end, and not against this one.
        (["rung_2.right to post_r.left", "rung_1.right to post_l.right"], "post_r"),
        (
            ["rung_2.right to post_r.left", "rung_3.right to post_r.left", "rung_1.right to post_l.right"],
            "post_r",
        ),
        (
            ["rung_2.left to post_r.left", "rung_3.right to post_r.left", "rung_1.right to post_l.right"],
            "post_r",
        ),
        (
            ["rung_2.right to post_l.left", "rung_3.right to post_r.left", "rung_1.right to post_l.right"],
            None,
        ),
        # Another end, another side of the post, or what runs another way is no fellow; nor what the post ends on.
        (["rung_2.left to post_r.left", "rung_1.right to post_l.right"], None),
        (["rung_2.right to post_r.right", "rung_1.right to post_l.right"], None),
        (["post_r.left to rung_2.right", "rung_1.right to post_l.right"], None),
        (["stile.right to post_r.left", "rung_1.right to post_l.right"], None),
    ],
)
def test_the_twin_that_an_end_is_meant_for(joins: list[str], meant: str | None) -> None:
    graph = joined(*joins)
    found = across_from(graph, graph.plan.joins[-1])
    assert (found and found.name) == meant


@pytest.mark.parametrize(
    ("joins", "meant"),
    [
        # One end told twice and the other nowhere: a line copied for the other end.
        (["rung_1.left to post_l.right", "rung_1.left to post_r.left"], Side.RIGHT),
        (["rung_1.left to post_l.right", "rung_1.right to post_r.left"], None),
        (["rung_1.left to post_l.right", "rung_1.right to stile.left", "rung_1.left to post_r.left"], None),
        (["rung_2.left to post_l.right", "rung_1.left to post_r.left"], None),
        # Any stretch of a face may be joined.
        (["rung_1.back to post_l.front", "rung_1.back to post_r.front"], None),
    ],
)
def test_the_other_end_is_meant(joins: list[str], meant: Side | None) -> None:
    graph = joined(*joins)
    assert other_end(graph, graph.plan.joins[-1]) is meant


SEAT = """\
plan "Seat"
stock rail of oak, 2 x 2
stock wide of oak, 2 x 10
stock board of oak, 3/4 x 4
part rail_f of {front}, crosswise
part rail_b of rail, 30 long, crosswise, facing front
part side_l, side_r of rail, 16 long, deep, facing left
part slat of board, {long} long, deep, facing up
join side_l.front, side_l.back to rail_f.back, rail_b.front as dowels
    flush left, top
join side_r.front, side_r.back to rail_f.back, rail_b.front as dowels
    flush right, top
join slat.bottom to {first}.top
    centred left to right
    {how}
join {second}
"""
RAIL, WIDE = "rail, 30 long, facing front", "wide, 30 long, facing up"


@pytest.mark.parametrize(
    ("front", "long", "first", "how", "second", "away", "meant"),
    [
        # Half an inch over the front of two rails 2 in wide, 20 in over both: 21 in lie so on both.
        (RAIL, "17", "rail_f", "proud 1/2 at front", "slat.bottom to rail_b.top", 1.5, 21),
        (RAIL, "17", "rail_b", "proud 1/2 at back", "slat.bottom to rail_f.top", 1.5, 21),
        (RAIL, "17", "rail_f", "proud 1/2 at front", "rail_b.top to slat.bottom", 1.5, 21),
        (RAIL, "16", "rail_b", "flush back", "rail_f.top to slat.bottom", 2.0, 20),
        # It ends just where the rail begins; held off by what lies on it, it may as well be too long.
        (RAIL, "18", "rail_f", "flush front", "slat.bottom to rail_b.top", 0.0, 20),
        (RAIL, "18", "rail_f", "flush front", "rail_b.top to slat.bottom", 0.0, None),
        # The front rail is 10 in wide, and the slat lies on it with more than half of its length, or with less.
        (WIDE, "17", "rail_f", "proud 1/2 at front", "slat.bottom to rail_b.top", 9.5, None),
        (WIDE, "20", "rail_f", "flush front", "slat.bottom to rail_b.top", 6.0, None),
        (WIDE, "41/2", "rail_f", "flush front", "slat.bottom to rail_b.top", 5.5, 36),
    ],
)
def test_what_ends_before_the_second_of_two_is_made_as_long_as_lies_on_both_alike(
    front: str, long: str, first: str, how: str, second: str, away: float, meant: int | None
) -> None:
    text = SEAT.format(front=front, long=long, first=first, how=how, second=second)
    inspection = inspect_text(PlanText("a.plan", text), Settings())
    (fault,) = (each.judged(LyingPast) for each in inspection.findings if each.rule == "apart")
    assert abs(fault.away - away) < 1e-9
    by = fault.meant.by if isinstance(fault.meant, Closing) and fault.meant.part.name == "slat" else None
    assert by == (None if meant is None else pytest.approx(meant - float(exactly(long))))


CASE = """\
plan "Case"
stock board of poplar, 3/4 x 8
stock other of poplar, 3/4 x 6
part side_l, side_r of board, 30 long, upright, facing left
part floor, top, mid of board, 14 long, crosswise, facing up
part shelf_1 of board, 15 long, crosswise, facing up
part shelf_2 of {stock}, 15 long, crosswise, facing up
part wall_l, wall_r of board, 30 long, upright, facing left
part sole, lid of board, 14 long, crosswise, facing up
part rail of other, 15 long, crosswise, facing up
part post_l, post_r of other, 20 long, upright, facing left
part cap of other, 33/2 long, crosswise, facing up
join floor.left, floor.right to side_l.right, side_r.left
    flush bottom, front
join top.left, top.right to side_l.right, side_r.left
    flush top, front
join mid.left, mid.right to side_l.right, side_r.left
    15 from bottom
    flush front
join sole.left, sole.right to wall_l.right, wall_r.left
    flush bottom, front
join lid.left, lid.right to wall_l.right, wall_r.left
    flush top, front
join rail.left, rail.right to post_l.right, post_r.left
    8 from bottom
    flush front
join post_l.top to cap.bottom
    flush left, front
join post_r.top to cap.bottom
    flush right, front
join shelf_1.left, shelf_1.right to side_l.right, side_r.left
    10 from bottom
    flush front
join shelf_2.left, shelf_2.right to {case}_l.right, {case}_r.left
    20 from bottom
    flush front
"""


@pytest.mark.parametrize(
    ("stock", "case"),
    [
        # Both too long by an inch between the same sides; the rail, as long, fits where it is.
        ("other", "side"),
        # One in each of two cases, of one stock; the rail is of another.
        ("board", "wall"),
    ],
)
def test_shelves_too_long_alike_are_told_together(stock: str, case: str) -> None:
    inspection = inspect_text(PlanText("a.plan", CASE.format(stock=stock, case=case)), Settings())
    first = next(each for each in inspection.findings if each.rule == "misfit")
    assert first.repairs[0].says == "Make shelf_1 and shelf_2 14 in long instead of 15 in."


FOUR_POSTS = """\
plan "Shelf on four posts"
    seen from nowhere
stock post of oak, 2 x 2
stock board of oak, 3/4 x 10
stock rail of oak, 3/4 x 3
part lf, lb, rf, rb of post, 30 long, upright, facing front
part shelf of board, 20 long, crosswise, facing up
part rail_l, rail_r of rail, 6 long, deep, facing left
join rail_l.front, rail_l.back to lf.back, lb.front as dowels
    flush left, top
join rail_r.front, rail_r.back to rf.back, rb.front as dowels
    flush right, top
join shelf.left, shelf.right to lf.right, rf.left as dowels
    10 from bottom
    flush front
{joins}
"""
LEFT, RIGHT = "join shelf.left to lb.right as dowels", "join shelf.right to rb.left as dowels"


@pytest.mark.parametrize(
    ("joins", "told"),
    [
        (f"{LEFT}\n{RIGHT}", []),
        (LEFT, [("shelf", Side.RIGHT, "rb", "shelf.left")]),
        (RIGHT, [("shelf", Side.LEFT, "lb", "shelf.right")]),
    ],
)
def test_an_end_on_fewer_posts_than_the_other_is_told(
    joins: str, told: list[tuple[str, Side, str, str]]
) -> None:
    """The shelf touches all four posts; an end that is joined to one of two is told at the other."""
    inspection = inspect_text(PlanText("a.plan", FOUR_POSTS.format(joins=joins)), Settings())
    ends = [each.judged(LooseEnd) for each in inspection.findings if each.rule == "loose-end"]
    assert len(inspection.findings) == len(ends)
    assert [(end.part.name, end.side, end.other.name) for end in ends] == [each[:3] for each in told]
    for finding, (part, side, other, as_there) in zip(inspection.findings, told, strict=True):
        back = side.opposite.value
        assert finding.repairs[0].says == f"Join {part}.{side.value} to {other}.{back} as {as_there} is."
