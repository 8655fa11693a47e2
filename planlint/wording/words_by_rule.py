"""Which words tell which rule's findings."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from planlint.checks.acceptance import BARE, STALE
from planlint.findings.finding import Finding, Repair
from planlint.geometry.piece import Piece
from planlint.wording import (
    acceptance_words,
    angle_words,
    board_words,
    bore_words,
    fastener_words,
    guard_words,
    joint_words,
    load_words,
    meeting_words,
    movement_words,
    overlap_words,
    placing_words,
    reach_words,
    screw_words,
    sight_words,
    spacing_words,
    stock_words,
)
from planlint.wording.finding_text import Told

_Words = Callable[[Piece, Finding, Any], Told]
"""Tells a finding of a rule from the fact that it judged, whose type the rule's check and its words agree on."""

WORDS: Mapping[str, _Words] = {
    "misfit": placing_words.misfit,
    "apart": placing_words.apart,
    "overlap": overlap_words.overlap,
    "free-to-slide": placing_words.free_to_slide,
    "unjoined": joint_words.unjoined,
    "askew": angle_words.askew,
    "loose-end": joint_words.loose_end,
    "unlike-sides": placing_words.unlike_sides,
    "breakout": bore_words.breakout,
    "mitre-breakout": bore_words.mitre_breakout,
    "thin-cover": bore_words.thin_cover,
    "narrow-mitre": bore_words.narrow_mitre,
    "thin-stock": bore_words.thin_stock,
    "wide-spacing": spacing_words.wide_spacing,
    "close-spacing": spacing_words.close_spacing,
    "far-from-end": spacing_words.far_from_end,
    "near-end": spacing_words.near_end,
    "unknown-wood": movement_words.unknown_wood,
    "wide-boards": board_words.wide_boards,
    "rings-not-alternated": board_words.rings_not_alternated,
    "one-face-finish": board_words.one_face_finish,
    "rough-edge": board_words.rough_edge,
    "guard-gap": guard_words.guard_gap,
    "bunk-guard": guard_words.bunk_guard,
    "corrosion": screw_words.corrosion,
    "loose-panel": movement_words.loose_panel,
    "locked-across-grain": movement_words.locked_across_grain,
    "poor-fit": joint_words.poor_fit,
    "short-grip": screw_words.short_grip,
    "tip-through": screw_words.tip_through,
    "thread-mismatch": screw_words.thread_mismatch,
    "into-end-grain": screw_words.into_end_grain,
    "unstocked-screw": screw_words.unstocked_screw,
    "fastener-fit": fastener_words.fastener_fit,
    "screws-meet": meeting_words.screws_meet,
    "stepped-face": board_words.stepped_face,
    "nominal-size": stock_words.nominal_size,
    "stock-too-short": stock_words.stock_too_short,
    "hole-in-sight": sight_words.hole_in_sight,
    "no-room-to-drive": reach_words.no_room_to_drive,
    "no-build-order": reach_words.no_build_order,
    "no-way-in": reach_words.no_way_in,
    "unheld": joint_words.unheld,
    "lone-screw": joint_words.lone_screw,
    "shelf-sag": load_words.shelf_sag,
    "may-break": load_words.may_break,
    "joint-overload": load_words.joint_overload,
    "racking": load_words.racking,
    "tip-over": load_words.tip_over,
    "hanging": load_words.hanging,
    STALE: acceptance_words.stale,
    BARE: acceptance_words.bare,
}
"""By rule. A workshop's own rule may bring a text of its own with each finding."""


def worded(piece: Piece, finding: Finding) -> Finding:
    """A finding with its sentence and its advice; as it is where its check gave it a text of its own."""
    words = WORDS.get(finding.rule)
    if finding.says or words is None:
        return finding
    says, repairs = words(piece, finding, finding.fact)
    return replace(finding, says=says, repairs=tuple(map(Repair, repairs)))
