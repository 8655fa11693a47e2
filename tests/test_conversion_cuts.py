"""What becomes of cuts, holes, curves and tapers of a part that is taken back, by hand, at each of its ends."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from planlint.conversion.conversion_words import outside_changes, size_changes
from planlint.conversion.same_piece import parts_moved
from planlint.conversion.size_changes import Change
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import understand
from planlint.model.workshop import Settings
from planlint.text.sayings import Saying
from planlint.text.source import PlanText
from tests.conversions import converted, taken_back, worked_out

FRAME = """\
plan "Frame"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 3-1/2
part post_l, post_r of post, 20 long, upright, facing front
part rail of rail, 18 long, crosswise, facing front
    {detail}
join rail.left to post_l.right as mortise and tenon, 1 long
    flush top, front
join rail.right to post_r.left as mortise and tenon, 3/4 long
    flush top, front
"""
SAME, GONE = "same", ""
TWO = "would cut what is left of it in two"
OTHER = "reaches into the wood that goes: it would be another"
SHAPE = "reaches to a side that would be taken back: it would be another shape"
BACK, ALONG = "1/4 deep across back", "groove 1/4 wide 1/4 deep along bottom, 1/4 from front, from"

# Of 18 in the left takes 1 and the right 3/4: 17, 17-1/4 or 16-1/4 are left. Each with what it becomes where only the
# left is taken back, where only the right is, and where both are; with no third, as at the one end that changes it.
CUTS: list[tuple[str, ...]] = [
    (f"dado 3/4 wide {BACK}, 5 from left", f"dado 3/4 wide {BACK}, 4 from left", SAME),
    (f"dado 3/4 wide {BACK}, 5 from right", SAME, f"dado 3/4 wide {BACK}, 4-1/4 from right"),
    (f"dado 3/4 wide {BACK}, 1/2 from left", "rabbet 1/4 x 1/4 along left back", SAME),
    (f"dado 3/4 wide {BACK}, 1/4 from left", GONE, SAME),
    (f"dado 3/4 wide {BACK}, 1 from left", f"dado 3/4 wide {BACK}, 0 from left", SAME),
    (f"dado 3/4 wide {BACK}, 16-1/2 from left", f"dado 3/4 wide {BACK}, 15-1/2 from left", SAME),
    (
        f"dado 3/4 wide {BACK}, 16-3/4 from left",
        f"dado 3/4 wide {BACK}, 15-3/4 from left",
        "rabbet 1/2 x 1/4 along right back",
        "rabbet 1/2 x 1/4 along right back",
    ),
    (f"dado 3/4 wide {BACK}, 1/4 from right", SAME, "rabbet 1/4 x 1/4 along right back"),
    (
        f"dado 1/2 wide {BACK}, 17-1/4 from left",
        f"dado 1/2 wide {BACK}, 16-1/4 from left",
        GONE,
        GONE,
    ),
    (
        f"dado 17-1/2 wide {BACK}, 1/4 from left",
        "rabbet 16-3/4 x 1/4 along left back",
        "rabbet 17 x 1/4 along right back",
        f"the dado in rail {TWO}",
    ),
    (
        f"dado 16-1/4 wide {BACK}, 1 from left",
        f"dado 16-1/4 wide {BACK}, 0 from left",
        SAME,
        f"the dado in rail {TWO}",
    ),
    (f"{ALONG} 2 to 16", f"{ALONG} 1 to 15", SAME),
    (f"{ALONG} 1/2 to 16", f"{ALONG} 0 to 15", SAME),
    (f"{ALONG} 1/2 to 1", GONE, SAME),
    (f"{ALONG} 17-1/4 to 18", f"{ALONG} 16-1/4 to 17", GONE, GONE),
    (f"{ALONG} 3 to 18", f"{ALONG} 2 to 17", f"{ALONG} 3 to 17-1/4", f"{ALONG} 2 to 16-1/4"),
    (f"{ALONG} 3 to 17-1/4", f"{ALONG} 2 to 16-1/4", SAME),
    ("groove 1/4 wide 1/4 deep along bottom, 1/4 from front", SAME, SAME),
    (
        "groove 1/4 wide 2 deep along left, 1/4 from front",
        "groove 1/4 wide 1 deep along left, 1/4 from front",
        SAME,
    ),
    ("groove 1/4 wide 1 deep along left, 1/4 from front", GONE, SAME),
    (
        "groove 1/4 wide 17 deep along left, 1/4 from front",
        "groove 1/4 wide 16 deep along left, 1/4 from front",
        SAME,
    ),
    (
        "groove 1/4 wide 17-1/4 deep along left, 1/4 from front",
        "groove 1/4 wide 16-1/4 deep along left, 1/4 from front",
        f"the groove in rail {TWO}",
        f"the groove in rail {TWO}",
    ),
    ("rabbet 1-1/2 x 1/4 along left back", "rabbet 1/2 x 1/4 along left back", SAME),
    ("rabbet 1/4 x 1-1/2 along back left", "rabbet 1/4 x 1/2 along back left", SAME),
    ("rabbet 1 x 1/4 along left back", GONE, SAME),
    ("rabbet 1 x 1/4 along right back", SAME, "rabbet 1/4 x 1/4 along right back"),
    ("rabbet 17 x 1/4 along left back", "rabbet 16 x 1/4 along left back", SAME),
    (
        "rabbet 17-1/4 x 1/4 along left back",
        "rabbet 16-1/4 x 1/4 along left back",
        f"the rabbet in rail {TWO}",
        f"the rabbet in rail {TWO}",
    ),
    ("rabbet 3/8 x 1/4 along back bottom", SAME, SAME),
    (
        "rabbet 3/8 x 1/4 along back bottom, from 3 to 15",
        "rabbet 3/8 x 1/4 along back bottom, from 2 to 14",
        SAME,
    ),
    ("notch 2 x 1/2 at left top", "notch 1 x 1/2 at left top", SAME),
    ("notch 1/2 x 2 at top right", SAME, "notch 1/2 x 1-1/4 at top right"),
    ("notch 2 x 1/2 x 1/4 at left top back", "notch 1 x 1/2 x 1/4 at left top back", SAME),
    ("notch 1/4 x 1/2 x 2 at back top right", SAME, "notch 1/4 x 1/2 x 1-1/4 at back top right"),
    ("notch 2 wide 1 deep along top, 6 from left", "notch 2 wide 1 deep along top, 5 from left", SAME),
    (
        "cutout 3 x 1 in front, 5 from left, 1 from top",
        "cutout 3 x 1 in front, 4 from left, 1 from top",
        SAME,
    ),
    (
        "cutout 1 x 3 in front, 1 from top, 5 from left",
        "cutout 1 x 3 in front, 1 from top, 4 from left",
        SAME,
    ),
    (
        "cutout 3 x 1 in front, 5 from right, 1 from top",
        SAME,
        "cutout 3 x 1 in front, 4-1/4 from right, 1 from top",
    ),
    ("cutout 1/2 x 1 in front, 1/4 from left, 1 from top", GONE, SAME),
    ("cutout 1/2 x 1 in front, 1/2 from left, 1 from top", GONE, SAME),
    ("cutout 1/2 x 1 in front, 1/4 from right, 1 from top", SAME, GONE),
    ("cutout 1 x 1 in front, 1/2 from left, 1 from top", f"the cutout in rail {OTHER} cutout", SAME),
    ("cutout 1 x 1 in front, 1 from left, 1 from top", f"the cutout in rail {OTHER} cutout", SAME),
    ("cutout 1 x 1 in front, 3/4 from right, 1 from top", SAME, f"the cutout in rail {OTHER} cutout"),
    ("hole 1/4 wide 3 deep in left, 1 from top, 3/8 from front", f"the hole in rail {OTHER} hole", SAME),
    (
        "hole 1/2 wide in front, 5 from left, 1 from top",
        "hole 1/2 wide in front, 4 from left, 1 from top",
        SAME,
    ),
    (
        "slot 2 x 1/2 in front, 1 from top, 5 from right",
        SAME,
        "slot 2 x 1/2 in front, 1 from top, 4-1/4 from right",
    ),
    ("arch 1 deep along bottom, from 4 to 12", "arch 1 deep along bottom, from 3 to 11", SAME),
    ("arch 1/4 deep along bottom, from 1/4 to 1", GONE, SAME),
    (
        "arch 1/4 deep along bottom, from 17-1/4 to 18",
        "arch 1/4 deep along bottom, from 16-1/4 to 17",
        GONE,
        GONE,
    ),
    ("arch 1/2 deep along left", f"the arch in rail {OTHER} arch", SAME),
    # 41 in of radius; 8 in off its middle it is 1 - (41 - sqrt(41 * 41 - 8 * 8)) = 0.212 deep, 8-1/4 in off it 0.161.
    (
        "arch 1 deep along bottom",
        "arch through 7/32 at 0, 1 at 8, 0 at 17 along bottom",
        "arch through 0 at 0, 1 at 9, 5/32 at 17-1/4 along bottom",
        "arch through 7/32 at 0, 1 at 8, 5/32 at 16-1/4 along bottom",
    ),
    # 8-1/2 in of radius; 3 in off its middle it is 0.453 deep.
    ("arch 1 deep along bottom, from 0 to 8", "arch through 29/64 at 0, 1 at 3, 0 at 7 along bottom", SAME),
    # 13/16 in of radius; its middle goes. 1/4 in off it it is 0.461 deep, 1/2 in off it 0.328.
    (
        "arch 1/2 deep along bottom, from 0 to 1-1/2",
        "arch through 29/64 at 0, 21/64 at 1/4, 0 at 1/2 along bottom",
        SAME,
    ),
    (
        "arch through 0 at 4, 1 at 8, 0 at 12 along bottom",
        "arch through 0 at 3, 1 at 7, 0 at 11 along bottom",
        SAME,
    ),
    (
        "bow 1/2 deep along top",
        f"the bow of rail {SHAPE}",
        f"the bow of rail {SHAPE}",
        f"the bow of rail {SHAPE}",
    ),
    ("bow 1/4 deep along left", f"the bow of rail {SHAPE}", SAME),
    (
        "taper bottom to 3 at left, 5 from right",
        f"the taper of rail {SHAPE}",
        "taper bottom to 3 at left, 4-1/4 from right",
        f"the taper of rail {SHAPE}",
    ),
    (
        "taper bottom to 3 at left, 3/4 from right",
        f"the taper of rail {SHAPE}",
        f"the taper of rail {SHAPE}",
    ),
    ("taper bottom to 3 at left, 1/2 from right", f"the taper of rail {SHAPE}", f"the taper of rail {SHAPE}"),
    ("chamfer 1/4 at left top", f"the chamfer of rail {SHAPE}", SAME),
    ("chamfer 1/4 at top front", SAME, SAME),
    ("left end rounded 1", f"the rounded corner of rail {SHAPE}", SAME),
]
WHICH = {"left": ("rail.left",), "right": ("rail.right",), "both": ("rail.left", "rail.right")}
_NEXT = {"left": "front", "right": "back", "front": "bottom", "back": "top", "bottom": "left", "top": "right"}
_LIES = {"crosswise": "deep", "deep": "upright", "upright": "crosswise"}
_FACES = {
    "front": "down",
    "back": "up",
    "down": "left",
    "up": "right",
    **{side: _NEXT[side] for side in ("left", "right")},
}


def laid_over(text: str, times: int) -> str:
    """The same piece laid on another side: left is front then, front is bottom, and bottom is left."""
    for _ in range(times):
        text = re.sub(
            r"facing (\w+)|(?<=long, )(crosswise|deep|upright)|(?<!set )\b(left|right|front|back|bottom|top)\b",
            lambda found: (
                f"facing {_FACES[found[1]]}" if found[1] else _LIES.get(found[0]) or _NEXT[found[0]]
            ),
            text,
        )
        text = text.replace("bottom to top", "top to bottom").replace("right to left", "left to right")
    return text


def cases() -> Iterator[tuple[str, str, str, int]]:
    for number, (detail, left, right, *more) in enumerate(CUTS):
        (both,) = more or [left if right == SAME else right]
        for turn, (which, becomes) in enumerate(zip(WHICH, (left, right, both), strict=True)):
            yield detail, which, becomes, (number + turn) % 3


@pytest.mark.parametrize(
    ("detail", "which", "becomes", "times"),
    list(cases()),
    ids=lambda each: each if isinstance(each, str) else None,
)
def test_a_cut_stays_where_it_is_or_goes_with_the_wood_or_keeps_the_joint(
    detail: str, which: str, becomes: str, times: int
) -> None:
    text = laid_over(FRAME.format(detail=detail), times)
    found = taken_back(text, *(laid_over(name, times) for name in WHICH[which]))
    if isinstance(found, str):
        assert becomes and becomes in found
        return
    new = found.plan.source.text
    line = laid_over(detail if becomes == SAME else becomes, times)
    assert new.splitlines()[5] == (f"    {line}" if line else new.splitlines()[5].lstrip()), new


SIDE = """\
plan "Side"
stock ply of birch plywood, 3/4 thick
{side}
part shelf_1, shelf_2 of ply, 20-3/8 long, 11 wide, crosswise, facing up
join shelf_1.left to side.right as dado, 3/8 deep
    flush front
    12 from bottom
join shelf_2.left to side.right as dado, 3/8 deep
    flush front
    20 from bottom
"""
LOW, HIGH = (f"dado 3/4 wide 3/8 deep across right, {at} from bottom" for at in (12, 20))
GROOVE, NOTCH = "groove 1/4 wide 1/4 deep along left, 1 from back", "notch 1 x 1 at top front"


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("{size}, {low}, {high}", "{size}"),
        ("{low}, {size}, {high}", "{size}"),
        ("{size}, {low}, {groove}, {high}", "{size}, {groove}"),
        ("{low}, {high}, {size}", "{size}"),
        ("{size}\n    {low}, {high}", "{size}"),
        ("{size}\n    {low}, {high}, {groove}", "{size}\n    {groove}"),
        ("{size}\n    {groove}, {low}, {high}", "{size}\n    {groove}"),
        ("{size}\n    {groove}, {low}, {notch}\n    {high}", "{size}\n    {groove}, {notch}"),
        ("{size}\n    {low}, {groove}, {high}, {notch}", "{size}\n    {groove}, {notch}"),
        ("{size}\n    {low}, {groove}, {high}   # by router", "{size}\n    {groove}   # by router"),
        ("{size}\n    {low}\n    {groove}\n    {high}", "{size}\n    {groove}"),
    ],
)
def test_cuts_are_struck_out_wherever_they_stand_in_a_line(told: str, left: str) -> None:
    words = {
        "size": "30 long, 11 wide, upright, facing left",
        "low": LOW,
        "high": HIGH,
        "groove": GROOVE,
        "notch": NOTCH,
    }
    was, now = (f"part side of ply, {each.format(**words)}" for each in (told, left))
    found = taken_back(SIDE.format(side=was))
    assert not isinstance(found, str), found
    assert f"3/4 thick\n{now}\npart shelf_1" in found.plan.source.text


BESIDE = """
part other of rail, {long} long, crosswise, facing front
join {sides} as resting
    flush front
    {where}
"""
ON_IT, UNDER_IT = "other.bottom to rail.top", "rail.bottom to other.top"


@pytest.mark.parametrize(
    ("sides", "long", "where", "left", "right", "both"),
    [
        # What stands on the rail is measured from ends that go.
        (ON_IT, 4, "1-1/4 from left", "1/4 from left", SAME, ""),
        (ON_IT, 4, "1 from left", "flush left", SAME, ""),
        (ON_IT, 4, "1/2 from left", "proud 1/2 at left", SAME, ""),
        (ON_IT, 4, "flush left", "proud 1 at left", SAME, ""),
        (ON_IT, 4, "proud 1/2 at left", "proud 1-1/2 at left", SAME, ""),
        (ON_IT, 4, "set back 1-1/4 from left", "set back 1/4 from left", SAME, ""),
        (ON_IT, 4, "set back 1/2 from left", "proud 1/2 at left", SAME, ""),
        (ON_IT, 4, "2 from right", SAME, "1-1/4 from right", ""),
        # 7 in from both ends, and then 6 from what the left is.
        (ON_IT, 4, "centred left to right", "6 from left", "7 from left", "6 from left"),
        (ON_IT, 24, "centred left to right", "proud 4 at left", "proud 3 at left", "proud 4 at left"),
        # The rail itself is measured on what it stands on.
        (UNDER_IT, 30, "3 from left", "4 from left", SAME, ""),
        (UNDER_IT, 30, "flush left", "set back 1 from left", SAME, ""),
        (UNDER_IT, 16, "proud 1/2 at left", "1/2 from left", SAME, ""),
        (UNDER_IT, 16, "proud 1 at left", "flush left", SAME, ""),
        (UNDER_IT, 16, "proud 1-1/2 at left", "proud 1/2 at left", SAME, ""),
        (UNDER_IT, 30, "set back 3 from right", SAME, "set back 3-3/4 from right", ""),
        (UNDER_IT, 30, "centred left to right", "7 from left", "6 from left", "7 from left"),
    ],
)
def test_what_is_placed_by_an_end_that_goes_stays_where_it_is(
    sides: str, long: int, where: str, left: str, right: str, both: str
) -> None:
    text = FRAME.format(detail="rough") + BESIDE.format(sides=sides, long=long, where=where)
    for times, (which, now) in enumerate(
        zip(WHICH, (left, right, both or (left, right)[left == SAME]), strict=True)
    ):
        found = taken_back(laid_over(text, times), *(laid_over(name, times) for name in WHICH[which]))
        assert not isinstance(found, str), found
        told = found.plan.source.text.splitlines()[-2:]
        assert told == laid_over(f"    flush front\n    {where if now == SAME else now}", times).splitlines()


WATCHED = """\
plan "Watched"
stock wood of poplar, 3/4 x 4
part base of wood, 40 long, crosswise, facing up
part bar of wood, 20 long, crosswise, facing front
    groove 1/4 wide 1/4 deep along back, 1 from top, from 2 to 18
    dado 3/4 wide 1/4 deep across front, 5 from left
    arch 1/2 deep along bottom, from 4 to 12
    chamfer 1/4 at top front
    right end cut 10, long at top
part bowed of wood, 20 long, crosswise, facing front
    bow 1/2 deep along top
part propped of wood, 10 long, upright, facing front
    turned 10 about vertical
join bar.bottom to base.top as resting
    3 from left
    1 from front
join bowed.bottom to base.top as resting
    3 from left
    3 from front
join propped.bottom to base.top as resting
    2 from right
    1 from front
"""


@pytest.mark.parametrize(
    ("was", "now", "astray"),
    [
        ("", "", ""),
        ("40 long", "40-1/64 long", "base propped"),
        ("bar of wood, 20 long", "bar of wood, 20-1/64 long", "bar"),
        ("bar of wood, 20 long", "bar of wood, 20 long, 3-63/64 wide", "bar"),
        ("bar of wood, 20 long", "bar of wood, 20 long, 47/64 thick", "bar"),
        ("crosswise, facing front\n    groove", "crosswise, facing back\n    groove", "bar"),
        ("upright, facing front", "upright, facing back", "propped"),
        ("from 2 to 18", "from 2-1/64 to 18", "bar"),
        ("from 2 to 18", "from 2 to 17-63/64", "bar"),
        ("1 from top", "1-1/64 from top", "bar"),
        ("3/4 wide 1/4 deep", "3/4 wide 17/64 deep", "bar"),
        ("across front", "across back", "bar"),
        ("5 from left", "5-1/64 from left", "bar"),
        ("    dado 3/4 wide 1/4 deep across front, 5 from left\n", "", "bar"),
        ("arch 1/2 deep", "arch 17/32 deep", "bar"),
        ("along bottom, from 4 to 12", "along bottom, from 4 to 11-63/64", "bar"),
        ("along bottom, from 4 to 12", "along top, from 4 to 12", "bar"),
        ("    arch 1/2 deep along bottom, from 4 to 12\n", "", "bar"),
        ("    arch", "    arch 1/2 deep along bottom, from 14 to 17\n    arch", "bar"),
        ("chamfer 1/4", "chamfer 17/64", "bar"),
        ("chamfer 1/4 at top front", "chamfer 1/4 at top back", "bar"),
        ("    chamfer 1/4 at top front\n", "", "bar"),
        ("end cut 10", "end cut 11", "bar"),
        ("cut 10, long at top", "cut 10, long at bottom", "bar"),
        ("    right end cut 10, long at top\n", "", "bar"),
        ("bow 1/2 deep", "bow 17/32 deep", "bowed"),
        ("bow 1/2 deep along top", "bow 1/2 deep along bottom", "bowed"),
        ("    bow 1/2 deep along top\n", "", "bowed"),
        ("turned 10 about vertical", "turned 11 about vertical", "propped"),
        ("    3 from left\n    1 from front", "    3-1/64 from left\n    1 from front", "bar"),
        ("    3 from left\n    1 from front", "    3 from left\n    63/64 from front", "bar"),
        ("join bar.bottom to base.top", "join bar.top to base.bottom", "bar"),
        ("    2 from right\n", "    2-1/64 from right\n", "propped"),
        ("bowed", "bended", "bowed"),
    ],
)
def test_whatever_lies_elsewhere_or_is_of_another_shape_is_seen(was: str, now: str, astray: str) -> None:
    """The proof that a conversion leaves the piece as it was: nothing is passed over that a rule shows."""
    assert was in WATCHED
    pieces: list[Piece] = []
    for text in (WATCHED, WATCHED.replace(was, now) if was else WATCHED):
        plan, mistakes = understand(PlanText("test.plan", text), Settings())
        assert plan is not None and not mistakes, mistakes
        pieces.append(Piece(plan, Settings()))
    before, after = pieces
    assert sorted(parts_moved(before, after, Change())) == astray.split()


def told(text: str, name: str, *joints: str) -> list[str]:
    """What the report says of the sizes and cuts that one joint changes, and of the outside."""
    sites, piece, change = worked_out(text, *joints)
    assert isinstance(change, Change), change
    join = piece.plan.join_by_name[name]
    sizes = (each.says for each in size_changes(sites, change, join))
    return [*sizes, *map(Saying, outside_changes(sites, change, join))]


GROOVED = (
    FRAME.format(detail="groove 1/4 wide 1/4 deep along bottom, 1/4 from front")
    + """\
part muntin of rail, 10 long, 2 wide, upright, facing front
join muntin.top to rail.bottom as mortise and tenon, 1/4 long
    flush front
    8 from left
"""
)
DADO = """\
plan "Dado"
stock plank of poplar, 3/4 x 10
part side of plank, 30 long, upright, facing left
    dado {cut} across right, 10 from bottom
part shelf of plank, {shelf}, crosswise, facing up
join shelf.left to side.right as dado, 3/8 deep
    {where} from front
    10 from bottom
"""
LESS = "shelf is 3/8 in shorter at the left, now 19-5/8 in instead of 20 in: what lay in the dado goes"
NOW = "the dado in side is now cut from"


@pytest.mark.parametrize(
    ("cut", "shelf", "where", "left", "says"),
    [
        (
            "3/4 wide 3/8 deep",
            "20 long",
            0,
            "",
            ["the dado in side is left out: nothing lies in it any longer"],
        ),
        # It ran on a little, or over half of the side, or to both sides.
        (
            "3/4 wide 3/8 deep",
            "20 long, 9-1/2 wide",
            0,
            "",
            [
                "the dado in side is left out: nothing lies in it any longer",
                "the dado in side ran on 1/2 in past shelf with nothing in it; that is wood now",
            ],
        ),
        (
            "3/4 wide 3/8 deep",
            "20 long, 5-1/16 wide",
            0,
            "",
            [
                "the dado in side is left out: nothing lies in it any longer",
                "the dado in side ran on 4-15/16 in past shelf with nothing in it; that is wood now",
            ],
        ),
        (
            "3/4 wide 3/8 deep",
            "20 long, 5 wide",
            0,
            ", from 5 to 10",
            [f"{NOW} 5 in to 10 in only, from its front: elsewhere the joint filled it"],
        ),
        (
            "3/4 wide 3/8 deep",
            "20 long, 4 wide",
            3,
            ", from 0 to 3, from 7 to 10",
            [
                f"{NOW} 0 in to 3 in and from 7 in to 10 in only, from its front: elsewhere the joint filled it"
            ],
        ),
        # A board of 9/16 in is three quarters of the dado's width; one of 1/2 in is less, and one thicker never fits.
        (
            "3/4 wide 3/8 deep",
            "20 long, 9/16 thick",
            0,
            "",
            [
                "the dado in side is left out: nothing lies in it any longer",
                "the dado in side was larger than what lay in it; all of that is wood now",
            ],
        ),
        (
            "3/4 wide 3/8 deep",
            "20 long, 1/2 thick",
            0,
            "as it was",
            [
                "shelf reached into the dado in side and filled only part of it; the dado runs on open there now"
            ],
        ),
        # It is cut deeper than the shelf goes in.
        (
            "3/4 wide 1/2 deep",
            "20 long",
            0,
            "",
            [
                "the dado in side is left out: nothing lies in it any longer",
                "the dado in side was larger than what lay in it; all of that is wood now",
            ],
        ),
        (
            "3/4 wide 1/4 deep",
            "20 long",
            0,
            "",
            ["the dado in side is left out: nothing lies in it any longer"],
        ),
    ],
)
def test_a_dado_stays_where_nothing_lay_in_it_that_goes(
    cut: str, shelf: str, where: int, left: str, says: list[str]
) -> None:
    text = DADO.format(cut=cut, shelf=shelf, where=where)
    after = taken_back(text)
    assert not isinstance(after, str), after
    dado = f"    dado {cut} across right, 10 from bottom"
    runs = [""] if left == "as it was" else [f", {run}" for run in left.split(", ")[1:]]
    lines = [line for line in after.plan.source.text.splitlines() if "across right" in line]
    assert lines == [dado + run for run in runs]
    assert told(text, "shelf.left") == [LESS, *says]


@pytest.mark.parametrize(
    ("text", "joint", "says"),
    [
        (
            FRAME.format(detail="rough"),
            "rail.left",
            [
                "rail is 1 in shorter at the left, now 16-1/4 in instead of 18 in, its other end counted too: the "
                "tenon goes, and no mortise is cut"
            ],
        ),
        (
            FRAME.format(detail="rough").replace("tenon, 3/4 long", "tenon, 2 long, through"),
            "rail.right",
            [
                "rail is 2 in shorter at the right, now 15 in instead of 18 in, its other end counted too: the tenon "
                "goes, and no mortise is cut",
                "the end of the tenon is no longer seen at the right of post_r",
            ],
        ),
        (
            # 8 to 10 in from where the rail began, which is 1 in further left; the tenon at the right takes 3/4 of it.
            GROOVED,
            "muntin.top",
            [
                "muntin is 1/4 in shorter at the top, now 9-3/4 in instead of 10 in: the tenon goes, and no mortise is "
                "cut",
                "the groove in rail is now cut from 0 in to 7 in and from 9 in to 16-1/4 in only, from its left: "
                "elsewhere the joint filled it",
            ],
        ),
        (
            # What is left of it before the muntin is cut in the tenon alone.
            GROOVED.replace("    8 from left", "    1 from left"),
            "muntin.top",
            [
                "muntin is 1/4 in shorter at the top, now 9-3/4 in instead of 10 in: the tenon goes, and no mortise is "
                "cut",
                "the groove in rail is now cut from 2 in to 16-1/4 in only, from its left: elsewhere the joint filled "
                "it",
            ],
        ),
    ],
)
def test_the_report_tells_what_changes(text: str, joint: str, says: list[str]) -> None:
    assert told(text, joint) == says


LEGS = """\
plan "Leg"
stock post of white oak, 1-1/2 x 3
stock rail of white oak, 3/4 x 3
part leg of post, 30 long, upright, facing front{cut}
"""


def test_what_is_left_of_a_cut_in_a_part_that_becomes_two_is_told_of_the_whole_of_it() -> None:
    """The lapped rail is 7 in long: the leg is cut at it, from 18 to 21 in."""
    text = (
        LEGS.format(cut="\n    groove 1/4 wide 1/4 deep along right, 1/4 from front")
        + """\
part low of rail, 20 long, crosswise, facing front
part high of post, 7 long, crosswise, facing front
join low.left to leg.right as mortise and tenon, 1 long
    flush front
    5 from bottom
join high.back to leg.front as half lap, 1-1/2 deep
    18 from bottom
    centred left to right
"""
    )
    left = "from 0 in to 5 in and from 8 in to 30 in only, from its bottom: elsewhere the joint filled it"
    assert told(text, "low.left")[1:] == [f"the groove in leg is now cut {left}"]


def test_a_leg_that_becomes_two_is_the_mirror_image_of_none_any_longer() -> None:
    text = (
        LEGS.format(cut="\npart leg_r mirrors leg")
        + """\
part rail of post, 27 long, crosswise, facing front
join rail.back to leg.front as half lap, 1-1/2 deep
    12 from bottom
    proud 2 at left
join rail.back to leg_r.front as half lap, 1-1/2 deep
    12 from bottom
    proud 2 at right
"""
    )
    conversion = converted(text)
    assert not [each.refused for each in conversion.joints if each.refused]
    for name in ("leg", "leg_r"):
        for number, size in ((1, 12), (2, 15)):
            line = f"part {name}_{number} of post, {size} long, upright, facing front"
            assert line in conversion.result.text.splitlines()


TENON = """\
plan "Tenon"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 4
part post of post, 20 long, upright, facing front
part rail of rail, 18 long, crosswise, facing front
join rail.left to post.right as mortise and tenon, 1 long{made}
    {up} top
    {out} front
"""


@pytest.mark.parametrize(
    ("made", "up", "out", "lost"),
    [
        ("", "flush", "flush", ""),
        ("", "proud 1/2 at", "flush", "rail stands 1/2 in out past post at the top"),
        ("", "flush", "proud 1/8 at", "rail stands 1/8 in out past post at the front"),
        (", 2 wide", "proud 1/2 at", "flush", ""),
        (", 2 wide", "proud 1 at", "flush", ""),
        (", 2 wide", "proud 1-1/16 at", "flush", "rail stands 1/16 in out past post at the top"),
        (", 2 wide, haunched", "proud 1/2 at", "flush", "rail stands 1/2 in out past post at the top"),
        (", 1/4 thick", "flush", "proud 1/4 at", ""),
        (", 1/4 thick", "flush", "proud 5/16 at", "rail stands 1/16 in out past post at the front"),
        (", 1/4 thick", "proud 1/2 at", "flush", "rail stands 1/2 in out past post at the top"),
        (", 1/4 thick, 2 wide", "proud 1 at", "proud 1/4 at", ""),
    ],
)
def test_beside_a_tenon_there_are_shoulders_and_no_wood(made: str, up: str, out: str, lost: str) -> None:
    found = taken_back(TENON.format(made=made, up=up, out=out))
    assert isinstance(found, str) is bool(lost), found
    assert not isinstance(found, str) or found == f"{lost}: cut there, that wood would be lost"


TOP = """
part top of rail, 24 long, crosswise, facing up
join rail.top to top.bottom
    centred left to right
    flush front
    pockets {row} in back
    screws coarse 1-1/4
"""


@pytest.mark.parametrize(
    ("row", "left", "right"),
    [
        ("at 3, 9, 15 from left", "at 2, 8, 14 from left", SAME),
        ("at 1/2, 9, 15 from left", "at 8, 14 from left", SAME),
        ("at 1, 9, 15 from left", "at 8, 14 from left", SAME),
        ("at 3, 9, 17-1/4 from left", "at 2, 8, 16-1/4 from left", "at 3, 9 from left"),
        ("at 3, 9, 17-1/2 from left", "at 2, 8, 16-1/2 from left", "at 3, 9 from left"),
        ("at 3, 9 from right", SAME, "at 2-1/4, 8-1/4 from right"),
        ("every 6 from 3 of left", "every 6 from 2 of left", SAME),
        ("every 6 from 1-5/16 of left", "every 6 from 5/16 of left", SAME),
        # 1/4 in from the end is too near: the next one is the first.
        ("every 6 from 1-1/4 of left", "every 6 from 6-1/4 of left", SAME),
        ("every 5 from 1/2 of left", "every 5 from 4-1/2 of left", SAME),
        ("every 6 from 3 of right", SAME, "every 6 from 2-1/4 of right"),
        ("3", SAME, SAME),
    ],
)
def test_pockets_stay_where_they_are_though_what_they_are_measured_from_goes(
    row: str, left: str, right: str
) -> None:
    text = FRAME.format(detail="rough") + TOP.format(row=row)
    for which, now in (("left", left), ("right", right)):
        after = taken_back(text, *WHICH[which])
        assert not isinstance(after, str), after
        assert after.plan.source.text.splitlines()[-2] == f"    pockets {row if now == SAME else now} in back"


NOTCHED = """\
plan "Notched"
stock lath of poplar, 3/4 x 2
stock broad of poplar, 3/4 x 6
part stile of broad, 20 long, upright, facing front
    notch 3/8 x {high} at front top
part rail of lath, 12 long, crosswise, facing front
join rail.left to stile.right as half lap, {deep} deep, 3/8 thick
    flush top, front
"""


@pytest.mark.parametrize(
    ("high", "deep", "stays", "says"),
    [
        ("2", "6", False, "the notch in stile is left out: nothing lies in it any longer"),
        ("3-15/16", "6", False, "the notch in stile was larger than what lay in it; all of that is wood now"),
        (
            "4",
            "6",
            True,
            "rail reached into the notch in stile and filled only part of it; the notch runs on open there",
        ),
        (
            "2",
            "3",
            True,
            "rail reached into the notch in stile and filled only part of it; the notch runs on open there",
        ),
        ("2", "3-1/16", False, "the notch in stile was larger than what lay in it; all of that is wood now"),
    ],
)
def test_a_notch_goes_that_the_lap_filled_for_the_most_part(
    high: str, deep: str, stays: bool, says: str
) -> None:
    text = NOTCHED.format(high=high, deep=deep)
    after = taken_back(text)
    assert not isinstance(after, str), after
    assert bool(after.plan.part_by_name["stile"].removals) is stays
    assert any(each.startswith(says) for each in told(text, "rail.left")), told(text, "rail.left")


def test_a_groove_filled_to_half_its_depth_runs_on() -> None:
    """The muntin was let in 1/8 in, and the groove is 1/4 in deep: what is cut for a panel stays."""
    text = GROOVED.replace(
        "mortise and tenon, 1/4 long\n    flush front\n    8",
        "mortise and tenon, 1/8 long\n    flush front\n    8",
    )
    after = taken_back(text, "muntin.top")
    assert not isinstance(after, str) and "1/4 from front\njoin" in after.plan.source.text
    assert told(text, "muntin.top", "muntin.top")[1:] == [
        "muntin reached into the groove in rail and filled only part of it; the groove runs on open there now"
    ]


def test_joints_at_one_end_that_go_in_to_different_depths() -> None:
    text = """\
plan "Two legs"
stock post of poplar, 2 x 2
stock board of poplar, 3/4 x 4
part leg_f, leg_b of post, 20 long, upright, facing front
part shelf of board, 20 long, crosswise, facing up
join shelf.left to leg_f.right as mortise and tenon, 1 long
    flush front
    4 from bottom
join shelf.left to leg_b.right as mortise and tenon, {deep} long
    flush back
    4 from bottom
"""
    assert taken_back(text.format(deep="3/4")) == (
        "the joints at the left of shelf go in to different depths: it would have to end in two places"
    )
    assert not isinstance(taken_back(text.format(deep=1)), str)


@pytest.mark.parametrize(
    ("turn", "lies", "end", "meets"),
    [
        ("90 about vertical", "crosswise", "left", "back"),
        ("-90 about vertical", "crosswise", "left", "front"),
        ("180 about vertical", "crosswise", "left", "left"),
        ("180 about vertical", "crosswise", "right", "right"),
        ("90 about deep", "upright", "top", "left"),
        ("-90 about deep", "upright", "top", "right"),
        ("90 about crosswise", "upright", "top", "back"),
        ("-90 about crosswise", "upright", "top", "front"),
    ],
)
def test_a_part_turned_by_quarters_is_as_good_as_square(turn: str, lies: str, end: str, meets: str) -> None:
    """With its right at the back its left is in front, and meets the back of what stands there; and so on."""
    text = f"""\
plan "Turned"
stock post of poplar, 6 x 6
stock bar of poplar, 1 x 1
part post of post, 6 long, upright, facing front
part bar of bar, 12 long, {lies}, facing front
    turned {turn}
    dado 1/2 wide 1/4 deep across front, 4 from {end}
join bar.{end} to post.{meets} as mortise and tenon, 1 long
    {"2 from left" if meets in {"front", "back"} else "2 from front"}
    2 from bottom
"""
    after = taken_back(text)
    assert not isinstance(after, str), after
    new = after.plan.source.text
    assert "bar of bar, 11 long" in new and f"across front, 3 from {end}\n" in new


@pytest.mark.parametrize(
    ("has", "own", "beside", "below"),
    [
        ("ends cut 10, long at front", "", ", ends cut 10, long at front", ""),
        (
            "ends cut 10, long at front",
            "top end cut 5, long at front",
            "",
            "bottom end cut 10, long at front",
        ),
        (
            "ends cut 10, long at front",
            "bottom end cut 5, long at front",
            "",
            "top end cut 10, long at front",
        ),
        ("ends cut 10, long at front", "ends cut 5, long at front", "", ""),
        (
            "top end cut 10, long at front",
            "bottom end cut 5, long at front",
            "",
            "top end cut 10, long at front",
        ),
        ("top end cut 10, long at front", "top end cut 5, long at front", "", ""),
        ("chamfer 1/4 at top front", "", "", "chamfer 1/4 at top front"),
        ("covered left", "covered right", ", covered left", ""),
    ],
)
def test_a_part_told_by_itself_takes_over_what_it_does_not_say(
    has: str, own: str, beside: str, below: str
) -> None:
    """Like a side that loses its dado; its own ends go before those that it took over."""
    mine = f"\n    {own}" if own else ""
    side = f"part side of ply, 30 long, 11 wide, upright, facing left\n    {has}\n    {LOW}"
    text = SIDE.format(side=f"{side}\npart like_it like side{mine}")
    after = taken_back(text, "shelf_1.left")
    assert not isinstance(after, str), after
    new = after.plan.source.text.partition("part like_it")[2].partition("\npart shelf_1")[0]
    taken = "".join(f"\n    {each}" for each in (below, LOW) if each)
    assert new == f" of ply, 30 long, 11 wide, upright, facing left{beside}{mine}{taken}"


CORNER = """\
plan "Corner"
stock high of poplar, 3/4 x 5
stock low of poplar, 3/4 x 4
part side of high, 12 long, deep, facing left
part back_ of low, 20 long, crosswise, facing front
join side.back to back_.front as through dovetail
    flush bottom
    {where} left
"""


def test_what_a_higher_side_is_dovetailed_to_ends_there_only_at_its_end() -> None:
    """At its end the lower one is the shorter one; in its middle nothing can be cut."""
    after = taken_back(CORNER.format(where="flush"))
    assert not isinstance(after, str) and "part back_ of low, 19-1/4 long" in after.plan.source.text
    assert taken_back(CORNER.format(where="5 from")) == (
        "side stands 1 in out past back_ at the top: cut there, that wood would be lost"
    )


def test_one_of_two_joins_that_one_line_tells_of_other_parts_stays_as_it_is_told() -> None:
    text = """\
plan "Two rails"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 3-1/2
part post_l, post_r of post, 20 long, upright, facing front
part one, two of rail, 18 long, crosswise, facing front
join one.left, two.left to post_l.right, post_r.right as mortise and tenon, 1 long
    flush top, front
"""
    after = taken_back(text, "one.left")
    assert not isinstance(after, str)
    assert after.plan.source.text.endswith(
        "part one of rail, 17 long, crosswise, facing front\n"
        "part two of rail, 18 long, crosswise, facing front\n"
        "join one.left to post_l.right  # was: mortise and tenon, 1 long\n    flush top, front\n"
        "join two.left to post_r.right as mortise and tenon, 1 long\n    flush top, front\n"
    )


SPLAYED = """\
plan "Splayed"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 4
part leg of post, 24 long, upright, facing front
    turned 8 about deep
part rail of rail, 16 long, crosswise, facing front
    left end cut 8, long at bottom
part block of rail, 4 long, 1-1/2 wide, crosswise, facing front
    right end cut 8, long at top
join rail.left to leg.right as mortise and tenon, 1 long
    2 from top
    set back 3/8 from front
join block.right to rail.{side} as {how}
    {where}
"""


def test_what_meets_an_end_at_a_slant_that_goes_keeps_its_joint() -> None:
    text = SPLAYED.format(side="left", how="glued", where="flush front\n    1 from bottom")
    assert taken_back(text, "rail.left") == (
        "block.right would no longer meet rail.left: the wood that goes is what holds them together"
    )


def test_joins_that_one_line_tells_to_one_side_stay_together_where_they_are_alike() -> None:
    text = """\
plan "Three rungs"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 2
part post of post, 20 long, upright, facing front
part one, two, three of rail, 18 long, crosswise, facing front
join one.left, two.left, three.left to post.right as mortise and tenon, 1 long
    flush front
"""
    after = taken_back(text, "one.left", "two.left")
    assert not isinstance(after, str)
    assert after.plan.source.text.endswith(
        "join one.left, two.left to post.right  # was: mortise and tenon, 1 long\n    flush front\n"
        "join three.left to post.right as mortise and tenon, 1 long\n    flush front\n"
    )
