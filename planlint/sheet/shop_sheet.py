"""All that a builder pins up for one plan, or buys for several, as plain frozen data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from planlint.checks.row_view import rows
from planlint.findings.finding import Finding, Grade
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import Axis, Side
from planlint.model.plan import Fastening, Part
from planlint.model.stock import Stock
from planlint.sheet.board_cutting import Saw
from planlint.sheet.buying_list import Purchase, Sundry, fasteners_bought, purchases, sundries
from planlint.sheet.cut_list import CutGroup, CutPart, cut_list
from planlint.sheet.drilling_setups import DrillingSetUp, drilling_setups
from planlint.workplan.work_steps import Step, work_steps


@dataclass(frozen=True, slots=True)
class Areas:
    """Square feet: of all that is seen or felt, and of joints that are glued."""

    finish: float
    glue: float


@dataclass(frozen=True)
class ShopSheet:
    """One sheet. ``stops`` say not to cut yet; ``others`` are the milder findings."""

    title: str
    unit: str
    stops: tuple[Finding, ...]
    others: tuple[Finding, ...]
    parts: tuple[CutGroup, ...]
    buying: tuple[Purchase, ...]
    sundries: tuple[Sundry, ...]
    drilling: tuple[DrillingSetUp, ...]
    steps: tuple[Step, ...]
    saw: Saw
    areas: Areas
    unfinished: tuple[str, ...]
    """Solid tops and panels of which the plan says no finish on both faces."""
    piece: Piece | None
    """The piece; ``None`` where the sheet is for several plans."""
    tape: float = 0.0
    """Feet of edges that get veneer tape."""
    edge_trim: Fraction = Fraction(0)
    """Cut off each long edge of a sheet, in inches."""


def shop_sheet(inspection: Inspection, *, exact: bool = True) -> ShopSheet:
    """The sheet of an inspected plan. Raises ``ValueError`` where it could not be read or placed.

    ``exact``: choose boards and sheets with the solver, where the extra ``sheet`` is installed.
    """
    piece = inspection.piece
    if piece is None:
        raise ValueError("the plan could not be read")
    plan, settings = piece.plan, piece.settings
    placed = rows(piece)
    metal = f"{plan.screw_metal} " if plan.screw_metal else ""
    screws = Counter((f"{metal}{s.thread}", s.length, s.gauge) for row in placed for s in row.screws)
    plugs = sum(len(row.pockets) for row in placed if row.asked.plugged)
    plugs += sum(count for made, count in _fasteners(piece).items() if "plugged" in made.words)
    groups = cut_list(plan)
    steps = tuple(work_steps(piece))
    work = [each.join for step in steps for one in step.each() for each in one.work]
    return ShopSheet(
        plan.title,
        plan.unit,
        tuple(each for each in inspection.findings if each.grade is Grade.STOP),
        tuple(each for each in inspection.findings if each.grade is not Grade.STOP),
        groups,
        purchases(groups, settings, exact=exact),
        (*sundries(screws, plugs, settings.buying), *fasteners_bought(_fasteners(piece), settings.buying)),
        drilling_setups(placed, work),
        steps,
        Saw(settings.buying.kerf, settings.buying.end_trim),
        _areas(piece),
        tuple(
            part.name
            for part in plan.parts
            if part.stock.material.solid and part.finish is not None and part.finish != "both faces"
        ),
        piece,
        sum(_edge(part, side) for part in plan.parts for side in part.taped) / 12,
        settings.buying.edge_trim,
    )


def joined(inspections: Sequence[Inspection], *, exact: bool = True) -> ShopSheet:
    """Buying and cutting for several plans at once: parts of equal stock lie on the same boards and sheets.

    Raises ``ValueError`` where there is none of them, or one could not be read or placed.
    """
    alone = [shop_sheet(each, exact=False) for each in inspections]
    if not alone:
        raise ValueError("there is no plan")
    first = alone[0]
    assert first.piece is not None
    titles = Counter(sheet.title for sheet in alone)
    labels = [
        sheet.title if titles[sheet.title] == 1 else Path(each.source.path).name
        for sheet, each in zip(alone, inspections, strict=True)
    ]
    merged: dict[object, list[CutPart]] = {}
    stocks: dict[object, Stock] = {}
    for label, sheet in zip(labels, alone, strict=True):
        for group in sheet.parts:
            key = _sold_as(group.stock)
            stocks.setdefault(key, group.stock)
            merged.setdefault(key, []).extend(
                replace(part, names=tuple(f"{label}: {name}" for name in part.names)) for part in group.parts
            )
    groups = tuple(
        CutGroup(stocks[key], tuple(sorted(parts, key=lambda each: (-each.width, -each.length))))
        for key, parts in merged.items()
    )
    screws: Counter[tuple[str, float, int]] = Counter()
    made: Counter[Fastening] = Counter()
    plugs = 0
    for sheet in alone:
        for each in sheet.sundries:
            if each.made is not None:
                made[each.made] += each.needed
            elif each.size is None:
                plugs += each.needed
            else:
                screws[each.size] += each.needed
    settings = first.piece.settings
    return ShopSheet(
        ", ".join(labels),
        first.unit,
        tuple(
            _of(label, finding) for label, sheet in zip(labels, alone, strict=True) for finding in sheet.stops
        ),
        tuple(
            _of(label, finding)
            for label, sheet in zip(labels, alone, strict=True)
            for finding in sheet.others
        ),
        groups,
        purchases(groups, settings, exact=exact),
        (*sundries(screws, plugs, settings.buying), *fasteners_bought(made, settings.buying)),
        (),
        (),
        Saw(settings.buying.kerf, settings.buying.end_trim),
        Areas(sum(sheet.areas.finish for sheet in alone), sum(sheet.areas.glue for sheet in alone)),
        tuple(
            f"{label}: {name}"
            for label, sheet in zip(labels, alone, strict=True)
            for name in sheet.unfinished
        ),
        None,
        sum(sheet.tape for sheet in alone),
        settings.buying.edge_trim,
    )


def _of(label: str, finding: Finding) -> Finding:
    """A finding that says of which plan it is."""
    if finding.joint is not None:
        return replace(finding, joint=f"{label}: {finding.joint}")
    return replace(finding, parts=tuple(f"{label}: {name}" for name in finding.parts))


def _fasteners(piece: Piece) -> Counter[Fastening]:
    """All fasteners of a piece that are no pocket screws."""
    found: Counter[Fastening] = Counter()
    for join in piece.plan.joins:
        for row in piece.fasteners(join):
            found[row.fastening] += len(row.at)
    return found


def _edge(part: Part, side: Side) -> float:
    """How long an edge of a part is, in inches."""
    return max(float(size) for axis, size in zip(Axis, part.size, strict=True) if axis is not side.axis)


def _sold_as(stock: Stock) -> object:
    return stock.material.name, stock.thickness, stock.width, stock.length, stock.nominal, stock.sheet


def _areas(piece: Piece) -> Areas:
    """The surface of all parts less where they touch; cuts are not counted, for they take about what they add."""
    whole = sum(
        2.0 * float(p.length * p.width + p.width * p.thickness + p.thickness * p.length)
        for p in piece.plan.parts
    )
    met = [(join, piece.contact(join).area) for join in piece.plan.joins]
    glued = sum(
        area for join, area in met if join.glue or (join.tradition and join.tradition.kind == "glued")
    )
    return Areas((whole - 2 * sum(area for _, area in met)) / 144, glued / 144)
