"""What a page or a file of all sheets leaves undrawn of a large piece, and how it says so.

One drawing of anything is made by ``draw`` whatever the size; here it is about all of them at once.
"""

from collections import Counter
from collections.abc import Sequence

from planlint.drawings.piece_sheets import MANY, families
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.reports.safe_words import count

MOST_FINDINGS = 60
"""Findings that are drawn. Basis: our own judgement: who has more of them looks at a few of each rule first."""
_MOST_OF_A_RULE = 12
"""Of so many, those of one rule that are drawn. Basis: our own judgement."""
_MOST_PARTS = 120
"""Parts that are drawn as they go to the drill. Basis: our own judgement."""
MOST_IN_STEPS = 40
"""Parts of a piece beyond which steps are not drawn, as they would take longest of all. Basis: our own judgement."""
MOST_IN_ORDER = 250
"""Parts of a piece beyond which a page has no order of work: it takes with the square of them, seconds from here on.
Basis: our own judgement."""


def findings_drawn(findings: Sequence[Finding]) -> list[int]:
    """The places of the findings that are drawn: all, or of many the first few of each rule."""
    if len(findings) <= MOST_FINDINGS:
        return list(range(len(findings)))
    of_rule: Counter[str] = Counter()
    turns = []
    for place, finding in enumerate(findings):
        turns.append((of_rule[finding.rule], place))
        of_rule[finding.rule] += 1
    few = sorted(turn for turn in turns if turn[0] < _MOST_OF_A_RULE)
    return sorted(place for _, place in few[:MOST_FINDINGS])


def parts_drawn(piece: Piece) -> list[Part]:
    """The parts that are drawn: all, or of a large piece the first of those alike in name and size."""
    parts = piece.plan.parts
    if len(parts) <= MANY:
        return list(parts)
    return [alike[0] for alike in families(parts)][:_MOST_PARTS]


def steps_drawn(piece: Piece) -> bool:
    return len(piece.plan.parts) <= MOST_IN_STEPS


def ordered(piece: Piece) -> bool:
    """Whether the steps are told, drawn or not."""
    return len(piece.plan.parts) <= MOST_IN_ORDER


def not_drawn(piece: Piece, findings: Sequence[Finding]) -> list[str]:
    """What is said of all that is not drawn."""
    said = []
    drawn = len(findings_drawn(findings))
    if drawn < len(findings):
        said.append(
            f"{drawn} of {len(findings)} findings are drawn here, the first of each rule; "
            "`planlint draw PLAN --finding N --to FILE.svg` draws any."
        )
    parts = len(parts_drawn(piece))
    if parts < len(piece.plan.parts):
        said.append(
            f"{parts} of {count(len(piece.plan.parts), 'part')} are drawn here, one of those alike in name and size; "
            "`planlint draw PLAN --part NAME --to FILE.svg` draws any."
        )
    if not ordered(piece):
        said.append(
            f"The piece has more than {MOST_IN_ORDER} parts: the order of work is not told here; "
            "`planlint steps PLAN` tells it, `planlint draw PLAN --step N --to FILE.svg` draws any step."
        )
    elif not steps_drawn(piece):
        said.append(
            f"The piece has more than {MOST_IN_STEPS} parts: steps have no drawings here; "
            "`planlint draw PLAN --step N --to FILE.svg` draws any."
        )
    return said
