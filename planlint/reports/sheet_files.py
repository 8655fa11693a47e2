"""The shop sheet for programs: CSV for a spreadsheet (RFC 4180), and JSON."""

from __future__ import annotations

import csv
from fractions import Fraction
from io import StringIO
from typing import Any

from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutPart
from planlint.sheet.shop_sheet import ShopSheet

_SIGNS = frozenset("=+-@\t\r")
"""What a spreadsheet takes for the start of a formula."""


def sheet_csv(sheet: ShopSheet) -> str:
    """The parts, one row for each that are cut alike: units in the head, a number a cell, no formulas."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    sizes = [f"{what} ({unit})" for unit in ("in", "mm") for what in ("length", "width", "thickness")]
    writer.writerow(["parts", "count", *sizes, "stock", "grain"])
    for group in sheet.parts:
        for part in group.parts:
            three = (part.length, part.width, part.thickness)
            numbers = [f"{float(each):.6g}" for each in three] + [
                f"{float(each) * 25.4:.6g}" for each in three
            ]
            stock = group.stock.written.partition(" of ")[2] or group.stock.written
            writer.writerow(
                [_cell(", ".join(part.names)), part.count, *numbers, _cell(stock), "along length"]
            )
    return out.getvalue()


def _cell(words: str) -> str:
    """Words that no spreadsheet takes for a formula: those that could be one begin with an apostrophe."""
    return f"'{words}" if words[:1] in _SIGNS or words.lstrip()[:1] in _SIGNS else words


def sheet_json(sheet: ShopSheet) -> dict[str, Any]:
    """All of the sheet but its pictures. Lengths in inches, areas in square feet."""
    return {
        "title": sheet.title,
        "unit": sheet.unit,
        "stops": [{"rule": each.rule, "joint": each.joint, "says": each.says} for each in sheet.stops],
        "others": [{"rule": each.rule, "joint": each.joint, "says": each.says} for each in sheet.others],
        "parts": [_part(part) for group in sheet.parts for part in group.parts],
        "buying": [_purchase(each) for each in sheet.buying],
        "sundries": [
            {
                "what": each.what,
                "size": each.size and list(each.size),
                "made": each.made
                and {
                    "called": each.made.called,
                    "thick": None if each.made.thick is None else float(each.made.thick),
                    "length": None if each.made.length is None else float(each.made.length),
                },
                "needed": each.needed,
                "bought": each.bought,
                "kind": each.kind,
            }
            for each in sheet.sundries
        ],
        "drilling": [
            {
                "thickness": set_up.thickness,
                "setback": set_up.setback,
                "depth": set_up.depth,
                "rows": [
                    {
                        "part": row.part,
                        "face": row.face.value,
                        "end": row.end.value,
                        "into": row.into,
                        "from": row.origin.value,
                        "places": [round(place, 6) for place in row.places],
                        "plugged": row.plugged,
                    }
                    for row in set_up.rows
                ],
            }
            for set_up in sheet.drilling
        ],
        "finish": sheet.areas.finish,
        "glue": sheet.areas.glue,
    }


def _part(part: CutPart) -> dict[str, Any]:
    return {
        "names": list(part.names),
        "count": part.count,
        "length": float(part.length),
        "width": float(part.width),
        "thickness": float(part.thickness),
        "stock": part.stock.name,
        "ends": [
            {
                "end": end.end.value,
                "angle": float(end.angle),
                "tilted": end.tilted,
                "long_at": end.long_at.value,
            }
            for end in part.ends
        ],
        "shaped": [
            {
                "side": each.side.value,
                "as": each.kind,
                "lets_in": each.lets_in,
                "measures": {what: float(size) for what, size in each.measures},
            }
            for each in part.shaped
        ],
        "cut_outs": [
            {
                "kind": cut.kind,
                "face": cut.face.value,
                "deep": float(cut.deep),
                "wide": float(cut.wide),
                "from": cut.measured.value,
                "away": float(cut.away),
                "start": float(cut.start),
                "stop": float(cut.stop),
            }
            for cut in part.cut_outs
        ],
    }


def _purchase(buy: Purchase) -> dict[str, Any]:
    boards, panels = buy.boards, buy.panels
    lengths = [buy.parts[index].sawn for index in buy.cut]
    return {
        "stock": buy.stock.name,
        "written": buy.stock.written,
        "count": buy.count,
        "why_not": buy.why,
        "how": boards.how if boards else panels.how if panels else None,
        "bound": boards.bound if boards else panels.bound if panels else None,
        "board_feet": buy.board_feet,
        "waste": buy.waste,
        "price": buy.price,
        "boards": [
            {
                "length": float(cut.board.length),
                "count": cut.count,
                "cut": [float(lengths[p]) for p in cut.parts],
            }
            for cut in (boards.boards if boards else ())
        ],
        "sheets": [
            {
                "along_grain": cut.along,
                "strips": [
                    {
                        "wide": float(strip.wide),
                        "start": float(strip.start),
                        "parts": [
                            {
                                "part": buy.parts[buy.cut[each.part]].names[0],
                                **{key: _inches(getattr(each, key)) for key in ("start", "long", "wide")},
                            }
                            for each in strip.parts
                        ],
                    }
                    for strip in cut.strips
                ],
            }
            for cut in (panels.sheets if panels else ())
        ],
    }


def _inches(value: Fraction) -> float:
    return float(value)
