"""Which repairs are proposed for which rule."""

from collections.abc import Iterator
from contextlib import suppress

from planlint.checks.acceptance import BARE, STALE, Bare
from planlint.findings.finding import Finding
from planlint.repairs.apart_repairs import apart, overlap
from planlint.repairs.board_repairs import one_face_finish, rings_not_alternated, rough_edge
from planlint.repairs.cut_repairs import poor_fit
from planlint.repairs.drilling_repairs import drill_elsewhere, other_screws, pockets_added, set_out_anew
from planlint.repairs.facing_repairs import askew
from planlint.repairs.fastener_repairs import corrosion, drives_aside, fastener_fit
from planlint.repairs.guard_repairs import bunk_guard, guard_gap
from planlint.repairs.let_in_repairs import loose_panel
from planlint.repairs.line_edits import line_taken_out
from planlint.repairs.load_repairs import hanging, joint_overload, may_break, racking, shelf_sag, tip_over
from planlint.repairs.missing_joins import free_to_slide, loose_end
from planlint.repairs.placing_proof import resizes
from planlint.repairs.placing_repairs import misfit, unjoined
from planlint.repairs.repair_context import Context, NotInThisFile, Proposal, Propose
from planlint.repairs.slip_search import by_one_slip
from planlint.repairs.slot_repairs import locked_across_grain
from planlint.repairs.stock_repairs import longer_stock, narrow_mitre, nominal_size, stepped_face, thin_stock


def stale_acceptance(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The line that accepts nothing taken out; not where its rule may only be missing on this machine."""
    if finding.kind != "no-such-rule":
        taken = line_taken_out(context, context.at(finding.span))
        yield Proposal((taken,), "take this line out: it accepts nothing")


def bare_acceptance(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What is accepted without a reason mended, and the line taken out; only the builder knows a reason."""
    taken = line_taken_out(context, context.at(finding.span))
    accepted = finding.judged(Bare).accepted
    if not accepted:
        yield Proposal((taken,), "take this line out: it accepts nothing")
    for each in accepted[:1]:
        for way in proposals(context, each):
            yield way._replace(edits=(*way.edits, taken), says=f"{way.says}, and take this line out")


PROPOSALS: dict[str, Propose] = {
    "misfit": misfit,
    "apart": apart,
    "overlap": overlap,
    "free-to-slide": free_to_slide,
    "askew": askew,
    "unjoined": unjoined,
    "loose-end": loose_end,
    "poor-fit": poor_fit,
    "unheld": pockets_added,
    "lone-screw": set_out_anew,
    "wide-spacing": set_out_anew,
    "close-spacing": set_out_anew,
    "far-from-end": set_out_anew,
    "near-end": set_out_anew,
    "breakout": set_out_anew,
    "mitre-breakout": set_out_anew,
    "thin-cover": set_out_anew,
    "screws-meet": drives_aside,
    "no-room-to-drive": set_out_anew,
    "no-build-order": set_out_anew,
    "fastener-fit": fastener_fit,
    "short-grip": other_screws,
    "tip-through": other_screws,
    "thread-mismatch": other_screws,
    "unstocked-screw": other_screws,
    "into-end-grain": drill_elsewhere,
    "hole-in-sight": drill_elsewhere,
    "locked-across-grain": locked_across_grain,
    "rings-not-alternated": rings_not_alternated,
    "one-face-finish": one_face_finish,
    "rough-edge": rough_edge,
    "corrosion": corrosion,
    "may-break": may_break,
    "joint-overload": joint_overload,
    "shelf-sag": shelf_sag,
    "racking": racking,
    "tip-over": tip_over,
    "hanging": hanging,
    "guard-gap": guard_gap,
    "bunk-guard": bunk_guard,
    "loose-panel": loose_panel,
    "thin-stock": thin_stock,
    "stepped-face": stepped_face,
    "narrow-mitre": narrow_mitre,
    "nominal-size": nominal_size,
    "stock-too-short": longer_stock,
    STALE: stale_acceptance,
    BARE: bare_acceptance,
}
"""Every rule with a possible repair."""


def proposals(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Ways to take a finding away, the least harm first; none where the plan does not tell how."""
    yield from by_one_slip(context, finding, _usual(context, finding))


def _usual(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The ways of its rule."""
    propose = PROPOSALS.get(finding.rule)
    if propose is not None:
        with suppress(NotInThisFile):
            for way in propose(context, finding):
                larger = way.moves and not way.larger and resizes(context, way.edits, finding)
                yield way._replace(asks=True) if larger else way
