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
    # A shelf on edge stands far out of its dado.
    ("dado_cut_right", "long, crosswise, facing up", "long, crosswise, facing front"),
    # What the back has is told again for the front, as its image: the pockets look inwards, though a top stands out.
    ("workbench", "join low_f.left, low_f.right to leg_fl.right, leg_fr.left\n    8 from bottom\n"
     "    set back 1 from front\n    pockets 2 in back\n    screws coarse 2-1/2\n", ""),
    # Two joins say the same of another side, and a slat lies in another's way.
    ("dado_cut_right", "join shelf.left to side_l.right", "join shelf.left to side_r.right"),
    ("sawhorse_tied_legs", "    8 from bottom", "    8 from top"),
    ("potting_bench", "    2-1/4 from front", "    1-3/4 from front"),
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
    # Of two words that heal it that by which most of the piece is in line.
    ("step_stool_angled", "join end_l.top to tread.bottom", "join end_l.bottom to tread.bottom"),
    # Another part is meant, that is joined to nothing here.
    ("coffee_table", "join apron_b.top to", "join apron_r.top to"),
    ("tv_console", "join rail_b.left to leg_bl.right", "join rail_l.left to leg_bl.right"),
    ("workbench", "join top_r.front, top_r.back to", "join top_f.front, top_r.back to"),
    ("coffee_table_breadboard", "join rail_r.front, rail_r.back to", "join rail_f.front, rail_r.back to"),
    ("rack_on_four_rails", "join low_r.front, low_r.back to", "join low_f.front, low_r.back to"),
    ("picture_frame", "join rail_b.left to stile_l.bottom", "join rail_t.left to stile_l.bottom"),
    # One end is laid otherwise than the other, and its dado.
    # A dado far too narrow for a lap is told as that.
    ("gate_corner_notched", "dado 3-1/2 wide", "dado 1-1/2 wide"),
    # As its twin has it, from its own side.
    ("desk_one_drawer", "set back 1/4 from left", "set back 1-3/4 from left"),
    # A cut that its twin has is forgotten.
    ("door_rabbeted_panel", "facing front\n    rabbet 3/8 x 1/4 along top back", "facing front"),
    # Laid as its twin is, or as the image of that.
    ("window_seat", "    flush left, back\n", ""),
    ("hall_bench_boot_shelf", "leg_fr.back, leg_br.front\n    flush top\n    set back 1/4 from right",
     "leg_fr.back, leg_br.front\n    flush top"),
    ("dado_cut_right", "shelf.left to side_l.right as dado, 1/4 deep\n    12 from",
     "shelf.left to side_l.right as dado, 1/4 deep\n    12-3/4 from"),
    # Two numbers of a cut are swapped, or its side is the other one.
    ("mirror_splined_rabbeted", "rabbet 3/8 x 1/2 along bottom back", "rabbet 1/2 x 3/8 along bottom back"),
    ("wine_rack_cross_lapped", "notch 1/2 wide 4-1/2 deep along back, cell from left",
     "notch 1/2 wide 4-1/2 deep along front, cell from left"),
    # One sign is wrong, where both cuts say otherwise.
    ("plant_table_splayed", "turned splay about deep", "turned -10 about deep"),
    # All corners are cut the other way.
    ("planter_of_six_staves", "edges cut 30, long at front", "edges cut 30, long at back"),
    # The last of a ring is joined to what is joined there already.
    ("planter_of_six_staves", "join stave_6.right to stave_1.left", "join stave_6.right to stave_2.left"),
    # A panel is not narrower by its groove and what lies behind.
    ("regal_genutet", "tief - 16 wide", "tief wide"),
    ("planter_boards_in_a_loop", "long long, crosswise, facing front", "long long, crosswise, facing up"),
    ("step_stool_angled", "part end_l of board, 11 long, 10 wide, upright, facing left",
     "part end_l of board, 11 long, 10 wide, upright, facing front"),
    ("workbench_vise_apron", "part top_1 of top_wood, long long, crosswise, facing up",
     "part top_1 of top_wood, long long, crosswise, facing front"),
    # All cuts are wider than their part by what it is too thin.
    ("grille_cross_lapped", "part bar_1, bar_2 of strip, 20 long, crosswise, facing front",
     "part bar_1, bar_2 of strip, 20 long, crosswise, facing up"),
    ("corner_shelf", "36 long, crosswise, facing front, fixed", "36 long, crosswise, facing up, fixed"),
    # Of two ways that close, parts named after sides and numbers lie by them, and the piece is the same on both sides.
    ("stool_rows_cross", "leg_l.right, leg_r.left", "leg_r.right, leg_r.left"),
    ("hall_bench_pine", "join stretcher.right to end_r.left", "join stretcher.right to end_l.left"),
    ("compost_bin_side", "join board_{n}.right to post_r.left", "join board_{n}.right to post_l.left"),
    ("panel_glue_up", "join board_1.back to board_2", "join board_4.back to board_2"),
    ("crate", "join slat_f{n}.back to post_fl.front", "join slat_f{n}.back to post_fl.back"),
    # Screws go past the wood that they are to hold in.
    ("leaning_bookcase", "rail, 72 long, upright, facing left", "rail, 72 long, upright, facing front"),
    ("writing_desk_mirrored", "set back 3/8 from back", "set back 1-7/8 from back"),
    # A join forgotten, told again from that of a part like it.
    ("mm_wall_shelf", "join wange_r.top to boden.bottom\n    100 from right\n    flush back\n"
     "    pockets 2 in left, plugged\n    screws coarse 32\n", ""),
    ("louvre_free_screen", "    join slat_{n}.top to rail_t.bottom as mortise and tenon, tenon 3/4 long, 3/8 thick, "
     "2 wide\n        1 + (n - 1) * 7 from left\n        centred front to back\n        glued\n", ""),
    ("shelf_between_four_legs", "join apron_f.left, apron_f.right to leg_fl.right, leg_fr.left\n    flush top\n"
     "    set back 1/4 from front\n    pockets 2 in back\n    screws fine 1-1/4\n", ""),
    # One of four legs stands nearer to its end than its three fellows.
    ("plant_table_splayed", "1-1/2 from right\n    screws 2 through bearer_b",
     "1/2 from right\n    screws 2 through bearer_b"),
    # Rails behind lie at the inside of their posts, those in front at the outside.
    ("garage_shelves_studs", "        flush back\n", "        flush front\n"),
]  # fmt: skip

ASKED = [
    # Where the notch is the part may be meant to lie elsewhere.
    ("step_stool_notched_sides", "notch 8 x 5-3/4 at top front", "notch 8 x 5-3/4 at top back"),
    # Either end may be meant.
    ("headboard_planks", "to post_l.right\n        (n - 1) * 5-3/4 + 1 from",
     "to post_l.right\n        (n - 1) * 5-3/4 + 2-1/2 from"),
    ("compost_bin_side", "to post_l.right\n        2 +", "to post_l.right\n        3 +"),
    ("toe_kick_box", "to front.back\n        (n - 1) * 16-5/8 from left",
     "to front.back\n        (n - 1) * 16-5/8 from right"),
    # Nothing like it is placed so.
    ("bunk_ladder", "        centred front to back\n", ""),
    # A turn of a loop too many, or a step too far; a mitred frame too short, or the panel in it too wide.
    ("garage_shelves_studs", "for n in 1 to shelves\n", "for n in 1 to shelves + 1\n"),
    ("mirror_splined_rabbeted", "glass_high long, glass_wide wide", "glass_high long, glass_wide + 2 * lip wide"),
]  # fmt: skip

TOLD = [
    # A dado that is wide enough for what lies far from its middle, and one that lies just as far off as is asked about.
    (
        "dado_cut_right",
        "dado 3/4 wide 1/4 deep across left, 12 from bottom",
        "dado 6 wide 1/4 deep across left, 11 from bottom",
        "poor-fit on shelf.right",
    ),
    (
        "dado_cut_right",
        "dado 3/4 wide 1/4 deep across left, 12 from bottom",
        "dado 3/4 wide 1/4 deep across left, 14 from bottom",
        "poor-fit on shelf.right",
    ),
    (
        "towel_cabinet_face_frame",
        "part shelf_{n} of sheet, inside + 2 * let_in long",
        "part shelf_{n} of sheet, inside long",
        "misfit on lid.left",
    ),
    (
        "towel_cabinet_face_frame",
        "dado 3/4 wide 3/8 deep across right, toe + rise from bottom",
        "dado 3/4 wide 3/8 deep across left, toe + rise from bottom",
        "poor-fit on shelf_2.left",
    ),
    (
        "towel_cabinet_face_frame",
        "    flush top, front\n    pockets 2 in back",
        "    flush top, front\n    pockets 2 in front",
        "hole-in-sight on rail_t.left",
    ),
    (
        "towel_cabinet_face_frame",
        "stock thin of birch plywood, 1/4 thick",
        "stock thin of birch plywood, 1/2 thick",
        "stepped-face on back.front",
    ),
    (
        "chest_three_drawers_on_slides",
        "out_wide inside - 2 * slide",
        "out_wide inside - slide",
        "misfit on drawer_1_side_r.right",
    ),
    (
        "chest_three_drawers_on_slides",
        "through drawer_{n}_front, gauge 8, 1 long",
        "through drawer_{n}_front, gauge 8, 1-1/4 long",
        "fastener-fit on face_1.back",
    ),
    (
        "chest_three_drawers_on_slides",
        "between + 2 * 1/4 long",
        "between + 1/4 long",
        "misfit on drawer_1_floor.left",
    ),
    (
        "chest_three_drawers_on_slides",
        "join nailer.right to side_r.left\n    flush top, front\n    pockets 2 in bottom",
        "join nailer.right to side_r.left\n    flush top, front\n    pockets 1 in bottom",
        "lone-screw on nailer.right",
    ),
    (
        "chest_three_drawers_on_slides",
        "deep along right, 1/2 from bottom",
        "deep along right, 1/4 from bottom",
        "poor-fit on drawer_1_floor.left",
    ),
    (
        "hall_table_tapered_tenoned",
        "join rail_l.front to leg_fl.back as mortise and tenon, tenon 1 long",
        "join rail_l.front to leg_fl.back as mortise and tenon, tenon 1-1/2 long",
        "misfit on rail_l.front",
    ),
    ("hall_table_tapered_tenoned", "at bottom, 6 from top", "at bottom, 2 from top", "askew on rail_b.left"),
    ("porch_bench_gaps_between_slats", "    screws stainless\n", "", "corrosion on apron_f"),
    (
        "porch_bench_gaps_between_slats",
        "screws 2 through slat_{n}, gauge 10, 2-1/2 long, countersunk\n    join slat_{n}.bottom to end_r",
        "screws 2 through slat_{n}, gauge 10, 1-1/4 long, countersunk\n    join slat_{n}.bottom to end_r",
        "fastener-fit on slat_2.bottom",
    ),
    (
        "porch_bench_gaps_between_slats",
        "part leg_fl, leg_fr, leg_bl, leg_br of post, 16 long, upright, facing front\n    exterior",
        "part leg_fl, leg_fr, leg_bl of post, 16 long, upright, facing front\n    exterior\n"
        "part leg_br of post, 15 long, upright, facing front\n    exterior",
        "misfit on leg_br",
    ),
    (
        "porch_bench_gaps_between_slats",
        "screws coarse 2-1/2\njoin apron_f.right",
        "screws coarse 1-1/4\njoin apron_f.right",
        "short-grip on apron_f.left",
    ),
    (
        "mirror_splined_rabbeted",
        "ends cut 45, long at top",
        "ends cut 40, long at top",
        "askew on rail_t.left",
    ),
    (
        "mirror_splined_rabbeted",
        "rabbet 3/8 x 1/2 along right back",
        "rabbet 3/8 x 1/2 along right front",
        "poor-fit on backing.left",
    ),
    (
        "mirror_splined_rabbeted",
        "rabbet 3/8 x 1/2 along bottom back",
        "rabbet 1/2 x 3/8 along bottom back",
        "misfit on backing.top",
    ),
    (
        "step_stool_notched_sides",
        "dado 3/4 wide 1/4 deep",
        "dado 1/2 wide 1/4 deep",
        "poor-fit on step_low.left",
    ),
    (
        "step_stool_notched_sides",
        "    screws fine 1-1/4\njoin brace_low",
        "    screws coarse 1-1/4\njoin brace_low",
        "thread-mismatch on brace.left",
    ),
    (
        "step_stool_notched_sides",
        "notch 8 x 5-3/4 at top front",
        "notch 8 x 5-3/4 at top back",
        "apart on brace.left",
    ),
    (
        "wall_cabinet_pair_of_doors",
        "between + 2 * tongue wide, upright",
        "between + tongue wide, upright",
        "misfit on left_panel.left",
    ),
    (
        "wall_cabinet_pair_of_doors",
        "    part stile_l of frame_wood, high long, upright, facing front\n        groove 1/4 wide",
        "    part stile_l of frame_wood, high long, upright, facing front\n        groove 1/8 wide",
        "poor-fit on left_panel.left",
    ),
    (
        "wall_cabinet_pair_of_doors",
        "join lid.right to jamb_r.left\n    flush top, front\n    pockets 3 in top\n    screws to suit\n",
        "",
        "loose-end on lid",
    ),
    (
        "bed_bolted_planked_headboard",
        "let slat_step = (rail_long - 3-1/2) / (slats - 1)",
        "let slat_step = (rail_long - 3-1/2) / (slats - 2)",
        "apart on slat_12.bottom",
    ),
    (
        "bed_bolted_planked_headboard",
        "join side_r.front to foot_r.back\n    6 from bottom",
        "join side_r.front to foot_r.back\n    5 from bottom",
        "misfit on side_r.front",
    ),
    (
        "bed_bolted_planked_headboard",
        "1-1/2 from back, from 18 to 46",
        "1-1/2 from back, from 20 to 46",
        "poor-fit on plank_1.left",
    ),
    (
        "bed_bolted_planked_headboard",
        "join ledger_r.right to side_r.left\n    2 from bottom",
        "join ledger_r.right to side_r.left\n    1 from bottom",
        "misfit on ledger_r.right",
    ),
    ("plant_table_splayed", "bottom end cut splay, long", "bottom end cut 8, long", "askew on leg_lf"),
    ("plant_table_splayed", "turned splay about deep", "turned -10 about deep", "askew on leg_lf"),
    (
        "plant_table_splayed",
        "    1-1/2 from left\n    screws 2 through bearer_f, gauge 8, 2 long",
        "    1-1/2 from left\n    screws 2 through bearer_f, gauge 8, 3 long",
        "fastener-fit on leg_lf.back",
    ),
    ("regal_genutet", "gauge 8, 50 mm long", "gauge 8, 50 cm long", "fastener-fit on hakenleiste.top"),
    ("regal_genutet", "tief - 16 wide", "tief wide", "overlap on boden_1"),
    (
        "regal_genutet",
        "6 deep along right, 10 from back",
        "6 deep along right, 20 from back",
        "poor-fit on wand.left",
    ),
    (
        "wine_rack_cross_lapped",
        "deep along front, 2 * cell + thick from bottom",
        "deep along front, 2 * cell from bottom",
        "poor-fit on plank_2.back/post_1.front",
    ),
    (
        "wine_rack_cross_lapped",
        "notch 1/2 wide 4-1/2 deep along back, cell from left",
        "notch 1/2 wide 4-1/2 deep along front, cell from left",
        "poor-fit on plank_1.back/post_1.front",
    ),
    (
        "wine_rack_cross_lapped",
        "notch 1/2 wide 4-1/2 deep along back, 2 * cell",
        "notch 1/2 wide 4 deep along back, 2 * cell",
        "poor-fit on plank_1.back/post_2.front",
    ),
    (
        "kitchen_cart_mirrored",
        "    set back 1/4 from front\n    pockets 2 in back",
        "    set back 1/4 from front\n    pockets 2 in front",
        "hole-in-sight on rail_f.left",
    ),
    (
        "kitchen_cart_mirrored",
        "part low_l of low_wood, frame_deep - 2 * leg long, deep, facing left",
        "part low_l of low_wood, frame_deep - 2 * leg long, deep, facing up",
        "short-grip on low_l.back",
    ),
    (
        "potting_bench_two_end_frames",
        "    join rail_low.back to post.front\n        6 from bottom",
        "    join rail_low.back to post.front\n        8 from bottom",
        "misfit on l_rail_low.front",
    ),
    (
        "potting_bench_two_end_frames",
        "    flush top, back\n    pockets 2 in back",
        "    flush top, back\n    pockets 1 in back",
        "lone-screw on rail_top.left",
    ),
    (
        "planter_of_six_staves",
        "edges cut 30, long at front",
        "edges cut 30, long at back",
        "askew on stave_1.right",
    ),
    (
        "planter_of_six_staves",
        "join stave_6.right to stave_1.left as loose spline, spline 1/2 wide, 1/8 thick\n"
        "    flush bottom, front\n    glued\n",
        "",
        "loose-end on stave_1",
    ),
    (
        "planter_of_six_staves",
        "join stave_6.right to stave_1.left",
        "join stave_6.right to stave_2.left",
        "askew on stave_6.right",
    ),
    (
        "hocker_mit_sprossen",
        "join tritt_2.front, tritt_2.back to bein_vr.back, bein_hr.front as mortise and tenon, tenon 25 long, "
        "8 thick, 20 wide\n    120 from bottom",
        "join tritt_2.front, tritt_2.back to bein_vr.back, bein_hr.front as mortise and tenon, tenon 25 long, "
        "8 thick, 20 wide\n    150 from bottom",
        "misfit on tritt_2.back",
    ),
    (
        "hocker_mit_sprossen",
        "kurz_2.front, kurz_2.back to bein_vr.back, bein_hr.front",
        "kurz_2.front, kurz_2.back to bein_vr.back, bein_hl.front",
        "misfit on kurz_2.back",
    ),
    (
        "desk_dovetailed_drawer",
        "    set back set_in from left\n    pockets 3 in right",
        "    set back set_in from left\n    pockets 3 in left",
        "hole-in-sight on apron_l.back",
    ),
    (
        "desk_dovetailed_drawer",
        "groove 1/4 wide 1/4 deep along back, 3/8 from bottom",
        "groove 1/4 wide 1/4 deep along back, 5/8 from bottom",
        "poor-fit on floor.front",
    ),
    (
        "blanket_chest_till",
        "groove 1/2 wide groove_deep deep along front, 1 from bottom",
        "groove 1/2 wide groove_deep deep along front, 2 from bottom",
        "poor-fit on bottom.back",
    ),
    (
        "blanket_chest_till",
        "across front, 9 from left, from 12 to 17",
        "across front, 9 from left, from 13 to 17",
        "poor-fit on till.back",
    ),
    (
        "blanket_chest_till",
        "screws at 2, 12 from front through batten_l, gauge 8, 1-1/4 long",
        "screws at 2, 12 from front through batten_l, gauge 8, 1-3/4 long",
        "fastener-fit on batten_l.top",
    ),
    (
        "blanket_chest_till",
        "    flush top, right\n    screws 4 from 2 to 2 of bottom through front, gauge 8, 2 long",
        "    flush top, right\n    screws 4 from 2 to 2 of bottom through front, gauge 8, 1 long",
        "fastener-fit on end_r.front",
    ),
    (
        "bar_stool_board_seat",
        "part leg_fr, leg_bl, leg_br like leg_fl",
        "part leg_fr, leg_bl like leg_fl\npart leg_br like leg_fl, 28 long",
        "misfit on rung_r.back",
    ),
    (
        "bar_stool_board_seat",
        "join rail_f.left, rail_f.right to leg_fl.right, leg_fr.left as mortise and tenon, tenon 3/4 long",
        "join rail_f.left, rail_f.right to leg_fl.right, leg_fr.left as mortise and tenon, tenon 1-1/4 long",
        "misfit on rail_f.left",
    ),
    (
        "bar_stool_board_seat",
        "join rung_r.front, rung_r.back to leg_fr.back, leg_br.front",
        "join rung_r.front, rung_r.back to leg_fr.back, leg_bl.front",
        "misfit on rung_r.back",
    ),
    (
        "garage_shelves_studs",
        "        flush right\n        pockets 2 in left\n        screws coarse 2-1/2",
        "        flush right\n        pockets 2 in left\n        screws coarse 1-1/4",
        "short-grip on side_r_1.back",
    ),
    ("garage_shelves_studs", "for n in 1 to shelves", "for n in 1 to shelves + 1", "apart on side_l_5.back"),
    (
        "garage_shelves_studs",
        "        flush left\n        pockets 2 in right",
        "        flush left\n        pockets 1 in right",
        "lone-screw on side_l_1.back",
    ),
    (
        "bock_mit_steg",
        "dado 70 wide 15 deep across back",
        "dado 70 wide 15 deep across front",
        "poor-fit on hinten_steg.back",
    ),
    (
        "bock_mit_steg",
        "        flush left\n        screws 2 through steg, gauge 8, 40 mm long",
        "        flush left\n        screws 2 through steg, gauge 8, 80 mm long",
        "fastener-fit on hinten_steg.back",
    ),
    (
        "bock_mit_steg",
        "    join steg.front to bein_r.back as dado, 15 deep\n        150 from bottom",
        "    join steg.front to bein_r.back as dado, 15 deep\n        15 from bottom",
        "misfit on hinten_steg.back/hinten_bein_r.front",
    ),
    (
        "hall_bench_box_seat",
        "groove 1/4 wide 3/8 deep along right, 3/4 from back",
        "groove 1/4 wide 3/8 deep along right, 1/2 from back",
        "poor-fit on back.left",
    ),
    (
        "hall_bench_box_seat",
        "part middle of sheet, high - lid_thick - 4-3/4 long",
        "part middle of sheet, high - lid_thick - 4 long",
        "misfit on middle.bottom",
    ),
    (
        "hall_bench_box_seat",
        "through floor, gauge 8, 2 long",
        "through floor, gauge 8, 1 long",
        "fastener-fit on middle.bottom",
    ),
]
"""Faults of builders, each with the rule and the place that tell it, once; written down before they were inspected."""


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


@pytest.mark.parametrize(("piece", "right", "wrong", "told"), TOLD)
def test_a_fault_is_told_by_its_cause_once(piece: str, right: str, wrong: str, told: str) -> None:
    _, slip = _slip(piece, right, wrong)
    (found,) = inspect_text(slip).told
    assert told in {f"{found.rule} on {name}" for name in (found.joint, *found.parts)}


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


CLEAT = """\
plan "Bed rail with its cleat"
    seen from nowhere
stock rail_wood of pine, 1-1/8 x 6
stock cleat_wood of pine, 1-1/4 x 1-5/8
part rail of rail_wood, 40 long, deep, facing left
part cleat of cleat_wood, 40 long, deep, facing {}
join cleat.left to rail.right
    flush bottom, front
    screws every 8 from 4 to 4 of front through cleat, gauge 8, 2 long
"""


def test_screws_too_short_may_be_meant_for_wood_that_faces_another_way() -> None:
    """They are not made longer unasked: turned the part is thin enough for them."""
    assert inspect_text(PlanText("a", CLEAT.format("left"))).told == ()
    slip = PlanText("a", CLEAT.format("up"))
    left = mend(slip).after
    assert left.source.text == slip.text
    (ways,) = open_choices(left, Settings()).values()
    assert apply(slip.text, ways[0].edits) == CLEAT.format("left")
    assert len(ways) > 1
