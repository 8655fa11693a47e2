"""Joints whose screws carry more than they may, and pieces that give way under their load."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import PRIED
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.footing import balance
from planlint.statics.people import everywhere
from planlint.statics.screw_strength import Allowed, allowed, shared_by
from planlint.statics.solved_loads import ScrewForce
from planlint.statics.wood_strength import screw_gravity
from planlint.text.source import Span


class Overloaded(NamedTuple):
    """The screw of a joint that carries most for what it may, ``used`` being the share; and how many would do."""

    join: Join
    force: ScrewForce
    may: Allowed
    used: float
    screws: int
    needed: int
    more: float
    """How much more is allowed of loads that come and go."""
    pried: bool
    """Whether nothing asks it but parts that bend: were it to give a little, the load would go another way."""


class GivesWay(NamedTuple):
    """Parts that nothing keeps where they are under a load, and where they go."""

    parts: tuple[Part, ...]
    way: Vector
    under: Part
    slides: bool
    """Whether nothing but friction, which is too little, would keep them."""


class NotTold(NamedTuple):
    """Parts in a wood of which no figure is known."""

    wood: str


def joint_overload(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The way of the loads to the floor asks more of a screw than is allowed, or finds nothing that holds."""
    if not piece.plan.loads:
        return
    for told in carried(piece)[0]:
        loose = [each for each in everywhere(piece, told) if each.solution.loose]
        for standing in loose[:1]:
            if balances(piece, standing):
                load, solution = standing.loads[0], standing.solution
                yield rule.finding(
                    fact=GivesWay(solution.loose, solution.way, load.part, standing.slides),
                    kind="gives-way",
                    span=load.span,
                    parts=[part.name for part in solution.loose],
                    basis="geometry",
                )
        if not told.solution.loose:
            yield from _overloaded(piece, rule, told)


def balances(piece: Piece, standing: Standing) -> bool:
    """Whether a unit does not simply tip over under its loads: of that another rule speaks."""
    if standing.hung:
        return True
    found = balance(piece, standing)
    return bool(found) and found[0].keeps > found[0].turns


def _overloaded(piece: Piece, rule: Rule, standing: Standing) -> Iterator[Finding]:
    most = rule.limit("share of the allowed load", piece.settings)
    breaks = rule.limit("share that may break it", piece.settings)
    more = short_loads(piece, standing)
    every = relieved(piece, standing)
    unknown: dict[str, list[Part]] = {}
    for join in piece.plan.joins:
        asked = most_asked(piece, standing, join)
        if asked is None:
            continue
        force, may, used = asked
        if may is None:
            unknown.setdefault(_unknown(force), []).extend(join.parts)
            continue
        pried = all(each.asked.get(join.index, inf) <= 1 for each in every)
        if used > (breaks if pried else most):
            many = len(standing.solution.screw_forces(join))
            yield rule.finding(
                fact=Overloaded(join, force, may, used, many, shared_by(many, used / most), more, pried),
                kind=PRIED if pried else "",
                span=join.pockets[0].span if join.pockets else join.span,
                joint=join.name,
                parts=[part.name for part in join.parts],
                measured=used,
                limit=most,
                unit="of the allowed load",
                basis=may.basis,
                judged_by="share of the allowed load",
                grade=None if used > breaks and not pried else Grade.CAUTION,
            )
    for wood, parts in unknown.items():
        yield from not_told(rule, wood, parts, standing.loads[0].span)


class WorstScrew(NamedTuple):
    """The screw of a joint that carries most for what it may, ``used`` being the share of that: ``may`` is ``None``
    where nothing is known of the wood."""

    force: ScrewForce
    may: Allowed | None
    used: float


def most_asked(piece: Piece, standing: Standing, join: Join) -> WorstScrew | None:
    """Of a joint, wherever people are; ``None`` without screws that reach anything: of those other rules tell."""
    if join.part_a not in standing.parts or not piece.trusted(join):
        return None
    held, more = may_carry(piece, standing), short_loads(piece, standing)
    found = []
    for force in screw_forces(piece, standing, join):
        if piece.grip(force.screw) > 0:
            may = held.get(id(force.screw))
            if may is None:
                return WorstScrew(force, None, 0.0)
            found.append(WorstScrew(force, may, may.used(force.along, force.across) / more))
    return max(found, key=lambda each: round(each.used, 6), default=None)


def not_told(rule: Rule, wood: str, parts: Sequence[Part], span: Span) -> Iterator[Finding]:
    """What is not judged, for want of a figure; of a wood that is not known at all another rule speaks."""
    if all(part.stock.material.known for part in parts):
        names = dict.fromkeys(part.name for part in parts)
        yield rule.finding(
            fact=NotTold(wood), kind="not-told", span=span, parts=names, basis="judgement", grade=Grade.ADVICE
        )


_MORE = 1.1
"""Times as much as is asked that a screw gives way in each step: few steps will do. Basis: our own judgement."""
YIELDS = 5
"""Times that what gives way is looked at again. Basis: our own judgement."""


class Relieved(NamedTuple):
    """A unit whose screws give way where they carry more than they may, and by joint the most that is then still asked
    of one, in shares of what it may."""

    standing: Standing
    asked: Mapping[int, float]

    @property
    def holds(self) -> bool:
        return max(self.asked.values(), default=0.0) <= 1


@of_piece
def relieved(piece: Piece, standing: Standing) -> tuple[Relieved, ...]:
    """With people in each place: every screw that carries more than it may gives way until it does not. By the lower
    bound theorem of plasticity: what the parts can stand in any balance, they stand."""
    most = piece.limits["joint-overload", "share of the allowed load"] * short_loads(piece, standing)
    held = may_carry(piece, standing)
    return tuple(_relieved(piece, each, held, most) for each in everywhere(piece, standing))


def _relieved(piece: Piece, each: Standing, held: Mapping[int, Allowed], most: float) -> Relieved:
    for left in reversed(range(YIELDS)):
        structure, solution = each.structure, each.solution
        used = {
            join.index: {id(by.screw): held[id(by.screw)].used(by.along, by.across) / most for by in forces}
            for join in piece.plan.joins
            if (forces := [by for by in solution.screw_forces(join) if id(by.screw) in held])
        }
        over = {screw: share for shares in used.values() for screw, share in shares.items() if share > 1}
        if solution.loose or not over or not left:
            break
        structure = structure.softened(
            {
                n: tie.stiffness / over[id(tie.screw)] / _MORE
                for n, tie in enumerate(structure.ties)
                if tie.screw is not None and id(tie.screw) in over
            }
        )
        solution = structure.solve((*each.weights, *each.bears), solution)
        each = replace(each, structure=structure, solution=solution)
    return Relieved(
        each, {index: inf if each.solution.loose else max(shares.values()) for index, shares in used.items()}
    )


def as_it_bends(piece: Piece, standing: Standing) -> list[Standing]:
    """With people in each place, as its parts bend: joints keep their ends from turning no more than screws may."""
    every = zip(everywhere(piece, standing), relieved(piece, standing), strict=True)
    return [found.standing if found.holds else each for each, found in every]


@of_piece
def may_carry(piece: Piece, standing: Standing) -> Mapping[int, Allowed]:
    """What each screw of a unit may carry, by ``id``: but those that reach nothing, and those in unknown wood."""
    screws = {id(tie.screw): tie.screw for tie in standing.structure.ties if tie.screw is not None}
    found = {key: allowed(piece, screw) for key, screw in screws.items() if piece.grip(screw) > 0}
    return {key: may for key, may in found.items() if may is not None}


def screw_forces(piece: Piece, standing: Standing, join: Join) -> list[ScrewForce]:
    """What each screw of a joint carries, wherever people are."""
    return [
        force
        for each in everywhere(piece, standing)
        if not each.solution.loose
        for force in each.solution.screw_forces(join)
    ]


def short_loads(piece: Piece, standing: Standing) -> float:
    """How much more its screws may carry than under loads that stay."""
    stays = any(load.per_foot for load in standing.loads)
    return 1.0 if stays else piece.limits["joint-overload", "loads that come and go"]


def _unknown(force: ScrewForce) -> str:
    pocket = force.screw.pocket
    into, drilled = pocket.into.stock.material, pocket.part.stock.material
    return into.name if screw_gravity(into) is None and not into.panel else drilled.name
