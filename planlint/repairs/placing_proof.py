"""Whether the parts of an edited plan lie where their joins say: read, worked out and placed, not inspected."""

from collections import Counter
from collections.abc import Callable, Sequence

from planlint.checks.registry import By, hangs_on, judge
from planlint.findings.finding import Finding, Identity
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import understand
from planlint.model.like_parts import are_twins
from planlint.placement.contradictions import closes
from planlint.repairs.repair_context import Context
from planlint.text.edits import Clash, TextEdit, apply
from planlint.text.source import PlanText


def changed_piece(context: Context, edits: tuple[TextEdit, ...]) -> Piece | None:
    """The piece of the edited plan; ``None`` where that cannot be read."""
    source = context.inspection.source
    try:
        text = apply(source.text, edits)
    except Clash:
        return None
    if text not in context.changed:
        plan, mistakes = understand(PlanText(source.path, text), context.piece.settings)
        whole = plan is not None and not mistakes
        context.changed[text] = Piece(plan, context.piece.settings) if plan is not None and whole else None
    return context.changed[text]


def resizes(context: Context, edits: tuple[TextEdit, ...], finding: Finding) -> bool:
    """Whether the whole piece gets another size, as far as it is known how large it is meant to be."""
    piece = changed_piece(context, edits)
    if piece is None or hangs_on(finding.rule, By.TIES):
        return False
    same = piece.limits["misfit", "length"]  # The outside of a piece may differ by as much and be the same.
    more = same if hangs_on(finding.rule, By.OUTLYING) else -same
    before, after = context.piece.bounds, piece.bounds
    grown = [
        (after.high[axis] - after.low[axis]) - (before.high[axis] - before.low[axis]) for axis in range(3)
    ]
    return any(by > same or (more < 0 and by < more) for by in grown)


def puts_right(context: Context, edits: tuple[TextEdit, ...], finding: Finding) -> bool:
    """Whether a finding on where parts lie is gone from the edited plan, and nothing of that kind has come."""
    piece, closed = changed_piece(context, edits), not context.piece.placement.misfits
    if piece is None or (closed and not closes(piece.graph)):  # Nothing is searched for what closes it.
        return False
    there = Counter(each.identity for each in context.inspection.findings)
    left = _left(piece, tuple(there.elements()))
    return left is not None and left[finding.identity] < max(1, there[finding.identity])


@of_piece
def _left(piece: Piece, there: tuple[Identity, ...]) -> Counter[Identity] | None:
    """What is found of where parts lie, asked once for all that an edit is tried for; ``None`` where some is new."""
    judging, found, allowed = judge(piece.settings), Counter[Identity](), Counter(there)
    for each in judging.ask(piece, *judging.names(by=By.PLACING)):
        found[each.identity] += 1
        if found[each.identity] > allowed[each.identity]:
            return None
    return found


def waiting(unsettled: Sequence[Finding]) -> Callable[[Finding], bool]:
    """Whether a finding waits, unasked, for those that nothing mends for sure: where it hangs on the place of their
    parts, and a hole in sight as long as any part may have to be another."""
    left = [each for each in unsettled if hangs_on(each.rule, By.PLACING | By.ROOM)]
    placing = [each for told in left if hangs_on(told.rule, By.PLACING) for each in (told, *told.also)]
    names = {name for each in placing for name in each.parts}

    def waits(finding: Finding) -> bool:
        if hangs_on(finding.rule, By.SIGHT):
            return bool(left)
        by_place = hangs_on(finding.rule, By.PLACES | By.SCREWS | By.ROOM | By.FIXING)
        return by_place and not names.isdisjoint(finding.parts)

    return waits


def as_fellows(context: Context, edits: tuple[TextEdit, ...], *, beside: bool = False) -> bool:
    """Whether a part that edits make larger or smaller is then as large as one like it that they leave as it is; or as
    long as any that runs ``beside`` it."""
    after = changed_piece(context, edits)
    pairs = [*zip(context.plan.parts, after.plan.parts, strict=False)] if after is not None else []
    kept = [old for old, new in pairs if old.size == new.size]
    return any(
        are_twins(new, each) or (beside and each.grain is new.grain and each.length == new.length)
        for old, new in pairs
        if old.size != new.size
        for each in kept
    )
