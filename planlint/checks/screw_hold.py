"""The screw in the wood that takes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter
from typing import NamedTuple

from planlint.checks.row_trial import set_out_freely, shifted
from planlint.checks.row_view import Row, rows, rows_of
from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import MISTURNED
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import cross, dot, unit
from planlint.model.directions import Side, usual_face
from planlint.model.plan import Join, Plan
from planlint.model.threads import suited_thread
from planlint.rulebook.limits import NIL
from planlint.text.measures import rule_mark
from planlint.text.source import Span

EDGE_IS_WEAK = frozenset({"fibreboard", "particleboard"})
"""Boards of fibres or chips pressed flat: a screw in the edge parts them."""


class Grip(NamedTuple):
    """The screw of a row that holds least."""

    row: Row
    screw: Screw
    facing: Side | None = None
    """How the drilled part should face, where all that is drilled in it is in its narrow edges."""


class Aside(NamedTuple):
    """A part moved by so many inches toward one of its sides."""

    by: float
    toward: Side


class _Ways(NamedTuple):
    """What keeps a screw inside: other stations, another screw, the part moved."""

    stations: tuple[float, ...] | None = None
    screw: Screw | None = None
    aside: Aside | None = None


_NO_WAY = _Ways()


@dataclass(frozen=True)
class Tip:
    """The screw of a row with least wood before its point (negative: none), where that is, and what would mend it."""

    row: Row
    screw: Screw
    at: Side | str
    cover: float
    limit: float

    @property
    def beside(self) -> bool:
        """Whether it enters no wood at all: it leaves its own part past a side of the other."""
        side, mouth = self.at, self.screw.pocket.exit
        return isinstance(side, Side) and self.row.piece.body(self.row.into).planes[side].depth(mouth) < -NIL

    @cached_property
    def ways(self) -> _Ways:
        """Searched for where somebody asks: a trial of another screw only asks whether this one stays inside."""
        least = wanted_covers(self.row.piece)[1]
        return _inside(self.row, self.screw, self.at, (self.limit, *(least,) * (self.cover < least - NIL)))


class Unstocked(NamedTuple):
    """A joint whose screws are of a length not kept; and the length kept that would do, if any."""

    join: Join
    kept: float | None


def short_grip(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Too little thread lies in the receiving part."""
    least = rule.limit("thread in the wood", piece.settings)
    for row in rows(piece):
        # Those that come out of the wood are told by tip-through.
        found = [(piece.grip(screw), screw) for screw in row.screws if piece.tip_cover(screw)[0] >= 0]
        if not found:
            continue
        grip, screw = min(found, key=itemgetter(0))
        limit = least * screw.diameter
        if grip >= limit - NIL:
            continue
        facing = _should_face(row) if grip <= NIL else None
        yield rule.finding(
            fact=Grip(row, screw, facing),
            kind=MISTURNED if facing else "short" if grip > NIL else "none",
            span=_screws_span(row),
            joint=row.join.name,
            parts=dict.fromkeys((row.part.name, *row.names)) if facing else row.names,
            measured=max(grip, 0.0),
            limit=limit,
        )


def tip_through(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A screw leaves the receiving part, or all but reaches its far side where it need not."""
    limit = rule.limit("wood before the point", piece.settings)
    least = rule.limit("wood at the least", piece.settings)
    for row in rows(piece):
        # Of equals the nearest to an end, however the piece lies.
        cover, at, screw = min(
            ((*piece.tip_cover(s), s) for s in row.screws),
            key=lambda each: (round(each[0], 6), row.from_end(each[2].pocket.station)),
        )
        if cover >= limit - NIL:
            continue
        tip, out = Tip(row, screw, at, cover, limit), cover < least - NIL
        if not out and tip.ways == _NO_WAY:
            continue  # The usual joint of thin stock: nothing that is kept both holds and leaves more.
        kind = "near" if cover >= 0 else "into-a-cut" if isinstance(at, str) else "comes-out"
        yield rule.finding(
            fact=tip,
            kind=kind,
            span=_screws_span(row),
            at=row.join,
            measured=0.0 if kind == "into-a-cut" else cover,
            limit=limit,
            grade=None if out else min(rule.grade, Grade.CAUTION),
        )


def thread_mismatch(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A fine thread in soft or sheet material, or a coarse one in hard wood; the wood that takes it decides."""
    hard_from = piece.limits["thread-mismatch", "specific gravity"]
    for row in rows(piece):
        said = row.join.screws
        material = row.into.stock.material
        if said is None or said.thread is None:
            continue
        if material.specific_gravity is None and (material.kind == "hardwood" or not material.known):
            continue  # Nothing published to judge by.
        suits = suited_thread(material, piece.limits)
        if suits == said.thread:
            continue
        gravity = material.specific_gravity if material.solid else None
        yield rule.finding(
            fact=row,
            kind=f"wants-{suits}",
            span=said.span,
            at=row.join,
            measured=gravity,
            limit=None if gravity is None else hard_from,
            unit=None if gravity is None else "specific gravity",
        )


def into_end_grain(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The thread ends up in end grain, or in the edge of a board of fibres or chips."""
    limit = rule.limit("angle to the grain", piece.settings)
    for row in rows(piece):
        material = row.into.stock.material
        if material.solid:
            angle = piece.grain_angle(row.screws[0])
            if angle >= limit - NIL:
                continue
        elif material.kind in EDGE_IS_WEAK and not row.into.is_face(row.entered):
            angle = None
        else:
            continue
        yield row.found(
            rule,
            row,
            angle,
            None if angle is None else limit,
            kind="edge" if angle is None else "end-grain",
            unit=None if angle is None else "degrees",
            basis="angle to the grain" if angle is not None else "common practice",
        )


def unstocked_screw(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The plan asks for a length that the shop does not keep."""
    screws = piece.settings.screws
    lengths = screws.lengths
    slack = rule.limit("difference", piece.settings)
    for join in piece.plan.joins:
        if not join.pockets or join.screws is None or join.screws.length is None:
            continue
        asked = float(join.screws.length)
        nearest = min(lengths, key=lambda each: (abs(each - asked), each))
        if any(abs(each - asked) <= slack + NIL for each in (nearest, *screws.metric_lengths)):
            continue
        yield rule.finding(
            fact=Unstocked(join, _kept(piece, rows_of(piece, join), nearest)),
            span=join.screws.span,
            joint=join.name,
            parts=tuple(part.name for part in join.parts),
            measured=asked,
            limit=nearest,
            basis="the shop's screws in the settings (common practice, from memory)",
        )


# ---------------------------------------------------------------- what to use instead


def _screws_span(row: Row) -> Span:
    said = row.join.screws
    return said.span if said is not None and said.length is not None else row.asked.span


def in_narrow_edge(row: Row) -> bool:
    """Whether the pockets are drilled in an edge, so that the bore runs down the width of the part."""
    part = row.part
    return part.is_edge(row.asked.face) and part.thickness < part.width


def _should_face(row: Row) -> Side | None:
    """How a part should face for its pockets to be in its faces: those of several joints are in narrow edges alone."""
    part = row.part
    drilled = [
        (join, asked)
        for join in row.piece.graph.joins_of(part)
        for asked in join.pockets
        if (join.part_b if asked.in_b else join.part_a) is part
    ]
    if len({join.name for join, _ in drilled}) < 2 or part.thickness >= part.width:
        return None
    axis = row.asked.face.axis
    return usual_face(axis) if all(part.is_edge(a.face) for _, a in drilled) else None


def _inside(row: Row, screw: Screw, at: Side | str, wanted: Sequence[float]) -> _Ways:
    """Ways to keep a screw as far inside as is ``wanted``: the pockets moved along, if it is an end or a cut that lies
    near; else a screw of another length, else the whole part moved."""
    far = at is row.entered.opposite
    ground = None if far else row.piece.ground(row.join, row.number)
    stations = None if ground is None else set_out_freely(row, ground.free)
    ways = _Ways(None if stations is None else tuple(stations), screw_that_fits(row, screw.pocket, wanted))
    if ways == _NO_WAY and (isinstance(at, str) or row.into.is_end(at)):
        return ways._replace(aside=_aside(row, wanted[0]))
    return ways


def _aside(row: Row, limit: float) -> Aside | None:
    """How far the drilled part must move, square to its row, for all screws to stay inside."""
    piece, body, into = row.piece, row.piece.body(row.part), row.piece.body(row.into)
    mark = rule_mark(row.unit)
    way = unit(cross(row.frame.across, into.planes[row.entered].normal))
    for by in [sign * n * mark for n in range(1, int(FURTHEST_ASIDE / mark) + 1) for sign in (1, -1)]:
        if all(piece.tip_cover(shifted(screw, way, by))[0] >= limit - NIL for screw in row.screws):
            return Aside(abs(by), max(body.planes, key=lambda side: dot(body.planes[side].normal, way) * by))
    return None


FURTHEST_ASIDE = 4.0
"""How far a part is told to move at most, in inches. Basis: our own judgement."""


def wanted_covers(piece: Piece) -> tuple[float, float]:
    """Wood to be left before a point: what is wanted, and what will do where nothing leaves more."""
    limits = piece.limits
    return limits["tip-through", "wood before the point"], limits["tip-through", "wood at the least"]


def least_grip(piece: Piece, screw: Screw) -> float:
    """Inches of a screw that must lie in the wood that takes it."""
    return piece.limits["short-grip", "thread in the wood"] * screw.diameter


def length_that_suits(
    row: Row, plan: Plan, screws: Callable[[float], Iterable[Screw]], wanted: Sequence[float]
) -> float | None:
    """The length of the shop's with which ``screws`` all hold and stay inside: that of joints of the plan alike, else
    the one nearest to twice the setback, as the tool chooses.

    Of the covers ``wanted`` to be left before a point the first that any length leaves counts.
    """
    piece, setback, alike = row.piece, row.pockets[0].setback, _lengths_alike(plan, row.join)
    kept = sorted(
        piece.settings.screws.lengths, key=lambda each: (each not in alike, abs(each - 2 * setback), each)
    )

    def suits(screw: Screw, cover: float) -> bool:
        holds = piece.grip(screw) >= least_grip(piece, screw) - NIL
        return holds and piece.tip_cover(screw)[0] >= cover - NIL

    ways = ((cover, inches) for cover in wanted for inches in kept)
    return next(
        (inches for cover, inches in ways if all(suits(each, cover) for each in screws(inches))), None
    )


def _lengths_alike(plan: Plan, join: Join) -> set[float]:
    """How long the screws are said to be that hold other parts of such stock, in such faces, to such stock."""

    def like(other: Join) -> bool:
        stocks = zip(join.parts, other.parts, strict=True)
        faces = {each.face.axis for each in join.pockets} == {each.face.axis for each in other.pockets}
        return other.name != join.name and faces and all(one.stock is its.stock for one, its in stocks)

    said = (other.screws for other in plan.joins if like(other))
    return {float(each.length) for each in said if each is not None and each.length is not None}


def screw_that_fits(row: Row, pocket: Pocket, wanted: Sequence[float]) -> Screw | None:
    """A screw of the shop for a pocket that holds and stays inside."""
    found = length_that_suits(row, row.piece.plan, lambda inches: [row.screw(pocket, inches)], wanted)
    return None if found is None else row.screw(pocket, found)


def _kept(piece: Piece, rows: Sequence[Row], nearest: float) -> float | None:
    """The length of the shop that holds and stays inside in every pocket of a join; ``nearest`` if none can be judged.

    ``None`` where no length does.
    """
    if not rows:
        return nearest

    def screws(inches: float) -> Iterable[Screw]:
        return (row.screw(pocket, inches) for row in rows for pocket in row.pockets)

    return length_that_suits(rows[0], piece.plan, screws, wanted_covers(piece))
