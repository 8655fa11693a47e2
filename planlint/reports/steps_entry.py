"""The order of work for programs, and what text and programs are told alike: rows, screws, plugs."""

from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from planlint.checks.row_view import Row, rows, rows_of
from planlint.geometry.piece import Piece
from planlint.sheet.sundries import ScrewKind, counted
from planlint.wording.fastener_words import told_set_outs
from planlint.workplan.order_costs import WHY
from planlint.workplan.set_ups import blockers_among, shut_among
from planlint.workplan.step_data import JoinWork, Step, Unit


def steps_entry(path: str, piece: Piece, steps: Sequence[Step]) -> dict[str, Any]:
    """The same for programs; lengths in inches, places as distances from a named side of the drilled part."""
    return {
        "path": path,
        "title": piece.plan.title,
        "steps": [
            {
                "number": step.number,
                "makes": _unit_entry(each.makes),
                "adds": [_unit_entry(unit) for unit in each.added],
                "to": [_unit_entry(unit) for unit in each.standing],
                "lies_on": each.down.value,
                "turned": each.turned,
                "comes": each.way and {"last": each.way.last, "first": each.way.first},
                "all_at_once": each.spread,
                "helped": each.help and each.help.how,
                "why": WHY[each.ranked],
                "costs": [{"what": cost.what, "amount": cost.amount} for cost in each.costs],
                "finish_first": [{"part": f.part.name, "side": f.side and f.side.value} for f in each.finish],
                "joints": [_work_entry(piece, work) for work in each.work],
            }
            for step in steps
            if not step.stuck
            for each in step.each()
        ],
        "stuck": [
            {
                "parts": [part.name for part in step.made],
                "joints": [
                    {
                        "joint": work.join.name,
                        "blocked_by": blockers_among(piece, work.join, step.made)
                        or shut_among(piece, work.join, step.made),
                    }
                    for work in step.work
                ],
            }
            for step in steps
            if step.stuck
        ],
        "screws": _screws_entry(all_screws(piece)),
        "plugs": counted(piece).plugs,
    }


def _work_entry(piece: Piece, work: JoinWork) -> dict[str, Any]:
    join, clamp, slots = work.join, work.clamp, work.slots
    return {
        "joint": join.name,
        "sides": [[join.part_a.name, join.side_a.value], [join.part_b.name, join.side_b.value]],
        "as": join.tradition.kind if join.tradition else None,
        "glue": join.glue,
        "slotted": join.slotted,
        "moves": slots and {"part": slots.part.name, "along": slots.along.words},
        "set_ups": [
            {"bit": each.bit, "driver_length": each.driver_length, "driver_width": each.driver_width}
            for each in work.set_ups
        ],
        "settled": work.settled,
        "rows": [
            {
                "part": row.part.name,
                "face": row.asked.face.value,
                "from": row.origin.value,
                "places": sorted(round(row.from_side(p.station, row.origin), 6) for p in row.pockets),
                "plugged": row.asked.plugged,
                "screws": _screws_entry(screws_of(row)),
            }
            for row in rows_of(piece, join)
        ],
        "fasteners": [
            {
                "kind": row.fastening.kind,
                "count": len(row.at),
                "through": row.body.part.name if row.drives else None,
                "face": row.side.opposite.value if row.drives else None,
                "called": row.fastening.called,
                "thick": _number(row.fastening.thick),
                "length": _number(row.fastening.length),
                "clearance": _number(row.fastening.clearance),
                "pilot": _number(row.fastening.pilot),
                "set_out": [
                    {
                        "part": each.part.name,
                        "from": each.origin.value,
                        "places": [round(place, 6) for place in each.places],
                        "line_from": each.beside.value,
                        "line": round(each.inside, 6),
                    }
                    for each in told_set_outs(row)
                ],
            }
            for row in piece.fasteners(join)
        ],
        "clamp": None
        if clamp is None
        else {
            "pads": [[clamp.part_a.name, clamp.pad_a.value], [clamp.part_b.name, clamp.pad_b.value]],
            "flush": [side.value for side in clamp.flush],
            "corner": clamp.corner,
            "lap": clamp.lap and clamp.lap.value,
            "again": clamp.again,
        },
    }


def _screws_entry(screws: Mapping[ScrewKind, int]) -> list[dict[str, Any]]:
    return [
        {"count": n, "thread": kind[0], "length": kind[1], "gauge": kind[2]} for kind, n in screws.items()
    ]


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _unit_entry(unit: Unit) -> dict[str, Any]:
    return {
        "kind": unit.kind,
        "side": unit.side and unit.side.value,
        "name": unit.name or None,
        "parts": [part.name for part in unit.parts],
    }


def screws_of(row: Row) -> Counter[ScrewKind]:
    return Counter((screw.thread, screw.length, screw.gauge) for screw in row.screws)


def all_screws(piece: Piece) -> dict[ScrewKind, int]:
    """All that the piece takes, whether there is an order of work for them or not."""
    total: Counter[ScrewKind] = Counter()
    for row in rows(piece):
        total += screws_of(row)
    return dict(sorted(total.items()))
