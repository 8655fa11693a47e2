"""What the product gives for one plan, as lines of text: what ``test_kept_record.py`` keeps and compares."""

from __future__ import annotations

import ast
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import fields, is_dataclass
from enum import Enum
from fractions import Fraction
from importlib import import_module
from inspect import signature
from io import StringIO
from itertools import islice
from pathlib import Path
from pkgutil import walk_packages
from typing import Any

import planlint
from planlint.checks.row_view import Row
from planlint.conversion.conversion_result import traditional
from planlint.conversion.convert_plan import convert
from planlint.findings.finding import Finding, Grade
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, body_polyhedra
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.model.plan import Join, Part, Plan
from planlint.model.provenance import Provenance
from planlint.model.stock import Stock
from planlint.repairs.proposals import proposals
from planlint.repairs.repair_context import Context
from planlint.reports.conversion_report import write_conversion
from planlint.reports.json_report import json_report
from planlint.reports.junit_report import JunitReport
from planlint.reports.load_tables import loads_told
from planlint.reports.markdown_report import MarkdownReport
from planlint.reports.page_layout import Page
from planlint.reports.sarif_report import SarifReport
from planlint.reports.steps_report import write_steps
from planlint.reports.tally import Report, Tally, Write
from planlint.reports.text_report import write_inspection
from planlint.sheet.cut_list import cut_list
from planlint.statics.carried_loads import carried
from planlint.statics.screw_strength import allowed
from planlint.text.source import PlanText, Span
from planlint.workplan.work_steps import work_steps

FEW = 4
"""Repairs of one finding, and places of a long list."""
FIGURED = frozenset(
    {"placement", "model", "geometry", "checks", "conversion", "settings", "reports"}
    | {"statics", "workplan", "repairs", "sheet", "findings", "rulebook", "text"}
)
"""Floors whose figures are kept."""
NUDGE = 3e-7
"""Sizes are dyadic, so they often lie just between two roundings: this decides it alike on every machine."""


class Facts:
    """Writes the facts of one plan, a line each."""

    def __init__(self, source: PlanText, *, exact: bool = False) -> None:
        self.source = source
        self.exact = exact
        self.lines: list[str] = []

    def put(self, head: str, *values: object, **named: object) -> None:
        told = [*map(self.told, values), *(f"{name}={self.told(value)}" for name, value in named.items())]
        self.lines.append(" ".join([head, *told]))

    def text(self, head: str, words: str) -> None:
        self.lines.append(f"== {head}")
        self.lines += [f"| {line}".rstrip() for line in words.splitlines()]

    def told(self, value: object) -> str:
        """A value in short: parts and joints by their names, numbers rounded, and of data what is not as usual."""
        match value:
            case Part() | Join() | Stock():
                return value.name
            case Span():
                return ":".join(map(str, self.source.position(min(value.start, len(self.source.text)))))
            case Row():
                return f"row {value.number} of {value.join.name}"
            case Finding():
                return "/".join(value.identity)
            case Mapping():
                return "{" + ", ".join(f"{self.told(k)}: {self.told(v)}" for k, v in value.items()) + "}"
            case set() | frozenset():
                return "{" + ", ".join(sorted(map(self.told, value))) + "}"
            case tuple() if isinstance(names := getattr(value, "_fields", None), tuple):
                return self.told_data(value, getattr(value, "_field_defaults", {}), names)
            case tuple() | list():
                return "(" + ", ".join(map(self.told, value)) + ")"
            case _ if is_dataclass(value):
                usual = {each.name: each.default for each in fields(value)}
                return self.told_data(value, usual, usual)
            case float() | Fraction() if self.exact:
                return str(value)
            case str() if self.exact and not value.isprintable():
                return repr(value)
        return plain(value)

    def told_data(self, value: object, usual: Mapping[str, object], names: Iterable[str]) -> str:
        told = []
        for name in names:
            each = getattr(value, name)
            if each != usual.get(name) and not isinstance(each, PlanText | Provenance | Body):
                told.append(f"{name}={self.told(each)}")
        return f"{type(value).__name__}({', '.join(told)})"


def plain(value: object) -> str:
    match value:
        case None:
            return "-"
        case bool():
            return "yes" if value else "no"
        case Enum():
            return value.name.lower()
        case float() | Fraction():
            words = f"{float(value) + NUDGE:.4f}".rstrip("0").rstrip(".")
            return "0" if words == "-0" else words
        case str() | int():
            return str(value)
    return type(value).__name__


def figures() -> list[str]:
    """The tables and figures of the code, and what is usual where nothing is said, module by module."""
    facts = Facts(PlanText("", ""), exact=True)
    for found in walk_packages(planlint.__path__, "planlint."):
        if found.ispkg or found.name.split(".")[1] not in FIGURED:
            continue
        module = import_module(found.name)
        own = ast.parse(Path(str(module.__file__)).read_bytes()).body
        set_here = [
            target.id
            for each in own
            if isinstance(each, ast.Assign | ast.AnnAssign)
            for target in (each.targets if isinstance(each, ast.Assign) else [each.target])
            if isinstance(target, ast.Name) and target.id.strip("_").isupper()
        ]
        for name in set_here:
            if not isinstance(value := getattr(module, name, None), str):
                facts.put(f"{found.name}.{name}", value)
        for made in own:
            if isinstance(made, ast.ClassDef | ast.FunctionDef):
                for name, usual in _usual(getattr(module, made.name)):
                    facts.put(f"{found.name}.{made.name}.{name}", usual)
    return facts.lines


def _usual(made: Any) -> Iterator[tuple[str, object]]:
    """What a function or a class takes where nothing is said."""
    with suppress(TypeError, ValueError):
        for name, each in signature(made).parameters.items():
            if isinstance(each.default, int | float | Fraction | tuple):
                yield name, each.default


def findings_of(path: str, text: str) -> list[str]:
    """What is found in a plan, and by which facts."""
    facts = Facts(PlanText(path, text))
    _findings(facts, inspect_text(facts.source))
    return facts.lines


def facts_of(path: str, text: str, *, forms: bool) -> list[str]:
    """All that is kept of a plan; ``forms`` with what programs are told."""
    facts = Facts(PlanText(path, text))
    inspection = inspect_text(facts.source)
    for mistake in inspection.unread:
        facts.put("unread", mistake.span, mistake.says)
    piece = inspection.piece
    if piece is not None:
        _plan(facts, piece.plan)
        _placement(facts, piece)
        _joints(facts, piece, seen=True)
        _findings(facts, inspection)
        _loads(facts, piece)
        _words(facts, piece, inspection)
        _cut_list(facts, piece)
        if any(map(traditional, piece.plan.joins)):
            _conversion(facts)
    if forms:
        _forms(facts, path, inspection)
    return facts.lines


def floors_of(path: str, text: str) -> tuple[Inspection, dict[str, list[str]]]:
    """What is given for a plan in less time than for the record, by floors; nothing of one that is not understood."""
    inspection = inspect_text(PlanText(path, text))
    piece, floors = inspection.piece, {}
    if piece is not None:
        tells: dict[str, Callable[[Facts], object]] = {
            "plan": lambda facts: _plan(facts, piece.plan),
            "lies": lambda facts: _placement(facts, piece),
            "joints": lambda facts: _joints(facts, piece, seen=False),
            "found": lambda facts: _found(facts, inspection),
            "bears": lambda facts: _loads(facts, piece),
            "cut": lambda facts: _cut_list(facts, piece),
            "words": lambda facts: _words(facts, piece, inspection),
            "converted": lambda facts: (
                _conversion(facts) if any(map(traditional, piece.plan.joins)) else None
            ),
        }
        for name, tell in tells.items():
            facts = Facts(inspection.source)
            tell(facts)
            floors[name] = facts.lines
    return inspection, floors


def _words(facts: Facts, piece: Piece, inspection: Inspection) -> None:
    facts.text("inspection", _page(lambda page: write_inspection(page, inspection, inspection.source.path)))
    steps = work_steps(piece)
    facts.text("steps", _page(lambda page: write_steps(page, piece, steps, inspection.findings)))


def _page(write: Callable[[Page], None]) -> str:
    out = StringIO()
    page = Page(out, 110)
    write(page)
    page.flush()
    return out.getvalue()


def _plan(facts: Facts, plan: Plan) -> None:
    for each in fields(plan):
        value = getattr(plan, each.name)
        if each.name in {"parts", "joins", "spacings", "stocks"}:
            for one in value:
                facts.put(each.name[:-1], one.name, facts.told_data(one, *_less(one)))
        elif value and not isinstance(value, PlanText | Provenance | Span):
            facts.put(each.name, value)


def _less(one: Any) -> tuple[dict[str, object], list[str]]:
    usual: dict[str, object] = {
        each.name: set() if each.name in {"covered", "taped"} else each.default for each in fields(one)
    }
    return usual, [name for name in usual if name not in {"name", "index"} and "span" not in name]


def _placement(facts: Facts, piece: Piece) -> None:
    placed = piece.placement
    for part in piece.plan.parts:
        body = piece.body(part)
        facts.put("lies", part, placed.position(part), body.bounds, group=placed.group(part))
        if not body.plain:
            faces = [face for solid in body_polyhedra(body) for face in solid]
            facts.put("shape", part, [(len(face), *map(sum, zip(*face, strict=True))) for face in faces])
    facts.put("placed", piece.bounds, placed.misfits, placed.free, placed.askew, placed.unjoined)
    facts.put("overlaps", piece.overlaps)


def _joints(facts: Facts, piece: Piece, *, seen: bool) -> None:
    for join in piece.plan.joins:
        _joint(facts, piece, join, seen=seen)


def _joint(facts: Facts, piece: Piece, join: Join, *, seen: bool) -> None:
    """Where a joint is met and held; ``seen`` with what takes longer: where its rows may be, and what sees them."""
    met = piece.contact(join)
    facts.put("meet", join, met, piece.kind(join), trusted=piece.trusted(join))
    if not piece.trusted(join):
        return
    for row in range(len(join.pockets) if seen else 0):
        facts.put("row", join, piece.allowed(join, row), piece.allowed_stretches(join, row))
    for screw in piece.screws(join):
        at = screw.pocket
        facts.put(
            "bore",
            join,
            (at.row, at.part, at.into, at.face, at.side, at.station, at.setback),
            (at.exit, at.direction, at.mouth, at.tail, at.shoulder),
            (screw.thread, screw.length, screw.gauge, screw.tip, screw.reach, screw.chosen),
            (piece.clearance(at), piece.tip_cover(screw), piece.grip(screw), piece.end_distance(screw)),
            (
                piece.grain_angle(screw),
                *((piece.sight(at), sorted(piece.in_the_way_of([at]))) if seen else ()),
            ),
        )
        facts.put("holds", join, allowed(piece, screw))
    for fastened in piece.fasteners(join):
        facts.put("fastened", join, fastened)


def _found(facts: Facts, inspection: Inspection) -> None:
    for what, found in (("found", inspection.findings), ("accepted", inspection.accepted)):
        for each in found:
            facts.put(
                what,
                (each.rule, each.kind, each.grade, each.joint, each.against, each.parts, each.span),
                (each.measured, each.limit, each.unit, each.basis, each.judged_by, each.lasting),
                each.fact,
            )
    if inspection.findings:
        facts.put("told", [(each, each.also, each.beside) for each in inspection.told])


def _findings(facts: Facts, inspection: Inspection) -> None:
    _found(facts, inspection)
    if not inspection.findings:
        return
    context = Context(inspection)
    for told in inspection.told:
        for way in islice(proposals(context, told), FEW):
            edits = [(each.span, each.span.end - each.span.start, each.new) for each in way.edits]
            facts.put("way", told, repr(way.says), repr(facts.told(edits)), way.moves, way.asks)


def _loads(facts: Facts, piece: Piece) -> None:
    stood, unjudged = carried(piece)
    for standing in stood:
        facts.put("stands", standing.pounds, standing.weighs, standing.parts)
    facts.put("unjudged", unjudged)


def _cut_list(facts: Facts, piece: Piece) -> None:
    """Not how it is laid out on boards and sheets: that search ends by the clock."""
    for group in cut_list(piece):
        for part in group.parts:
            facts.put("cut", part.names, part.length, part.width, part.thickness, part.ends, part.cut_outs)
            facts.put("made", part.shaped)
    for what, told in loads_told(piece):
        facts.put("bears", what, told)


def _conversion(facts: Facts) -> None:
    done = convert(facts.source)
    facts.text("converted", done.result.text)
    facts.text("conversion", _page(lambda page: write_conversion(page, done, None, explain=False)))


def _forms(facts: Facts, path: str, inspection: Inspection) -> None:
    def given(make: Callable[[Write], Report]) -> str:
        out, tally = StringIO(), Tally()
        tally.add(inspection)
        report = make(out.write)
        report.add(path, inspection)
        report.end(tally)
        return out.getvalue()

    facts.text("json", json_report([inspection]))
    results = json.loads(given(SarifReport))["runs"][0]["results"]
    facts.text("sarif", json.dumps(results, indent=1))
    facts.text("junit", given(lambda write: JunitReport(write, Grade.ADVICE)))
    facts.text("markdown", given(lambda write: MarkdownReport(write, Grade.ADVICE)))
