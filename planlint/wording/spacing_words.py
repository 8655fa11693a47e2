"""The words for how screws are set out, and where they might be instead."""

from collections.abc import Callable, Sequence
from math import ceil

from planlint.checks.row_view import Row
from planlint.checks.screw_spacing import PANEL_AND_EDGE, CloseBores, FarEnd, NearEnd, WideGap
from planlint.findings.finding import Finding
from planlint.geometry.drilling.allowed_places import spread as apart_on_free
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.rulebook.limits import NIL
from planlint.text.measures import to_sixteenth
from planlint.wording.finding_text import Told
from planlint.wording.row_words import at_least, setting_out


def wide_spacing(_piece: Piece, found: Finding, gap: WideGap) -> Told:
    row, widest = gap.row, found.measured or 0.0
    stations = _close_enough(row, gap.line, found.limit or 0.0)
    return Told(
        f"The screws of {row.joint} lie up to {row.length(widest)} apart (between those at "
        f"{setting_out(row, gap.line[gap.behind : gap.behind + 2])}): the joint can open between them.",
        [f"Set {len(stations)} pockets out at {setting_out(row, stations)}."],
    )


def close_spacing(piece: Piece, found: Finding, fact: CloseBores) -> Told:
    row, wood = fact.row, found.measured or 0.0
    said = {
        "thin": f"leave only {row.length(wood)} of wood between them",
        "into-one-another": f"break into one another by {row.length(-wood)}",
    }[found.kind]
    apart = (found.limit or 0.0) + piece.settings.profile.bit_diameter
    return Told(
        f"Neighbouring bores in {row.part.name}, at {row.joint}, {said}: that splits when the screws go in.",
        [_spread(row, fact.many, apart)],
    )


def far_from_end(piece: Piece, found: Finding, fact: FarEnd) -> Told:
    row = fact.row
    inset = min(piece.limits["far-from-end", "from the end"], row.width / 4)
    between = row.width - 2 * inset
    most = piece.limits["wide-spacing", "spacing"]
    stations = _set_out(row, _evenly(inset, between), ceil(between / most - NIL) + 1, most)
    return Told(
        f"The screw of {row.joint} nearest the {fact.end.value} end lies {row.length(found.measured or 0.0)} from it: "
        "the joint can open at that end.",
        [f"Set {len(stations)} pockets out at {setting_out(row, stations)}."],
    )


def near_end(piece: Piece, found: Finding, fact: NearEnd) -> Told:
    row, into = fact.row, fact.row.into
    advice = piece.limits["near-end", "advised end distance"] * fact.screw.diameter
    needed, advised = at_least(found.limit or 0.0, row.unit), at_least(advice, row.unit)
    along = abs(dot(piece.body(into).grain, row.frame.across)) > 0.5
    return Told(
        f"A screw of {row.joint} enters {into.name} {row.length(found.measured or 0.0)} from its end, along the grain: "
        f"{into.stock.material.name} splits there.",
        [
            f"{'Set that pocket out' if along else f'Move {row.part.name}'} so that its screw enters {needed} or more "
            f"from the end of {into.name} ({advised} is advised where it carries a load)."
        ],
    )


# ---------------------------------------------------------------- where to set them out


def _close_enough(row: Row, line: Sequence[float], limit: float) -> list[float]:
    """The joint set out with as many pockets as the limit asks for, between the outer ones as they are; or, where
    those then leave an end of a panel unheld, over the whole width with half a space at each end."""
    length = line[-1] - line[0]
    count = ceil(length / limit - NIL) + 1
    step = length / (count - 1)
    base = row.piece.limits["far-from-end", "from the end"]
    ends = max(line[0], row.width - line[-1])
    if ends > base + step / 2 + NIL and row.piece.kind(row.join).name in PANEL_AND_EDGE:
        count = ceil(row.width / limit - NIL)
        return _set_out(row, lambda n: [row.width * (2 * i + 1) / (2 * n) for i in range(n)], count, limit)
    return _set_out(row, _evenly(line[0], length), count, limit)


def _set_out(row: Row, spread: Callable[[int], list[float]], count: int, limit: float) -> list[float]:
    """A spread of pockets on the marks of a rule, no further apart than the limit; of one pocket more where the marks
    do not allow it, or other screws."""
    ground = row.piece.ground(row.join, row.number)
    for free in (*(() if ground is None else (ground.free,)), _anywhere):
        for n in (count, count + 1):
            found = row.marked(spread(n), free, most=limit)
            if found is None and ground is not None and free is not _anywhere:
                found = _moved_clear(row, spread(n), ground.free, limit)
            if found is not None:
                return found
    return spread(count + 1)


def _moved_clear(
    row: Row, wanted: list[float], free: Callable[[float], bool], most: float
) -> list[float] | None:
    """The same moved as far as other screws and dowels ask for, as long as both ends stay held."""
    moved = apart_on_free(wanted, row.width, row.piece.settings.bore_spacing, free)
    found = None if moved is None else row.marked(moved, free, most=most)
    end = row.piece.limits["far-from-end", "from the end"]
    return found if found and max(found[0], row.width - found[-1]) <= end + NIL else None


def _anywhere(_station: float) -> bool:
    return True


def _evenly(first: float, length: float) -> Callable[[int], list[float]]:
    return lambda n: [first + length * i / (n - 1) for i in range(n)]


def _spread(row: Row, count: int, apart: float) -> str:
    """How to set bores further apart, or with fewer of them."""
    low, high = row.piece.allowed(row.join, row.number)
    fits = int((high - low) / apart + NIL) + 1 if high >= low else 0
    if fits < 1:
        return f"Leave {row.length(apart)} from middle to middle."
    keep = min(count, fits)
    first, last = (low, high) if keep > 1 else ((low + high) / 2, (low + high) / 2)
    if keep > 1:
        inset = min(row.width / (2 * keep), (high - low - apart * (keep - 1)) / 2 + low)
        first, last = max(low, inset), min(high, row.width - inset)
    spread = [first + (last - first) * i / max(1, keep - 1) for i in range(keep)]
    on_marks = row.marked(spread, lambda station: low - NIL <= station <= high + NIL, apart)
    if on_marks is None and keep > 1:  # So many fit, but not on the marks of a rule.
        return _spread(row, keep - 1, apart)
    spread = on_marks or spread
    advised = row.piece.limits["close-spacing", "advised spacing"] * row.screws[0].diameter
    return (
        f"Drill {keep} pocket{'' if keep == 1 else 's'}, at {setting_out(row, spread)}: at least {row.length(apart)} "
        f"from middle to middle ({to_sixteenth(advised, row.unit)} is advised where the joint carries a load)."
    )
