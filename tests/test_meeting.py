"""Screws that meet: the trade's cases by arithmetic, tenons, and findings that do not depend on how a plan is told."""

from __future__ import annotations

from math import atan, cos, hypot, radians, sin

import pytest

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.drilling.screw_clashes import tenon, wood_to_tenon
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.workshop import Settings
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText

LEG = """\
plan "Corner of a table"
    seen from nowhere
stock post of red oak, {leg} x {leg}
stock rail of red oak, 3/4 x 3-1/2
part leg of post, 20 long, upright, facing front
part rail_x of rail, 30 long, crosswise, facing front
part rail_y of rail, 30 long, deep, facing left
join rail_x.left to leg.right
    {inset} from front
    flush top
    pockets {x} in back
    screws fine 1-1/4
join rail_y.front to leg.back
    {inset} from left
    flush top
    pockets {y} in right
    screws fine 1-1/4
"""


def found(text: str, rule: str = "screws-meet") -> list[Finding]:
    inspection = inspect_text(PlanText("test.plan", text))
    assert inspection.whole, inspection.unread
    return [finding for finding in inspection.findings if finding.rule == rule]


LEVEL = "at 7/8, 2-5/8 from top"
"""Where two pockets go in a rail 3-1/2 in wide."""


def corner(leg: str, inset: str, x: str = LEVEL, y: str = LEVEL) -> list[Finding]:
    return found(LEG.format(leg=leg, inset=inset, x=x, y=y))


def test_rails_at_the_inner_faces_of_a_slender_leg_meet() -> None:
    """Both screws run at one height and their axes cross in their points: 3/8 in from both joints, so 0.530 in
    along each. There each cone is a quarter as thick as it is far from its tip; they part square to its flank."""
    (finding,) = corner("1-1/2", "3/4")
    thick = (0.625 - 0.375 / (cos(radians(15)) - sin(radians(15)))) / 4
    assert finding.measured == pytest.approx(-2 * thick * cos(atan(1 / 4)), abs=1e-4)
    assert {"rail_x", "rail_y", "leg"} == set(finding.parts)


def test_rails_in_the_middle_do_not_by_arithmetic() -> None:
    """The points end 5/8 past the joint along the screw, 0.604 in square to it and 0.162 in off the middle: so they lie
    0.308 in apart on each axis, 0.436 in on the slant between them, and nothing of the screws lies nearer."""
    e, drift = 0.625 * cos(radians(15)), 0.625 * sin(radians(15))
    # Point of x: (1.5 - e, 0.75 - drift); its line runs on to (1.5, 0.75); y's is the same with axes exchanged.
    point_x, point_y = (1.5 - e, 0.75 - drift), (0.75 - drift, 1.5 - e)
    apart = hypot(point_x[0] - point_y[0], point_x[1] - point_y[1])
    assert apart == pytest.approx(0.436, abs=1e-3)
    assert corner("1-1/2", "3/8") == []


@pytest.mark.parametrize(
    ("shift", "meets"),
    [("0", True), ("1/8", True), ("3/16", True), ("1/4", False), ("5/16", False), ("1/2", False)],
)
def test_staggered_by_so_much(shift: str, meets: bool) -> None:
    """Screws that cross near their points leave 0.118 in at 3/16 in from axis to axis, too little, and enough at 1/4 in
    (by meshes: ``test_geometry_meeting``)."""
    assert (
        bool(corner("1-1/2", "3/4", "at 1, 2-1/4 from top", f"at 1 + {shift}, 2-1/4 + {shift} from top"))
        == meets
    )


def test_pockets_the_tool_lays_out_make_way_for_those_the_plan_gives() -> None:
    assert corner("1-1/2", "3/4", LEVEL, "2") == []


def test_of_two_rows_that_the_tool_lays_out_one_gives_way_whichever_comes_first() -> None:
    text = LEG.format(leg="1-1/2", inset="3/4", x="2", y="2")
    head, first, second = text.partition("join rail_x")[0], *text.split("join ")[1:]
    laid = []
    for said in (text, f"{head}join {second}join {first}"):
        inspection = inspect_text(PlanText("test.plan", said))
        assert inspection.sound and inspection.piece is not None
        laid.append(
            {
                join.name: [pocket.station for pocket in inspection.piece.pockets(join)]
                for join in inspection.piece.plan.joins
            }
        )
    assert laid[0] == laid[1]
    assert laid[0]["rail_x.left"] == [7 / 8, 21 / 8] != laid[0]["rail_y.front"]


def test_the_stagger_that_is_told_clears_it() -> None:
    (finding,) = corner("1-1/2", "3/4")
    says = finding.repairs[0].says
    assert says.startswith("Stagger them: set the pockets of ")
    row = "x" if "rail_x to leg" in says else "y"
    places = says.split("out at ")[1].split(" in from top")[0].replace(" and ", ", ")
    rows = {"x": LEVEL, "y": LEVEL, row: f"at {places} from top"}
    assert corner("1-1/2", "3/4", rows["x"], rows["y"]) == []


def test_one_finding_for_two_joints_however_many_of_their_screws_meet() -> None:
    assert len(corner("1-1/2", "3/4", "at 1, 2 from top", "at 1, 2 from top")) == 1


def test_the_same_finding_whichever_joint_comes_first() -> None:
    text = LEG.format(leg="1-1/2", inset="3/4", x=LEVEL, y=LEVEL)
    head, first, second = text.partition("join rail_x")[0], *text.split("join ")[1:]
    (one,), (other,) = found(text), found(f"{head}join {second}join {first}")
    assert (one.joint, set(one.parts), round(one.measured or 0, 9)) == (
        other.joint,
        set(other.parts),
        round(other.measured or 0, 9),
    )


def test_parts_that_nothing_holds_together_are_not_compared() -> None:
    text = LEG.format(leg="1-1/2", inset="3/4", x="2", y="2").replace("    3/4 from left\n", "")
    assert found(text) == []


TENON = """\
plan "Leg"
    seen from nowhere
stock post of red oak, 2 x 2
stock rail of red oak, 7/8 x 4
part leg of post, 28 long, upright, facing front
part apron of rail, 20 long, crosswise, facing front
part side of rail, 20 long, deep, facing left
join apron.left to leg.right as mortise and tenon, tenon 1-1/4 long, {tenon}
    centred front to back
    flush top
join side.front to leg.back
    centred left to right
    flush top
    pockets {row} in right
    screws fine 1-1/2
"""


def piece(text: str) -> Piece:
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def test_a_tenon_is_as_thick_and_wide_as_the_plan_says() -> None:
    p = piece(TENON.format(tenon="1/2 thick, 3 wide", row="2"))
    (made,) = p.tenons
    assert made.box.low == pytest.approx((0, 7 / 16 - 1 / 4, 0.5))
    assert made.box.high == pytest.approx((1.25, 7 / 16 + 1 / 4, 3.5))
    (whole,) = piece(TENON.format(tenon="", row="2").replace("1-1/4 long, ", "1-1/4 long")).tenons
    assert whole.box.high == pytest.approx((1.25, 7 / 8, 4))


def test_screws_into_a_tenon() -> None:
    """Side rail in the middle of the leg: the screw runs 1-1/2 - 35/48 past the joint, so its point lies 0.744 in deep;
    the tenon's near cheek lies 2 - (1 + 1/4) = 3/4 in deep. In height the screw passes through the tenon's width."""
    text = TENON.format(tenon="1/2 thick, 3 wide", row="at 2 from top")
    (finding,) = found(text)
    p = piece(text)
    (made,) = p.tenons
    (screw,) = p.screws(p.plan.joins[1])
    wood, what = wood_to_tenon(screw, made, 3 / 16)
    assert what == "screw"
    assert finding.measured == pytest.approx(wood)
    assert wood == pytest.approx(0.75 - (1.5 - 35 / 48) * cos(radians(15)), abs=1e-5)
    assert found(TENON.format(tenon="3/16 thick, 3 wide", row="at 2 from top")) == []
    assert found(TENON.format(tenon="1/2 thick, 2 wide", row="at 1/2, 3-1/2 from top")) == []


def test_a_tenon_does_not_meet_the_screws_of_its_own_joint() -> None:
    p = piece(TENON.format(tenon="1/2 thick", row="2"))
    assert p.tenons_beside(p.plan.joins[0]) == []
    assert [each.join for each in p.tenons_beside(p.plan.joins[1])] == [p.plan.joins[0]]
    assert tenon(p.plan.joins[1], p.bodies[2]) is None


def test_limits_can_be_changed() -> None:
    rule = rule_book()["screws-meet"]
    assert rule.limit("wood between screws", Settings()) == 1 / 8
    text = PlanText("test.plan", LEG.format(leg="1-1/2", inset="3/8", x=LEVEL, y=LEVEL))
    wider = Settings(limits=Limits.of({("screws-meet", "wood between screws"): 0.5}))
    assert "screws-meet" in {f.rule for f in inspect_text(text, wider).findings}


def test_dowels_laid_out_are_kept_clear_of() -> None:
    """A dowel 3/8 in thick at the height of a screw's axis, which runs square to it: what lies between is nothing."""
    head = LEG[: LEG.index("join")].format(leg="1-3/4")
    for row, meets in (("at 1, 2-1/2 from top", True), ("2", False)):
        text = head + (
            "join rail_x.left to leg.right as dowels at 1, 2-1/2 from top, 3/8 thick, 2 long\n"
            "    centred front to back\n    flush top\n    glued\n"
            "join rail_y.front to leg.back\n    centred left to right\n    flush top\n"
            f"    pockets {row} in right\n    screws fine 1-1/2\n"
        )
        told = found(text)
        assert bool(told) is meets
        if meets:
            assert (told[0].joint, told[0].against) == ("rail_y.front", "rail_x.left")
            assert told[0].measured is not None
            assert told[0].measured < 1 / 16


DOWELS = "as dowels at {at} from top, 3/8 thick, 2 long"
TENON_IN = "as mortise and tenon, tenon 1 long, 3/8 thick, 2-1/2 wide"


@pytest.mark.parametrize(
    ("first", "second", "wood"),
    [
        # Both an inch into the middle of a leg 1-1/2 in thick: they cross, and part sideways soonest.
        (DOWELS.format(at="1, 2-1/2"), DOWELS.format(at="1, 2-1/2"), -3 / 8),
        (DOWELS.format(at="1, 2-1/2"), DOWELS.format(at="1-13/32, 3"), 1 / 32),
        (DOWELS.format(at="1, 2-1/2"), DOWELS.format(at="1-7/16, 3"), None),
        # A dowel leaves a tenon's far cheek, 9/16 in before its end, backward.
        (TENON_IN, DOWELS.format(at="1, 2-1/2"), -7 / 16),
        # A No. 8 screw through the cleat on the third side meets each in the middle, sideways.
        (DOWELS.format(at="1, 2-1/2"), "through", -(3 / 16 + 0.082)),
        (TENON_IN, "through", -(3 / 16 + 0.082)),
    ],
)
def test_dowels_tenons_and_screws_through_a_face_meet_in_a_leg(
    first: str, second: str, wood: float | None
) -> None:
    joined = (
        "join cleat.right to leg.left\n    flush top, front\n"
        "    screws at 1, 2-1/2 from top through cleat, gauge 8, 2 long\n"
        if second == "through"
        else f"join rail_y.front to leg.back {second}\n    centred left to right\n    flush top\n    glued\n"
    )
    head = LEG[: LEG.index("join")].format(leg="1-1/2").replace("rail_y of rail", "rail_y, cleat of rail")
    told = found(
        f"{head}join rail_x.left to leg.right {first}\n    centred front to back\n    flush top\n    glued\n{joined}"
    )
    assert len(told) == (wood is not None)
    assert [each.measured for each in told] == ([] if wood is None else [pytest.approx(wood, abs=2e-3)])


@pytest.mark.parametrize(("aside", "meets"), [("5/16", False), ("1/4", True), ("0", True)])
def test_a_pin_stands_in_its_hole_and_a_screw_keeps_off_it(aside: str, meets: bool) -> None:
    """A pin 1/4 in thick reaches 1 in into the divider, a screw's shank passes it 0.29 in in: beside one another so far
    from middle to middle, less 1/8 in and half a No. 8, must be 1/16 in or more."""
    text = f"""\
plan "Divider"
    seen from nowhere
stock side of birch plywood, 1-1/4 thick
stock board of birch plywood, 3/4 thick
part divider of side, 30 long, 11 wide, upright, facing left
part shelf, other of board, 20 long, 11 wide, crosswise, facing up
join shelf.right to divider.left
    flush front
    14 from bottom
    pins at 2, 9 from front, 1/4 thick, 2 long
join other.left to divider.right
    flush front
    13-27/64 from bottom
    pockets at 2 + {aside}, 9 + {aside} from front in bottom
    screws coarse 1-1/4
"""
    told = found(text)
    assert bool(told) is meets
    if aside == "1/4":
        assert told[0].measured == pytest.approx(1 / 4 - 1 / 8 - 0.164 / 2, abs=1e-3)
