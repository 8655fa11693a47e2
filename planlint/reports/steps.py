"""The order of work for the builder, as text and as JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from planlint.checks.rows import Row, listed
from planlint.geometry.piece import Piece
from planlint.inspection.clamps import Clamp
from planlint.inspection.steps import JoinWork, Step
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part, Placing
from planlint.reports.page import Page
from planlint.reports.plain import visible
from planlint.text.measures import length

MOST_NAMED = 6
"""Parts of a sub-assembly that a heading names one by one. Basis: our own judgement."""

ScrewKind = tuple[str, float, int]


def write_steps(page: Page, piece: Piece, steps: Sequence[Step]) -> None:
    """The numbered steps, then the screws and plugs to have ready."""
    unit = piece.plan.unit
    page.heading("Order of work", visible(piece.plan.title))
    for step in steps:
        page.blank()
        if step.stuck:
            page.heading(f"{step.number}  No order of work", f"puts {_names(step.added)} together")
            for work in step.work:
                names = _in_the_way(piece, work.join, step)
                page.labelled(_joint(work.join), f"out of reach behind {listed(names)}", indent=3)
            continue
        page.heading(f"{step.number}  {_what(step)}", _to_what(step), gap=1)
        for work in step.work:
            page.prose(_joint(work.join) + _how(work.join, unit), indent=3)
            for row in work.rows:
                page.labelled("Pockets", _pockets(row), indent=5)
                for (thread, inches, gauge), count in _screws(row).items():
                    page.labelled("Screws", f"{count} {thread} {length(inches, unit)}, No. {gauge}", indent=5)
                if row.asked.plugged:
                    page.labelled("Plugs", f"{len(row.pockets)}, once the screws are in", indent=5)
            if work.join.pockets and not work.settled:
                page.labelled(
                    "Pockets", "the plan does not settle where the parts lie; inspect it first", indent=5
                )
            if work.clamp:
                page.labelled("Clamp", _clamp(work.clamp), indent=5)
    page.blank()
    for (thread, inches, gauge), count in _all_screws(steps).items():
        page.labelled("In all", f"{count} {thread} screws {length(inches, unit)}, No. {gauge}", indent=0)
    plugs = _plugs(steps)
    if plugs:
        page.labelled("In all", f"{plugs} plugs", indent=0)
    page.flush()


def steps_entry(path: str, piece: Piece, steps: Sequence[Step]) -> dict[str, Any]:
    """The same for programs; lengths in inches, places as distances from a named side of the drilled part."""
    return {
        "path": path,
        "title": piece.plan.title,
        "steps": [
            {
                "number": step.number,
                "adds": [part.name for part in step.added],
                "to": [part.name for part in step.standing],
                "makes": [part.name for part in step.made],
                "joints": [_work_entry(work) for work in step.work],
            }
            for step in steps
            if not step.stuck
        ],
        "stuck": [
            {
                "parts": [part.name for part in step.added],
                "joints": [
                    {"joint": work.join.name, "blocked_by": _in_the_way(piece, work.join, step)}
                    for work in step.work
                ],
            }
            for step in steps
            if step.stuck
        ],
        "screws": [
            {"count": count, "thread": thread, "length": inches, "gauge": gauge}
            for (thread, inches, gauge), count in _all_screws(steps).items()
        ],
        "plugs": _plugs(steps),
    }


def _work_entry(work: JoinWork) -> dict[str, Any]:
    join, clamp = work.join, work.clamp
    return {
        "joint": join.name,
        "sides": [[join.part_a.name, join.side_a.value], [join.part_b.name, join.side_b.value]],
        "as": join.tradition.kind if join.tradition else None,
        "glue": join.glue,
        "settled": work.settled,
        "rows": [
            {
                "part": row.part.name,
                "face": row.asked.face.value,
                "from": row.origin.value,
                "places": sorted(round(row.from_side(p.station, row.origin), 6) for p in row.pockets),
                "plugged": row.asked.plugged,
                "screws": [
                    {"count": count, "thread": thread, "length": inches, "gauge": gauge}
                    for (thread, inches, gauge), count in _screws(row).items()
                ],
            }
            for row in work.rows
        ],
        "clamp": None
        if clamp is None
        else {
            "pads": [[clamp.part_a.name, clamp.pad_a.value], [clamp.part_b.name, clamp.pad_b.value]],
            "flush": [side.value for side in clamp.flush],
            "again": clamp.again,
        },
    }


# ---------------------------------------------------------------- words


def _what(step: Step) -> str:
    rests = all(work.clamp is None for work in step.work)
    return f"{'Lay' if rests else 'Join'} {_names(step.added)}"


def _to_what(step: Step) -> str:
    return f"to {_names(step.standing)}"


def _names(parts: Sequence[Part]) -> str:
    """A part by its name, a sub-assembly by the names of its parts."""
    named = listed([visible(part.name) for part in parts[:MOST_NAMED]])
    if len(parts) > MOST_NAMED:
        named = f"{', '.join(visible(p.name) for p in parts[:MOST_NAMED])} and {len(parts) - MOST_NAMED} more"
    return named if len(parts) == 1 else f"the assembly of {named}"


def _joint(join: Join) -> str:
    return (
        f"{visible(join.part_a.name)}.{join.side_a.value} to {visible(join.part_b.name)}.{join.side_b.value}"
    )


def _how(join: Join, unit: str) -> str:
    words = [f"as {join.tradition.kind}"] if join.tradition else []
    words += [_placing(placing, unit) for placing in join.placings]
    if join.glue:
        words.append("glued" if join.glue == "all" else f"glued along the {join.glue}")
    return f": {', '.join(words)}" if words else ""


def _placing(placing: Placing, unit: str) -> str:
    if placing.centred is not None:
        return f"centred {Axis(placing.centred).words}"
    assert placing.side is not None
    side = placing.side.value
    if not placing.inset:
        return f"flush {side}"
    if placing.inset < 0:
        return f"proud {length(-placing.inset, unit)} at {side}"
    return f"{length(placing.inset, unit)} from {side}"


def _pockets(row: Row) -> str:
    count = len(row.pockets)
    at = row.setting_out(pocket.station for pocket in row.pockets)
    return f"{count} in the {row.asked.face.value} of {visible(row.part.name)}, at {at}"


def _clamp(clamp: Clamp) -> str:
    said = (
        f"from the {clamp.pad_a.value} of {visible(clamp.part_a.name)} to the {clamp.pad_b.value} of "
        f"{visible(clamp.part_b.name)}"
    )
    if clamp.through:
        said += ", in line with this joint"
    if clamp.again:
        said = "the one put on before holds this joint too"
    if clamp.flush:
        said += f"; and one that presses the joint flat at the {listed([side.value for side in clamp.flush])}"
    return said


def _in_the_way(piece: Piece, join: Join, step: Step) -> list[str]:
    within = {part.index for part in step.added}
    return [piece.plan.parts[i].name for i in sorted(piece.blocking(join)) if i in within]


def _screws(row: Row) -> Counter[ScrewKind]:
    return Counter((screw.thread, screw.length, screw.gauge) for screw in row.screws)


def _all_screws(steps: Iterable[Step]) -> dict[ScrewKind, int]:
    total: Counter[ScrewKind] = Counter()
    for step in steps:
        if not step.stuck:
            for work in step.work:
                for row in work.rows:
                    total += _screws(row)
    return dict(sorted(total.items()))


def _plugs(steps: Iterable[Step]) -> int:
    rows = (row for step in steps if not step.stuck for work in step.work for row in work.rows)
    return sum(len(row.pockets) for row in rows if row.asked.plugged)
