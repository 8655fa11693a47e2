"""Which check answers which rule, what it judges, and what asking it costs: the one judge of a piece."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, Flag, auto
from typing import NamedTuple

from planlint.checks.board_practice import one_face_finish, rings_not_alternated, rough_edge, wide_boards
from planlint.checks.bore_cover import breakout, narrow_mitre, thin_stock
from planlint.checks.breaking_part import may_break
from planlint.checks.bunk_guard import bunk_guard
from planlint.checks.corrosion import corrosion
from planlint.checks.driving_room import no_build_order, no_room_to_drive
from planlint.checks.fastener_fit import fastener_fit
from planlint.checks.guard_gap import guard_gap
from planlint.checks.hole_in_sight import hole_in_sight
from planlint.checks.hung_piece import hanging_weight
from planlint.checks.locked_across_grain import locked_across_grain
from planlint.checks.loose_end import loose_end
from planlint.checks.loose_panel import loose_panel
from planlint.checks.no_way_in import no_way_in
from planlint.checks.overloaded_joint import joint_overload
from planlint.checks.placement_faults import apart, askew, free_to_slide, misfit, overlap, unjoined
from planlint.checks.poor_fit import poor_fit
from planlint.checks.racking_frame import racking
from planlint.checks.sagging_shelf import shelf_sag
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
from planlint.checks.stock_sizes import nominal_size, stock_too_short, unknown_wood
from planlint.checks.tipping_piece import tip_over
from planlint.checks.turning_joint import lone_screw, unheld
from planlint.checks.unlike_sides import unlike_sides
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule, in_force, rule_book
from planlint.geometry.piece import Piece
from planlint.model.workshop import Settings

Ask = Callable[[Piece, Rule], Iterator[Finding]]
"""Asks a piece the question of a rule and yields what is wrong; raises only for a fault of this program."""


class Judges(Enum):
    """What a rule looks at: so much of the piece has to be there for it to be asked."""

    JOINT = auto()
    """The pockets and screws of one joint, by themselves."""
    PAIR = auto()
    """Those of a joint against those of the joints at the same parts."""
    PIECE = auto()
    """The piece as a whole."""


class By(Flag):
    """What a rule judges by: what may be changed so that it is satisfied."""

    NOTHING = 0
    PLACING = auto()
    """Where parts lie."""
    PLACES = auto()
    """Where along their joint the pockets lie."""
    SCREWS = auto()
    """The length and thread of the screws, wherever the pockets are."""
    ROOM = auto()
    """What stands in the way of a screw or a driver: a row moved along may pass it with no screw more."""
    FIXING = auto()
    """What is said of a part's place: it may be enough once the parts that it is told by lie right."""
    SIGHT = auto()
    """What stands before it, which any part may."""
    OUTLYING = auto()
    """Where parts lie, which may be outside of the piece: it may get smaller."""
    TIES = auto()
    """What ties parts to the others: till then nobody knows how large the piece is meant to be."""
    LIKENESS = auto()
    """Where parts lie, and how they are cut, beside those alike."""


class Check(NamedTuple):
    """A check, and what it declares of itself."""

    ask: Ask
    judges: Judges
    by: By = By.NOTHING
    dear: bool = False
    """Whether it takes longer than all that are not dear together: asked last, where the others find nothing."""
    waits: bool = False
    """Whether it can judge nothing before all parts lie where they should."""


_JOINT, _PAIR, _PIECE = Judges

CHECKS: dict[str, Check] = {
    "misfit": Check(misfit, _PIECE, By.PLACING | By.OUTLYING),
    "apart": Check(apart, _PIECE, By.PLACING | By.OUTLYING),
    "overlap": Check(overlap, _PIECE, By.PLACING),
    "free-to-slide": Check(free_to_slide, _PIECE, By.PLACING | By.FIXING | By.TIES),
    "unjoined": Check(unjoined, _PIECE, By.PLACING | By.TIES),
    "askew": Check(askew, _PIECE, By.PLACING | By.TIES),
    "loose-end": Check(loose_end, _PIECE),
    "unlike-sides": Check(unlike_sides, _PIECE, By.LIKENESS | By.OUTLYING, waits=True),
    "poor-fit": Check(poor_fit, _PIECE),
    "unheld": Check(unheld, _PIECE),
    "lone-screw": Check(lone_screw, _JOINT),
    "wide-spacing": Check(wide_spacing, _JOINT),
    "close-spacing": Check(close_spacing, _JOINT, By.PLACES),
    "far-from-end": Check(far_from_end, _JOINT),
    "near-end": Check(near_end, _JOINT, By.PLACES),
    "short-grip": Check(short_grip, _JOINT, By.SCREWS),
    "tip-through": Check(tip_through, _JOINT, By.SCREWS),
    "breakout": Check(breakout, _JOINT, By.PLACES),
    "mitre-breakout": Check(breakout, _JOINT, By.PLACES),
    "thin-cover": Check(breakout, _JOINT),
    "narrow-mitre": Check(narrow_mitre, _JOINT),
    "thin-stock": Check(thin_stock, _JOINT),
    "into-end-grain": Check(into_end_grain, _JOINT),
    "thread-mismatch": Check(thread_mismatch, _JOINT, By.SCREWS),
    "unstocked-screw": Check(unstocked_screw, _JOINT, By.SCREWS),
    "fastener-fit": Check(fastener_fit, _JOINT),
    "screws-meet": Check(screws_meet, _PAIR, By.PLACES | By.ROOM),
    "no-room-to-drive": Check(no_room_to_drive, _JOINT, By.ROOM),
    "no-build-order": Check(no_build_order, _PIECE, By.ROOM, dear=True),
    "no-way-in": Check(no_way_in, _PIECE, dear=True),
    "stepped-face": Check(stepped_face, _PIECE),
    "hole-in-sight": Check(hole_in_sight, _JOINT, By.PLACES | By.SIGHT, dear=True),
    "locked-across-grain": Check(locked_across_grain, _PIECE),
    "loose-panel": Check(loose_panel, _PIECE),
    "wide-boards": Check(wide_boards, _PIECE),
    "rings-not-alternated": Check(rings_not_alternated, _PIECE),
    "one-face-finish": Check(one_face_finish, _PIECE),
    "rough-edge": Check(rough_edge, _PIECE),
    "guard-gap": Check(guard_gap, _PIECE),
    "bunk-guard": Check(bunk_guard, _PIECE),
    "corrosion": Check(corrosion, _PIECE),
    "unknown-wood": Check(unknown_wood, _PIECE),
    "nominal-size": Check(nominal_size, _PIECE),
    "stock-too-short": Check(stock_too_short, _PIECE),
    "shelf-sag": Check(shelf_sag, _PIECE, dear=True, waits=True),
    "may-break": Check(may_break, _PIECE, dear=True, waits=True),
    "joint-overload": Check(joint_overload, _PIECE, dear=True, waits=True),
    "racking": Check(racking, _PIECE, dear=True, waits=True),
    "tip-over": Check(tip_over, _PIECE, dear=True, waits=True),
    "hanging": Check(hanging_weight, _PIECE, dear=True, waits=True),
}
"""Every rule that a check answers. The two on acceptances are answered where a plan's own ``accept`` lines are read."""


def waits(rule: str) -> bool:
    """Whether a rule judges nothing before all parts lie where they should."""
    return rule in CHECKS and CHECKS[rule].waits


def hangs_on(rule: str, by: By) -> bool:
    """Whether a rule may be satisfied by changing that; not known of a workshop's own."""
    return rule in CHECKS and bool(CHECKS[rule].by & by)


def tells_joints(rule: str) -> bool:
    """Whether a rule tells the very joints that are to blame: one by itself, or one against another."""
    return rule in CHECKS and CHECKS[rule].judges in {Judges.JOINT, Judges.PAIR}


@dataclass(frozen=True)
class Judge:
    """The rules that count in a shop. Whoever wants to know what is wrong asks here: a rule that is off is asked
    nowhere."""

    rules: Mapping[str, Rule]
    """By name, graded as the shop has them, without those that are off; those of the shop's own among them."""

    def __contains__(self, name: object) -> bool:
        return name in self.rules

    def names(
        self, judges: Judges | None = None, by: By | None = None, *, dear: bool | None = None
    ) -> list[str]:
        """The rules of ours in force that judge so much, or by that; in the order of the catalogue."""
        return [
            name
            for name, check in CHECKS.items()
            if name in self.rules
            and judges in {None, check.judges}
            and (by is None or by & check.by)
            and dear in {None, check.dear}
        ]

    def ask(self, piece: Piece, *names: str) -> Iterator[Finding]:
        """What these rules find in a piece, as facts: not worded, and not held against what the plan accepts."""
        for name in names:
            yield from CHECKS[name].ask(piece, self.rules[name])


def judge(settings: Settings) -> Judge:
    """The judge of a shop, without the rules of its own."""
    return Judge(in_force(rule_book(), settings))
