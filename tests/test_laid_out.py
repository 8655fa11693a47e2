"""Rows that the tool lays out are not blamed for their place; faults put into sound pieces are found and mended.

A bounded part of both; ``PLANLINT_FAULTS_EVERYWHERE=1`` puts every fault everywhere. ``-s`` shows the shares.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest

from planlint.inspection.inspect_plan import inspect_text
from planlint.repairs.mending import mend
from planlint.text.edits import apply
from planlint.text.source import PlanText
from tests.faults import EVERYWHERE, FAULTS, Ground
from tests.test_pieces import NOT_YET, PIECES, notes

SOUND = [path for path in PIECES if not notes(path.read_text("utf-8"), "fault") and path.stem not in NOT_YET]
OF_PLACE = frozenset({"close-spacing", "breakout", "mitre-breakout", "thin-cover", "near-end"})
"""Rules on where a pocket lies."""
AT = re.compile(r"pockets at [^\n]*? from \w+ in")


def found(text: str) -> list[str]:
    inspection = inspect_text(PlanText("piece.plan", text))
    assert not inspection.crashed
    return [f"{each.rule} on {each.place}" for each in inspection.findings if not inspection.unread]


TOLD_BY_PLACE = [path for path in SOUND if AT.search(path.read_text("utf-8"))]


@pytest.mark.parametrize("path", TOLD_BY_PLACE, ids=lambda path: path.stem)
def test_a_row_that_the_tool_lays_out_is_not_blamed_for_its_place(path) -> None:  # type: ignore[no-untyped-def]
    """Every row told place by place is left to the tool, two pockets each."""
    text = AT.sub("pockets 2 in", path.read_text("utf-8"))
    assert [each for each in found(text) if each.split(" ")[0] in OF_PLACE] == []


def test_faults_put_into_sound_pieces_are_found_and_mended() -> None:
    seeded, told, mended = Counter[str](), Counter[str](), Counter[str]()
    for number, path in enumerate(SOUND):
        kinds = [each for turn, each in enumerate(FAULTS.items()) if EVERYWHERE or (number + turn) % 48 == 0]
        if not kinds:
            continue
        ground = Ground(inspect_text(PlanText("sound.plan", path.read_text("utf-8"))))
        for kind, fault in kinds:
            edits = list(fault(ground))
            for edit in edits if EVERYWHERE else edits[:1]:
                mending = mend(PlanText("faulty.plan", apply(ground.source.text, [edit])))
                if mending.before.unread:
                    continue
                seeded[kind] += 1
                if mending.before.findings:
                    told[kind] += 1
                    mended[kind] += mending.after.sound
    share, healed = (sum(each.values()) / max(1, total) for each, total in (
        (told, sum(seeded.values())), (mended, sum(told.values()))
    ))  # fmt: skip
    print(f"\n{sum(seeded.values())} faults put in, {share:.0%} of them told, {healed:.0%} of those mended")
    for kind in seeded:
        print(f"  {kind}: {told[kind]} of {seeded[kind]} told, {mended[kind]} mended")
    # Many a fault put in blindly is none there: a face behind that nobody sees, a quarter of an inch with nothing near.
    assert share > 0.5
    assert healed > 0.6


SHORT_APRON = """\
plan "Short apron"
    seen from nowhere
stock leg of oak, 2 x 2
stock rail of oak, 3/4 x {wide}
stock top of oak, 3/4 x 5-1/2
part leg_l of leg, 20 long, upright, facing front
part apron of rail, {long} long, crosswise, facing front
part top of top, {long} long, crosswise, facing up
join apron.left to leg_l.right
    flush top, front
    {how}
join apron.top to top.bottom
    flush left, front
    pockets 2 in back
"""


@pytest.mark.parametrize("how", ["pockets 2 in back", "pockets at 1/2, 1-1/2 from top in back"])
@pytest.mark.parametrize(("long", "wide"), [("6", "3"), ("5", "3"), ("4", "2-1/2")])
def test_what_is_laid_out_along_an_edge_keeps_clear_of_the_pockets_at_an_end(
    long: str, wide: str, how: str
) -> None:
    """Those at the end have no more room than they take: the others, set out anew, stand past their bores."""
    inspection = inspect_text(PlanText("a.plan", SHORT_APRON.format(long=long, wide=wide, how=how)))
    assert inspection.piece is not None and not inspection.findings
    end, edge = (
        [each.station for each in inspection.piece.pockets(join)] for join in inspection.piece.plan.joins
    )
    assert len(end) == len(edge) == 2
    # A bore from the end is 2 in long and more.
    assert min(edge) > 2
