"""Pieces whose order of work was written down by hand, as a builder would go about them, before it was worked out.

``unit``: so many parts are made up by themselves. ``last``: these come last of all that they hang together with, or the
rest comes to them. ``a before b``: a part is in the work before another. ``turn``: these come one after the other.
``turned 1``: what is together is turned over before so many steps, and ``upright`` when a part comes.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import understand
from planlint.model.directions import Side
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from planlint.workplan.step_data import Step
from planlint.workplan.work_steps import work_steps

HERE = Path(__file__).parent
ORDERS = {
    "a_frame_trestle": ["last brace"],
    "apple_crate": ["front_3 before back_1", "end_r before back_1", "back_3 before floor_1"],
    "base_cabinet_frameless": ["floor before side_r", "stretch_f before side_r", "last side_r"],
    "bed_platform": ["unit rail_l cleat_l", "unit rail_r cleat_r", "slat_m before deck_f", "head before deck_b"],
    "demo/bookcase": ["toe_board before shelf_1", "shelf_1 before side_r", "last back_panel"],
    "bookcase_low": ["top_board before side_r", "shelf before side_r", "side_r before back_skin", "last back_skin"],
    "chest_carcase": ["floor before lid", "last lid"],
    "coffee_table": ["unit leg_fl leg_bl apron_l", "unit leg_fr leg_br apron_r", "last top_board"],
    "cubby_dadoed": ["shelf_l_1 before lid", "shelf_r_2 before floor", "side_r before lid", "side_r before floor"],
    "dining_bench_slats": [
        "unit leg_fl leg_bl rail_l", "unit leg_fr leg_br rail_r", "rail_f before seat_2", "rail_b before seat_1",
    ],
    "door_rabbeted_panel": ["unit stile_l stile_r rail_t rail_b", "last panel"],
    "drawer_box_half_inch": ["side_r before floor", "last floor"],
    "face_frame_three_rails": ["muntin before stile_r", "last stile_r"],
    "hall_bench_pine": ["unit end_l end_r stretcher", "last seat"],
    "legs_of_two_layers": ["unit inner outer", "last rail"],
    "metric_table": ["unit leg_fl leg_bl apron_l", "unit leg_fr leg_br apron_r", "last top_board"],
    "mm_box_joint_box": ["unit vorn hinten links rechts", "last platte"],
    "nightstand_drawer": ["rail_f before lid", "side_r before lid", "last lid", "last drawer_front"],
    "plate_rack_dowels": ["turn rail_f rail_b"],
    "screen_half_lapped": ["turn rail_b rail_t"],
    "toe_kick_box": ["rung_1 before back", "rung_3 before back", "last back"],
    "two_layer_top": ["unit lower upper"],
    "orders/bed_of_two_frames": [
        "unit rail_l cleat_l", "unit post_hl post_hr head_1 head_2", "unit post_fl post_fr foot_1", "last slat_8",
    ],
    "orders/island_on_a_plinth": [
        "unit kick_f kick_b kick_l kick_r", "mid before side_l", "shelf before top", "last back",
    ],
    "orders/workbench_with_a_shelf": [
        "unit lower upper", "unit leg_fl leg_bl end_lt end_lb", "last lower upper",
    ],
    "orders/tool_cabinet": [
        "unit door_side_l door_side_r door_top door_bottom door_skin",
        "last door_side_l door_side_r door_top door_bottom door_skin",
    ],
    "orders/queen_bed_bolted": [
        "unit side_l cleat_l", "unit post_fl post_fr foot_1", "unit post_hl post_hr head_1 head_2", "last slat_12",
        "turned 1",
    ],
    "orders/bed_cleats_and_slats": [
        "unit side_l cleat_l", "unit side_r cleat_r", "unit post_hl post_hr head_t head_b", "side_l before beam",
        "beam before slat_1", "turn " + " ".join(f"slat_{n}" for n in range(1, 11)),
    ],
    "orders/case_with_divider": [
        "unit floor mid lid", "low before end_l", "lid before low", "end_l before high", "high before skin",
        "skin before end_r", "last end_r",
    ],
    "orders/side_chair": [
        "unit leg_fl post_l rail_l str_l", "unit leg_fr post_r rail_r str_r", "last seat",
    ],
    "orders/writing_table": [
        "unit apron_l run_l", "unit leg_fr leg_br apron_r run_r", "rail_b before lid", "apron_b before lid",
        "d_side_r before d_floor", "d_back before d_floor",
        "last d_side_l d_side_r d_front d_back d_floor",
    ],
    "orders/pencil_box_sliding_lid": ["last lid"],
    "orders/box_with_egg_crate": [
        "unit long_1 long_2 long_3 short_1 short_2 short_3 short_4", "turned 1",
    ],
    "orders/table_rail_let_down": ["unit fl bl sl", "unit fr br sr", "last trl top"],
    "orders/pallet": ["turned 0", "turn " + " ".join(f"d_{n}" for n in range(1, 8))],
    "orders/trestle_top_screwed_first": ["unit tl_foot tl_post", "unit tr_foot tr_post", "turned 1"],
    "orders/bunk_bed_bolted": ["unit fl fr ef_1 ef_2 ef_3", "unit rl_1 dl_1", "turned 1", "upright rl_1", "upright bl"],
    "orders/bench_half_lapped": ["turn lf lb rf rb seat_1 seat_2", "turned 2"],
    "orders/chest_on_web_frames": [
        "unit rail_f1 rail_b1 run_l1 run_r1", "unit rail_f2 rail_b2 run_l2 run_r2", "rail_f1 before side_r",
        "last top",
    ],
    "orders/cupboard_with_two_doors": [
        "unit door_l_stile_l door_l_stile_r door_l_rail_t door_l_rail_b", "floor before side_r",
        "shelf_r before side_r",
        "last door_r_stile_l door_r_stile_r door_r_rail_t door_r_rail_b", "side_r before skin",
    ],
    "orders/drawer_dovetailed": ["face before side_r", "back_p before side_r", "last floor"],
    "orders/nightstand_on_legs": [
        "unit leg_fl leg_fr up low", "unit leg_bl leg_br back low_b", "last top",
    ],
    "orders/panel_in_mitred_frame": ["stile_r before panel", "panel before rail_t", "last rail_t"],
    "orders/panelled_chest": ["rail_lb before pan_l", "rail_ft before pan_f", "last lid"],
    "orders/trestle_table": [
        "unit foot_l post_l head_l", "unit foot_r post_r head_r", "unit top_1 top_2 top_3 top_4 top_5",
        "last top_1 top_2 top_3 top_4 top_5",
    ],
    "orders/wall_cabinet": [
        "unit stile_l stile_r rail_t rail_b panel", "roof before side_r", "side_r before rear", "rear before shelf",
        "last stile_l stile_r rail_t rail_b panel",
    ],
    "orders/butlers_tray": ["floor before back_w", "last back_w", "turned 0"],
    "orders/firewood_rack": [
        "unit post_fl post_bl end_lt end_lb", "turn long_f slat_1", "last slat_4", "upright slat_1", "turned 1",
    ],
    "orders/medicine_cabinet": [
        "unit stile_l stile_r rail_t rail_b", "mid before side_r", "side_r before skin", "side_r before rail_t",
    ],
    "planter_boards_in_a_loop": ["unit post_fl post_bl left_1 left_2 left_3", "turn front_3 back_1", "turned 2"],
    "planter_cedar": ["last post_fr post_br end_r_1 end_r_2", "turned 1"],
    "crate": ["unit post_fl post_bl slat_l1 slat_l2 slat_l3", "turned 2"],
    "stool_square": ["unit leg_fl leg_bl rail_l bar_l", "unit leg_fr leg_br rail_r bar_r", "last seat"],
}  # fmt: skip
NOT_YET: frozenset[str] = frozenset()
"""Pieces that are not put together so yet, as their builder would. Strict: one that is has to be taken out."""


def steps_of(name: str) -> list[Step]:
    folder = (
        HERE.parent / "planlint" if name.startswith("demo/") else HERE if "/" in name else HERE / "pieces"
    )
    path = folder / f"{name}.plan"
    plan, mistakes = understand(PlanText(name, path.read_text("utf-8")), Settings())
    assert plan is not None and not mistakes
    return [each for step in work_steps(Piece(plan)) for each in step.each()]


def holds(words: str, steps: list[Step]) -> bool:
    made = [{part.name for part in step.made} for step in steps]
    match words.split():
        case ["unit", *names]:
            return set(names) in made
        case ["last", *names]:
            whole = max((each for each in made if set(names) <= each), key=len)
            final = next(step for step, each in zip(steps, made, strict=True) if each == whole)
            sides = [{part.name for part in unit.parts} for unit in (*final.added, *final.standing)]
            return set(names) in sides
        case [one, "before", other]:
            return next(n for n, each in enumerate(made) if one in each) < next(
                n for n, each in enumerate(made) if other in each
            )
        case ["turned", times]:
            return sum(step.turned for step in steps if len(step.made) > 4) == int(times)
        case ["upright", name]:
            into = max(
                (step for step in steps if name in {part.name for part in step.comes}), key=lambda s: s.number
            )
            return into.down is Side.BOTTOM
        case ["turn", *names]:
            return names == [part.name for step in steps for part in step.comes if part.name in names]
    raise ValueError(words)


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=[pytest.mark.xfail(strict=True)] if name in NOT_YET else [])
        for name in ORDERS
    ],
)
def test_the_order_is_the_builders(name: str) -> None:
    steps = steps_of(name)
    assert not any(step.stuck for step in steps)
    assert [words for words in ORDERS[name] if not holds(words, steps)] == []
