"""Which check answers which rule."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from planlint.checks.bore_cover import breakout, mitre_breakout, narrow_mitre, thin_cover, thin_stock
from planlint.checks.driving_room import no_build_order, no_room_to_drive
from planlint.checks.hole_in_sight import hole_in_sight
from planlint.checks.locked_across_grain import locked_across_grain
from planlint.checks.placement_faults import apart, askew, free_to_slide, misfit, overlap, unjoined
from planlint.checks.screw_hold import (
    into_end_grain,
    short_grip,
    thread_mismatch,
    tip_through,
    unstocked_screw,
)
from planlint.checks.screw_spacing import close_spacing, far_from_end, near_end, wide_spacing
from planlint.checks.screws_meet import screws_meet
from planlint.checks.stepped_face import stepped_face
from planlint.checks.stock_sizes import nominal_size, stock_too_short
from planlint.checks.turning_joint import lone_screw, unheld
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece

Check = Callable[[Piece, Rule], Iterator[Finding]]
"""Asks a piece the question of a rule and yields what is wrong; raises only for a fault of this program."""

CHECKS: dict[str, Check] = {
    "misfit": misfit,
    "apart": apart,
    "overlap": overlap,
    "free-to-slide": free_to_slide,
    "unjoined": unjoined,
    "askew": askew,
    "unheld": unheld,
    "lone-screw": lone_screw,
    "wide-spacing": wide_spacing,
    "close-spacing": close_spacing,
    "far-from-end": far_from_end,
    "near-end": near_end,
    "short-grip": short_grip,
    "tip-through": tip_through,
    "breakout": breakout,
    "mitre-breakout": mitre_breakout,
    "thin-cover": thin_cover,
    "narrow-mitre": narrow_mitre,
    "thin-stock": thin_stock,
    "into-end-grain": into_end_grain,
    "thread-mismatch": thread_mismatch,
    "unstocked-screw": unstocked_screw,
    "screws-meet": screws_meet,
    "no-room-to-drive": no_room_to_drive,
    "no-build-order": no_build_order,
    "stepped-face": stepped_face,
    "hole-in-sight": hole_in_sight,
    "locked-across-grain": locked_across_grain,
    "nominal-size": nominal_size,
    "stock-too-short": stock_too_short,
}
"""Every rule that a check answers. The two on acceptances are answered where a plan's own ``accept`` lines are read."""
