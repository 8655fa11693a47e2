"""Bores against the wood they are drilled in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.row_trial import behind, has_room, keeps_wood, shows
from planlint.checks.row_view import NIL, Row, rows, some_of
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.drilling.bore_clearance import Clearance
from planlint.geometry.drilling.pocket_layout import at_mitre, wood_rule
from planlint.geometry.facts import Pocket
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import EndCut
from planlint.text.measures import degrees


def breakout(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The bore or its pilot leaves too little wood to a square side of its own part."""
    thinnest = piece.limits["thin-stock", "thickness"]
    for row, pocket, clear, count, _ in _tight(piece, rule):
        if clear.least.at in {pocket.face.opposite, row.side} and row.frame.thickness < thinnest - NIL:
            continue  # thin-stock says it better.
        yield _broken(rule, row, pocket, clear, count, "The")


def mitre_breakout(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The same at a mitred end, where the slant decides how far out a pocket may go."""
    for row, pocket, clear, count, _ in _tight(piece, rule):
        cut = row.part.cut_at(row.side) or _cut_beside(row, clear)
        angle = f", cut {degrees(cut.angle)}," if cut else ""
        yield _broken(rule, row, pocket, clear, count, f"At the mitred end{angle} the")


def thin_cover(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The same beside a rabbet, groove, dado or notch, and at a bevelled end."""
    for row, pocket, clear, count, _ in _tight(piece, rule):
        cut = _cut_beside(row, clear)
        where = f"At the end bevelled {degrees(cut.angle)} the" if cut else "The"
        yield _broken(rule, row, pocket, clear, count, where)


def narrow_mitre(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Mitred frame stock is too narrow for pockets to hold it well."""
    limit = rule.limit("width", piece.settings)
    told = set()
    for row in rows(piece):
        join = row.join
        if join.index in told or not (
            at_mitre(join.part_a, join.side_a) and at_mitre(join.part_b, join.side_b)
        ):
            continue
        narrow = min(join.parts, key=lambda part: part.width)
        width = float(narrow.width)
        if width < limit - NIL:
            told.add(join.index)
            yield rule.finding(
                span=row.asked.span,
                joint=join.name,
                parts=row.names,
                says=(
                    f"{narrow.name} is {row.length(width)} wide: mitred stock under {row.length(limit)} leaves little "
                    f"room for the pockets of {row.joint}."
                ),
                measured=width,
                limit=limit,
                unit="in",
                repairs=[
                    f"Use stock {row.length(limit)} wide or more.",
                    "Or glue the mitre with a spline, or butt the ends as stile and rail.",
                ],
            )


def thin_stock(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A pocket is drilled in stock too thin to carry it."""
    limit = rule.limit("thickness", piece.settings)
    for row in rows(piece):
        thickness = row.frame.thickness
        if thickness < limit - NIL:
            other = float(row.into.size[row.entered.axis])
            repairs = [f"Use stock {row.length(limit)} thick or more for {row.part.name}."]
            if other >= limit and not row.into.is_end(row.entered):
                board_end = row.part.is_end(row.side) and row.part.stock.material.solid
                how = "with a tenon or dowels" if board_end else "in a groove or rabbet"
                repairs.append(f"Or glue {row.part.name} to {row.into.name} {how}, without pockets.")
            yield rule.finding(
                span=row.asked.span,
                joint=row.join.name,
                parts=row.names,
                says=(
                    f"The pockets of {row.joint} are drilled in {row.part.name}, which is only "
                    f"{row.length(thickness)} thick there: the screw's head has no wood to bear on."
                ),
                measured=thickness,
                limit=limit,
                unit="in",
                repairs=repairs,
            )


# ---------------------------------------------------------------- the wood round a bore


def _cut_beside(row: Row, clear: Clearance) -> EndCut | None:
    """The slanted cut that a bore comes too near to, if it is one."""
    at = clear.least.at
    return row.part.cut_at(at) if isinstance(at, Side) else None


def _keeps_cover(row: Row) -> bool:
    """Whether all pockets lie where the layout found enough wood: quicker to know than how much there is."""
    if row.part.removals or row.part.cut_at(row.side) is not None:
        return False
    low, high = row.piece.allowed(row.join, row.number)
    return low - NIL <= row.pockets[0].station and row.pockets[-1].station <= high + NIL


class _Tight(NamedTuple):
    """Pockets of a row that leave too little wood by one rule: the worst, and how many there are."""

    row: Row
    pocket: Pocket
    clear: Clearance
    many: int
    rule: str


def _tight(piece: Piece, rule: Rule) -> list[_Tight]:
    return [each for each in _tight_rows(piece) if each.rule == rule.name]


@of_piece
def _tight_rows(piece: Piece) -> tuple[_Tight, ...]:
    """Kept: three rules ask."""
    found = []
    for row in rows(piece):
        if _keeps_cover(row):
            continue
        groups: dict[str, list[tuple[Clearance, Pocket]]] = {}
        for pocket in row.pockets:
            clear = piece.clearance(pocket)
            if clear.least.spare < -NIL:
                groups.setdefault(wood_rule(row.part, row.side, clear.least.at), []).append((clear, pocket))
        for rule, tight in groups.items():
            clear, pocket = min(tight, key=lambda each: each[0].least.spare)
            found.append(_Tight(row, pocket, clear, len(tight), rule))
    return tuple(found)


def _broken(rule: Rule, row: Row, pocket: Pocket, clear: Clearance, count: int, where: str) -> Finding:
    (wood, near, _), part = clear.least, row.part.name
    what = "bore" if clear.least is clear.bore else "pilot hole"
    side = f"the {near}"
    if isinstance(near, Side):
        side = "the joint" if near is row.side else f"the part's {near.value}"
    at = row.setting_out([pocket.station])
    if wood >= 0:
        said = f"leaves {row.length(wood)} of wood at {side}"
    elif isinstance(near, str):
        said, wood = f"runs into {side}", 0.0
    else:
        said = f"breaks out at {side}, by {row.length(-wood)}"
    limit = rule.limit("wood", row.piece.settings)
    many = f"; so do {some_of(count, len(row.pockets), 'pocket')} of the row" if count > 1 else ""
    return rule.finding(
        span=row.asked.span,
        joint=row.join.name,
        parts=row.names,
        says=f"{where} {what} of the pocket {at}, in the {row.asked.face.value} of {part}, {said}{many}.",
        measured=wood,
        limit=limit,
        unit="in",
        repairs=[_move(row, near, limit)],
    )


def _move(row: Row, near: Side | str, limit: float) -> str:
    """Where the pockets would keep their wood, or what else to do."""
    if row.part.removals or row.part.cuts:
        free = row.free_words()
        if free:
            return f"Keep the pockets where their wood is whole: {free}."
    else:
        low, high = row.piece.allowed(row.join, row.number)
        room = row.room(low, high) if low <= high else None
        if room is not None:
            first, last = (row.length(each) for each in room)
            if first == last:
                return f"Drill one pocket {first} {row.measured}: only there does it keep its wood."
            return f"Keep the pockets between {first} and {last} {row.measured}."
    if isinstance(near, str):
        return (
            f"No place on this joint keeps {row.length(limit)} of wood beside the {near}: move the {near}, "
            f"drill in {row.asked.face.opposite.value}, or drill {row.into.name} instead."
        )
    other = behind(row)
    if keeps_wood(row, other) and has_room(row, other, ()) and (row.asked.plugged or not shows(row, other)):
        face = row.asked.face.opposite.value
        return f"Drill the pockets in the {face} of {row.part.name}: there they keep their wood."
    return (
        f"No place on this joint keeps {row.length(limit)} of wood round a pocket: use wider or thicker stock for "
        f"{row.part.name}, or drill {row.into.name} instead."
    )
