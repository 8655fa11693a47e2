"""Cutouts in a face and notches in the middle of an edge, held against solids of another kernel."""

from __future__ import annotations

import manifold3d
import pytest

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import body_polyhedra
from planlint.geometry.shapes.polygons import volume
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.tidy_layout import tidied
from planlint.model.workshop import Settings
from planlint.sheet.shop_sheet import shop_sheet
from planlint.text.source import PlanText

PLAN = """plan "Panel"
    unit inch
stock sheet of birch plywood, 3/4 thick
part panel of sheet, 24 long, 16 wide, crosswise, facing front
    {cut}
"""


def piece_of(cut: str) -> Piece:
    plan, mistakes = understand(PlanText("x.plan", PLAN.format(cut=cut)), Settings())
    assert not mistakes, mistakes
    assert plan is not None
    return Piece(plan)


def solid(low: tuple[float, ...], high: tuple[float, ...]) -> manifold3d.Manifold:
    return manifold3d.Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(list(low))


@pytest.mark.parametrize(
    ("cut", "low", "high"),
    [
        ("cutout 6 x 4 in front, 3 from left, 2 from bottom", (3, -1, 2), (9, 2, 6)),
        ("cutout 6 x 4 in back, 3 from right, 2 from top", (15, -1, 10), (21, 2, 14)),
        ("cutout 6 x 4 x 1/4 in front, 3 from bottom, 2 from left", (2, -1, 3), (6, 0.25, 9)),
        ("notch 2 wide 1 deep along top, 6 from left", (6, -1, 15), (8, 2, 17)),
        ("notch 2 wide 1 deep along right, 6 from bottom", (23, -1, 6), (25, 2, 8)),
    ],
)
def test_what_is_left_is_what_another_kernel_leaves(
    cut: str, low: tuple[float, ...], high: tuple[float, ...]
) -> None:
    body = piece_of(cut).bodies[0]
    left = solid((0, 0, 0), (24, 0.75, 16)) - solid(low, high)
    assert sum(map(volume, body_polyhedra(body))) == pytest.approx(left.volume())
    inside = tuple((a + b) / 2 for a, b in zip(low, high, strict=True))
    x, y, z = (min(max(each, 0.01), most - 0.01) for each, most in zip(inside, (24, 0.75, 16), strict=True))
    assert not body.holds(body.to_piece((x, min(y, 0.2), z)))


def test_a_pocket_keeps_clear_of_a_cutout() -> None:
    text = """plan "Box"
    seen from nowhere
stock sheet of birch plywood, 3/4 thick
part side of sheet, 16 long, 10 wide, upright, facing left
part panel of sheet, 24 long, 10 wide, crosswise, facing up
    cutout 3 x 3 in top, 1/2 from left, {away} from front
join panel.left to side.right
    flush top, front
    pockets at 2, 8 from front in bottom
    screws coarse 1-1/4
"""
    clear, met = (
        {each.rule for each in inspect_text(PlanText("x.plan", text.format(away=away)), Settings()).findings}
        for away in ("3-1/2", "1")
    )
    assert "thin-cover" not in clear
    assert "thin-cover" in met


@pytest.mark.parametrize(
    ("cut", "says"),
    [
        ("cutout 6 x 4 in front, 20 from left, 2 from bottom", "wood must stay on all its sides"),
        ("cutout 6 x 4 x 1 in front, 2 from left, 2 from bottom", "nothing would be left there"),
        ("cutout 6 x 4 in front, 2 from left, 2 from right", "do not meet at a corner"),
        ("notch 2 wide 1 deep along top, 23 from left", "the part is only 24 in"),
    ],
)
def test_what_cannot_be_cut_is_told(cut: str, says: str) -> None:
    _, mistakes = understand(PlanText("x.plan", PLAN.format(cut=cut)), Settings())
    assert len(mistakes) == 1
    assert says in mistakes[0].says


def test_mirrored_and_tidied_they_are_where_they_belong() -> None:
    text = (
        PLAN.format(cut="cutout 6 x 4 in front, 3 from left, 2.5 from bottom") + "part other mirrors panel\n"
    )
    plan, mistakes = understand(PlanText("x.plan", tidied(PlanText("x.plan", text))), Settings())
    assert not mistakes
    assert plan is not None
    lows = [[str(x) for x in part.removals[0].low] for part in plan.parts]
    assert lows == [["3", "0", "5/2"], ["15", "0", "5/2"]]


def test_veneer_tape_is_counted_and_only_on_edges() -> None:
    text = PLAN.format(cut="taped top, taped left")
    inspection = inspect_text(PlanText("x.plan", text), Settings())
    assert [each.feet for each in shop_sheet(inspection, exact=False).tape] == pytest.approx([(24 + 16) / 12])
    _, mistakes = understand(PlanText("x.plan", PLAN.format(cut="taped front")), Settings())
    assert "tape goes on its edges" in mistakes[0].says
