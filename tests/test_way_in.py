"""Ways in against all that could be tried: every split of small pieces, and solids of manifold3d moved bit by bit."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.inspection.inspect_plan import understand
from planlint.language.joint_table import JOINTS
from planlint.model.directions import Side
from planlint.model.join_details import Tradition
from planlint.model.plan import Part
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from planlint.workplan.blocking_graph import SIX, Motions, Move, motions
from planlint.workplan.set_ups import Ways, once, reached
from planlint.workplan.swept_wood import SPARE, Sweep, wood_of
from planlint.workplan.way_in import Apart, held_together
from planlint.workplan.work_steps import work_steps
from tests.builders import NOWHERE, Builder, part
from tests.played_back import check
from tests.solids import parts, points, solid, tried

LIES = ("crosswise up", "crosswise front", "deep up", "deep left", "upright left", "upright front")
KINDS = (None, *JOINTS)
LET_IN = frozenset(kind for kind, joint in JOINTS.items() if joint.inset_from)


@st.composite
def pieces(
    draw: st.DrawFn, most: int, least: int = 2, often: str | None = None
) -> tuple[Piece, dict[int, Ways]]:
    """Parts put side to side, each joined in any of the ways there are to one before it, often to a second one that it
    touches too; and for some joints parts that keep a driver away. Of a kind asked for ``often`` is one joint at
    least."""
    count = draw(st.integers(least, most))
    built = Builder()
    kinds = st.just(often) if often else st.sampled_from(KINDS)
    sides = list(Side)
    for number in range(count):
        built.add(part(f"p{number}", f"{draw(st.integers(4, 9))} x 3 x 1", draw(st.sampled_from(LIES))))
        if number:
            other, side = draw(st.integers(0, number - 1)), draw(st.sampled_from(sides))
            _join(draw, built, number, other, side, "flush", draw(kinds))
            kinds = st.sampled_from((often, *KINDS)) if often else kinds
    placed = Piece(built.plan())
    for one, other in combinations(range(count), 2):
        a, b = placed.bodies[one].bounds, placed.bodies[other].bounds
        for side in sides:
            axis = side.axis
            gap = a.low[axis] - b.high[axis] if side.sign < 0 else b.low[axis] - a.high[axis]
            over = all(
                min(a.high[i], b.high[i]) - max(a.low[i], b.low[i]) > 0.5 for i in range(3) if i != axis
            )
            if abs(gap) < 1e-9 and over and draw(st.booleans()):
                _join(draw, built, one, other, side, "", draw(kinds))
    piece = Piece(built.plan())
    barred = {
        join.index: once(frozenset(draw(st.sets(st.integers(0, count - 1), max_size=1))))
        for join in piece.plan.joins
        if draw(st.integers(0, 3)) == 0
    }
    return piece, barred


def _join(
    draw: st.DrawFn, built: Builder, one: int, other: int, side: Side, words: str, kind: str | None
) -> None:
    # The first of a part's joints places it, let in or not; others meet where they happen to.
    deep = Fraction(draw(st.integers(0, 2)), 4) if words and kind in LET_IN else Fraction(0)
    stopped = frozenset({"stub"} if kind in {"dado", "sliding dovetail"} and draw(st.booleans()) else ())
    made = None if kind is None else Tradition(kind, {}, stopped, NOWHERE, deep)
    place = ", ".join(f"flush {each}" for each in _flush(side)) if words else ""
    built.join(f"p{one}.{side.value} to p{other}.{side.opposite.value}", place, made)


def _flush(side: Side) -> list[str]:
    return [name for axis, name in enumerate(("left", "front", "bottom")) if axis != side.axis]


def can_be_built(apart: Apart, inside: frozenset[int], known: dict[frozenset[int], bool]) -> bool:
    """Whether any split of a set, over and over, takes it apart by a straight move or one round a corner."""
    if inside not in known:
        groups = held_together(inside, apart.joins_in(inside))
        if len(groups) > 1:
            known[inside] = all(can_be_built(apart, each, known) for each in groups)
        else:
            known[inside] = len(inside) == 1 or any(
                comes_off(apart, half, inside)
                and can_be_built(apart, half, known)
                and can_be_built(apart, inside - half, known)
                for count in range(1, len(inside))
                for half in map(frozenset, combinations(sorted(inside), count))
            )
    return known[inside]


def comes_off(apart: Apart, half: frozenset[int], inside: frozenset[int]) -> bool:
    between = [j for j in apart.joins_in(inside) if (j.part_a.index in half) is not (j.part_b.index in half)]
    if not all(reached(apart.access(join), inside) for join in between):
        return False
    straight = (Move(way) for way in apart.motions.ways(inside))
    return any(
        apart.motions.stop(half, inside - half, move) is None
        for moves in (straight, apart.motions.turned_moves(inside))
        for move in moves
    )


@pytest.mark.parametrize("kind", KINDS)
def test_a_way_in_is_found_just_where_one_exists(kind: str | None) -> None:
    """Each kind of joint in its turn, with all the others round it."""

    @given(pieces(5, least=3, often=kind))
    @tried(10)
    def found(drawn: tuple[Piece, dict[int, Ways]]) -> None:
        piece, barred = drawn
        assert kind is None or any(j.tradition and j.tradition.kind == kind for j in piece.plan.joins)
        agree(piece, barred)

    found()


@given(pieces(7, least=6))
@tried(20)
def test_likewise_in_pieces_of_seven_parts(found: tuple[Piece, dict[int, Ways]]) -> None:
    agree(*found)


@given(pieces(6))
@tried(25)
def test_the_order_of_work_is_whole_just_where_there_is_one(found: tuple[Piece, dict[int, Ways]]) -> None:
    """Whatever a builder would rather do, an order that exists is not lost, and each of its steps can be made; nothing
    is sprung in or notched where there is one."""
    piece, _ = found
    steps = work_steps(piece)
    check(piece, steps)
    apart, known = Apart(piece, lambda _: ()), dict[frozenset[int], bool]()
    wholes = held_together(range(len(piece.plan.parts)), piece.plan.joins)
    without_a_way = any(not can_be_built(apart, whole, known) for whole in wholes)
    forced = any(step.stuck or (step.help and step.help.how != "tilted") for step in steps)
    assert forced if without_a_way else not forced


def agree(piece: Piece, barred: dict[int, Ways]) -> None:
    apart = Apart(piece, lambda join: barred.get(join.index, ()))
    known: dict[frozenset[int], bool] = {}
    for whole in held_together(range(len(piece.plan.parts)), piece.plan.joins):
        stuck = apart.stuck(whole)
        assert (not stuck) == can_be_built(apart, whole, known)
        for each in stuck:
            assert not can_be_built(apart, each, known)
        if not apart.shut(whole):
            assert not stuck


@given(parts(longest=6), parts(name="b", longest=6), points, st.sampled_from(SIX), st.integers(1, 12))
@tried(40)
def test_wood_swept_along_a_line(a: Part, b: Part, at: Vector, way: Vector, far: int) -> None:
    """One solid moved along bit by bit: where it runs deep into the other that is a hit, and a hit runs in."""
    mover, still = wood_of(Body(a, (0.0, 0.0, 0.0))), wood_of(Body(b, at))
    told = Sweep(mover, way, float(far)).runs_into(still)
    moving, other = solid(a), solid(b, at)
    shared = [
        (moving.translate(tuple(np.array(way) * step / 100)) ^ other).volume()
        for step in range(0, far * 100 + 1, 4 if not told else 1)
    ]
    if told:
        assert max(shared) > 0
    else:
        # What is not told shares no more than the skin that both are taken smaller by.
        assert max(shared) <= 4 * SPARE * (other.surface_area() + moving.surface_area())


def test_a_dowelled_rail_goes_in_along_its_dowels_alone() -> None:
    """By hand: a rail dowelled to two posts at its ends comes off neither alone, each post comes off along the rail."""
    built = Builder(
        [
            part("post_l", "16 x 2 x 2", "upright front"),
            part("post_r", "16 x 2 x 2", "upright front"),
            part("rail", "20 x 3 x 3/4", "crosswise front"),
        ]
    )
    dowels = Tradition("dowels", {}, frozenset(), NOWHERE, Fraction(0))
    built.join("rail.left to post_l.right", "flush top, flush front", dowels)
    built.join("rail.right to post_r.left", "flush top, flush front", dowels)
    moves = Motions(Piece(built.plan()))
    everything = frozenset({0, 1, 2})
    assert moves.move_off(frozenset({2}), everything) is None
    assert moves.move_off(frozenset({0}), everything) == Move((-1.0, 0.0, 0.0))
    assert moves.move_off(frozenset({1}), everything) == Move((1.0, 0.0, 0.0))


def test_a_stopped_channel_that_a_notch_would_open() -> None:
    """By hand: a seat in a dado of its side, a back dowelled to both: along the dado the side comes off, if it is not
    stopped."""
    built = Builder(
        [
            part("side", "16 x 12 x 1", "upright left"),
            part("seat", "20 x 13 x 1", "crosswise up"),
            part("back", "21 x 8 x 1", "crosswise front"),
        ]
    )
    dowels = Tradition("dowels", {}, frozenset(), NOWHERE, Fraction(0))
    dado = Tradition("dado", {}, frozenset({"stub"}), NOWHERE, Fraction(1, 2))
    built.join("seat.left to side.right", "flush front, flush bottom", dado)
    built.join("back.bottom to seat.top", "flush back", dowels)
    built.join("back.front to side.back", "flush left", dowels)
    piece, everything = Piece(built.plan()), frozenset({0, 1, 2})
    assert Apart(piece, lambda _: (), Motions(piece)).stuck(everything) == [everything]
    assert not Apart(piece, lambda _: (), Motions(piece, notched=frozenset({0}))).stuck(everything)


@pytest.mark.parametrize(("edge", "comes"), [("back", -1.0), ("front", 1.0)])
def test_a_stopped_sliding_dovetail_is_entered_from_the_edge_that_its_part_comes_to(
    edge: str, comes: float
) -> None:
    text = f"""\
plan "Shelf"
    seen from nowhere
stock b of poplar, 3/4 thick
part side of b, 30 long, 12 wide, upright, facing left
part shelf of b, 24 long, 11 wide, crosswise, facing up
join shelf.left to side.right as sliding dovetail, 3/8 deep, stub
    12 from bottom
    flush {edge}
"""
    plan, mistakes = understand(PlanText("shelf.plan", text), Settings())
    assert plan is not None and not mistakes
    piece = Piece(plan)
    free = motions(piece).freedom(plan.joins[0])
    assert (
        free is not None
        and [round(each, 6) for each in free.only[0]] == [0.0, -comes, 0.0]
        and len(free.only) == 1
    )


CORNER = """\
plan "Rail let into one post, short of the other"
    seen from nowhere
stock board of oak, 1 x 4
part base of board, 12 long, crosswise, facing up
part post_l, post_r of board, 6 long, upright, facing left
part rail of board, 9 long, crosswise, facing up
join post_l.bottom to base.top as glued
    flush left, front
join post_r.bottom to base.top as glued
    flush right, front
join rail.left to post_l.right as mortise and tenon, tenon 1/2 long, 1/2 thick
    flush front
    3 from bottom
"""


def _understood(text: str) -> Piece:
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def test_a_rail_comes_out_of_its_mortise_and_then_round_the_corner() -> None:
    """Both posts stand. The right one is 2-1/2 in from the rail's end: too near to draw the rail off straight, far
    enough for the half inch that its tenon is long."""
    piece = _understood(CORNER)
    apart = Apart(piece, lambda _: ())
    present = frozenset(range(4))
    found = apart.sets_off([frozenset({0, 1, 2}), frozenset({3})], present)
    moves = [each.move for each in found if each.group == frozenset({3})]
    assert moves
    for move in moves:
        assert move is not None and move.first is not None
        way, far = move.first
        assert way == (1.0, 0.0, 0.0) and 0.5 <= far <= 2.5
        assert move.way[0] == 0
    assert not apart.sets_off([frozenset({0, 1, 2}), frozenset({3})], present, straight=True)
