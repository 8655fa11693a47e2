"""Screws, bores, dowels and tenons of different joints that run into one another."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.fastener_places import FASTENER_ROW
from planlint.geometry.drilling.screw_clashes import (
    Meeting,
    Rod,
    Tenon,
    by_joints,
    clear_of_tenon,
    meeting_box,
    wood_beside,
    wood_to_tenon,
)
from planlint.geometry.joint_facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.box_index import overlapping_pairs
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL


class ScrewsMeet(NamedTuple):
    """Two rows of which a bore or screw of each leave too little wood between them."""

    mine: Row
    theirs: Row
    rods: tuple[Rod, Rod]
    """One of each row, in that order."""


class DriveMeets(NamedTuple):
    """Two rods of which one is at least a screw, bolt or nail through a face."""

    first: Rod
    second: Rod

    @property
    def rods(self) -> tuple[Rod, Rod]:
        return self.first, self.second


class MeetsTenon(NamedTuple):
    """A row whose bore or screw (``what``) comes too near to what another joint lets into its wood."""

    row: Row
    screw: Screw
    what: str
    tenon: Tenon


class LetInMeets(NamedTuple):
    """Dowels, a tenon, what is driven through a face: two of them too near one another in the wood of ``host``."""

    first: Tenon | Screw
    second: Tenon | Screw
    host: Part


def screws_meet(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two pockets of different rows leave too little wood between their bores or screws."""
    found = rows(piece)
    yield from _with_one_another(piece, rule, found)
    yield from _with_tenons(piece, rule, found)
    yield from _let_in(piece, rule)


def _with_one_another(piece: Piece, rule: Rule, found: Sequence[Row]) -> Iterator[Finding]:
    limit = rule.limit("wood between screws", piece.settings)
    row_of = {(row.join.index, row.number): row for row in found}
    for meeting in by_joints(piece.clashes):
        ends = sorted((meeting.first, meeting.second), key=_where)
        numbers = [(rod.screw.pocket.join.index, rod.screw.pocket.row) for rod in ends]
        if not all(number in row_of for number in numbers):
            yield _with_a_drive(rule, limit, meeting, *sorted(ends, key=lambda rod: _is_drive(rod.screw)))
            continue
        mine, theirs = (row_of[number] for number in numbers)
        yield rule.finding(
            fact=ScrewsMeet(mine, theirs, (ends[0], ends[1])),
            kind="screws",
            span=mine.asked.span,
            joint=mine.join.name,
            against=theirs.join.name,
            parts=tuple(dict.fromkeys((*mine.names, *theirs.names))),
            measured=meeting.wood,
            limit=limit,
        )


def _is_drive(screw: Screw) -> bool:
    return screw.pocket.row >= FASTENER_ROW


def _with_a_drive(rule: Rule, limit: float, meeting: Meeting, first: Rod, second: Rod) -> Finding:
    """What is driven through a face meets a pocket screw or its bore, which is told first, or another of its kind."""
    join, other = first.screw.pocket.join, second.screw.pocket.join
    row = first.screw.pocket.row
    asked = join.fastenings[row - FASTENER_ROW] if _is_drive(first.screw) else join.pockets[row]
    return rule.finding(
        fact=DriveMeets(first, second),
        kind="fastener",
        span=asked.span,
        joint=join.name,
        against=other.name,
        parts=tuple(dict.fromkeys(part.name for each in (join, other) for part in each.parts)),
        measured=meeting.wood,
        limit=limit,
    )


def _where(rod: Rod) -> tuple[float, ...]:
    """An order of two rods that neither names nor the order of statements change."""
    x, y, z = rod.screw.pocket.exit
    return round(z, 4), round(x, 4), round(y, 4)


# ---------------------------------------------------------------- tenons


def _with_tenons(piece: Piece, rule: Rule, found: Sequence[Row]) -> Iterator[Finding]:
    limit, bit = rule.limit("wood beside a tenon", piece.settings), piece.settings.profile.bit_diameter / 2
    for row in found:
        told: set[int] = set()
        for other in (*piece.tenons_beside(row.join), *_own_spline(piece, row)):
            join = other.join
            if join.index in told or all(
                clear_of_tenon(screw, other, bit, limit - NIL) for screw in row.screws
            ):
                continue
            told.add(join.index)
            (wood, what), screw = min(
                ((wood_to_tenon(screw, other, bit), screw) for screw in row.screws),
                key=lambda each: (round(each[0][0], 6), each[1].pocket.station),
            )
            yield rule.finding(
                fact=MeetsTenon(row, screw, what, other),
                kind="fitting" if other.fitted else "tenon",
                grade=min(rule.grade, Grade.CAUTION) if other.fitted else None,
                span=row.asked.span,
                joint=row.join.name,
                against=join.name,
                parts=tuple(dict.fromkeys((*row.names, other.body.part.name))),
                measured=wood,
                limit=limit,
                basis="wood beside a tenon",
            )


def _let_in(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """What stands in one part's wood without a pocket, where the plan says: the worst of each two joints."""
    limit = rule.limit("wood beside a tenon", piece.settings)
    worst: dict[tuple[int, ...], tuple[tuple[float, ...], LetInMeets, float]] = {}
    for host, things in _placed(piece).items():
        places = [meeting_box(each, limit / 2) for each in things]
        for i, j in overlapping_pairs(places):
            first, second = (things[n] for n in sorted((i, j), key=places.__getitem__))
            if not _differ(first, second) or (wood := wood_beside(first, second)) >= limit - NIL:
                continue
            # No finer than a way out is found; of equals the lowest, leftmost, foremost.
            (x, y, z), _ = places[i]
            bad = round(wood, 2), round(z, 6), round(x, 6), round(y, 6)
            joins = tuple(sorted(_join(each).index for each in (first, second)))
            if joins not in worst or bad < worst[joins][0]:
                worst[joins] = bad, LetInMeets(first, second, piece.plan.parts[host]), wood
    for _, (_, fact, wood) in sorted(worst.items()):
        one, other = _join(fact.first), _join(fact.second)
        yield rule.finding(
            fact=fact,
            kind="let-in",
            span=one.tradition.span if one.tradition is not None else one.span,
            joint=one.name,
            against=other.name,
            parts=tuple(dict.fromkeys(part.name for join in (one, other) for part in join.parts)),
            measured=wood,
            limit=limit,
            basis="wood beside a tenon",
        )


def _placed(piece: Piece) -> dict[int, list[Tenon | Screw]]:
    """By part the dowels and tenons in its wood, and the screws and bolts through a face, whose places are given."""
    found: defaultdict[int, list[Tenon | Screw]] = defaultdict(list)
    for each in (*piece.bored, *piece.tenons):
        if _is_given(each):
            found[each.host.index].append(each)
    for join in piece.plan.joins if found else ():
        for row in piece.fasteners(join) if join.driven else ():
            if row.fastening.row.fixed and row.fastening.kind != "nails":
                for part in join.parts:
                    found[part.index] += row.drives
    return found


def _is_given(each: Tenon) -> bool:
    """Whether the plan says where it lies and how large it is."""
    made = each.join.tradition
    if made is None or each.round is None:
        return made is not None and made.kind == "mortise and tenon" and "thick" in made.measures
    set_out = made.places
    return (
        set_out is not None and set_out.row.fixed and (set_out.length is not None or "deep" in made.measures)
    )


def _differ(one: Tenon | Screw, other: Tenon | Screw) -> bool:
    """Whether two may spoil one another: tenons that meet are told as an overlap, and a tenon may be pinned."""
    if isinstance(one, Screw) and isinstance(other, Screw):
        return False
    made, beside = (one, other) if isinstance(one, Tenon) and one.round is None else (other, one)
    if isinstance(made, Tenon) and made.round is None:
        in_joint = isinstance(beside, Screw) and made.body.part in beside.pocket.join.parts
        return not in_joint and not (isinstance(beside, Tenon) and beside.round is None)
    return _join(one) is not _join(other) or isinstance(one, Screw) or isinstance(other, Screw)


def _join(each: Tenon | Screw) -> Join:
    return each.pocket.join if isinstance(each, Screw) else each.join


def _own_spline(piece: Piece, row: Row) -> Iterator[Tenon]:
    """The spline of a row's own joint, in the middle of the drilled part, where it runs past all its screws."""
    made, part = row.join.tradition, row.part
    cut = part.cut_at(row.side)
    if made is None or not made.joint.splined or row.side.axis is part.facing.axis:
        return
    if "long" in made.measures and float(made.measures["long"]) < row.width - NIL:
        return  # Where it lies is for the builder to choose.
    if cut is not None and cut.long_at.axis is part.facing.axis:
        return  # At a bevel it lies toward the heel, where the plan does not say.
    body = piece.body(part)
    low, high = [0.0, 0.0, 0.0], list(body.size)
    thick, wide = (float(made.measures.get(name, size)) for name, size in (("thick", 0.125), ("wide", 0.5)))
    middle = body.size[part.facing.axis] / 2
    low[part.facing.axis], high[part.facing.axis] = middle - thick / 2, middle + thick / 2
    if cut is None:
        at = body.size[row.side.axis] if row.side.sign > 0 else 0.0
        low[row.side.axis], high[row.side.axis] = at - wide / 2, at + wide / 2
    yield Tenon(row.join, body, Box((low[0], low[1], low[2]), (high[0], high[1], high[2])))
