"""A slip of the pen in a sound piece: mended as it was, or asked about with what it was among the choices."""

from __future__ import annotations

from pathlib import Path

import pytest

from planlint.checks.slips_in_joins import misnamed
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.workshop import Settings
from planlint.repairs.mending import mend
from planlint.repairs.open_choices import open_choices
from planlint.text.edits import apply
from planlint.text.source import PlanText

MENDED = [
    # Of several joins on a line the side of one is wrong.
    ("rack_on_four_rails", "rail_f.right to leg_fl.right, leg_fr.left", "rail_f.right to leg_fl.right, leg_fr.right"),
    ("slatted_hall_bench", "rail_l.front, rail_l.back to", "rail_l.front, rail_l.front to"),
    ("hall_bench_boot_shelf", "bearer_l.back to leg_fl.back, leg_bl.front",
     "bearer_l.back to leg_fl.back, leg_bl.back"),
    ("wall_cabinet_with_frame_door", "side_l.right, side_r.left\n    flush bottom",
     "side_l.right, side_r.right\n    flush bottom"),
    # Its twin hangs by the other end.
    ("sawhorse_beam_shelf", "join leg_l.top to", "join leg_l.bottom to"),
    # What is cut at the end that is meant, or what stands on the other side, tells which end that is.
    ("gate_corner_notched", "join rail.left to post.right as", "join rail.right to post.right as"),
    ("sawhorse_tied_legs", "join leg_fl.top to plank", "join leg_fl.bottom to plank"),
    ("panel_glue_up", "join board_2.back to board_3.front", "join board_2.back to board_4.front"),
    # A part lies flat where its fellow stands on edge, or the screws of all its joints would go in at its edges.
    ("grille_cross_lapped", "part up_2 of strip, 24 long, upright, facing front",
     "part up_2 of strip, 24 long, upright, facing left"),
    ("stool_square", "part rail_l, rail_r of rail_wood, span long, deep, facing left",
     "part rail_l, rail_r of rail_wood, span long, deep, facing up"),
    ("toe_kick_box", "of sheet, 21 long, 4 wide, deep, facing left", "of sheet, 21 long, 4 wide, deep, facing up"),
    ("base_with_loose_door", "20 long, 12 wide, crosswise, facing up", "20 long, 12 wide, crosswise, facing front"),
    ("shoe_rack_mirrored_ladder", "of lat, 220 long, deep, facing left", "of lat, 220 long, deep, facing up"),
    # Another part is meant, that is joined to nothing here.
    ("coffee_table", "join apron_b.top to", "join apron_r.top to"),
    ("tv_console", "join rail_b.left to leg_bl.right", "join rail_l.left to leg_bl.right"),
    ("workbench", "join top_r.front, top_r.back to", "join top_f.front, top_r.back to"),
    ("coffee_table_breadboard", "join rail_r.front, rail_r.back to", "join rail_f.front, rail_r.back to"),
    ("rack_on_four_rails", "join low_r.front, low_r.back to", "join low_f.front, low_r.back to"),
    ("picture_frame", "join rail_b.left to stile_l.bottom", "join rail_t.left to stile_l.bottom"),
    # One end is laid otherwise than the other, and its dado.
    # A cut that its twin has is forgotten.
    ("door_rabbeted_panel", "facing front\n    rabbet 3/8 x 1/4 along top back", "facing front"),
    # Laid as its twin is, or as the image of that.
    ("window_seat", "    flush left, back\n", ""),
    ("hall_bench_boot_shelf", "leg_fr.back, leg_br.front\n    flush top\n    set back 1/4 from right",
     "leg_fr.back, leg_br.front\n    flush top"),
    ("dado_cut_right", "shelf.left to side_l.right as dado, 1/4 deep\n    12 from",
     "shelf.left to side_l.right as dado, 1/4 deep\n    12-3/4 from"),
]  # fmt: skip

ASKED = [
    ("planter_boards_in_a_loop", "long long, crosswise, facing front", "long long, crosswise, facing up"),
    ("step_stool_angled", "part end_l of board, 11 long, 10 wide, upright, facing left",
     "part end_l of board, 11 long, 10 wide, upright, facing front"),
    ("workbench_vise_apron", "part top_1 of top_wood, long long, crosswise, facing up",
     "part top_1 of top_wood, long long, crosswise, facing front"),
    # All cuts are wider than their part by what it is too thin.
    ("grille_cross_lapped", "part bar_1, bar_2 of strip, 20 long, crosswise, facing front",
     "part bar_1, bar_2 of strip, 20 long, crosswise, facing up"),
    # Either end may be meant.
    ("headboard_planks", "to post_l.right\n        (n - 1) * 5-3/4 + 1 from",
     "to post_l.right\n        (n - 1) * 5-3/4 + 2-1/2 from"),
    ("compost_bin_side", "to post_l.right\n        2 +", "to post_l.right\n        3 +"),
    ("toe_kick_box", "to front.back\n        (n - 1) * 16-5/8 from left",
     "to front.back\n        (n - 1) * 16-5/8 from right"),
    # Nothing like it is placed so.
    ("bunk_ladder", "        centred front to back\n", ""),
    ("corner_shelf", "36 long, crosswise, facing front, fixed", "36 long, crosswise, facing up, fixed"),
]  # fmt: skip


def _slip(piece: str, right: str, wrong: str) -> tuple[str, PlanText]:
    text = (Path(__file__).parent / "pieces" / f"{piece}.plan").read_text("utf-8")
    assert text.count(right) == 1, right
    return text, PlanText(f"{piece}.plan", text.replace(right, wrong))


def _made(source: PlanText) -> object:
    """Of each part its size, what is cut from it, and where it lies; and where each screw has its tip."""
    piece = inspect_text(source).piece
    assert piece is not None
    parts = {
        part.name: (
            part.size,
            [(each.kind, each.low, each.high) for each in part.removals],
            piece.body(part).bounds,
        )
        for part in piece.plan.parts
    }
    return parts, sorted(screw.tip for join in piece.plan.joins for screw in piece.screws(join))


@pytest.mark.parametrize(("piece", "right", "wrong"), MENDED)
def test_a_slip_that_the_rest_of_the_piece_belies_is_mended(piece: str, right: str, wrong: str) -> None:
    text, slip = _slip(piece, right, wrong)
    assert _made(mend(slip).source) == _made(PlanText(slip.path, text))


@pytest.mark.parametrize(("piece", "right", "wrong"), ASKED)
def test_a_slip_that_something_else_may_be_meant_by_is_asked_about(
    piece: str, right: str, wrong: str
) -> None:
    text, slip = _slip(piece, right, wrong)
    mending = mend(slip)
    assert mending.source.text == slip.text
    choices = open_choices(mending.after, Settings())
    assert text in {apply(slip.text, list(way.edits)) for ways in choices.values() for way in ways}


@pytest.mark.parametrize(
    ("piece", "slips"),
    [
        # Both rails are held by both ends, and one of them takes a ledger by that side already.
        ("f_bed_frame_rail_r_forgot_back", [("ledger_l.left", "ledger_l", "rail_r")]),
        # The floor lies in all four sides: the ends are held by both their ends, front and back by their faces.
        ("chest_carcase", [("floor.right", "floor", "end_l"), ("floor.left", "floor", "end_r")]),
    ],
)
def test_only_what_is_held_by_both_ends_may_be_named_for_one_of_its_stock(
    piece: str, slips: list[tuple[str, str, str]]
) -> None:
    text = (Path(__file__).parent / "pieces" / f"{piece}.plan").read_text("utf-8")
    plan, _ = understand(PlanText(f"{piece}.plan", text), Settings())
    assert plan is not None
    found = misnamed(Piece(plan), {part.name for part in plan.parts}, twice_told=False)
    assert [(each.join.name, each.part.name, each.words) for each in found] == slips
