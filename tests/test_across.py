"""Solid wood held across its grain: against the handbook's coefficients and table of moisture, by hand."""

from __future__ import annotations

import pytest

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.seasonal_movement import moisture, movement
from planlint.model.timber import material_of
from planlint.model.workshop import Humidity, Settings
from planlint.text.source import PlanText

OAK, PINE = 0.00369, 0.00212
"""Per percent of moisture, tangential: Wood Handbook, FPL-GTR-190, table 13-5, red oak and eastern white pine."""
POINTS = 11.0 - 6.2
"""Moisture at 60 and 30 percent humidity, 70 degrees F: the same book, table 4-2."""


def told(plan: str, settings: Settings | None = None) -> list[Finding]:
    inspection = inspect_text(PlanText("a.plan", plan), settings)
    assert inspection.whole, inspection.unread
    return [each for each in inspection.findings if each.rule == "locked-across-grain"]


TABLE = """plan "Table"
    seen from nowhere
stock post of hard maple, 2 x 2
stock rail of hard maple, 3/4 x 3
stock slab of {wood}
part leg_fl, leg_fr, leg_bl, leg_br of post, 28 long, upright, facing front
part apron_f, apron_b of rail, 36 long, crosswise, facing front
part apron_l, apron_r of rail, 16 long, deep, facing left
part top of slab, 44 long, {wide}crosswise, facing up
join apron_f.left to leg_fl.right
    flush top, back
    pockets 2 in back
join apron_f.right to leg_fr.left
    flush top, back
    pockets 2 in back
join apron_b.left to leg_bl.right
    flush top, front
    pockets 2 in front
join apron_b.right to leg_br.left
    flush top
    pockets 2 in front
join apron_l.front to leg_fl.back
    flush top
    centred left to right
    pockets 2 in right
join apron_l.back to leg_bl.front
    flush top
    centred left to right
    pockets 2 in right
join apron_r.front to leg_fr.back
    flush top
    centred left to right
    pockets 2 in left
join apron_r.back to leg_br.front
    flush top
    centred left to right
    pockets 2 in left
join apron_f.top to top.bottom
    centred left to right
    2 from front
    pockets every 8 from 3 in back
join apron_b.top to top.bottom
    pockets every 8 from 3 in front
{slotted}"""
OF_OAK = TABLE.format(wood="red oak, 3/4 thick, 24 wide", wide="", slotted="")


def test_top_fast_to_both_long_aprons() -> None:
    [finding] = told(OF_OAK)
    # From the screws in the one apron to those in the other: 16 in of side apron, and half an apron's way at each end.
    assert finding.measured == pytest.approx((16 + 0.75) * OAK * POINTS, rel=0.05)
    assert finding.grade.word == "stop"
    assert {"top", "apron_b"} <= set(finding.parts)


def test_one_apron_slotted_lets_it_move() -> None:
    assert not told(OF_OAK + "    slotted\n")


def test_what_does_not_move_is_not_held() -> None:
    assert not told(TABLE.format(wood="birch plywood, 3/4 thick", wide="24 wide, ", slotted=""))


def test_drier_rooms_move_less() -> None:
    steady = Settings(humidity=Humidity(45, 55))
    assert not told(OF_OAK, steady)
    damp = told(OF_OAK, Settings(humidity=Humidity(30, 80)))
    assert damp[0].measured == pytest.approx((16 + 0.75) * OAK * (16.0 - 6.2), rel=0.05)


def test_boards_joined_edge_to_edge_move_as_one() -> None:
    boards = TABLE.format(wood="red oak, 3/4 x 6", wide="", slotted="")
    boards = boards.replace("part top of slab", "part top, top_2, top_3, top_4 of slab")
    more = "".join(
        f"join top_{n}.front to {'top' if n == 2 else f'top_{n - 1}'}.back\n    flush top, left\n    glued\n"
        for n in (2, 3, 4)
    )
    boards = boards.replace("join apron_b.top to top.bottom", "join apron_b.top to top_4.bottom")
    [finding] = told(boards + more)
    assert finding.measured is not None
    assert finding.measured > 14 * OAK * POINTS
    assert {"top", "top_2", "top_3", "top_4"} <= set(finding.parts)


CASE = """plan "Case"
    seen from nowhere
stock board of {wood}
part side_l, side_r of board, 30 long, {wide}upright, facing left
part shelf of board, 30 long, {wide}crosswise, facing up
join shelf.left to side_l.right
    10 from bottom
    flush front
    pockets 3 in bottom
join shelf.right to side_r.left
    10 from bottom
    pockets 3 in bottom
"""


def test_shelves_and_sides_of_one_wood_move_together() -> None:
    assert not told(CASE.format(wood="red oak, 3/4 thick, 16 wide", wide=""))


@pytest.mark.parametrize(
    ("wood", "per_point", "wide", "grade"),
    [
        ("red oak", OAK, "11-1/4", "caution"),
        ("red oak", OAK, "24", "stop"),
        ("eastern white pine", PINE, "11-1/4", None),
        ("red oak", OAK, "5-1/2", None),
    ],
)
def test_solid_shelf_between_sides_of_sheet(
    wood: str, per_point: float, wide: str, grade: str | None
) -> None:
    plan = CASE.format(wood=f"{wood}, 3/4 thick", wide=f"{wide} wide, ")
    plan = plan.replace("part side_l", "stock sheet of birch plywood, 3/4 thick\npart side_l").replace(
        "side_r of board", "side_r of sheet"
    )
    found = told(plan)
    assert [each.grade.word for each in found] == ([] if grade is None else [grade])
    for each in found:
        assert each.measured is not None
        held = each.measured / (per_point * POINTS)
        width = float(sum(map(float, wide.replace("-1/4", " .25").split())))
        assert width / 2 < held < width


def test_rails_and_stiles_are_not_held() -> None:
    plan = """plan "Frame"
    seen from nowhere
stock frame of red oak, 3/4 x 4
part stile of frame, 30 long, upright, facing front
part rail of frame, 20 long, crosswise, facing front
join rail.left to stile.right
    flush top, front
    pockets 2 in back
"""
    assert not told(plan)


def test_another_wide_board_in_the_ring_hides_nothing() -> None:
    """A shelf of the same wood moves as the top does, and the legs and aprons that hold both do not."""
    shelf = (
        "part shelf of slab, 36 long, crosswise, facing up\n"
        "join shelf.left to leg_fl.right\n    6 from bottom\n    flush front\n    pockets 1 in bottom\n"
        "join shelf.left to leg_bl.right\n    pockets 1 in bottom\n"
    )
    [finding] = [each for each in told(OF_OAK + shelf) if "top" in each.parts]
    assert finding.measured == pytest.approx((16 + 0.75) * OAK * POINTS, rel=0.05)


def test_quarter_sawn_moves_by_the_radial_coefficient() -> None:
    """The handbook's worked example, both ways: 9.15 in of flat-sawn white fir from 8 to 11 percent grows 0.067 in."""
    air = Humidity(30, 60)
    flat, quarter = (movement(material_of(f"{sawn} white fir"), 9.15, air) for sawn in ("", "quarter-sawn"))
    assert flat is not None
    assert quarter is not None
    points = moisture(60) - moisture(30)
    assert flat.inches / points * 3 == pytest.approx(0.067, abs=0.0005)
    assert quarter.inches / flat.inches == pytest.approx(0.00112 / 0.00245)
    assert "does not say how it is sawn" in flat.basis
    assert "quarter-sawn white fir" in quarter.basis


def test_a_panel_grows_from_the_middle_of_the_season() -> None:
    """12-1/2 in of cherry by hand: 12.5 x 0.00248 x (11.0 - 6.2) / 2 = 0.074 in, with no room in its grooves."""
    case = rule_book()["loose-panel"].cases[0]
    found = [
        each for each in inspect_text(PlanText("a.plan", case.plan)).findings if each.rule == "loose-panel"
    ]
    assert [each.measured for each in found] == [pytest.approx(12.5 * 0.00248 * POINTS / 2, abs=0.002)]
    damp = Settings(humidity=Humidity(45, 45))
    assert not [
        each
        for each in inspect_text(PlanText("a.plan", case.plan), damp).findings
        if each.rule == "loose-panel"
    ]
