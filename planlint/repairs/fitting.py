"""Whether the parts of an edited plan lie where their joins say: read, worked out and placed, not inspected."""

from __future__ import annotations

from collections import Counter

from planlint.checks.registry import CHECKS
from planlint.findings.finding import Finding
from planlint.findings.rulebook import rule_book
from planlint.geometry.piece import Piece
from planlint.inspection.inspect import understand
from planlint.repairs.context import Context
from planlint.text.edits import Clash, TextEdit, apply
from planlint.text.source import PlanText

PLACING = ("misfit", "apart", "overlap", "free-to-slide", "unjoined", "askew")
"""The rules on where parts lie."""

Key = tuple[str, str | None, tuple[str, ...]]


def key(finding: Finding) -> Key:
    """What makes a finding the same one in another text: its rule, joint and parts."""
    return finding.rule, finding.joint, finding.parts


def fits(context: Context, edits: tuple[TextEdit, ...], finding: Finding) -> bool:
    """Whether a finding on where parts lie is gone from the edited plan, and nothing of that kind has come."""
    source = context.inspection.source
    try:
        text = apply(source.text, edits)
    except Clash:
        return False
    plan, mistakes = understand(PlanText(source.path, text), context.piece.settings)
    if plan is None or mistakes:
        return False
    piece = Piece(plan, context.piece.settings)
    found = Counter(key(each) for name in PLACING for each in CHECKS[name](piece, rule_book()[name]))
    there = Counter(key(each) for each in context.inspection.findings if each.rule in PLACING)
    return found[key(finding)] < max(1, there[key(finding)]) and not found - there
