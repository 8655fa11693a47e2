"""A bounded run of the second oracle: ``tests/oracle_run.py`` makes it as long as is asked for."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.oracle_joints import in_millimetres, turned
from tests.oracle_reader import read
from tests.oracle_run import compare, joint

MIRRORED = ((0, 1, 2), (-1, 1, 1))
QUARTER = ((1, 0, 2), (-1, 1, 1))


@pytest.mark.parametrize("seed", range(4))
def test_joints_at_random(seed: int) -> None:
    tally: Counter[tuple[str, str]] = Counter()
    differ = [each for number in range(15) for each in joint(seed, number, tally)]
    assert not differ, "\n\n".join(f"{each.rule}, {each.what}\n{each.text}" for each in differ)
    assert sum(count for (_, what), count in tally.items() if what == "told") > 30


LEDGE = """\
plan "Gate post and ledge"
    unit in
    seen from nowhere
stock s1 of red oak, 3-1/2 x 4
part post of s1, 20-1/2 long, 4 wide, upright, facing left
    dado 3/4 wide {deep} deep across right, 2-1/8 from bottom
stock s2 of pine, 3/4 x 4
part ledge of s2, 18 long, 4 wide, crosswise, facing up
join j1: ledge.left to post.right as dado, {deep} deep
    flush front
    2-1/8 from bottom
    pockets at 1, 3 from back in top
    screws coarse 1-1/4
"""
PLANK = """\
plan "Plank right through a post"
    unit in
    seen from nowhere
stock s1 of pine, 3/4 thick
part post of s1, 20 long, 3 wide, upright, facing front
part foot of s1, 4 long, 3 wide, deep, facing up
    rabbet {cut} x 1/4 along back bottom
part plank of s1, 12 long, 3 wide, crosswise, facing up
join j1: foot.front to post.back
    1 from left
    2 from bottom
    glued
join j2: plank.bottom to foot.top
    proud 2 at left
    proud {proud} at front
    glued
"""


BEVELLED = """\
plan "A flat brace of half-inch stock, its shoulder partly before the face"
    unit in
    seen from nowhere
stock s1 of birch plywood, 3-3/8 thick
part post of s1, 33 long, 5-1/16 wide, upright, facing front
stock s2 of hard maple, 1/2 thick
part brace of s2, 16-3/16 long, 1-3/4 wide, crosswise, facing up
    turned 58 about deep
    left end cut 58, long at top
join j1: brace.left to post.right
    set back 1/4 from front
    3-1/16 from top
    pockets at 3/32, 17/64, 1-7/16 from front in bottom
    screws coarse 2
"""


@pytest.mark.parametrize(
    "plan",
    [
        BEVELLED,
        LEDGE.format(deep="1-1/4"),
        LEDGE.format(deep="3/8"),
        PLANK.format(cut="1/64", proud="1/32"),
        PLANK.format(cut="1/4", proud="2"),
    ],
)
def test_joints_once_judged_wrongly(plan: str) -> None:
    """A ledge housed so deep that the bit cuts into the post; planks that run into a post, and right through it; a bore
    of which only what lies in the wood comes near a slanted end."""
    tally: Counter[tuple[str, str]] = Counter()
    for text in (plan, turned(plan, MIRRORED), turned(plan, QUARTER), in_millimetres(plan)):
        assert not compare(text, tally)


def test_what_it_reads_is_what_is_written() -> None:
    """The ledge by arithmetic: its dado from 2-1/8 to 2-7/8 high, 1-1/4 in from the post's right."""
    scene = read(LEDGE.format(deep="1-1/4"))
    low, high = scene.boards["post"].gone[0]
    assert [float(each) for each in low] == [2.25, 0, 2.125]
    assert [float(each) for each in high] == [3.5, 4, 2.875]
    assert read(in_millimetres(LEDGE.format(deep="1-1/4"))) == scene
