"""The order of work for the builder, as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from planlint.checks.row_view import rows_of
from planlint.findings.finding import Finding, Grade
from planlint.geometry.piece import Piece
from planlint.model.join_details import Fastening
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import visible
from planlint.reports.step_joints import (
    clamp_opens,
    clamp_words,
    driven_words,
    driver_words,
    how_made,
    joint_name,
    lies_by,
    made_words,
    mirrored,
    others,
    pocket_words,
    side_name,
    slot_words,
)
from planlint.reports.step_names import Names, comes, mind, numbered_runs, why_now
from planlint.reports.steps_entry import all_screws, screws_of
from planlint.sheet.joint_setouts import loose_in
from planlint.sheet.sundries import counted, unsettled
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule, listed
from planlint.text.sayings import Saying, named
from planlint.wording.fastener_words import SetOut, fastener_name, told_set_outs
from planlint.wording.row_words import screw_length, set_up_words
from planlint.workplan.set_ups import blockers_among, shut_among
from planlint.workplan.step_data import JoinWork, Step


class StepLine(NamedTuple):
    """One thing that a step says. ``depth``: 0 its heading, 1 what is said of all of it and of which joint, 2 of that
    joint."""

    depth: int
    label: str
    words: str
    behind: str = ""
    """What follows a heading in plain type."""


class _ToldWith(NamedTuple):
    """What all steps of one piece are told with: ``known`` is what need not be told in full again, ``stops`` the rules
    that stop the work at a joint, or where parts come together; ``sheet`` where they stand on the shop sheet, which has
    told the places of pockets and what to buy."""

    piece: Piece
    named: Names
    known: set[str]
    stops: Mapping[frozenset[str], list[str]]
    sheet: bool

    @classmethod
    def of(
        cls, piece: Piece, steps: Sequence[Step], findings: Iterable[Finding], *, sheet: bool = False
    ) -> _ToldWith:
        stops: dict[frozenset[str], list[str]] = {}
        for each in findings:
            for one in (each, *each.also, *each.beside):
                if one.grade is Grade.STOP and (one.joint or one.parts):
                    joints = [name for name in (one.joint, one.against) if name]
                    for about in [frozenset((name,)) for name in joints] or [frozenset(one.parts)]:
                        stops.setdefault(about, []).append(one.rule)
        return cls(piece, Names(steps), set(), stops, sheet)

    def stopped(self, *about: str) -> list[str]:
        """The rules that stop the work at a joint, or at some parts."""
        return list(dict.fromkeys(self.stops.get(frozenset(about), ())))

    def stopped_here(self, step: Step) -> list[str]:
        """The rules that stop the work where parts come together, with those parts."""
        made, comes = {part.name for part in step.made}, {part.name for part in step.comes}
        joints = {join.name for join in self.piece.plan.joins}
        return [
            f"{listed(list(dict.fromkeys(rules)))}: {listed([visible(name) for name in sorted(about)])}"
            for about, rules in self.stops.items()
            if about <= made and about & comes and not about <= joints
        ]


def write_steps(
    page: Page, piece: Piece, steps: Sequence[Step], findings: Iterable[Finding] = (), *, sheet: bool = False
) -> None:
    """The numbered steps, then the screws and plugs to have ready; where ``findings`` stop the work, that is said.

    ``sheet``: behind the rest of a shop sheet, without what that has told.
    """
    page.heading("Order of work", visible(piece.plan.title))
    telling = _ToldWith.of(piece, steps, findings, sheet=sheet)
    for step in steps:
        page.blank()
        _write(page, _of_step(telling, step))
    page.blank()
    if not sheet:
        _write(page, _counts(piece))
    _write(page, _behind(piece, steps, sheet=sheet))
    page.flush()


def _write(page: Page, lines: Iterable[StepLine]) -> None:
    for depth, label, words, behind in lines:
        if label:
            page.labelled(label, words, indent=_INDENTS[depth])
        elif depth:
            page.prose(words, indent=_INDENTS[depth])
        else:
            page.heading(words, behind, gap=1)


_INDENTS = (0, 3, 5)
"""Columns before a line, by its depth."""


def _of_step(telling: _ToldWith, step: Step) -> Iterator[StepLine]:
    piece, named = telling.piece, telling.named
    if step.stuck:
        yield StepLine(0, "", f"{step.number}  No order of work", f" puts {named.of(step.added[0])} together")
        for work in step.work:
            names = blockers_among(piece, work.join, step.made)
            says = f"out of reach behind {listed(names)}" if names else "waits for these, or has no way in"
            if not names and shut_among(piece, work.join, step.made):
                says = "driven in a hollow that the others close: no hand gets in"
            yield StepLine(1, joint_name(work.join), says)
        return
    what, to = named.what(step)
    yield StepLine(0, "", f"{step.number}  {what}", to)
    said = (
        *(("Stop", words) for each in step.each() for words in telling.stopped_here(each)),
        *named.lies(step),
        *named.alike(step),
        *why_now(step),
        *_first_finish(step),
        *comes(step),
        *_set_out(step, piece.plan.unit),
        *mind(step),
    )
    for label, words in said:
        yield StepLine(1, label, words)
    for works in _alike_works(telling, step):
        yield from _of_joints(telling, step, works)
    for label, words in named.makes(step):
        yield StepLine(1, label, words)


def _counts(piece: Piece) -> Iterator[StepLine]:
    """What all steps take together: screws, other fasteners, plugs."""
    unit = piece.plan.unit
    for (thread, inches, gauge), count in all_screws(piece).items():
        yield StepLine(0, "In all", f"{count} {thread} screws {screw_length(inches, unit)}, No. {gauge}")
    for words in fasteners_told(piece):
        yield StepLine(0, "In all", words)
    counts = counted(piece)
    for what, count in (("pockets", counts.plugs), ("sunk heads", counts.heads.total())):
        if count:
            yield StepLine(0, "In all", f"{count} plugs for {what}")
    if left_out := unsettled(piece):
        names = listed([visible(each.joint) for each in left_out])
        yield StepLine(0, "In all", f"not counted: what holds {names}, not settled by the plan")


def _behind(piece: Piece, steps: Sequence[Step], *, sheet: bool) -> Iterator[StepLine]:
    """What to have ready for all steps, what is left to do behind them, and what the order costs."""
    unit = piece.plan.unit
    every = (work for step in steps for each in step.each() for work in each.work)
    for set_up in dict.fromkeys(each for work in every for each in work.set_ups):
        yield StepLine(0, "Have", set_up_words(set_up, unit))
    if any(part.finished for part in piece.plan.parts):
        yield StepLine(0, "Finish", "the rest when all of it is glued and screwed")
    costs = Counter(cost for step in steps for each in step.each() for cost in each.costs)
    if costs and not sheet:
        total = sum(cost.amount * count for cost, count in costs.items())
        told = [
            f"{cost.what}, {cost.amount:g}{'' if count == 1 else f' ({count} times)'}"
            for cost, count in sorted(costs.items(), key=lambda each: -each[0].amount * each[1])
        ]
        yield StepLine(0, "Trouble", "; ".join([f"{total:g} in all", *told]))


_SAME = 6
"""Decimals of an inch to which places are the same: so many that no sixty-fourth lies half-way between two."""


def _alike_works(telling: _ToldWith, step: Step) -> list[list[JoinWork]]:
    """The joints of a step, those of its twins with them, put together where the same is said of them."""
    every = (work for each in step.each() for work in each.work)
    said = grouped((repr((_said(telling, work), telling.stopped(work.join.name))), work) for work in every)
    return list(said.values())


def _said(telling: _ToldWith, work: JoinWork) -> tuple[object, ...]:
    """All that is said of a joint but its names, and the side that a mirrored joint has instead. A sheet has told the
    places of pockets, and where a joint alike lies otherwise it says so."""
    piece, join, clamp = telling.piece, work.join, work.clamp
    rows = [
        (
            screws_of(row),
            row.asked.plugged,
            None
            if telling.sheet
            else (
                mirrored(row.origin),
                row.asked.face.axis,
                sorted(round(row.from_side(p.station, row.origin), _SAME) for p in row.pockets),
            ),
        )
        for row in rows_of(piece, join)
    ]
    placings = None if telling.sheet else [lies_by(placing) for placing in work.placings]
    made = join.tradition and made_words(join.tradition, loose_in(piece, join), "inch")
    beside = [
        (each.fastening.kind, each.fastening.called, *map(_alike_set_out, told_set_outs(each)))
        for each in piece.fasteners(join)
    ]
    clamped = clamp and (
        clamp.through,
        clamp.again,
        clamp.corner,
        clamp.lap,
        len(clamp.flush),
        clamp_opens(piece, clamp),
    )
    return made, join.glue, join.slotted, placings, rows, beside, clamped, work.set_ups, work.settled


def _alike_set_out(found: SetOut) -> object:
    return (
        mirrored(found.origin),
        [round(place, _SAME) for place in found.places],
        mirrored(found.beside),
        round(found.inside, _SAME),
    )


def _of_joints(telling: _ToldWith, step: Step, works: Sequence[JoinWork]) -> Iterator[StepLine]:
    """One joint, and those of which the same is to be said: where it lies, its pockets and screws, driver and clamp."""
    piece, work = telling.piece, works[0]
    unit = piece.plan.unit
    found = rows_of(piece, work.join)
    yield StepLine(1, "", Saying(named(joint_name(work.join)) + how_made(piece, work)))
    if rules := telling.stopped(work.join.name):
        yield StepLine(2, "Stop", f"{listed(rules)}: mend the plan first")
    for row in found:
        drilled = f", in the {row.asked.face.value} of {visible(row.part.name)}" if telling.sheet else ""
        if not telling.sheet:
            yield StepLine(2, "Pockets", pocket_words(row))
        for (thread, inches, gauge), count in screws_of(row).items():
            yield StepLine(
                2, "Screws", f"{count} {thread} {screw_length(inches, unit)}, No. {gauge}{drilled}"
            )
        if work.join.slotted:
            yield StepLine(2, "Slots", slot_words(work, row, telling.known))
        if row.asked.plugged:
            yield StepLine(2, "Plugs", f"{len(row.pockets)}, once the screws are in")
    for each in piece.fasteners(work.join):
        yield StepLine(2, each.fastening.kind.capitalize(), driven_words(each, unit))
    if work.join.pockets and not work.settled:
        yield StepLine(2, "Pockets", "the plan does not settle where the parts lie; inspect it first")
    if work.set_ups:
        yield StepLine(2, "Driver", driver_words(piece, step, work))
    if work.clamp:
        yield StepLine(2, "Clamp", clamp_words(piece, work.clamp))
    if len(works) > 1:
        yield StepLine(2, "Likewise", "; ".join(others(piece, works)))


def sheet_steps(
    piece: Piece, steps: Sequence[Step], findings: Iterable[Finding] = ()
) -> tuple[list[list[StepLine]], list[StepLine]]:
    """The same for a shop sheet that lays them out itself: the lines of each step, and those behind all."""
    telling = _ToldWith.of(piece, steps, findings, sheet=True)
    told = [
        [
            each._replace(words=f"{each.words} {each.behind}") if each.behind else each
            for each in _of_step(telling, step)
        ]
        for step in steps
    ]
    return told, list(_behind(piece, steps, sheet=True))


def _first_finish(step: Step) -> list[tuple[str, str]]:
    """What to finish before a step, the same side of several parts told once."""
    finish = dict.fromkeys(f for one in step.each() for f in one.finish)
    sides = grouped(((each.side, each.glued), visible(each.part.name)) for each in finish)
    return [
        (
            "Finish",
            f"{listed(names)} before going in"
            if side is None
            else f"the {side.value} of {listed(names)} first: no brush gets there afterwards"
            + (", but keep it off where the glue goes" if glued else ""),
        )
        for (side, glued), names in sides.items()
    ]


def _set_out(step: Step, unit: str) -> list[tuple[str, str]]:
    """How far parts lie from others that they do not touch, the same gap in a row told once."""
    every = [spacing for one in step.each() for spacing in one.spacings]
    gaps = grouped((each.gap, each) for each in every if each.gap)
    lines = grouped(
        ((each.side_a, side_name(each.part_b, each.side_b)), each.part_a) for each in every if not each.gap
    )
    told = [
        f"{side_name(parts[0], side) if len(parts) == 1 else listed(numbered_runs(parts))} in line with {to}"
        for (side, to), parts in lines.items()
    ]
    for gap, here in gaps.items():
        if len(here) > 2:
            row = numbered_runs(list({part.index: part for each in here for part in each.parts}.values()))
            told.append(f"{by_rule(gap, unit)} between {listed(row, most=len(row))}")
        else:
            told += [
                f"{visible(each.part_a.name)} {by_rule(gap, unit)} from {side_name(each.part_b, each.side_b)}"
                for each in here
            ]
    return [("Set out", "; ".join(told))] if told else []


def fasteners_told(piece: Piece) -> list[str]:
    """All fasteners of a piece but pocket screws, counted by kind and size."""
    total: Counter[tuple[str, Fastening]] = Counter()
    first: dict[str, Fastening] = {}
    for join in piece.plan.joins:
        for row in piece.fasteners(join):
            made = first.setdefault(fastener_name(row.fastening, piece.plan.unit, 1), row.fastening)
            total[fastener_name(made, piece.plan.unit, 1), made] += len(row.at)
    return [fastener_name(made, piece.plan.unit, count) for (_, made), count in total.items()]
