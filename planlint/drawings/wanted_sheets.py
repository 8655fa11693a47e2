"""Which sheets a call asks for: the piece, a view, a part, a joint, a finding, a step."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from planlint.drawings.finding_sheets import finding_sheet
from planlint.drawings.joint_sheets import joint_sheet
from planlint.drawings.large_piece_limits import findings_drawn, not_drawn, parts_drawn, steps_drawn
from planlint.drawings.part_sheets import part_sheets
from planlint.drawings.piece_sheets import overview, view_sheet, words_sheet
from planlint.drawings.primitives import Sheet
from planlint.drawings.step_sheets import step_sheet
from planlint.drawings.template_sheets import template_sheets
from planlint.drawings.viewpoints import VIEWS
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.model.nearest_name import nearest
from planlint.reports.safe_words import count
from planlint.workplan.work_steps import work_steps

_T = TypeVar("_T")


class NotInPlan(Exception):  # noqa: N818 - a refusal with its reason
    """What a call wants drawn is not there; the message says what is."""


@dataclass(frozen=True)
class Wanted:
    """What a call wants drawn; nothing said is the piece."""

    view: str | None = None
    part: str | None = None
    joint: str | None = None
    finding: str | None = None
    step: int | None = None


NOTHING_SAID = Wanted()


def every_sheet(inspection: Inspection) -> Iterator[Sheet]:
    """All there is to draw of a plan: the piece, its views, parts, findings, steps, and full-size templates.

    Raises ``NotInPlan`` where there is nothing.
    """
    piece = _piece_of(inspection)
    yield overview(piece)
    for name in ("front", "right", "top", "corner", "back-corner"):
        yield from view_sheet(piece, name)
    for part in parts_drawn(piece):
        yield from part_sheets(piece, part)
    for place in findings_drawn(inspection.findings):
        yield finding_sheet(piece, inspection.findings[place], place + 1)
    if steps_drawn(piece):
        steps = work_steps(piece)
        for step in steps:
            yield step_sheet(piece, step, len(steps))
    yield from template_sheets(piece)
    undrawn = not_drawn(piece, inspection.findings)
    if undrawn:
        yield words_sheet(piece, "What is not drawn", undrawn)


def _piece_of(inspection: Inspection) -> Piece:
    piece = inspection.piece
    assert piece is not None
    if not piece.plan.parts:
        raise NotInPlan("the plan has no parts to draw")
    return piece


def sheets_for(inspection: Inspection, wanted: Wanted) -> Iterator[Sheet]:
    """The sheets of one call. Raises ``NotInPlan``."""
    piece = _piece_of(inspection)
    if wanted.part is not None:
        yield from part_sheets(piece, _named("part", wanted.part, piece.plan.part_by_name))
    if wanted.joint is not None:
        yield joint_sheet(piece, _named("joint", wanted.joint, piece.plan.join_by_name))
    if wanted.finding is not None:
        yield from _of_findings(piece, inspection, wanted.finding)
    if wanted.step is not None:
        yield _of_step(piece, wanted.step)
    if wanted.view is not None:
        yield from view_sheet(piece, _named("view", wanted.view, VIEWS).name)
    if wanted == NOTHING_SAID:
        yield overview(piece)


def _named(what: str, name: str, known: Mapping[str, _T]) -> _T:
    found = known.get(name)
    if found is None:
        raise NotInPlan(_no_such(what, name, known))
    return found


def _of_findings(piece: Piece, inspection: Inspection, said: str) -> Iterator[Sheet]:
    """A finding by its number in the report, or all of a rule, of a joint or of a part."""
    findings = inspection.findings
    if not findings:
        raise NotInPlan("nothing is found in this plan: there is no finding to draw")
    wanted = [
        (number, finding)
        for number, finding in enumerate(findings, 1)
        if said in {str(number), finding.rule, *finding.names}
    ]
    if not wanted:
        known = dict.fromkeys(finding.rule for finding in findings)
        raise NotInPlan(f"{_no_such('finding', said, known)}; or say a number from 1 to {len(findings)}")
    for number, finding in wanted:
        yield finding_sheet(piece, finding, number)


def _of_step(piece: Piece, number: int) -> Sheet:
    steps = work_steps(piece)
    if not 1 <= number <= len(steps):
        raise NotInPlan(f"there is no step {number}: the order of work has {count(len(steps), 'step')}")
    return step_sheet(piece, steps[number - 1], len(steps))


def _no_such(what: str, name: str, known: Iterable[str]) -> str:
    names = list(known)
    near = nearest(name, names)
    hint = (
        f"the nearest is {near}"
        if near
        else f"there are {', '.join(names[:8])}{' …' if len(names) > 8 else ''}"
    )
    return f"there is no {what} {name[:60]!r}; {hint}"
