"""Allowed places along joints against dense sampling by solids, and rows laid out on them."""

from __future__ import annotations

import io
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.allowed_places import Stretch, grid, keeps_spacing, marched, spread, stretches
from planlint.geometry.drilling.pocket_layout import GRID
from planlint.geometry.drilling.row_obstacles import Ground
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import SIDES, Side
from planlint.model.workshop import Settings
from planlint.reports.joint_explanations import write_joints
from planlint.reports.page_layout import Page
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText
from tests.builders import part
from tests.meetings import Meeting
from tests.solids import tried
from tests.test_geometry_pockets import Drilled, drill, drillings
from tests.test_random_joints import (
    BAND,
    COVER,
    TIP,
    agree,
    bore_solid,
    gap,
    outside,
    pilot_solid,
    screw_solid,
    taken,
)

THIN = drill(
    Meeting(
        part("a", "3/8 x 11/16 x 1/4", "upright left", "bottom 1 left"),
        Side.BOTTOM,
        part("b", "7/16 x 1 x 5/16", "upright front", "top 1 right"),
        Side.TOP,
    ),
    Side.FRONT,
    0.5,
    (-0.5, 0.0, 0.0),
)
"""The shortest screw that is kept leaves 0.023 in behind its tip."""
assert THIN is not None


@given(drillings(removals=True))
@example(THIN)
@tried(40)
def test_each_place_against_solids(d: Drilled) -> None:
    """Every eleventh place of the grid, bored and screwed by manifold3d: free just where all verdicts are.

    Not judged within ``BAND`` of a limit, nor in stock under 5/8; end distance has its own test. Where the screw in the
    middle has less than ``TIP`` behind it, 1/64 in will do there, and there alone.
    """
    assume(d.frame.thickness >= 0.65 and d.frame.high > 0.1)
    sides = d.pocket.side, d.join.side_b
    ground = Ground(d.join, 0, d.frame, (d.body, d.into), sides, Settings())
    holes, wood = list(taken(d.body)), list(taken(d.into))
    toward = [*outside(d.body, {d.pocket.face}), *holes]
    away = [*outside(d.body, {d.pocket.face, d.pocket.side}), *holes]
    far = d.join.side_b.opposite
    beside = [*outside(d.into, {d.join.side_b, far}), *wood]
    behind = [*outside(d.into, {*SIDES} - {far})]
    least = TIP if d.into.planes[far].depth(ground.screw(d.frame.high / 2).tip) >= TIP else 1 / 64
    for station in grid(d.frame.high)[::11]:
        at = d._replace(pocket=ground.pocket(station))
        screw = ground.screw(station)
        assume(screw.reach > 0.05)
        covered = min(gap(bore_solid(at), toward), gap(pilot_solid(at), away))
        solid = screw_solid(screw, d.into.planes[d.join.side_b])
        tip = min(gap(solid, beside), gap(solid, behind) + TIP - least)
        why = ground.barred(station)
        assert ground.free(station) == (not why)
        assert agree(0.0 if any("beside the bore" in each for each in why) else 1.0, covered, COVER)
        assert agree(0.0 if any("round the screw" in each for each in why) else 1.0, tip, TIP)


# ---------------------------------------------------------------- the pieces they are made of


@given(st.floats(0.1, 30), st.lists(st.tuples(st.floats(0, 30), st.floats(0, 30)), max_size=4))
@tried(150)
def test_stretches_cover_the_joint_and_say_what_each_place_does(
    width: float, bars: list[tuple[float, float]]
) -> None:
    def barred(station: float) -> tuple[str, ...]:
        return tuple(str(n) for n, (a, b) in enumerate(bars) if min(a, b) <= station <= max(a, b))

    found = stretches(width, barred)
    assert found[0].low == 0
    assert found[-1].high == pytest.approx(width)
    assert all(
        0 < after.low - before.high <= GRID + 1e-9 and after.why != before.why
        for before, after in pairwise(found)
    )
    for station in grid(width):
        (within,) = [each for each in found if each.low - 1e-9 <= station <= each.high + 1e-9]
        assert within.why == barred(station)


PLACES = st.sets(st.integers(0, 24), max_size=14).map(lambda found: sorted(n / 2 for n in found))


@given(PLACES, st.integers(1, 4), st.sampled_from([0.5, 0.75, 2.0]))
@tried(250)
def test_spread_against_every_choice(places: list[float], count: int, apart: float) -> None:
    """Out of all ways to choose so many places far enough apart: a symmetrical one where there is one, with the least
    sum of moves among those; otherwise the least sum of all; and ``None`` just where there is none."""
    width = 12.0
    wanted = [width * (2 * i + 1) / (2 * count) for i in range(count)]
    ways = [w for w in combinations(places, count) if all(b - a >= apart - 1e-9 for a, b in pairwise(w))]
    mirrored = [w for w in ways if all(abs(a + b - width) < 1e-9 for a, b in zip(w, w[::-1], strict=True))]

    def moves(way: tuple[float, ...] | list[float]) -> float:
        return sum(abs(a - b) for a, b in zip(way, wanted, strict=True))

    found = spread(wanted, width, apart, lambda place: any(abs(place - p) < 1e-9 for p in places))
    if not ways:
        assert found is None
    else:
        assert found is not None
        assert moves(found) == pytest.approx(min(map(moves, mirrored or ways)))
        assert all(any(abs(each - place) < 1e-9 for place in places) for each in found)


@given(PLACES, st.lists(st.integers(0, 48), min_size=1, max_size=4), st.sampled_from([0.5, 0.75, 2.0]))
@tried(150)
def test_a_mirrored_row_is_set_out_as_the_mirror_image(
    places: list[float], wanted: list[int], apart: float
) -> None:
    goals = sorted(each / 4 for each in wanted)
    found = spread(goals, 12.0, apart, lambda place: place in places)
    across = spread(
        [12 - each for each in reversed(goals)], 12.0, apart, lambda place: 12 - place in places, True
    )
    assert across == (found and [12 - place for place in reversed(found)])


@given(PLACES.filter(bool), st.sampled_from([2.0, 3.0, 5.0]))
@tried(250)
def test_marched_is_the_fewest(places: list[float], pitch: float) -> None:
    """From the first on, no way to go from place to place by steps of at most ``pitch`` needs fewer."""
    width, first = 12.0, places[0]
    shop = Settings(limits=Limits.of({("close-spacing", "wood between bores"): 1 / 8}))  # Bores 1/2 in apart.
    found = marched(first, pitch, width, shop, lambda place: any(abs(place - p) < 1e-9 for p in places))
    assert found[0] == first
    assert all(b - a >= 0.5 - 1e-9 for a, b in pairwise(found))
    if any(b - a > pitch for a, b in pairwise(found)):
        return  # A barred stretch is wider than the pitch: no way keeps it.
    reach, count = {first}, 1
    while max(reach) < found[-1] - 1e-9:
        reach |= {p for p in places for r in reach if r + 0.5 - 1e-9 <= p <= r + pitch + 1e-9}
        count += 1
    assert len(found) == count


def test_a_row_out_of_sight_still_holds_the_joint() -> None:
    usual = Limits()
    assert keeps_spacing([5.0], 11.25, usual)
    assert keeps_spacing([2.75, 8.25], 11.25, usual)
    assert keeps_spacing([5.5, 12.5], 18.0, usual)  # Just 2 and half a space from both ends.
    assert not keeps_spacing([5.5, 12.5], 18 + 1 / 64, usual)
    assert not keeps_spacing([7.0, 10.0], 11.25, usual)  # 7 in from the end: more than 2 and half a space
    assert not keeps_spacing([2.0, 10.5], 12.0, usual)  # 8-1/2 in apart


# ---------------------------------------------------------------- whole plans


PLAN = """\
plan "Ledge"
    seen from {seen}
stock post of red oak, 3/4 x 5-1/2
stock rail of red oak, 3/4 x 5-1/2
part post of post, 30 long, upright, facing front
part ledge of rail, 20 long, crosswise, facing front
{cut}
join ledge.left to post.right
    flush front
    10 from bottom
    {row} in back
    screws fine 1-1/4
"""


def piece(row: str = "pockets 2", cut: str = "", seen: str = "front") -> Piece:
    text = PLAN.format(row=row, cut=f"    {cut}" if cut else "", seen=seen)
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def free(p: Piece) -> list[tuple[float, float]]:
    return [(each.low, each.high) for each in p.allowed_stretches(p.plan.joins[0]) if not each.why]


def stations(p: Piece) -> list[float]:
    return [pocket.station for pocket in p.pockets(p.plan.joins[0])]


def test_a_plain_rail_is_free_but_for_its_edges() -> None:
    """Half a 3/8 in bore and 1/8 of wood: 5/16 from both edges of a rail 5-1/2 wide."""
    p = piece()
    assert free(p) == [(0.3125, 5.1875)]
    barred = [each for each in p.allowed_stretches(p.plan.joins[0]) if each.why]
    assert [each.why for each in barred] == [
        ("too little wood beside the bore, at the bottom of ledge",),
        ("too little wood beside the bore, at the top of ledge",),
    ]


def test_thin_wood_behind_the_point_spares_the_sides_nothing() -> None:
    """1 in screws in 1/2 in sheet leave 1/64 behind the point. At the end of that sheet, 3 in up, they still keep 1/16
    of wood beside half their 0.164 in: up to 2.855, on marks 2-13/16."""
    text = """plan "Corner"
    seen from front
stock sheet of birch plywood, 1/2 thick
part a of sheet, 12 long, 6 wide, upright, facing left
part b of sheet, 12 long, 4 wide, crosswise, facing front
join b.left to a.right
    flush back
    proud 1 at top
    pockets 2 in back
"""
    plan, mistakes = understand(PlanText("corner.plan", text), Settings())
    assert plan is not None and not mistakes
    assert free(Piece(plan)) == [(0.3125, 2.8125)]


def test_a_groove_bars_its_own_stretch_and_the_row_moves_to_both_sides_of_it() -> None:
    """A groove 1/4 wide from 1-1/4 to 1-1/2 below the top, so at stations 4 to 4-1/4: 5/16 to each side are barred."""
    p = piece(cut="groove 1/4 wide 1/4 deep along back, 1-1/4 from top")
    assert free(p) == [(0.3125, 3.6875), (4.5625, 5.1875)]
    (why,) = [each.why for each in p.allowed_stretches(p.plan.joins[0]) if each.low == 3.75]
    assert why == ("too little wood beside the bore, at the groove of ledge",)
    # Even spread would be 1-3/8 and 4-1/8: mirrored about the middle, 15/16 and 4-9/16 are the nearest free.
    assert stations(p) == [0.9375, 4.5625]


def test_a_groove_in_the_middle_moves_the_middle_one_of_three() -> None:
    p = piece("pockets 3", cut="groove 1/4 wide 1/4 deep along back, 2-5/8 from top")
    found = stations(p)
    assert len(found) == 3
    assert all(any(low <= s <= high for low, high in free(p)) for s in found)


def test_every_goes_as_far_as_it_may_and_no_further() -> None:
    """Free up to 3-11/16 and from 4-9/16: from 1/2 by 1-3/4 at most, 2-1/4, then not 4 but 3-11/16, then 5-1/8."""
    cut = "groove 1/4 wide 1/4 deep along back, 1-1/4 from top"
    assert stations(piece("pockets every 1-3/4 from 1/2")) == [0.5, 2.25, 4.0]
    assert stations(piece("pockets every 1-3/4 from 1/2", cut)) == [0.5, 2.25, 3.6875]
    # And so upside down: 5-1/2 less each.
    from_top = piece("pockets every 1-3/4 from 1/2 of top", cut.replace("top", "bottom"))
    assert stations(from_top) == [1.8125, 3.25, 5.0]


def test_a_row_for_which_there_is_no_place_is_told_and_stays() -> None:
    p = piece("pockets 3", cut="groove 4-1/2 wide 1/4 deep along back, 1/2 from top")
    assert free(p) == []
    assert len(stations(p)) == 3
    text = PLAN.format(
        row="pockets 3", cut="    groove 4-1/2 wide 1/4 deep along back, 1/2 from top", seen="front"
    )
    told = [f for f in inspect_text(PlanText("t", text)).findings if f.rule == "thin-cover"]
    assert len(told) == 1
    assert told[0].repairs[0].says.startswith("No place on this joint")


def test_sight_bars_a_joint_that_is_looked_at() -> None:
    p = piece(seen="back")
    assert all("in sight" in each.why for each in p.allowed_stretches(p.plan.joins[0]))


def test_the_end_of_solid_wood_is_barred() -> None:
    """Flush with the top of the post: a No. 7 splits oak within 0.302 in of the end, so 5/16 of cover is what counts;
    half a 3/4 in rail is not in question."""
    p = piece("pockets 1")
    join = p.plan.joins[0]
    ground = p.ground(join)
    assert ground is not None
    assert ground.barred(2.0) == ()


@pytest.mark.parametrize("seen", ["front", "nowhere"])
def test_laid_out_rows_do_not_depend_on_the_order_of_statements(seen: str) -> None:
    head = PLAN.format(row="pockets 2", cut="", seen=seen)
    other = """\
part arm of rail, 20 long, deep, facing left
join arm.front to post.back
    flush top, right
    pockets at 2 from top in left
"""
    lines = head.split("join ")
    for text in (head + other, lines[0] + other + "join " + lines[1]):
        plan, mistakes = understand(PlanText("t", text), Settings())
        assert plan is not None and not mistakes, mistakes
        p = Piece(plan)
        (ledge,) = [join for join in plan.joins if join.part_a.name == "ledge"]
        assert [pocket.station for pocket in p.pockets(ledge)] == [1.375, 4.125]


def test_grid_and_stretch_of_a_joint_narrower_than_a_step() -> None:
    assert grid(0.03) == [0.0, 0.03]
    assert stretches(0.03, lambda _: ()) == (Stretch(0.0, 0.03, ()),)
    assert Fraction(GRID) == Fraction(1, 16)
    assert isinstance(Manifold.cube((1, 1, 1)), Manifold) and BAND < GRID


COVERED = """\
part cover of rail, 20 long, {wide} wide, crosswise, facing front
join cover.front to ledge.back as glued
    flush left, bottom
"""


def covered(wide: str) -> tuple[Piece, list[str]]:
    text = PLAN.format(row="pockets 2", cut="", seen="back").replace(
        "part ledge of rail", "stock cover of red oak, 3/4 thick\npart ledge of rail"
    ) + COVERED.replace("of rail", "of cover").format(wide=wide)
    inspection = inspect_text(PlanText("test.plan", text))
    assert inspection.piece is not None, inspection.unread
    return inspection.piece, [finding.rule for finding in inspection.findings]


def test_a_row_is_moved_out_of_sight_where_that_still_holds_the_joint() -> None:
    """A board over the lower 4 in of the ledge hides pockets there: the upper of two comes down behind it,
    and the lower goes up as far, since that is free too."""
    p, told = covered("4")
    low, high = stations(p)
    assert 3 < high < 3.75
    assert low == pytest.approx(5.5 - high)
    assert "hole-in-sight" not in told


def test_a_row_that_would_leave_the_joint_open_stays_and_is_told() -> None:
    """Over the lower 2-1/2 in there is room for two pockets, but the rest of the joint would be held by none."""
    p, told = covered("2-1/2")
    assert stations(p) == [1.375, 4.125]
    assert "hole-in-sight" in told


def test_places_out_of_sight_are_told_where_the_plan_sets_pockets_in_sight() -> None:
    text = PLAN.format(row="pockets at 1, 3 from top", cut="", seen="front, back").replace(
        "part ledge of rail", "stock cover of red oak, 3/4 thick\npart ledge of rail"
    ) + COVERED.replace("of rail", "of cover").format(wide="4")
    inspection = inspect_text(PlanText("test.plan", text))
    (finding,) = [each for each in inspection.findings if each.rule == "hole-in-sight"]
    assert finding.repairs[0].says.startswith("Keep the pockets where nobody sees them: ")


def test_explained_joints_tell_the_stretches() -> None:
    file, p = io.StringIO(), piece(cut="groove 1/4 wide 1/4 deep along back, 1-1/4 from top")
    page = Page(file, 100)
    write_joints(page, p)
    told = " ".join(file.getvalue().split())
    assert "May go 5/16 in to 3-11/16 in, 4-9/16 in to 5-3/16 in from the bottom" in told
    assert (
        "Barred 3-11/16 in to 4-9/16 in from the bottom: too little wood beside the bore, at the groove of ledge"
        in told
    )


def explained(p: Piece) -> str:
    file = io.StringIO()
    write_joints(Page(file, 100), p)
    return " ".join(file.getvalue().split())


def test_explained_joints_tell_where_only_a_plug_would_do() -> None:
    told = explained(piece(seen="all round"))
    assert "May go if plugged: 5/16 in to 5-3/16 in from the bottom" in told
    assert "nowhere" not in told
    assert "if plugged" not in explained(piece(seen="front"))


def test_explained_joints_leave_no_gap_in_millimetres() -> None:
    """Where one stretch ends the next begins, to the millimetre that is told."""
    plan = piece(cut="groove 1/4 wide 1/4 deep along back, 1-1/4 from top").plan
    told = explained(Piece(replace(plan, unit="mm")))
    words = [each.split(" from the")[0] for each in told.split("Barred ")[1:]]
    words += told.split("May go ")[1].split(" from the")[0].split(", ")
    edges = sorted([int(end.removesuffix(" mm")) for end in each.split(" to ")] for each in words)
    assert [edges[0][0], edges[-1][1]] == [0, 140]
    assert all(before[1] == after[0] for before, after in pairwise(edges))
