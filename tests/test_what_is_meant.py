"""What is likely meant by a join whose names or places are copied from another: which twin, which end."""

from __future__ import annotations

import pytest

from planlint.inspection.inspect_plan import understand
from planlint.model.directions import Side
from planlint.model.workshop import Settings
from planlint.placement.copied_names import across_from, other_end
from planlint.placement.joint_graph import JointGraph
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText

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
