"""Pocket holes that people see."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Pocket, Sight
from planlint.geometry.piece import Piece


class Seen(NamedTuple):
    """A row of which some pockets are seen, and who sees most of which one."""

    row: Row
    many: int
    sight: Sight
    pocket: Pocket


def hole_in_sight(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A pocket that is not plugged can be seen."""
    if not piece.plan.seen_from:
        return
    least = rule.limit("share of eyes", piece.settings)
    for row in rows(piece):
        if row.asked.plugged:
            continue
        seen = [pocket for pocket in row.pockets if piece.in_sight(pocket)]
        if not seen:
            continue
        sights = [piece.sight(pocket) for pocket in seen]
        sight = max(sights, key=lambda each: each.share)
        if sight.share <= least:
            continue
        grade = Grade.ADVICE if _glimpsed(rule, sights, piece) else rule.grade
        fact = Seen(row, len(seen), sight, seen[sights.index(sight)])
        yield row.found(rule, fact, sight.share, least, unit="of all eyes", grade=grade)


def _glimpsed(rule: Rule, sights: list[Sight], piece: Piece) -> bool:
    """Whether so few eyes see so little that nobody will notice: a sliver through a gap, or from one spot alone."""
    few, part = (rule.limit(name, piece.settings) for name in ("few eyes", "part of the mouth"))
    return max(each.share for each in sights) < few or max(each.mouth for each in sights) < part
