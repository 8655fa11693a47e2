"""Other ways to drill a joint: other places, another face, the other part, with screws to go with it."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import islice

from planlint.checks.registry import By, hangs_on
from planlint.checks.row_view import Row
from planlint.checks.screw_hold import Grip, length_that_suits, wanted_covers
from planlint.checks.screws_meet import ScrewsMeet
from planlint.checks.slips_in_joins import upside_down
from planlint.checks.turning_joint import held_twin, usual_pockets
from planlint.findings.finding import Finding
from planlint.findings.one_cause import MISTURNED
from planlint.geometry.joint_facts import Screw
from planlint.model.directions import Side
from planlint.model.join_details import PocketRow, ScrewChoice
from planlint.model.plan import Join
from planlint.model.threads import suited_thread
from planlint.repairs.join_edits import (
    held_like,
    phrase,
    pockets_and_screws,
    write_row,
    write_screws,
    written_screw_length,
)
from planlint.repairs.joint_trial import clears, rows_as_changed, tried
from planlint.repairs.line_edits import add_detail, add_details, add_line, line_taken_out, rewrite
from planlint.repairs.part_repairs import facing_changed, thicker
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.row_layouts import layouts
from planlint.text.edits import TextEdit

MOST_OFFERED = 3
"""Ways offered for one finding. Basis: own judgement."""


# ---------------------------------------------------------------- proposals


def set_out_anew(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Pockets in other places; else in another face, or in the other part."""
    join = context.its_join(finding)
    meeting = _meeting(finding.fact, join) if isinstance(finding.fact, ScrewsMeet) else [join]
    for one in {each.index: each for each in map(context.as_written, meeting)}.values():
        yield from _offered(context, finding, one, _ways(context, finding, one))
    if finding.rule == "lone-screw" and not join.glue:
        changed = replace(join, glue="all")
        if clears(context, changed, finding.rule):
            head = context.at(join.span)
            yield Proposal((add_detail(context, head, "glued"),), "glue the joint as well")


def _meeting(fact: ScrewsMeet, join: Join) -> list[Join]:
    """The joints whose screws meet: that of the shorter part first, so that all corners of a frame are mended alike."""
    found = {each.join.index: each.join for each in (fact.mine, fact.theirs)}.values()
    return sorted(found, key=lambda each: (each.part_a.length, each.part_a.grain, each is not join))


def drill_elsewhere(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Another face, the other part, or plugs where the holes show."""
    join = context.its_join(finding)
    ways = [(number, way) for row in _rows(context, finding, join) for number, way in _elsewhere(row)]
    yield from _offered(context, finding, join, ways)
    if finding.rule == "into-end-grain":
        yield from _without_screws(context, join)
    if not hangs_on(finding.rule, By.SIGHT):
        return
    seen = {name for each in context.inspection.findings if each.rule == finding.rule for name in each.parts}
    laid = [*upside_down(context.piece, seen)]
    for slip in laid:
        says = f"say `{slip.words}` for {slip.join.name}, as for others of its stock"
        yield Proposal((TextEdit(slip.span, slip.words),), says, moves=True, asks=True)
    for number, asked in enumerate(join.pockets):
        if asked.span == finding.span:
            plugged = replace(asked, plugged=True)
            yield Proposal(write_row(context, join, number, plugged), "plug the holes", asks=bool(laid))


def _without_screws(context: Context, join: Join) -> Iterator[Proposal]:
    """Dowels or a spline in place of the screws, glued."""
    if join.tradition is not None or join.fastenings or not join.pockets:
        return
    spans = [*(row.span for row in join.pockets), *([join.screws.span] if join.screws else [])]
    first, *rest = [context.at(span) for span in dict.fromkeys(spans)]
    for words, what in (
        ("as dowels", "dowels"),
        ("as loose spline, spline 1 wide, 1/4 thick", "a loose spline"),
    ):
        edits = rewrite(first, words), *(line_taken_out(context, each) for each in rest)
        yield Proposal(edits, f"make it with {what} instead of pocket screws", asks=True)


def other_screws(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Screws of a length and thread that hold and stay inside; else drilled another way."""
    join = context.its_join(finding)
    if finding.kind == MISTURNED:
        grip = finding.judged(Grip)
        if grip.facing is not None:
            for edits, says in facing_changed(context, grip.row.part, grip.facing):
                yield Proposal(edits, says, moves=True, larger=True)
    fitted = fit_screws(context, join)
    if fitted is not None and fitted.screws != join.screws and clears(context, fitted, finding.rule):
        assert fitted.screws is not None
        yield Proposal(_screw_edits(context, join, fitted), f"use {_screw_words(context, fitted)} screws")
    if finding.rule in {"short-grip", "tip-through"}:
        yield from _offered(context, finding, join, _ways(context, finding, join))
        for row in _rows(context, finding, join):
            for part in (row.into, row.part):
                yield from thicker(context, part)


def pockets_added(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Pockets for screws that the plan asks for; where it asks for none, only the builder knows what was meant."""
    join = context.its_join(finding)
    if join.screws is None:
        twin = held_twin(context.piece, join)
        if twin is not None:
            yield from _held_as(context, join, twin)
        yield from _held_somehow(context, join)
        return
    pockets = usual_pockets(context.piece, join)
    if pockets is not None and pockets.of is None:  # Another part's name may be made by a loop.
        edit = add_line(context, context.at(join.screws.span), pockets.words())
        yield Proposal((edit,), f"drill 2 pockets in {pockets.face.value}")


def _held_as(context: Context, join: Join, twin: Join) -> Iterator[Proposal]:
    """The words that hold the twin of a joint, in the same faces or those across."""
    head = context.at(join.span)
    for behind in (False, True) if twin.pockets else (False,):
        lines = held_like(context, twin, join.part_a.name, join.part_b.name, behind=behind)
        if lines:
            yield Proposal((add_details(context, head, lines),), f"hold it as {twin.name} is held")


def _held_somehow(context: Context, join: Join) -> Iterator[Proposal]:
    """The usual ways to hold a joint that nothing holds: the builder knows which was meant."""
    head = context.at(join.span)
    pockets = pockets_and_screws(context, join)
    if pockets is not None:
        what, lines = pockets
        edit = add_details(context, head, lines)
        yield Proposal((edit,), f"drill {what}", asks=True)
    if join.tradition is None:
        ways = ("as dowels", "make it with dowels"), ("as resting", "say that it only rests there")
        for detail, says in ways[pockets is not None and not join.glue :] if not join.glue else ways[:1]:
            yield Proposal((add_detail(context, head, detail),), says, asks=True)


# ---------------------------------------------------------------- trying and offering


def _rows(context: Context, finding: Finding, join: Join) -> list[Row]:
    """The row that a finding is about, or all rows of its join."""
    rows = rows_as_changed(context, join)
    return [row for row in rows if row.asked.span == finding.span] or list(rows)


def _ways(context: Context, finding: Finding, join: Join) -> Iterator[tuple[int, PocketRow]]:
    for row in _rows(context, finding, join):
        for way in layouts(row, aside=hangs_on(finding.rule, By.ROOM)):
            yield row.number, way
        yield from _elsewhere(row)


def _offered(
    context: Context, finding: Finding, join: Join, ways: Iterable[tuple[int, PocketRow]]
) -> Iterator[Proposal]:
    """The first few ways that leave nothing to find at the joint."""
    offered = 0
    rest: list[Proposal] = []
    fewer: list[Proposal] = []
    accepted = {each.rule for each in context.inspection.accepted if each.joint == join.name}
    for number, way in islice(ways, context.most_tried):
        if offered == MOST_OFFERED:
            return
        pockets = (*join.pockets[:number], way, *join.pockets[number + 1 :])
        changed = replace(join, pockets=pockets)
        there = tried(context, changed)
        new = there - (context.findings_on(join.name) - {finding.rule})
        if any(hangs_on(rule, By.SCREWS) for rule in there):
            changed = fit_screws(context, changed) or changed
            there = tried(context, changed)
            new = there - (context.findings_on(join.name) - {finding.rule})
        too_few = finding.unit == "screws" and _screws(context, changed) < (finding.limit or 0)
        if new or too_few:
            continue
        if not clears(context, changed, finding.rule):
            continue
        edits = write_row(context, join, number, way) + _screw_edits(context, join, changed)
        other = f"in {join.part_a.name}, " if join.name != finding.joint else ""
        proposal = Proposal(edits, other + _drilled(context, join, number, changed))
        if _screws(context, changed) < _screws(context, join):
            fewer.append(proposal._replace(asks=True))
        elif there <= accepted:
            offered += 1
            yield proposal
        else:  # It takes this finding away and leaves others at the joint.
            rest.append(proposal)
    yield from rest[: MOST_OFFERED - offered]
    yield from fewer[: max(0, MOST_OFFERED - offered - len(rest))]


def _screws(context: Context, join: Join) -> int:
    return sum(len(row.pockets) for row in rows_as_changed(context, join))


def _drilled(context: Context, join: Join, number: int, changed: Join) -> str:
    old, new = join.pockets[number], changed.pockets[number]
    part = changed.part_b if new.in_b else changed.part_a
    where = ""
    if (old.face, old.in_b) != (new.face, new.in_b):
        instead = (
            f" instead of {(join.part_b if old.in_b else join.part_a).name}" if old.in_b != new.in_b else ""
        )
        where = f" in the {new.face.value} of {part.name}{instead}"
    many = new.count or (len(new.at) if new.at is not None else 0)
    words = f"{phrase(new, context.unit)} pocket{'' if many == 1 else 's'}" if new.count else ""
    words = words or f"pockets {phrase(new, context.unit)}"
    if old == replace(new, face=old.face, in_b=old.in_b) and where:
        words = "the pockets"
    screws = f", with {_screw_words(context, changed)} screws" if changed.screws != join.screws else ""
    return f"drill {words}{where}{screws}"


def _screw_edits(context: Context, join: Join, changed: Join) -> tuple[TextEdit, ...]:
    if changed.screws == join.screws or changed.screws is None:
        return ()
    return write_screws(context, join, changed.screws.thread, changed.screws.length)


def _screw_words(context: Context, join: Join) -> str:

    said = join.screws
    assert said is not None
    parts = [said.thread or "", context.told(said.length) if said.length is not None else ""]
    return " ".join(filter(None, parts))


# ---------------------------------------------------------------- screws


def fit_screws(context: Context, join: Join) -> Join | None:
    """The join with screws of the shop that suit the wood, hold, and stay inside, in every row of it."""
    rows = rows_as_changed(context, join)
    if not rows:
        return None
    said = join.screws
    thread = suited_thread(rows[0].into.stock.material, context.piece.limits)
    kept = None if said is None or said.thread is None else thread

    def length(inches: float) -> Fraction:
        return written_screw_length(context, join, Fraction(inches))

    def screws(inches: float) -> Iterable[Screw]:
        size = float(length(inches))
        return (row.screw(pocket, size, kept) for row in rows for pocket in row.pockets)

    found = length_that_suits(rows[0], context.plan, screws, wanted_covers(context.piece))
    if found is None:
        return None
    gauge, span = (said.gauge, said.span) if said else (None, join.span)
    return replace(join, screws=ScrewChoice(kept or thread, length(found), gauge, span))


# ---------------------------------------------------------------- other faces


def _elsewhere(row: Row) -> Iterator[tuple[int, PocketRow]]:
    """The same pockets in the face behind, then in the other part, its face of the same name first."""
    asked = row.asked
    yield row.number, replace(asked, face=asked.face.opposite)
    first = (asked.face, asked.face.opposite)
    sides = [side for side in Side if side.axis is not row.entered.axis]
    for face in sorted(sides, key=lambda each: (each not in first, each is not asked.face)):
        along = 3 - face.axis - row.entered.axis
        measured = asked.origin is not None and asked.origin.axis == along
        pitched = asked.every is not None and asked.origin is None and along == row.along
        if measured or pitched:
            yield row.number, replace(asked, face=face, in_b=not asked.in_b)
        many = asked.count or len(row.pockets)
        yield row.number, PocketRow(face, not asked.in_b, asked.span, many, plugged=asked.plugged)
