"""Corridors and what stands in them, against solids of manifold3d; and what the rules make of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.findings.finding import Finding, Grade
from planlint.geometry.drilling.driver_reach import Blockers, Corridor, corridor, in_the_way
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.model.workshop import DrillingProfile, Settings
from planlint.text.source import PlanText
from planlint.workplan.build_order import knots
from tests.builders import part
from tests.solids import parts, points, solid, tried, vector
from tests.test_geometry_pockets import Drilled, by_hand

PROFILE = DrillingProfile()
BAND = 0.02
"""Inches by which the meshed rounds, of 48 sides, fall short of round."""


def rail_to_post() -> Drilled:
    rail, post = part("a", "12 x 3 x 3/4", "crosswise up"), part("b", "9 x 3 x 1-1/2", "upright left")
    return by_hand(rail, Side.LEFT, post, Side.RIGHT, Side.TOP)


def way_of(mouth: Vector, toward: Vector) -> Corridor | None:
    a, b = np.array(mouth), np.array(toward)
    size = float(np.linalg.norm(b - a))
    if size < 0.5:
        return None
    axis = (b - a) / size
    bit, drill = a + axis * 4, a + axis * 9
    return Corridor(vector(a), vector(bit), vector(drill), 0.125, 1.0)


def solid_of(way: Corridor, more: float) -> Manifold:
    """Both round, flat-ended bodies, wider and longer by ``more``."""

    def rod(a: Vector, b: Vector, radius: float) -> Manifold:
        start, end = np.array(a), np.array(b)
        axis = (end - start) / np.linalg.norm(end - start)
        u = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
        u /= np.linalg.norm(u)
        turns = np.linspace(0, 2 * np.pi, 48, endpoint=False)
        ring = radius * (np.outer(np.cos(turns), u) + np.outer(np.sin(turns), np.cross(axis, u)))
        return Manifold.hull_points(np.concatenate([start - axis * more + ring, end + axis * more + ring]))

    bit = rod(way.shoulder, way.bit_end, way.bit_radius + more)
    return bit + rod(way.bit_end, way.drill_end, way.drill_radius + more)


@given(parts(), points, points)
@tried(300)
def test_what_stands_in_a_corridor(a: Part, mouth: Vector, toward: Vector) -> None:
    """Any part, turned, cut and carved, in any corridor; not judged within ``BAND`` of a touch."""
    way = way_of(mouth, toward)
    if way is None:
        return
    wood, found = solid(a), in_the_way(way, Body(a, (0.0, 0.0, 0.0)))
    if (wood ^ solid_of(way, -BAND)).volume() > 1e-9:
        assert found
    elif (wood ^ solid_of(way, BAND)).volume() <= 1e-9:
        assert not found


@given(st.lists(st.tuples(parts(), points), min_size=1, max_size=6))
@tried(60)
def test_the_tree_of_parts_leaves_none_out(found: list[tuple[Part, Vector]]) -> None:
    d = rail_to_post()
    bodies = [d.body, d.into, *(Body(replace(a, index=n + 2), at) for n, (a, at) in enumerate(found))]
    bodies = [Body(replace(b.part, index=n), b.origin) for n, b in enumerate(bodies)]
    pocket = d.pocket._replace(part=bodies[0].part, into=bodies[1].part)
    told = Blockers(bodies).of([pocket], PROFILE)
    way = corridor(pocket, PROFILE)
    assert told == [n for n, body in enumerate(bodies) if n > 1 and in_the_way(way, body)]


def test_corridor_by_arithmetic() -> None:
    """3/4 stock: the bit stands at the shoulder, 5/8 in behind the exit, and ends 6 in behind it, the drill 8 in
    behind that."""
    d = rail_to_post()
    way = corridor(d.pocket, PROFILE)
    back = [
        float(np.linalg.norm(np.array(p) - np.array(d.pocket.exit)))
        for p in (way.shoulder, way.bit_end, way.drill_end)
    ]
    np.testing.assert_allclose(back, [0.625, 6.625, 14.625], atol=1e-9)
    # A drill 2 in wide clears the face it comes from: its rim reaches down to it at (6.625 sin 15 - 0.375) / cos 15.
    drill = way._replace(shoulder=way.bit_end)
    assert not in_the_way(drill._replace(drill_radius=1.386), d.body)
    assert in_the_way(drill._replace(drill_radius=1.388), d.body)


BOX = """\
plan "Box"
    seen from nowhere
stock board of birch plywood, 3/4 thick
part wall_f, wall_b of board, {inside} + 1-1/2 long, 6 wide, crosswise, facing front
part wall_l, wall_r of board, {inside} long, 6 wide, deep, facing left
"""


def box_text(inside: str, *, outside: bool = False, seen: str = "seen from nowhere") -> str:
    joins = "".join(
        f"join wall_{s}.{e} to wall_{w}.{back}\n    flush {side}, bottom\n"
        f"    pockets 2 in {side if outside else inner}\n    screws coarse 1-1/4\n"
        for s, side, inner in (("l", "left", "right"), ("r", "right", "left"))
        for e, w, back in (("front", "f", "back"), ("back", "b", "front"))
    )
    return BOX.replace("seen from nowhere", seen).format(inside=inside) + joins


def box(inside: str) -> Piece:
    plan, mistakes = understand(PlanText("box.plan", box_text(inside)), Settings())
    assert plan is not None and not mistakes
    return Piece(plan)


def stuck(inside: str) -> list[list[str]]:
    return [[p.name for p in each.parts] for each in knots(box(inside))]


def test_a_box_shorter_than_bit_and_drill_cannot_be_screwed_from_inside() -> None:
    """The screw's head lies 5/8 cos 15 = 0.604 in from the joint; from there bit and drill, leaning 3 degrees off the
    face, reach 14 cos 18 and half the drill's width, sin 18: 14.23 in in all. 14-1/8 in inside are too few."""
    assert stuck("14-1/8") == [["wall_f", "wall_b", "wall_l", "wall_r"]]
    assert stuck("14-1/4") == []


def test_a_right_angle_drive_is_a_setting() -> None:
    plan = box("10").plan
    short = Settings(profile=DrillingProfile(bits=(2.5,), drivers=((3, 1),)))
    assert knots(box("10"))
    assert not knots(Piece(plan, short))


# ---------------------------------------------------------------- what the builder is told


def found(text: str, settings: Settings | None = None) -> list[Finding]:
    inspection = inspect_text(PlanText("box.plan", text), settings or Settings())
    assert not inspection.unread and not inspection.crashed
    return list(inspection.findings)


def test_each_of_two_mirrored_knots_is_told() -> None:
    """One at each end of the box, three parts each; the stuck set is told at once, not one knot a run."""
    told = found(box_text("6"))
    assert [finding.joint for finding in told] == ["wall_l.front", "wall_r.front"]
    assert [set(finding.parts) for finding in told] == [{"wall_f", "wall_b", f"wall_{side}"} for side in "lr"]
    assert {finding.grade for finding in told} == {Grade.STOP}


def test_a_box_for_another_set_up_is_advice_that_says_which() -> None:
    """10 in inside: a 6 in bit in a right-angle head of 3 in, leaning, takes 0.604 + 9 cos 18 + 3/4 sin 18 = 9.40 in;
    in the compact drill 11.84 in. Where the head is the shop's usual driver nothing is said."""
    for finding in found(box_text("10")):
        assert finding.rule == "no-build-order"
        assert finding.grade is Grade.ADVICE
        assert (finding.measured, finding.limit, finding.unit) == (14, 9, "in")
        assert finding.repairs[0].says == "Drive it with the 6 in bit in a right-angle head (3 in long)."
    for inside, left in (("9-3/8", 2), ("9-1/2", 0)):
        usual = Settings(profile=DrillingProfile(bits=(6,), drivers=((3, 1.5),)))
        assert len(found(box_text(inside), usual)) == left


def test_a_short_bit_whose_driver_would_lie_on_the_board_does_not_serve() -> None:
    """The 3 in bit reaches only 3.625 sin 18 - 0.375 = 0.745 in off a face of 3/4 stock: a head 1-1/2 in wide just
    clears it, leaning; a drill 2 in wide does not, however short."""
    only = DrillingProfile(bits=(6, 3), drivers=((8, 2), (1, 2)))
    assert {finding.grade for finding in found(box_text("6"), Settings(profile=only))} == {Grade.STOP}
    head = DrillingProfile(bits=(6, 3), drivers=((8, 2), (1, 1.5)))
    assert {finding.grade for finding in found(box_text("6"), Settings(profile=head))} == {Grade.ADVICE}


def test_a_usual_driver_that_would_lie_on_the_board_is_told() -> None:
    """The same sum in a box with room for any driver: 2 in wide needs another bit, and without one stops."""
    for bits, widths, grade in (
        ((3,), (2,), {Grade.STOP}),
        ((3, 6), (2,), {Grade.ADVICE}),
        ((3,), (1.5,), set()),
    ):
        usual = DrillingProfile(bits=bits, drivers=tuple((8, each) for each in widths))
        told = found(box_text("30"), Settings(profile=usual))
        assert {each.grade for each in told} == grade
        assert {each.rule for each in told} <= {"no-room-to-drive"}


def test_a_grade_of_the_settings_is_kept() -> None:
    milder = Settings(grades={"no-build-order": "advice"})
    assert {finding.grade for finding in found(box_text("6"), milder)} == {Grade.ADVICE}


LOW_EYES = "seen from all round\n    eye height 3 in"
"""No eye of this height sees into the box."""


def test_a_face_where_the_pockets_show_is_offered_last_and_with_plugs() -> None:
    hidden = found(box_text("6"))[0].repairs
    assert hidden[0].says == "Drill the pockets of wall_l to wall_f in the left of wall_l: there is room."
    shown = found(box_text("6", seen=LOW_EYES))[0].repairs
    assert "there is room" not in " ".join(each.says for each in shown)
    assert shown[-1].says == (
        "Or drill the pockets of wall_l to wall_f in the left of wall_l and plug them: they show."
    )


def test_a_hidden_face_is_offered_only_where_a_driver_reaches_it() -> None:
    """Pockets outside the box show. In one of 20 in all may move inside. In one of 10 in only one at each end may: the
    last joint is then still driven from outside, and plugs alone are offered there. With that done all is well."""
    inside = "Drill in the {} of wall_{} instead: nobody sees it there."
    large = found(box_text("20", outside=True, seen=LOW_EYES))
    small = found(box_text("10", outside=True, seen=LOW_EYES))
    assert {finding.rule for finding in (*small, *large)} == {"hole-in-sight"}
    both = [inside.format("right", "l")] * 2 + [inside.format("left", "r")] * 2
    assert [finding.repairs[0].says for finding in large] == both
    plug = "Plug the holes: write `, plugged` at the end of the line."
    assert [finding.repairs[0].says for finding in small] == [both[0], plug, both[2], plug]
    left, left_back, right, right_back = box_text("10", outside=True, seen=LOW_EYES).split(
        "    pockets 2 in "
    )[1:]
    head = box_text("10", outside=True, seen=LOW_EYES).split("    pockets 2 in ")[0]
    rows = [
        left.replace("left\n", "right\n", 1),
        left_back.replace("left\n", "left, plugged\n", 1),
        right.replace("right\n", "left\n", 1),
        right_back.replace("right\n", "right, plugged\n", 1),
    ]
    assert found("    pockets 2 in ".join([head, *rows])) == []
