"""The shop sheet for programs: CSV for a spreadsheet (RFC 4180), and JSON."""

import csv
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from io import StringIO
from math import ceil
from typing import Any

from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import minus
from planlint.model.directions import Side
from planlint.model.plan import Part, Size
from planlint.reports.load_tables import centre_known, screw_carries, shelf_bears
from planlint.reports.setout_words import works
from planlint.reports.sheet_cutting import stock_words
from planlint.sheet.buying_list import NO_GRAIN, Purchase
from planlint.sheet.cut_list import CutPart
from planlint.sheet.joint_setouts import SPLINE_UNIT, Shaped, shoulders
from planlint.sheet.saw_settings import PLANE, SLANTED, saw_settings
from planlint.sheet.shop_sheet import ShopSheet
from planlint.sheet.sundries import Sundry
from planlint.statics.weights import part_weight, piece_weight
from planlint.text.measures import INCH_PER_UNIT, Number, in_inches
from planlint.wording.row_words import called_as

_SIGNS = frozenset("=+-@\t\r")
"""What a spreadsheet takes for the start of a formula."""
PLACES = 6
"""Decimals that numbers for programs are rounded to: finer than any rule. Basis: own judgement."""


KILOGRAM = 0.45359237
"""Kilograms in a pound."""


def _unit(unit: str) -> str:
    return "in" if in_inches(unit) else "mm"


def sheet_csv(sheet: ShopSheet) -> str:
    """The parts, one row for each that are cut alike: units in the head, the plan's own first, a number a cell, no
    formulas. ``planlint draft`` reads it again."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    units = ("in", "mm") if _unit(sheet.unit) == "in" else ("mm", "in")
    three = ("length", "width", "thickness")
    sizes = [f"{what} ({unit})" for unit in units for what in three]
    rough = [f"rough {what} ({units[0]})" for what in three]
    writer.writerow(["parts", "count", *sizes, "material", "bought as", "grain", "then cut", *rough])
    for group in sheet.parts:
        for part in group.parts:
            finished = part.length, part.width, part.thickness
            writer.writerow(
                [
                    _cell(", ".join(part.names)),
                    part.count,
                    *(_number(each, unit) for unit in units for each in finished),
                    _cell(group.stock.material.name),
                    _cell(stock_words(group.stock, part.unit)),
                    "none" if group.stock.material.kind in NO_GRAIN else "along length",
                    _cell("; ".join(works(part, part.unit)) or "square"),
                    *(_number(each, units[0]) for each in part.rough_size or ()),
                    *("" for _ in three if part.rough_size is None),
                ]
            )
    return out.getvalue()


def _number(inches: Fraction, unit: str) -> str:
    """Without an exponent and without idle noughts."""
    return f"{float(inches / INCH_PER_UNIT[unit]):.{PLACES}f}".rstrip("0").rstrip(".")


def _cell(words: str) -> str:
    """Words that no spreadsheet takes for a formula: those that could be one begin with an apostrophe."""
    return f"'{words}" if words[:1] in _SIGNS or words.lstrip()[:1] in _SIGNS else words


def sheet_json(sheet: ShopSheet) -> dict[str, Any]:
    """All of the sheet but its pictures and its order of work. ``unit``, ``in`` or ``mm``, is that of every length."""
    return _Writer(_unit(sheet.unit)).sheet(sheet)


def _finding(found: Finding) -> dict[str, Any]:
    return {
        "rule": found.rule,
        "joint": found.joint,
        "parts": [] if found.joint else list(found.parts),
        "says": found.says,
    }


class _Writer:
    def __init__(self, unit: str) -> None:
        self.unit = unit

    def long(self, inches: Number) -> float:
        return round(float(inches) / float(INCH_PER_UNIT[self.unit]), PLACES)

    def told(self, of: object, *what: str) -> dict[str, Any]:
        """What is asked for of a thing, each by its name."""
        return {each: self.value(getattr(of, each)) for each in what}

    def value(self, value: object) -> Any:
        """A length, a side by its word, several of them, or what is plain data already."""
        match value:
            case Fraction() | float():
                return self.long(value)
            case Side():
                return value.value
            case tuple():
                return list(map(self.value, value))
        return value

    def area(self, square_feet: float) -> float:
        return round(square_feet if self.unit == "in" else square_feet * 0.3048**2, PLACES)

    def sheet(self, sheet: ShopSheet) -> dict[str, Any]:
        return {
            "title": sheet.title,
            "unit": self.unit,
            "area_unit": "square feet" if self.unit == "in" else "square metres",
            "stops": list(map(_finding, sheet.stops)),
            "others": list(map(_finding, sheet.others)),
            "not_counted": [
                {"joint": each.joint, "what": list(each.what), "count": each.many} for each in sheet.unsettled
            ],
            "parts": [
                self.part(part, place) for place, group in enumerate(sheet.parts) for part in group.parts
            ],
            "buying": [self.purchase(each) for each in sheet.buying],
            "saw_settings": [
                {
                    "way": each.way,
                    "measure": None if each.way in {PLANE, *SLANTED} else self.long(each.measure),
                    "angle": float(each.measure) if each.way in SLANTED else None,
                    "cuts": each.cuts,
                    "parts": [*map(list, Counter(part.names[0] for part in each.parts).items())],
                }
                for each in saw_settings(sheet.buying)[0]
            ],
            "tape": [
                {
                    "material": each.material,
                    "thickness": self.long(each.thickness),
                    "length": self.long(12 * each.feet),
                }
                for each in sheet.tape
            ],
            "sundries": [self.sundry(each) for each in sheet.sundries],
            "drilling": [
                {
                    **self.told(set_up, "thickness", "setback", "depth"),
                    "rows": [
                        self.told(row, "part", "face", "end", "into")
                        | {"from": row.origin.value}
                        | self.told(row, "places", "plugged")
                        for row in set_up.rows
                    ],
                }
                for set_up in sheet.drilling
            ],
            "finish": self.area(sheet.areas.finish),
            "glue": self.area(sheet.areas.glue),
            "not_glued": sheet.areas.dry,
            "weight_unit": "lb" if self.unit == "in" else "kg",
            "weights": None if sheet.piece is None else self.weights(sheet.piece),
            "may_bear": [] if sheet.piece is None else list(self.shelves(sheet.piece)),
            "screws_carry": [] if sheet.piece is None else list(self.carried(sheet.piece)),
        }

    def pounds(self, pounds: float) -> float:
        return round(pounds if self.unit == "in" else pounds * KILOGRAM, PLACES)

    def weights(self, piece: Piece) -> dict[str, Any]:
        whole = piece_weight(piece)
        centre = minus(whole.centre, piece.bounds.low) if centre_known(piece) else None
        return {
            "piece": self.pounds(whole.pounds),
            "acts_at": None if centre is None else [self.long(each) for each in centre],
            "guessed": list(whole.guessed),
            "parts": {part.name: self.pounds(part_weight(piece, part).pounds) for part in piece.plan.parts},
        }

    def shelves(self, piece: Piece) -> Iterator[dict[str, Any]]:
        for part in piece.plan.parts:
            if (found := shelf_bears(piece, part)) is not None:
                load = self.pounds(found.pounds)
                yield {"part": part.name, "load": load} | self.told(found, "span", "sag")

    def carried(self, piece: Piece) -> Iterator[dict[str, Any]]:
        for join in piece.plan.joins:
            if (found := screw_carries(piece, join)) is not None:
                yield {
                    "joint": join.name,
                    "pulling": self.pounds(found.along),
                    "across": self.pounds(found.across),
                    "of_allowed": None if found.used is None else round(found.used, PLACES),
                    "pulling_judged": found.pull_judged,
                }

    def sundry(self, each: Sundry) -> dict[str, Any]:
        made, loose = each.made, each.loose
        needed, bought = (
            ceil(self.long(many / SPLINE_UNIT)) if each.what == "splines" else many
            for many in (each.needed, each.bought)
        )
        return {
            "what": each.what,
            "size": each.size and [each.size[0], self.long(called_as(each.size[1], self.unit)), each.size[2]],
            "made": made and self.told(made, "called", "thick", "length"),
            "loose": loose and {word: self.long(size) for word, size in loose.measures},
            "needed": needed,
            "bought": bought,
            "kind": each.kind,
        }

    def part(self, part: CutPart, bought: int) -> dict[str, Any]:
        return {
            **self.told(part, "names", "count", "length", "width", "thickness"),
            "rough": self.value(part.rough_size),
            "stock": part.stock.name,
            "bought": bought,
            "ends": [
                self.told(end, "end") | {"angle": float(end.angle)} | self.told(end, "tilted", "long_at")
                for end in part.ends
            ],
            "shaped": [self.shaped(each, part) for each in part.shaped],
            "cut_outs": [
                self.told(cut, "kind", "face", "deep", "wide")
                | {"from": cut.measured.value}
                | self.told(cut, "away", "start", "stop")
                for cut in part.cut_outs
            ],
            "trims": [self.told(trim, "kind", "sides", "sizes", "at") for trim in part.first.trims],
            "taped": [side.value for side in Side if side in part.first.taped],
        }

    def shaped(self, each: Shaped, part: CutPart) -> dict[str, Any]:
        stays = each.stays
        said = "thick" in each.said
        box = (each.low, each.high) if each.low is not None and each.high is not None else None
        return {
            "side": each.side.value,
            "as": each.kind,
            **self.told(each, "makes", "words", "lets_in"),
            "measures": {what: self.long(size) for what, size in each.measures},
            "thick_said": said,
            "shoulders": {
                side.value: self.long(size)
                for side, size in shoulders(each, part.first).items()
                if said or side.axis is not part.first.facing.axis
            }
            if box and stays
            else None,
            "box": box and self.box(part.first, *box),
            "haunch": self.value(each.haunch),
        }

    def box(self, part: Part, low: Size, high: Size) -> dict[str, float]:
        """How far inside each side of the part a box lies."""
        return {side.value: self.long(part.inside(side, low, high)) for side in Side}

    def purchase(self, buy: Purchase) -> dict[str, Any]:
        boards, panels = buy.boards, buy.panels
        lengths = [buy.parts[index].sawn for index in buy.cut]
        size = (buy.panel.length, buy.panel.width) if buy.panel else None

        def called(part: int) -> str:
            return buy.parts[buy.cut[part]].names[0]

        return {
            "stock": buy.stock.name,
            "grade": buy.stock.material.grade,
            "written": buy.stock.written,
            "as_sawn": self.value(buy.as_sawn),
            "count": buy.count,
            "size": self.value(size),
            "why_not": buy.why,
            "assumed": buy.assumed is not None,
            "left_out": [name for part in buy.left_out for name in part.names],
            "how": boards.how if boards else panels.how if panels else None,
            "bound": boards.bound if boards else panels.bound if panels else None,
            "board_feet": buy.board_feet,
            "waste": buy.waste,
            "price": buy.price,
            "unpriced": buy.unpriced,
            "boards": [
                {
                    "length": self.long(cut.board.length),
                    "count": cut.count,
                    "cut": [self.long(lengths[p]) for p in cut.parts],
                }
                for cut in (boards.boards if boards else ())
            ],
            "sheets": [
                {
                    "along_grain": cut.along,
                    "strips": [
                        {
                            **self.told(strip, "wide", "start"),
                            "parts": [
                                {"part": called(each.part)} | self.told(each, "start", "long", "wide")
                                for each in strip.parts
                            ],
                        }
                        for strip in cut.strips
                    ],
                    "spots": [
                        {"part": called(s.part)} | self.told(s, "x", "y", "long", "wide") for s in cut.spots
                    ],
                    "saws": [
                        {
                            "way": "rip" if s.rip else "crosscut",
                            "measure": self.long(s.measure),
                            "off": list(map(called, s.off)),
                            "rest": list(map(called, s.rest)),
                        }
                        for s in cut.saws
                    ],
                }
                for cut in (panels.sheets if panels else ())
            ],
        }
