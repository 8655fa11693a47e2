"""Bores against the wood they are drilled in."""

from collections.abc import Iterator
from math import sqrt
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import OUTSIDE
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.bore_clearance import WoodBeside
from planlint.geometry.drilling.pocket_layout import at_mitre
from planlint.geometry.joint_facts import Pocket
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.model.plan import EndCut, Part
from planlint.rulebook.limits import NIL


def breakout(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The bore or its pilot leaves too little wood to a square side of its own part; at a mitred end, where the slant
    decides how far out a pocket may go (``mitre-breakout``); beside a rabbet, groove, dado or notch, and at a bevelled
    end (``thin-cover``)."""
    return (_broken(rule, tight) for tight in _tight_rows(piece) if tight.rule == rule.name)


class NarrowMitre(NamedTuple):
    """A row of pockets at a mitre, and the narrower of the two parts."""

    row: Row
    part: Part


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
            yield row.found(rule, NarrowMitre(row, narrow), width, limit)


def thin_stock(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A pocket is drilled in stock too thin to carry it."""
    limit = rule.limit("thickness", piece.settings)
    for row in rows(piece):
        if row.frame.thickness < limit - NIL:
            yield row.found(rule, row, row.frame.thickness, limit)


# ---------------------------------------------------------------- the wood round a bore


class Tight(NamedTuple):
    """Pockets of a row that leave too little wood by one rule: the worst, and how many there are."""

    row: Row
    pocket: Pocket
    wood: WoodBeside
    many: int
    rule: str

    def mouth_alone(self, limit: float) -> bool:
        """Whether only the mouth of the bore comes near a side, and its shoulder keeps its wood: the screw holds."""
        at, pocket, piece = self.wood.at, self.pocket, self.row.piece
        if self.wood.what != "bore" or not isinstance(at, Side) or at is pocket.side:
            return False
        plane, radius = piece.body(pocket.part).planes[at], piece.settings.profile.bit_diameter / 2
        along = dot(plane.normal, pocket.direction)
        wide = radius * sqrt(max(0.0, 1 - along * along))
        return plane.depth(pocket.shoulder) - wide >= limit - NIL

    @property
    def cut_beside(self) -> EndCut | None:
        """The slanted cut that the bore comes too near to, if it is one."""
        near = self.wood.at
        return self.row.part.cut_at(near) if isinstance(near, Side) else None


@of_piece
def _tight_rows(piece: Piece) -> tuple[Tight, ...]:
    """Kept: three rules ask."""
    found = []
    for row in rows(piece):
        groups: dict[str, list[tuple[WoodBeside, Pocket]]] = {}
        for pocket in row.pockets:
            worst: dict[str, WoodBeside] = {}
            for wood in piece.clearances(pocket):
                if wood.spare < -NIL and not _of_thin_stock(row, wood):
                    worst[wood.rule] = min(wood, worst.get(wood.rule, wood), key=lambda each: each.spare)
            for rule, wood in worst.items():
                groups.setdefault(rule, []).append((wood, pocket))
        for rule, tight in groups.items():
            wood, pocket = min(tight, key=lambda each: each[0].spare)
            found.append(Tight(row, pocket, wood, len(tight), rule))
    return tuple(found)


def _of_thin_stock(row: Row, wood: WoodBeside) -> bool:
    """Whether the rule thin-stock says it better: the bore only comes near the far face, or the joint."""
    return (
        wood.rule == "breakout"
        and wood.at in {row.asked.face.opposite, row.side}
        and row.frame.thickness < row.piece.limits["thin-stock", "thickness"] - NIL
    )


def _past_the_end(tight: Tight) -> bool:
    """Whether a whole pocket lies beyond its part, told so along the joint."""
    row, at = tight.row, tight.wood.at
    along = isinstance(at, Side) and at.axis not in {row.asked.face.axis, row.side.axis}
    return along and -tight.wood.wood > row.piece.settings.profile.bit_diameter


def _broken(rule: Rule, tight: Tight) -> Finding:
    row, wood = tight.row, tight.wood.wood
    kind = "thin" if wood >= 0 else "into-a-cut" if isinstance(tight.wood.at, str) else "comes-out"
    if kind == "comes-out" and _past_the_end(tight):
        kind = OUTSIDE
    limit = rule.limit("wood", row.piece.settings)
    return row.found(
        rule,
        tight,
        0.0 if kind == "into-a-cut" else wood,
        limit,
        kind=kind,
        grade=Grade.CAUTION if tight.mouth_alone(limit) else None,
    )
