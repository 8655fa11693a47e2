"""All that a builder pins up for one plan, or buys for several, as plain frozen data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import reduce
from pathlib import Path
from typing import NamedTuple

from planlint.checks.row_view import rows
from planlint.findings.finding import Finding, Grade
from planlint.geometry.join_holds import glued, shaped
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from planlint.sheet.board_cutting import Saw
from planlint.sheet.buying_list import Laying, Purchase, bought_together, purchases
from planlint.sheet.cut_list import CutGroup, cut_list
from planlint.sheet.drilling_setups import DrillingSetUp, drilling_setups
from planlint.sheet.sundries import Counts, Sundry, Unsettled, counted, sundries, unsettled
from planlint.text.measures import in_inches
from planlint.text.sayings import Saying, named
from planlint.workplan.step_data import Step
from planlint.workplan.work_steps import work_steps


class Areas(NamedTuple):
    """Square feet: of all that is seen or felt, and of joints that are glued; ``dry`` joints of a traditional kind that
    nothing else holds, of which the plan does not say that they are glued."""

    finish: float
    glue: float
    dry: int


class Tape(NamedTuple):
    """Feet of edges of a material, of one thickness (inches), that get veneer tape."""

    material: str
    thickness: Fraction
    feet: float


@dataclass(frozen=True)
class ShopSheet:
    """One sheet. ``stops`` say not to cut yet; ``others`` are the milder findings."""

    title: str
    unit: str
    stops: tuple[Finding, ...]
    others: tuple[Finding, ...]
    unsettled: tuple[Unsettled, ...]
    parts: tuple[CutGroup, ...]
    buying: tuple[Purchase, ...]
    sundries: tuple[Sundry, ...]
    drilling: tuple[DrillingSetUp, ...]
    steps: tuple[Step, ...]
    saw: Saw
    areas: Areas
    plugged: tuple[tuple[str, int], ...]
    """Parts with plugged pockets or heads, and how many each."""
    unfinished: tuple[str, ...]
    """Solid tops and panels of which the plan says no finish on both faces."""
    piece: Piece | None
    """The piece; ``None`` where the sheet is for several plans."""
    tape: tuple[Tape, ...] = ()
    edge_trim: Fraction = Fraction(0)
    """Cut off each long edge of a sheet, in inches."""
    units: tuple[str, ...] = ()
    """Those that several plans count in, where they are not all the same."""
    walled: tuple[str, ...] = ()
    """Parts that are fixed to the wall."""
    hung: tuple[tuple[str, Fraction], ...] = ()
    """Parts said to hang, and how high above the floor their bottom is, in inches."""
    otherwise: tuple[str, ...] = ()
    """Plans whose settings saw or buy in another way than those of the first, which count for all."""


def shop_sheet(inspection: Inspection, *, exact: bool = True, laying: Laying | None = None) -> ShopSheet:
    """The sheet of an inspected plan. Raises ``ValueError`` where it could not be read or placed.

    ``exact``: choose boards and sheets with the solver, where the extra ``sheet`` is installed.
    """
    alone = _Alone(inspection, "")
    piece = alone.piece
    sheet = _together([alone], exact, laying)
    steps = tuple(work_steps(piece))
    work = [each.join for step in steps for one in step.each() for each in one.work]
    drilling = drilling_setups(rows(piece), work)
    return replace(sheet, title=piece.plan.title, drilling=drilling, steps=steps, piece=piece)


def joined_sheet(
    inspections: Sequence[Inspection], *, exact: bool = True, laying: Laying | None = None
) -> ShopSheet:
    """Buying and cutting for several plans at once: parts of equal stock lie on the same boards and sheets. A plan that
    is there twice is built twice.

    Raises ``ValueError`` where there is none of them, or one could not be read or placed.
    """
    if not inspections:
        raise ValueError("there is no plan")
    alone = [_Alone(each, label) for each, label in zip(inspections, _labels(inspections), strict=True)]
    return _together(alone, exact, laying)


def _together(plans: Sequence[_Alone], exact: bool, laying: Laying | None) -> ShopSheet:
    # What is wrong with a plan that is built twice is told once.
    told = list({plan.piece: plan for plan in reversed(plans)}.values())[::-1]
    settings = plans[0].piece.settings
    groups = bought_together([group for plan in plans for group in plan.groups], settings)
    units = tuple(dict.fromkeys("in" if in_inches(plan.unit) else "mm" for plan in plans))
    return ShopSheet(
        ", ".join(plan.label for plan in plans),
        plans[0].unit,
        tuple(each for plan in told for each in plan.stops),
        tuple(each for plan in told for each in plan.others),
        tuple(each for plan in plans for each in plan.unsettled),
        groups,
        purchases(groups, settings, exact=exact, laying=laying),
        sundries(reduce(Counts.with_, (plan.counts for plan in plans)), settings.buying),
        (),
        (),
        Saw(settings.buying.kerf, settings.buying.end_trim),
        Areas(*map(sum, zip(*(plan.areas for plan in plans), strict=True))),
        tuple(each for plan in plans for each in plan.plugged),
        tuple(each for plan in plans for each in plan.unfinished),
        None,
        _tape(groups),
        settings.buying.edge_trim,
        units if len(units) > 1 else (),
        tuple(each for plan in plans for each in plan.walled),
        tuple(each for plan in plans for each in plan.hung),
        tuple(
            plan.label
            for plan in plans
            if (plan.piece.settings.buying, plan.piece.settings.stock) != (settings.buying, settings.stock)
        ),
    )


def _labels(inspections: Sequence[Inspection]) -> list[str]:
    """What each plan is called: by its title, by its file where several have that title, with a number where one is
    there more than once."""
    paths = [each.source.path for each in inspections]
    titles = {
        path: each.piece.plan.title for path, each in zip(paths, inspections, strict=True) if each.piece
    }
    shared = Counter(titles.values())
    names = Counter(Path(path).name for path in titles)
    met: Counter[str] = Counter()
    labels = []
    for path in paths:
        label = titles.get(path, "")
        if shared[label] > 1:
            label = Path(path).name if names[Path(path).name] == 1 else path
        met[path] += 1
        labels.append(f"{label} ({met[path]})" if paths.count(path) > 1 else label)
    return labels


class _Alone:
    """What one plan comes to by itself, its parts and joints called by their plan where there are several."""

    def __init__(self, inspection: Inspection, label: str) -> None:
        if inspection.piece is None:
            raise ValueError("the plan could not be read")
        self.piece, self.label = inspection.piece, label
        plan = self.piece.plan
        self.unit = plan.unit
        found = [self._of(each) for each in inspection.findings]
        self.stops = tuple(each for each in found if each.grade is Grade.STOP)
        self.others = tuple(each for each in found if each.grade is not Grade.STOP)
        self.counts = counted(self.piece)
        self.unsettled = tuple(
            replace(each, joint=self._called(each.joint)) for each in unsettled(self.piece)
        )
        self.groups = tuple(
            replace(
                group,
                parts=tuple(
                    replace(part, names=tuple(map(self._called, part.names))) for part in group.parts
                ),
            )
            for group in cut_list(self.piece)
        )
        self.areas = _areas(self.piece)
        self.plugged = tuple((self._called(name), many) for name, many in _plugged(self.piece).items())
        self.unfinished = tuple(
            self._called(part.name)
            for part in plan.parts
            if part.stock.material.solid and len(part.finished) == 1
        )
        self.walled = tuple(self._called(part.name) for part in plan.parts if part.fixed_to_wall)
        self.hung = tuple(
            (self._called(part.name), part.bottom_height)
            for part in plan.parts
            if part.bottom_height is not None
        )

    def _called(self, name: str) -> str:
        return Saying(f"{named(self.label)}: {named(name)}") if self.label else name

    def _of(self, finding: Finding) -> Finding:
        """A finding that says of which plan it is."""
        if finding.joint is not None:
            return replace(finding, joint=self._called(finding.joint))
        return replace(finding, parts=tuple(map(self._called, finding.parts)))


def _plugged(piece: Piece) -> dict[str, int]:
    """How many plugs each part gets, in pockets and over heads."""
    found = Counter[str]()
    for row in rows(piece):
        found[row.part.name] += len(row.pockets) * row.asked.plugged
    for each in (row for join in piece.plan.joins for row in piece.fasteners(join)):
        found[each.body.part.name] += len(each.at) * ("plugged" in each.fastening.words)
    return +found


def _tape(groups: Sequence[CutGroup]) -> tuple[Tape, ...]:
    """What all taped edges come to, by what is bought for them."""
    feet: dict[tuple[str, Fraction], float] = {}
    for part in (part for group in groups for part in group.parts):
        long = sum(_edge(part.first, side) for side in part.first.taped) * part.count / 12
        kind = part.stock.material.name, part.thickness
        feet[kind] = feet.get(kind, 0.0) + long
    return tuple(Tape(*what, long) for what, long in feet.items() if long)


def _edge(part: Part, side: Side) -> float:
    """How long an edge of a part is, in inches."""
    return max(float(size) for axis, size in zip(Axis, part.size, strict=True) if axis is not side.axis)


def _areas(piece: Piece) -> Areas:
    """The surface of all parts less where they lie fast on one another; cuts are not counted, for they take about what
    they add, nor is melamine, which has its finish. What runs, turns or only rests shows where it meets the other."""
    whole = sum(
        2.0 * float(p.length * p.width + p.width * p.thickness + p.thickness * p.length)
        for p in piece.plan.parts
        if _takes_finish(p)
    )
    met = [(join, piece.contact(join).area) for join in piece.plan.joins]
    glue_lines = sum(area for join, area in met if glued(join))
    hidden = sum(
        area * sum(map(_takes_finish, (join.part_a, join.part_b)))
        for join, area in met
        if not join.rests and not any(each.moves for each in join.fastenings)
    )
    dry = sum(
        shaped(join)
        and not (glued(join) or join.pockets or join.fastenings or (join.made and join.made.floats))
        for join in piece.plan.joins
    )
    return Areas((whole - hidden) / 144, glue_lines / 144, dry)


def _takes_finish(part: Part) -> bool:
    return part.stock.material.stands_for != "melamine-faced particleboard"
