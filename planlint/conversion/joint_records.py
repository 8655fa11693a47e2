"""The record of each joint of a conversion: what it was, what it became or why it stays, what is found of it."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from planlint.conversion.conversion_result import Converted
from planlint.conversion.conversion_words import outside_changes, size_changes
from planlint.conversion.drilling_trials import Drilled, Key, Trial, new_joins
from planlint.conversion.equivalents import EQUIVALENTS
from planlint.conversion.join_lines import tradition_words
from planlint.conversion.joint_strength import new_strength
from planlint.conversion.kept_joints import ALL_THE_SAME
from planlint.conversion.refused_joints import open_cuts, slotted_variant
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.model.plan import Join
from planlint.text.grouping import grouped
from planlint.text.sayings import Saying
from planlint.wording.row_words import screw_length


class Verdict(NamedTuple):
    """The joints that stay, by their number."""

    refused: Mapping[int, str]
    tried: Mapping[int, tuple[Trial, ...]]
    """Of those that stop however they are drilled: the ways that were tried."""
    better_left: frozenset[int]
    """Those that would be converted if they were named one by one."""


def joints_told(
    before: Inspection,
    sites: Sites,
    change: Change,
    joins: Iterable[Join],
    drilled: Mapping[Key, Drilled],
    after: Inspection,
    verdict: Verdict,
) -> tuple[tuple[Converted, ...], tuple[Finding, ...]]:
    """What became of each joint, and the findings of the new plan that belong to none of them."""
    assert before.piece is not None and after.piece is not None
    now = new_joins(after.piece.plan, change)
    by_joint = grouped((finding.joint, finding) for finding in after.findings if finding.joint)
    told, own = [], set()
    for join in joins:
        if join.index in verdict.refused:
            told.append(_stays(before.piece, sites, join, verdict))
            continue
        made = {key: new for key, new in now.items() if key[0] == join.index}
        names = {new.name for new in made.values()}
        own |= names
        left = tuple(finding for name in sorted(names) for finding in by_joint.get(name, ()))
        told.append(_converted(sites, change, join, made, drilled, left, after.piece))
    return tuple(told), tuple(finding for finding in after.findings if finding.joint not in own)


def _was(sites: Sites, join: Join) -> str:
    assert join.tradition is not None
    found = sites.tradition(join)
    return " ".join(tradition_words(sites.text, *found).split()) if found else join.tradition.kind


def _stays(piece: Piece, sites: Sites, join: Join, verdict: Verdict) -> Converted:
    offers, tried = tuple(slotted_variant(piece, join)), verdict.tried.get(join.index, ())
    if any(finding.rule in {"thin-cover", "tip-through"} for trial in tried for finding in trial.findings):
        offers = tuple(open_cuts(piece, join))
    if join.index in verdict.better_left:
        offers = (*offers, ALL_THE_SAME)
    assert join.tradition is not None
    return Converted(
        join.name,
        _was(sites, join),
        join.span,
        join.tradition.kind,
        refused=Saying(verdict.refused[join.index]),
        offers=tuple(map(Saying, offers)),
        tried=tried,
    )


def _converted(
    sites: Sites,
    change: Change,
    join: Join,
    made: Mapping[Key, Join],
    drilled: Mapping[Key, Drilled],
    left: tuple[Finding, ...],
    piece: Piece,
) -> Converted:
    assert join.tradition is not None
    kind = join.tradition.kind
    return Converted(
        join.name,
        _was(sites, join),
        join.span,
        kind,
        becomes=EQUIVALENTS[kind].becomes,
        changes=tuple(size_changes(sites, change, join)),
        screws=_screws(piece, made.values(), sites.unit),
        drilled=tuple(drilled[key] for key in made if key in drilled),
        left=left,
        outside=tuple(map(Saying, outside_changes(sites, change, join))),
        strength=Saying("; ".join(dict.fromkeys(new_strength(piece, each) for each in made.values()))),
    )


def _screws(piece: Piece, joins: Iterable[Join], unit: str) -> str:
    found = [
        f"{screw.thread} {screw_length(screw.length, unit)}" for join in joins for screw in piece.screws(join)
    ]
    return " and ".join(dict.fromkeys(found))
