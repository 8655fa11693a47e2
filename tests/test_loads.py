"""What a piece weighs and where its loads go, against formulas, tables and a library that no one here wrote."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from math import cos, radians, sin, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from planlint.findings.finding import Grade
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.drilling.screw_choice import diameter
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.timber import find_material
from planlint.model.workshop import Settings
from planlint.repairs.mending import mend
from planlint.rulebook.figure_tables import figures
from planlint.rulebook.limits import Limits
from planlint.statics import spring_structure
from planlint.statics.beam_parts import BeamPart
from planlint.statics.bent_wood import Bent, bent_parts
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.cut_sections import left_in_span
from planlint.statics.friction import RUBS
from planlint.statics.joint_ties import Kind, Tie
from planlint.statics.people import HEAVY_PERSON, LEAST, WIDE, everywhere
from planlint.statics.screw_strength import Allowed, lateral, pull_through, withdrawal, yield_limit
from planlint.statics.shelf_sag import flexure, may_bear, shelf_spans
from planlint.statics.solved_loads import Force
from planlint.statics.spring_structure import BALANCE, Structure
from planlint.statics.weights import part_weight, piece_weight
from planlint.statics.wood_strength import density, gravity, modulus, rupture, screw_gravity
from planlint.text.source import PlanText

DEMO = Path(__file__).parent.parent / "planlint" / "demo"
DOWN = (0.0, 0.0, -1.0)


def piece_of(text: str) -> Piece:
    plan, mistakes = understand(PlanText("loads.plan", text), Settings())
    assert plan is not None
    assert not mistakes
    return Piece(plan)


def standing_of(text: str) -> tuple[Piece, Standing]:
    piece = piece_of(text)
    found, unjudged = carried(piece)
    assert not unjudged
    return piece, found[0]


# ---------------------------------------------------------------- beams against closed formulas

OAK = """plan "Beam"
stock board of red oak, 3/4 x 10
part beam of board, {long} long, crosswise, facing up
"""


def beam_on(long: float, supports: list[float], stations: list[float]) -> tuple[Piece, BeamPart, list[Tie]]:
    """A board of red oak on hard points, kept from sliding and from rolling over."""
    piece = piece_of(OAK.format(long=long))
    body = piece.bodies[0]
    beam = BeamPart(body, [*supports, *stations], 0)
    part, hard = body.part, 1e9
    ties = [
        Tie(Kind.WALL, part, None, plus(beam.at(at), beam.y, y), (0.0, 0.0, 1.0), hard)
        for at in supports
        for y in (-4, 4)
    ]
    ties += [Tie(Kind.WALL, part, None, beam.at(supports[0]), way, hard) for way in ((1, 0, 0), (0, 1, 0))]
    ties.append(Tie(Kind.WALL, part, None, beam.at(supports[-1]), (0, 1, 0), hard))
    return piece, beam, ties


def sinks(beam: BeamPart, ties: list[Tie], force: Force, at: float) -> float:
    part = beam.part
    return Structure({part.name: beam}, ties, 100.0).solve([force]).shift(part, beam.at(at), DOWN)


def bent_in(beam: BeamPart, ties: list[Tie], force: Force) -> Bent:
    (bent,) = bent_parts(Structure({beam.part.name: beam}, ties, 100.0).solve([force]), [force])
    return bent


def test_a_beam_on_two_points_bends_as_the_books_say() -> None:
    """5 w L^4 / 384 E I, and P L^3 / 48 E I at the middle."""
    _, beam, ties = beam_on(36, [0, 36], [18])
    flex = beam.flexure[0]
    even, middle = (
        Force(beam.part, (0, 0, -60.0)),
        Force(beam.part, (0, 0, -60.0), beam.at(18)),
    )
    assert sinks(beam, ties, even, 18) == pytest.approx(5 * 60 * 36**3 / (384 * flex), rel=1e-5)
    assert sinks(beam, ties, middle, 18) == pytest.approx(60 * 36**3 / (48 * flex), rel=1e-5)
    for force, moment in ((even, 60 * 36 / 8), (middle, 60 * 36 / 4)):
        bent = bent_in(beam, ties, force)
        assert bent.psi == pytest.approx(moment / (10 * 0.75**2 / 6), rel=1e-4)
        assert bent.station == pytest.approx(18, abs=0.01)
        assert bent.flat and bent.left == 1


def test_a_beam_built_in_at_both_ends() -> None:
    """w L^4 / 384 E I."""
    _, beam, ties = beam_on(36, [0, 36], [18])
    ties += [
        Tie(Kind.WALL, beam.part, None, plus(beam.at(at), beam.z, z), (1.0, 0.0, 0.0), 1e11)
        for at in (0, 36)
        for z in (-0.375, 0.375)
    ]
    assert sinks(beam, ties, Force(beam.part, (0, 0, -60.0)), 18) == pytest.approx(
        60 * 36**3 / (384 * beam.flexure[0]), rel=1e-3
    )


def test_a_beam_over_three_points_and_one_that_stands_out() -> None:
    """Over two equal spans the middle one carries 5/4 w L; a free end sinks P a^2 (L + a) / 3 E I."""
    _, beam, ties = beam_on(60, [0, 30, 60], [])
    solved = Structure({"beam": beam}, ties, 100.0).solve([Force(beam.part, (0, 0, -100.0))])
    middle = sum(
        pull
        for tie, pull in zip(solved.ties, solved.pulls, strict=True)
        if tie.direction[2] and abs(beam.station(tie.point) - 30) < 1
    )
    assert abs(middle) == pytest.approx(5 / 4 * 50, rel=1e-4)
    _, beam, ties = beam_on(45, [0, 30], [])
    end = Force(beam.part, (0, 0, -20.0), beam.at(45))
    expected = 20 * 15**2 * (30 + 15) / (3 * beam.flexure[0])
    assert sinks(beam, ties, end, 45) == pytest.approx(expected, rel=1e-4)


CUTS = (
    ("rabbet 2 x 3/8 along back top", (0, 36)),
    ("dado 3/4 wide 3/8 deep across bottom, 17-5/8 from left", (17.625, 18.375)),
    ("groove 1 wide 3/8 deep along top, 3 from front, from 10 to 26", (10, 26)),
)


@pytest.mark.parametrize(("cut", "where"), CUTS)
def test_cuts_weaken_a_board(cut: str, where: tuple[float, float]) -> None:
    """The sag of a board on two points by the integral of both moments over E I, at 20000 places, with the section left
    at each worked out by hand; and what the whole structure finds, which spreads a short cut between two nodes."""
    piece = piece_of(f"{OAK.format(long=36)}    {cut}\n")
    beam = BeamPart(piece.bodies[0], [0, 9, 18, 27, 36], 0)
    full = 10 * 0.75**3 / 12
    thin = {
        "rabbet": 8 * 0.75 * (0.375 - (6 * 0.375 + 0.75 * 0.1875) / 6.75) ** 2
        + 2 * 0.375 * (0.1875 - (6 * 0.375 + 0.75 * 0.1875) / 6.75) ** 2
        + 8 * 0.75**3 / 12
        + 2 * 0.375**3 / 12,
        "dado": 10 * 0.375**3 / 12,
        "groove": 9 * 0.75**3 / 12
        + 0.375**3 / 12
        + 6.75 * (0.375 - (6.75 * 0.375 + 0.375 * 0.1875) / 7.125) ** 2
        + 0.375 * (0.1875 - (6.75 * 0.375 + 0.375 * 0.1875) / 7.125) ** 2,
    }[cut.split(maxsplit=1)[0]]
    at = (np.arange(20000) + 0.5) * 36 / 20000
    inertia = np.where((at > where[0]) & (at < where[1]), thin, full)
    moment, unit_moment = 60 / 36 * at * (36 - at) / 2, np.minimum(at, 36 - at) / 2
    expected = float(np.sum(moment * unit_moment / inertia) * 36 / 20000 / beam.modulus)
    plain = 5 * 60 * 36**3 / (384 * beam.modulus * full)
    assert left_in_span(beam.cut, 0, 36) == pytest.approx(plain / expected, rel=1e-3)
    part, hard = beam.part, 1e9
    ties = [
        Tie(Kind.WALL, part, None, plus(beam.at(at), beam.y, y), (0, 0, 1), hard)
        for at in (0, 36)
        for y in (-4, 4)
    ]
    ties += [Tie(Kind.WALL, part, None, beam.at(0), way, hard) for way in ((1, 0, 0), (0, 1, 0))]
    ties.append(Tie(Kind.WALL, part, None, beam.at(36), (0, 1, 0), hard))
    load = Force(part, (0, 0, -60.0))
    assert sinks(beam, ties, load, 18) == pytest.approx(expected, rel=0.1)
    # How far the wood reaches from the middle of what is left.
    reach = {"rabbet": 0.75 - 2.390625 / 6.75, "dado": 0.1875, "groove": 0.75 - 2.6015625 / 7.125}
    out = np.where(inertia == thin, reach[cut.split(maxsplit=1)[0]], 0.375)
    assert bent_in(beam, ties, load).psi == pytest.approx(float(np.max(moment * out / inertia)), rel=2e-3)


# ---------------------------------------------------------------- a frame against a general library

FRAME = """plan "Frame"
    unit {unit}
stock post of red oak, {two} x {two}
part leg_l, leg_r of post, {high} long, upright, facing front
part rail of post, {long} long, crosswise, facing front
join rail.left to leg_l.right
    flush top, front
    pockets 2 in back
    screws fine {screw}
join rail.right to leg_r.left
    flush top, front
    pockets 2 in back
    screws fine {screw}
load {load} on rail
"""
INCHES = {"unit": "inch", "two": "2", "high": "24", "long": "36", "screw": "2-1/2", "load": "100 lb"}
METRIC = {
    "unit": "mm",
    "two": "50.8",
    "high": "609.6",
    "long": "914.4",
    "screw": "63.5",
    "load": "45.359237 kg",
}


def taken_hold_of(beam: BeamPart, ties: Sequence[Tie]) -> list[float]:
    """Where along a part its springs take hold, and its nodes: from its low end, none twice."""
    found = [0.0]
    holds = [beam.station(tie.point) for tie in ties if beam.part in (tie.part, tie.to)]
    for at in sorted([*holds, *beam.nodes]):
        if found[-1] + 0.01 < at <= beam.length:
            found.append(at)
    return found


def test_a_frame_with_the_same_springs_in_a_general_library() -> None:
    """Beams of the same section, with a node wherever a spring takes hold, and springs as stiff at the same points on
    stiff arms, solved by PyNite."""
    from Pynite import FEModel3D  # noqa: PLC0415 - slow to import

    _, standing = standing_of(FRAME.format(**INCHES))
    ours, solution = standing.structure, standing.solution
    stations = {name: taken_hold_of(beam, ours.ties) for name, beam in ours.beams.items()}
    model = FEModel3D()
    model.add_material("stiff", 1e9, 1e9, 0.3, 0.0)
    model.add_section("stiff", 100, 100, 100, 100)
    for name, beam in ours.beams.items():
        b = beam.width
        model.add_material(name, beam.modulus, beam.modulus / 16, 0.3, 0.0)
        model.add_section(name, b * b, b**4 / 12, b**4 / 12, b**4 * (1 / 3 - 0.21 * (1 - 1 / 12)))
        for n, at in enumerate(stations[name]):
            model.add_node(f"{name}{n}", *beam.at(at))
        for n in range(len(stations[name]) - 1):
            model.add_member(f"{name}.{n}", f"{name}{n}", f"{name}{n + 1}", name, name)

    def at_tie(n: int, off: float) -> list[float]:
        # No two points alike, nor one on the arm of another: there the library would join them.
        aside = (1e-4 * (n + 1), 7e-4 * (n % 7 + 1), 9e-4 * (n % 5 + 1))
        tie = ours.ties[n]
        return [p + off * d + a for p, d, a in zip(tie.point, tie.direction, aside, strict=True)]

    def on_arm(beam: BeamPart, called: str, tie: Tie, place: list[float]) -> None:
        model.add_node(called, *place)
        at = beam.station(tie.point)
        nearest = min(
            range(len(stations[beam.part.name])), key=lambda n: abs(stations[beam.part.name][n] - at)
        )
        model.add_member(f"arm {called}", f"{beam.part.name}{nearest}", called, "stiff", "stiff")

    for n, tie in enumerate(ours.ties):
        if tie.kind in {Kind.PRESSING, Kind.FLOOR} and not solution.pressing[n]:
            continue
        on_arm(ours.beams[tie.part.name], f"a{n}", tie, at_tie(n, 0.0))
        if tie.to is not None:
            on_arm(ours.beams[tie.to.name], f"b{n}", tie, at_tie(n, 0.02))
        else:
            model.add_node(f"b{n}", *at_tie(n, 0.02))
            model.def_support(f"b{n}", *[True] * 6)
        model.add_spring(f"s{n}", f"a{n}", f"b{n}", tie.stiffness)
    for force in (*standing.weights, *standing.bears):
        beam = ours.beams[force.part.name]
        for n, (low, high) in enumerate(pairwise(stations[beam.part.name])):
            for way, pounds in zip(("FX", "FY", "FZ"), force.pounds, strict=True):
                each = pounds / beam.length
                model.add_member_dist_load(f"{beam.part.name}.{n}", way, each, each, 0, high - low)
    model.analyze_linear(check_stability=False)
    rail = ours.beams["rail"]
    sinks = [solution.shift(rail.part, rail.at(at), DOWN) for at in stations["rail"]]
    theirs = [-model.nodes[f"rail{n}"].DZ["Combo 1"] for n in range(len(stations["rail"]))]
    assert sinks == pytest.approx(theirs, abs=0.01 * max(theirs))
    for n, tie in enumerate(ours.ties):
        if tie.kind is Kind.SCREW and abs(solution.pulls[n]) > 1:
            force = model.springs[f"s{n}"].axial("Combo 1")
            assert abs(solution.pulls[n]) == pytest.approx(abs(force), rel=0.03, abs=0.3)
    bends = list(bent_parts(solution, (*standing.weights, *standing.bears)))
    moments = [most_moment(model, bent, stations[bent.part.name]) for bent in bends]
    assert [bent.psi * 2**3 / 6 for bent in bends] == pytest.approx(moments, rel=0.05)


def most_moment(model: Any, bent: Bent, stations: list[float]) -> float:
    """The greatest bending moment, both ways together, at the library's nodes within an inch of a place."""
    most: float = max(
        sum(
            abs(model.members[f"{bent.part.name}.{n}"].moment(way, at - low, "Combo 1"))
            for way in ("My", "Mz")
        )
        for n, (low, high) in enumerate(pairwise(stations))
        for at in (low, high)
        if abs(at - bent.station) < 1
    )
    return most


# ---------------------------------------------------------------- balance, units, mirrors, things that move


def screws_of(piece: Piece, standing: Standing) -> list[tuple[str, float, float]]:
    return sorted(
        (join.name, round(force.along, 3), round(force.across, 3))
        for join in piece.plan.joins
        for force in standing.solution.screw_forces(join)
    )


@given(st.lists(st.tuples(st.integers(-4, 4), st.integers(-4, 4)), min_size=3, max_size=8, unique=True))
@settings(max_examples=30)
def test_a_group_of_screws_by_the_elastic_vector_method(places: list[tuple[int, int]]) -> None:
    """A load beside a group of equal screws: its share on each, and its turning moment by distance from their middle:
    P / n, and P e r / sum of r^2 square to r."""
    piece = piece_of(OAK.format(long=4))
    beam = BeamPart(piece.bodies[0], [], 0)
    assert beam.stiff
    ways = (beam.x, beam.y)
    ties = [
        Tie(Kind.SCREW, beam.part, None, plus(beam.at(2 + x), beam.y, y), way, 5000.0)
        for x, y in places
        for way in ways
    ]
    # What the screws do not hold: the way through the face.
    ties += [
        Tie(Kind.WALL, beam.part, None, plus(beam.at(2 + x), beam.y, y), beam.z, 1e6)
        for x, y in ((4, 0), (-4, 4), (-4, -4))
    ]
    load, at = 120.0, (7.0, 1.0)
    solution = Structure({beam.part.name: beam}, ties, 10.0).solve(
        [Force(beam.part, scaled(beam.y, -load), plus(beam.at(2 + at[0]), beam.y, at[1]))]
    )
    n = len(places)
    mx, my = (sum(axis) / n for axis in zip(*places, strict=True))
    polar = sum((x - mx) ** 2 + (y - my) ** 2 for x, y in places)
    moment = -load * (at[0] - mx)
    for k, (x, y) in enumerate(places):
        along, across = solution.pulls[2 * k : 2 * k + 2]
        # A spring holds against the movement: it pulls its part with what the part is pushed by.
        assert along == pytest.approx(moment * (y - my) / polar, abs=1e-3 * load)
        assert across == pytest.approx(load / n - moment * (x - mx) / polar, abs=1e-3 * load)


def test_units_make_no_difference() -> None:
    inches, metric = (screws_of(*standing_of(FRAME.format(**each))) for each in (INCHES, METRIC))
    for (name, along, across), (same, pull, push) in zip(inches, metric, strict=True):
        assert name == same
        assert [along, across] == pytest.approx([pull, push], abs=0.01)


@pytest.mark.parametrize("name", ["bookcase", "base-cabinet"])
def test_a_piece_is_in_balance(name: str) -> None:
    """What the floor carries is weight and loads, to a millionth, and nothing pushes sideways."""
    _, standing = standing_of((DEMO / f"{name}.plan").read_text("utf-8"))
    floor = standing.solution.on_supports(Kind.FLOOR, Kind.FLOOR_RUBBING)
    x, y, z = (sum(each[axis] for each in floor.values()) for axis in range(3))
    whole = standing.pounds + standing.weighs
    assert abs(x) + abs(y) + abs(z + whole) < BALANCE * whole
    assert standing.solution.off <= BALANCE


SHELF = """plan "Shelf"
    seen from nowhere
stock sheet of {wood}, {thick} thick
part side_l, side_r of sheet, {high} long, {deep} wide, upright, facing left
part shelf of sheet, {long} long, {deep} wide, crosswise, facing up
join shelf.left to side_l.right
    {up} from bottom
    flush front
    pockets {left} in bottom
    screws to suit
join shelf.right to side_r.left
    {up} from bottom
    flush front
    pockets {right} in bottom
    screws to suit
load {load} lb per foot on shelf
"""


@settings(max_examples=15, deadline=None)
@given(
    st.sampled_from(["birch plywood", "red oak", "pine", "MDF", "Norway spruce"]),
    st.sampled_from(["3/4", "1", "18 mm"]),
    st.integers(12, 60),
    st.integers(6, 16),
    st.integers(8, 50),
    st.tuples(st.integers(1, 4), st.integers(1, 4)),
    st.integers(1, 60),
)
@example("pine", "1", 12, 6, 8, (1, 1), 60)
def test_any_shelf_is_in_balance_and_its_mirror_image_too(
    wood: str, thick: str, high: int, deep: int, long: int, screws: tuple[int, int], load: int
) -> None:
    said = {"wood": wood, "thick": thick, "high": high, "deep": deep, "long": long, "load": load}
    up = high // 2
    one, standing = standing_of(SHELF.format(**said, up=up, left=screws[0], right=screws[1]))
    other, mirrored = standing_of(SHELF.format(**said, up=up, left=screws[1], right=screws[0]))
    assert bool(standing.solution.loose) is bool(mirrored.solution.loose)
    if standing.solution.loose:
        return
    for each in (standing, mirrored):
        floor = each.solution.on_supports(Kind.FLOOR)
        whole = each.pounds + each.weighs
        assert sum(force[2] for force in floor.values()) == pytest.approx(-whole, rel=1e-6)
    theirs = sorted(
        (name.replace("left", "*").replace("right", "left").replace("*", "right"), a, b)
        for name, a, b in screws_of(other, mirrored)
    )
    worst = max(abs(a) + abs(b) for _, a, b in theirs)
    for (name, along, across), (same, pull, push) in zip(screws_of(one, standing), theirs, strict=True):
        assert name == same
        assert [along, across] == pytest.approx([pull, push], abs=1e-3 * worst + 2e-3)


def test_what_nothing_holds_is_told_by_its_name() -> None:
    """A plank that reaches far past the one post that it lies on loose tips off; no numerical error is told."""
    text = """plan "Plank on a post"
stock post of pine, 4x4
stock board of pine, 1x6
part post of post, 20 long, upright, facing front
part plank of board, 60 long, crosswise, facing up
join plank.bottom to post.top as resting
    flush left
    centred front to back
load 50 lb on plank
"""
    found = inspect_text(PlanText("plank.plan", text)).findings
    assert any("plank" in each.parts and each.rule in {"joint-overload", "tip-over"} for each in found)


def test_what_lies_on_wood_presses_on_it_without_a_join_that_says_so() -> None:
    text = """plan "Two blocks and a board"
stock post of oak, 3-1/2 x 3-1/2
stock board of oak, 3/4 x 3-1/2
part block_l, block_r of post, 12 long, upright, facing front
part tie of board, 23 long, crosswise, facing front
part top of board, 30 long, crosswise, facing up
join tie.left, tie.right to block_l.right, block_r.left as dowels, dowel 3/8 thick, 2 long
    4 from bottom
    flush front
    glued
join top.bottom to block_l.top as resting
    flush left, front
load 100 lb on top
"""
    piece, standing = standing_of(text)
    assert not standing.solution.loose
    floor = standing.solution.on_supports(Kind.FLOOR)
    assert -floor["block_r"][2] == pytest.approx(-floor["block_l"][2], rel=1e-3)
    assert [(each.low, each.high) for each in shelf_spans(piece, piece.plan.part_by_name["top"])] == [
        (1.75, 28.25)
    ]


def test_a_load_may_push_to_a_side() -> None:
    text = FRAME.format(**INCHES)
    _, standing = standing_of(f"{text}load 20 lb on rail towards the right\n")
    floor = standing.solution.on_supports(Kind.FLOOR_RUBBING)
    assert sum(force[0] for force in floor.values()) == pytest.approx(20)


LOOSE_TOP = """plan "Top that lies loose on a trestle"
    seen from nowhere
stock sheet of birch plywood, 3/4 thick
stock beam of pine, 3-1/2 x 3-1/2
part base of beam, 30 long, crosswise, facing up, fixed to wall
part top of sheet, 30 long, 12 wide, crosswise, facing up
join top.bottom to base.top as resting
    flush left
    centred front to back
load 40 lb on top
load {push} lb on top towards the left
"""


@given(st.integers(1, 60))
@settings(max_examples=10, deadline=None)
@example(17)
@example(20)
def test_friction_holds_its_share_of_what_presses(push: int) -> None:
    """A top that lies loose slides once it is pushed by more than its share of weight and load."""
    piece, standing = standing_of(LOOSE_TOP.format(push=push))
    top = piece.plan.part_by_name["top"]
    presses = 40 + part_weight(piece, top).pounds
    assume(abs(push - RUBS * presses) > 1)
    assert (top in standing.solution.loose) is (push > RUBS * presses)


SLAT = """plan "Platform bed"
    seen from nowhere
stock plank of douglas fir, 2x8
stock lath of pine, 1x4
part rail_l, rail_r of plank, {long} long, deep, facing left{hung}
part end_f, end_b of plank, 36 long, crosswise, facing front
part slat of lath, 39 long, crosswise, facing up
join end_f.left, end_f.right to rail_l.right, rail_r.left
    flush top, front
    pockets 3 in back
    screws to suit
join end_b.left, end_b.right to rail_l.right, rail_r.left
    flush top, back
    pockets 3 in front
    screws to suit
join slat.bottom to rail_l.top as resting
    flush left
    20 from front
load {pounds} lb on slat
"""


BED = """plan "Bed"
stock post of red oak, 3 x 3
stock rail of red oak, 1 x 6
stock ledge of red oak, 3/4 x 1-1/2
stock slat of eastern white pine, 1x4
part post_fl, post_bl, post_fr, post_br of post, 16 long, upright, facing front
part rail_l, rail_r of rail, 76 long, deep, facing left
part rail_f of rail, 55 long, crosswise, facing front
part ledge_l, ledge_r of ledge, 76 long, deep, facing left
join rail_l.front, rail_l.back to post_fl.back, post_bl.front
    flush top
    centred left to right
    pockets 3 in right
join rail_r.front, rail_r.back to post_fr.back, post_br.front
    flush top
    centred left to right
    pockets 3 in left
join rail_f.left, rail_f.right to post_fl.right, post_fr.left
    flush top
    centred front to back
    pockets 3 in back
join ledge_l.left to rail_l.right as glued
    1-1/2 from bottom
    flush front
join ledge_r.right to rail_r.left as glued
    1-1/2 from bottom
    flush front
for n in 1 to 12
    part slat_{n} of slat, 56-3/4 long, crosswise, facing up
    join slat_{n}.bottom to ledge_l.top as resting
        set back 1/8 from left
        (n - 1) * 6-1/2 + 1 from front
    load 40 lb on slat_{n}
"""


def test_a_ledge_glued_to_its_rail_bends_as_that_does() -> None:
    """By hand: half of the load and of the slats on a rail of 6 square inches of section modulus bends it to 390 psi,
    and the ledge glued along it no more; it bends between the points of its glue besides."""
    _, standing = standing_of(BED)
    for ledge in ("ledge_l", "ledge_r"):
        assert most_bent([standing], ledge) < 1000


def test_contacts_settle_alike_by_the_short_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """From how it is while all press, and by solving the whole anew, as a sparse matrix, for each that opens."""
    _, short = standing_of(BED)
    monkeypatch.setattr(spring_structure, "MOST_FULL", 0)
    _, whole = standing_of(BED)
    most = max(map(abs, whole.solution.pulls))
    assert short.solution.pulls == pytest.approx(whole.solution.pulls, abs=1e-3 * most)


def test_boards_that_only_lie_there_cost_little_and_change_nothing() -> None:
    """A slat beside the one that is sat on need not bend: its weight tells, and nothing else of it."""
    alone = SLAT.format(long=78, pounds=200, hung="")
    idle = (
        alone.replace("part slat of", "part slat, idle of")
        + "join idle.bottom to rail_l.top as resting\n    flush left\n    40 from front\n"
    )
    (_, one), (_, two) = standing_of(alone), standing_of(idle)
    assert two.structure.unknowns == one.structure.unknowns + 6
    assert most_bent(everywhere(*standing_of(idle)), "slat") == pytest.approx(
        most_bent(everywhere(*standing_of(alone)), "slat"), rel=1e-3
    )


def most_bent(standings: Sequence[Standing], name: str) -> float:
    return max(
        bent.psi
        for each in standings
        for bent in bent_parts(each.solution, (*each.weights, *each.bears))
        if bent.part.name == name
    )


@pytest.mark.parametrize(
    ("pounds", "hung"), [(90, ""), (200, ""), (400, ""), (200, ", hung with bottom at 40 in")]
)
def test_people_bend_a_slat_where_they_tell_most_and_things_all_along_it(pounds: int, hung: str) -> None:
    """A board that lies loose slips on what it lies on: it is bent over the clear span, 36 in, as one that is free to
    turn and to slide. By hand: w (L^2 - 4 a^2) / 8 of what lies all along; P / 4 (L - c / 2) of people c in wide."""
    piece, standing = standing_of(SLAT.format(long=78, pounds=pounds, hung=hung))
    own = part_weight(piece, piece.plan.part_by_name["slat"]).pounds
    section = 3.5 * 0.75**2 / 6
    even = (36**2 - 4 * 1.5**2) / 8 / 39
    assert most_bent([standing], "slat") == pytest.approx((own + pounds) * even / section, rel=0.02)
    people = pounds >= LEAST and not hung
    assert (len(everywhere(piece, standing)) > 1) is people
    if people:
        placed = pounds / 4 * (36 - WIDE * max(1.0, pounds / HEAVY_PERSON) / 2)
        worst = most_bent(everywhere(piece, standing), "slat")
        assert worst == pytest.approx((own * even + placed) / section, rel=0.02)
    for each in everywhere(piece, standing):
        rubs = [
            pull
            for tie, pull in zip(each.solution.ties, each.solution.pulls, strict=True)
            if tie.kind is Kind.RUBBING
        ]
        assert sum(map(abs, rubs)) < RUBS * pounds


TRESTLE = """plan "Trestle on hinged legs"
    seen from nowhere
stock stud of douglas fir, 2x4
part leg_l of stud, 30 long, upright, facing left
    turned {slant} about deep
    ends cut {slant}, long at right
part leg_r of stud, 30 long, upright, facing left
    turned -{slant} about deep
    ends cut {slant}, long at left
part cap of stud, 12 long, crosswise, facing up
join leg_l.top to cap.bottom
    1 from left
    centred front to back
    hinges at 1/2, 3 from front, 2 long
join leg_r.top to cap.bottom
    1 from right
    centred front to back
    hinges at 1/2, 3 from front, 2 long
load 200 lb on cap
"""


@pytest.mark.parametrize(("slant", "slides"), [(15, False), (20, False), (25, True), (35, True)])
def test_legs_that_lean_slide_apart_where_friction_is_less_than_their_slant(slant: int, slides: bool) -> None:
    """A leg that is held at its top by a hinge thrusts by the tangent of its slant: 0.36 at 20 degrees, 0.47 at 25."""
    _, standing = standing_of(TRESTLE.format(slant=slant))
    assert bool(standing.solution.loose) is standing.slides is slides


def test_legs_that_lean_stand_on_what_is_left_where_their_feet_are_cut_level() -> None:
    """Stock 1-1/2 in thick, cut at 20 degrees: a foot 1.6 in long, as high as the corner that is gone."""
    text = TRESTLE.format(slant=20)
    for long, end in (("right", "left"), ("left", "right")):
        level = f"    top end cut 20, long at {long}\n    bottom end cut 20, long at {end}\n"
        text = text.replace(f"    ends cut 20, long at {long}\n", level)
    _, standing = standing_of(text)
    feet = [tie.point for tie in standing.structure.ties if tie.kind is Kind.FLOOR]
    assert len(feet) == 8
    assert {round(point[2], 6) for point in feet} == {round(1.5 * sin(radians(20)), 6)}
    low, high = (pick(point[0] for point in feet[:4]) for pick in (min, max))
    assert high - low == pytest.approx(1.5 / cos(radians(20)))
    assert standing.floor == pytest.approx(feet[0][2])
    assert not standing.solution.loose


def test_straight_screws_bolts_and_pins_carry_too() -> None:
    """Two screws, bolts or pins at each end of a shelf carry what lies on it."""
    for how in ("screws 2 through side_{}, 2 long", "bolts 2 through side_{}, 1/4 thick, 2 long", "pins 2"):
        text = re.sub(
            r"    pockets 2 in bottom\n    screws to suit\njoin|    pockets 2 in bottom\n    screws to suit\nload",
            "@",
            SHELF.format(
                wood="birch plywood", thick="3/4", high=20, deep=10, long=24, up=9, left=2, right=2, load=10
            ),
        )
        left, right, load = text.split("@")
        said = f"{left}    {how.format('l')}\njoin{right}    {how.format('r')}\nload{load}"
        _, standing = standing_of(said)
        assert not standing.solution.loose
        assert standing.solution.off <= BALANCE


# ---------------------------------------------------------------- screws against tables

GRAVITIES = (0.67, 0.55, 0.50, 0.49, 0.46, 0.43, 0.42, 0.37, 0.36, 0.35)
NDS_12L = {
    6: (88, 67, 59, 57, 53, 49, 47, 41, 40, 38),
    7: (96, 74, 65, 63, 59, 54, 52, 45, 44, 42),
    8: (107, 82, 73, 71, 66, 61, 59, 51, 50, 48),
    9: (121, 94, 83, 81, 76, 70, 68, 59, 58, 56),
    10: (130, 101, 90, 87, 82, 75, 73, 64, 63, 60),
    12: (156, 123, 110, 107, 100, 93, 91, 79, 78, 75),
    14: (168, 133, 120, 117, 110, 102, 99, 87, 86, 83),
}
"""NDS 2018, table 12L, side member 1/2 in: the cell of No. 10 and 0.50 read, the others from memory."""


def test_screws_across_by_the_nds_table() -> None:
    for gauge, row in NDS_12L.items():
        for g, pounds in zip(GRAVITIES, row, strict=True):
            assert lateral(g, g, gauge, diameter(gauge), 10 * diameter(gauge), 0.5) == pytest.approx(
                pounds, abs=1
            )


def test_screws_pulled_heads_and_both_together_by_the_nds() -> None:
    """Table 12.2B: 135 lb an inch for a No. 10 at 0.50; table 12.2F; equation 12.4-1 at 45 degrees; table 12N."""
    fir = find_material("Douglas fir")
    assert fir is not None
    pulled = withdrawal(fir, 0.190, 2.0, end=False)
    assert pulled is not None
    assert pulled.value / 2 == pytest.approx(135, abs=0.5)
    head = next(row["head"] for row in figures("screws")["gauge"] if row["number"] == 8)
    assert head == 0.312
    assert pull_through(0.50, 8, 1.0) == pytest.approx(132, abs=0.5)
    assert 1 / Allowed(135, 90, "").used(sqrt(0.5), sqrt(0.5)) == pytest.approx(108, abs=0.01)
    for d, pounds in ((0.113, 72), (0.131, 90), (0.148, 105), (0.162, 121)):
        bends = 100_000 if d <= 0.142 else 90_000
        assert yield_limit(4650, 4650, d, 10 * d - d, 0.75, bends) == pytest.approx(pounds, abs=1)


def test_nails_and_bolts_by_the_nds() -> None:
    """Table 12.2C: 32 lb an inch for an 8d nail at 0.50 (from memory); table 12A: 480 lb along the grain for a 1/2 in
    bolt through two pieces of 1-1/2 in, its equations across it; equation 12.4-2 adds both shares of a nail."""
    nail = figures("screws")["nail_withdrawal"]
    assert nail["psi"] * 0.50 ** nail["power"] * 0.131 == pytest.approx(32, abs=0.5)
    # Along the grain both bear 5600 psi, and the term for a load across it falls out.
    assert 1.25 * yield_limit(5600, 5600, 0.5, 1.5, 1.5, 45_000) == pytest.approx(480, abs=5)
    assert Allowed(40, 80, "", nail=True).used(10, 20) == pytest.approx(0.5)
    assert Allowed(None, 80, "").used(1000, 20) == pytest.approx(0.25)


def test_a_shelf_on_too_few_screws_gets_a_cleat() -> None:
    """Pockets that are set out, so that none is added: a strip under each end, once the builder says so."""
    said = {"wood": "birch plywood", "thick": "3/4", "high": 14, "deep": 10, "long": 24, "up": 6}
    text = SHELF.format(**said, left=2, right=2, load=150).replace("pockets 2", "pockets at 2, 8 from front")
    assert any(each.rule == "joint-overload" for each in inspect_text(PlanText("shelf.plan", text)).findings)
    after = mend(
        PlanText("shelf.plan", text), wanted=lambda each: each.rule == "joint-overload", asked=True
    ).after
    assert not any(each.rule == "joint-overload" for each in after.findings)
    assert (after.source.text.count("stock cleat_wood"), after.source.text.count("join cleat_")) == (1, 4)


def test_a_nailed_back_keeps_a_case_square() -> None:
    """Nails of which only the length is told have the thickness of common ones: they hold."""
    text = SHELF.format(
        wood="birch plywood", thick="3/4", high=40, deep=12, long=24, up=20, left=2, right=2, load=10
    )
    back = """stock skin of birch plywood, 1/4 thick
part back_panel of skin, 40 long, 25-1/2 wide, upright, facing front
join back_panel.front to side_l.back
    flush left, bottom
    nails every 6 from 1 to 1 through back_panel, 1 long
join back_panel.front to side_r.back
    nails every 6 from 1 to 1 through back_panel, 1 long
"""
    piece, standing = standing_of(text + back)
    solution = standing.solution
    join = next(each for each in piece.plan.joins if each.name == "back_panel.front")
    assert len(solution.screw_forces(join)) == 8
    assert any(abs(force.across) > 0.01 for force in solution.screw_forces(join))
    rules = {each.rule for each in inspect_text(PlanText("case.plan", text + back)).findings}
    assert "racking" in {each.rule for each in inspect_text(PlanText("case.plan", text)).findings} - rules


def test_little_thread_end_grain_and_boards() -> None:
    """Under six diameters the handbook's breaking load; from end grain three quarters of that."""
    oak = find_material("red oak")
    assert oak is not None
    short, end = (withdrawal(oak, 0.164, 0.5, end=each) for each in (False, True))
    assert short is not None and end is not None
    assert short.value == pytest.approx(15700 * 0.63**2 * 0.164 * 0.5)
    assert end.value == pytest.approx(0.75 * short.value)
    assert short.breaks and end.breaks


# ---------------------------------------------------------------- weights, shelves, figures


def test_weights_by_hand() -> None:
    """A board foot of red oak at 8 percent: 144 x 0.63 x 62.428 / 1728 x 1.08 less a rabbet of 1/2 x 1/4 along it."""
    text = """plan "Board"
stock board of red oak, 1 x 12
part plain of board, 12 long, crosswise, facing up
part cut of board, 12 long, crosswise, facing up
    rabbet 1/2 x 1/4 along back top
    left end cut 45, long at top
"""
    piece = piece_of(text)
    dense = density(piece.plan.parts[0].stock.material, piece.settings.humidity)
    assert dense is not None
    assert dense.value * 1728 == pytest.approx(0.63 * 62.428 * 1.08, rel=0.01)
    plain, cut = (part_weight(piece, part) for part in piece.plan.parts)
    assert plain.pounds == pytest.approx(144 * dense.value)
    # The cut takes half a square inch off the end, the rabbet an eighth; where they meet, less.
    assert cut.pounds == pytest.approx(
        (144 - 12 * 0.5 - (12 - 1 + 0.125) * 0.125 + 0.125 * 0.125) * dense.value, rel=2e-3
    )
    assert piece_weight(piece).pounds == pytest.approx(plain.pounds + cut.pounds)


AWS = ((950_000, 0.75, 40, 40), (950_000, 1.0, 50, 49), (1_820_000, 0.75, 50, 46), (1_820_000, 1.0, 40, 66))
"""Architectural Woodwork Standards, 1st edition, page 279: E, thickness, pounds a square foot, the longest span that
sags no more than length / 144; all whole inches."""


@pytest.mark.parametrize(("e", "thick", "psf", "span"), AWS)
def test_shelves_by_a_published_table(e: float, thick: float, psf: float, span: int) -> None:
    """Our own shelf of red oak between two sides bears in proportion to E what the table's does."""
    text = SHELF.format(
        wood="red oak", thick=thick, high=12, deep=10, long=span, up=6, left=2, right=2, load=1
    )
    piece = piece_of(text)
    shelf = piece.plan.part_by_name["shelf"]
    found, flex = may_bear(piece, shelf, 1 / 144), flexure(piece, shelf)
    oak = modulus(shelf.stock.material)
    assert found is not None and flex is not None and oak is not None
    whole = (found.pounds + part_weight(piece, shelf).pounds) * e / oak.value
    per_foot = whole / (span * 10 / 144)
    assert psf * 0.99 <= per_foot <= psf * (1 + 1 / span) ** 3 * 1.01


def test_a_strip_on_edge_makes_a_t_of_a_shelf() -> None:
    """The section of two woods by hand: 10 x 3/4 with 3/4 x 2 under its front, glued."""
    text = """plan "Shelf with a lip"
stock board of red oak, 3/4 x 10
stock strip of red oak, 3/4 x 2
part shelf of board, 36 long, crosswise, facing up
part lip of strip, 36 long, crosswise, facing front
join lip.top to shelf.bottom
    flush front, left
    glued
"""
    piece = piece_of(text)
    found, oak = flexure(piece, piece.plan.parts[0]), modulus(piece.plan.parts[0].stock.material)
    assert found is not None and oak is not None
    level = (7.5 * 2.375 + 1.5 * 1.0) / 9
    inertia = 10 * 0.75**3 / 12 + 7.5 * (2.375 - level) ** 2 + 0.75 * 8 / 12 + 1.5 * (1 - level) ** 2
    assert found.value == pytest.approx(oak.value * inertia)


def test_every_figure_names_a_wood_and_its_source() -> None:
    table = figures("strength")
    for kind in ("wood", "panel"):
        for name, row in table[kind].items():
            found = find_material(name)
            assert found is not None, name
            assert found.panel is (kind == "panel")
            for key in row:
                base = key.removesuffix("_psi").removesuffix("_from").removesuffix("_read")
                assert row[f"{base}_from"] and row[f"{base}_read"] in {True, False}, (name, key)
            assert screw_gravity(found) is not None or found.kind in {
                "fibreboard",
                "particleboard",
                "hardboard",
            }


@pytest.mark.parametrize(("safety", "told"), [(3, []), (4, [Grade.CAUTION]), (10, [Grade.STOP])])
def test_a_shop_sets_how_far_from_breaking_it_stays(safety: int, told: list[Grade]) -> None:
    case = next(each for each in rule_book()["may-break"].cases if each.title.startswith("an upright grab"))
    settings = Settings(limits=Limits.of({("may-break", "safety"): float(safety)}))
    found = inspect_text(PlanText("rail.plan", case.plan), settings).findings
    assert [each.grade for each in found] == told


def test_what_breaks_a_wood_by_its_weight() -> None:
    """Where no modulus of rupture is published: within a third of all that are, and no more than they on the whole."""
    by = figures("strength")["rupture_by_gravity"]
    shares = []
    for name, row in figures("strength")["wood"].items():
        wood = find_material(name)
        assert wood is not None
        weighs, breaks = gravity(wood), rupture(wood)
        assert weighs is not None and breaks is not None
        if "rupture_psi" in row:
            shares.append(by["rupture_psi"] * weighs.value ** by["power"] / breaks.value)
    assert len(shares) > 30 and max(shares) < 1.34 and min(shares) > 0.67
    assert 0.9 < sum(shares) / len(shares) < 1.0


def test_a_plan_without_loads_is_not_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError

    monkeypatch.setattr("planlint.statics.carried_loads._stand", never)
    text = (DEMO / "apron-table.plan").read_text("utf-8")
    assert "\nload " not in text
    assert not inspect_text(PlanText("apron-table.plan", text)).crashed


def test_a_slat_too_thin_is_one_finding_with_its_breaking_and_its_screws_beside() -> None:
    """100 kg in the middle of 0.9 m of 20 x 70 mm pine: it sags, may break and pries at its screws, for one cause."""
    text = """\
plan "Slat"
    unit mm
    seen from nowhere
stock bar of pine, 38 x 89
stock slat of pine, 20 x 70
part bar_l, bar_r of bar, 400 long, deep, facing left
part slat of slat, 976 long, crosswise, facing up
join slat.bottom to bar_l.top
    flush left
    centred front to back
    screws 1 through slat, gauge 8, 50 long
join slat.bottom to bar_r.top
    flush right
    centred front to back
    screws 1 through slat, gauge 8, 50 long
load 100 kg on slat
"""
    inspection = inspect_text(PlanText("slat.plan", text))
    (told,) = (each for each in inspection.told if each.parts == ("slat",))
    assert told.rule == "shelf-sag"
    assert {each.rule for each in told.beside} >= {"may-break", "joint-overload"}
