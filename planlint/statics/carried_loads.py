"""A plan's ``load`` lines on the piece as it stands: what is carried where, and what cannot be told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from planlint.budget.own_threads import one_thread
from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.layers import round_all
from planlint.geometry.shapes.vectors import AXES, dot, minus, norm, plus, scaled
from planlint.model.directions import Axis
from planlint.model.plan import Join, Load, Part
from planlint.statics.friction import slides
from planlint.statics.joint_ties import (
    LEVEL,
    LIES,
    MOST_STEPS,
    Kind,
    Tie,
    against_wall,
    floor_ties,
    joint_ties,
    pressing_ties,
    wall_ties,
)
from planlint.statics.lying_wood import lying
from planlint.statics.solved_loads import Force, Solution
from planlint.statics.weights import part_weight

if TYPE_CHECKING:
    from planlint.statics.beam_parts import BeamPart
    from planlint.statics.spring_structure import Structure

SHORT = 0.25
"""A joint that takes up no more than this share of a part's length holds it at one place. Basis: our own judgement."""
_QUARTERS = 4
"""Lengths that a loaded part is looked at in."""
DOWN: Vector = (0.0, 0.0, -1.0)


@dataclass(frozen=True, eq=False)
class Standing:
    """Parts that hang together and bear a load, ready to be solved; ``solution`` has them under weight and loads."""

    parts: tuple[Part, ...]
    loads: tuple[Load, ...]
    structure: Structure
    solution: Solution
    weights: tuple[Force, ...]
    bears: tuple[Force, ...]
    floor: float
    """Height of the lowest corner, in the piece's axes."""
    hung: bool
    slides: bool
    """Whether what is loose is kept by friction alone, which is too little."""

    @property
    def pounds(self) -> float:
        """Of all loads together."""
        return sum(norm(force.pounds) for force in self.bears)

    @property
    def weighs(self) -> float:
        return sum(norm(force.pounds) for force in self.weights)


class Unjudged(NamedTuple):
    """A load of which nothing is told, because it is not certain where the part lies."""

    load: Load
    join: Join | None
    """The joint that leaves it open; ``None`` where nothing joins the part."""


@of_piece
def carried(piece: Piece) -> tuple[tuple[Standing, ...], tuple[Unjudged, ...]]:
    """Every unit of the piece that bears a load, solved; and the loads that cannot be judged."""
    found: dict[str, list[Load]] = {}
    units: dict[str, tuple[Part, ...]] = {}
    for load in piece.plan.loads:
        if load.part.name not in units:
            unit = piece.graph.held_with(load.part, piece.trusted)
            units |= {part.name: unit for part in unit}
        found.setdefault(units[load.part.name][0].name, []).append(load)
    standing, unjudged = [], []
    for first, loads in found.items():
        unit = units[first]
        doubt = next(
            (join for part in unit for join in piece.graph.joins_of(part) if not piece.trusted(join)), None
        )
        if doubt is not None:
            unjudged += [Unjudged(load, doubt) for load in loads]
            continue
        piece.tick()
        standing.append(_stand(piece, unit, tuple(loads)))
    return tuple(standing), tuple(unjudged)


def _stand(piece: Piece, parts: tuple[Part, ...], loads: tuple[Load, ...]) -> Standing:
    one_thread()
    from planlint.statics.beam_parts import BeamPart  # noqa: PLC0415 - they import numpy: for loads only
    from planlint.statics.spring_structure import Structure  # noqa: PLC0415

    ties = list(_ties(piece, parts))
    busy = _busy(piece, ties) | {load.part.name for load in loads}
    stations = _stations(piece, busy, ties)
    for load in loads:
        stations[load.part.name] += [float(load.part.length) * n / _QUARTERS for n in range(1, _QUARTERS)]
    beams, unknowns = {}, 0
    for part in parts:
        beam = BeamPart(piece.body(part), stations.get(part.name), unknowns)
        beams[part.name] = beam
        unknowns += beam.unknowns
    box = round_all(piece.body(part) for part in parts)
    structure = Structure(beams, ties, max(minus(box.high, box.low)))
    weights = tuple(_weight(piece, part, beams[part.name]) for part in parts)
    bears = tuple(_bears(beams[load.part.name], load) for load in loads)
    solution = structure.solve((*weights, *bears))
    slid = None if solution.loose else slides(structure, solution, (*weights, *bears))
    hung = any(part.bottom_height is not None for part in parts)
    floor = min((tie.point[2] for tie in ties if tie.kind is Kind.FLOOR), default=box.low[2])
    return Standing(parts, loads, structure, slid or solution, weights, bears, floor, hung, slid is not None)


def _ties(piece: Piece, parts: tuple[Part, ...]) -> Iterator[Tie]:
    names = {part.name for part in parts}
    for join in piece.plan.joins:
        if join.part_a.name in names and piece.trusted(join):
            piece.tick()
            yield from joint_ties(piece, join)
    for part, on, patches in lying(piece):
        if part.name in names and on.name in names:
            yield from pressing_ties(part, on, patches)
    hung = [part for part in parts if part.bottom_height is not None]
    if not hung:
        yield from floor_ties(piece, parts)
    held = holders(parts)
    for part in held:
        yield from wall_ties(piece, part)
    if held:
        yield from against_wall(piece, parts, held)


def _busy(piece: Piece, ties: Iterable[Tie]) -> set[str]:
    """The parts that something lies on or takes hold of: the others only lie there, and no bending of theirs tells."""
    return {
        part.name
        for tie in ties
        for part in (tie.part, tie.to)
        if part is not None
        and (tie.kind not in LIES or tie.point[2] > piece.body(part).bounds.low[2] + LEVEL)
    }


def holders(parts: Iterable[Part]) -> list[Part]:
    """The parts that the wall holds: those fixed to it, or else those said to be hung."""
    fixed = [part for part in parts if part.fixed_to_wall]
    return fixed or [part for part in parts if part.bottom_height is not None]


def station_on(body: Body, point: Vector) -> float:
    """How far along its grain a point of a part lies, from its low end, in inches."""
    return dot(minus(point, body.middle), body.grain) + float(body.part.length) / 2


def _stations(piece: Piece, busy: Iterable[str], ties: Iterable[Tie]) -> dict[str, list[float]]:
    """Where along each part that bends its joints and supports take hold: a short one at its middle, a long one all
    along it."""
    found: dict[str, list[float]] = {name: [] for name in busy}
    by_place: dict[tuple[str, object], list[float]] = {}
    for tie in ties:
        ends = [part for part in (tie.part, tie.to) if part is not None]
        if tie.screw is None and all(part.name in found for part in ends):
            for part in ends:
                place = tie.join.index if tie.join is not None else tie.kind
                station = station_on(piece.body(part), tie.point)
                by_place.setdefault((part.name, place), []).append(station)
    for (name, _), stations in by_place.items():
        low, high = min(stations), max(stations)
        if high - low <= SHORT * float(piece.plan.part_by_name[name].length):
            found[name].append((low + high) / 2)
        else:
            found[name] += [low + (high - low) * n / MOST_STEPS for n in range(MOST_STEPS + 1)]
    return found


# ---------------------------------------------------------------- forces


def _weight(piece: Piece, part: Part, beam: BeamPart) -> Force:
    weight = part_weight(piece, part)
    down = scaled(DOWN, weight.pounds)
    return Force(part, down, weight.centre if beam.stocky else None)


def pounds_of(load: Load) -> float:
    """A load in all."""
    return float(load.pounds * load.part.length / 12 if load.per_foot else load.pounds)


def _bears(beam: BeamPart, load: Load) -> Force:
    """A load lies, or pushes, spread evenly over its part; on an upright one it stands at the top."""
    way = DOWN if load.towards is None else AXES[load.towards.axis]
    down = scaled(way, pounds_of(load) * (1 if load.towards is None else load.towards.sign))
    upward = load.towards is None or load.towards.axis is Axis.Z
    if upward and abs(beam.x[2]) >= UPRIGHT:
        return Force(load.part, down, beam.at(beam.length if beam.x[2] > 0 else 0.0))
    return Force(load.part, down, beam.at(beam.length / 2) if beam.stiff else None)


UPRIGHT = 0.7
"""Cosine of the slope from which on a part counts as upright. Basis: our own judgement."""


def top_of(standing: Standing, piece: Piece) -> tuple[Part, Vector]:
    """The part that reaches highest and the middle of its top: where a push tells most; none that only lies there."""
    fast = [part for part in standing.parts if not all(join.rests for join in piece.graph.joins_of(part))]
    bodies = [piece.body(part) for part in fast or standing.parts]
    height = max(body.bounds.high[2] for body in bodies)
    high = [body for body in bodies if body.bounds.high[2] > height - 0.5]
    # Of several that are as high the longest: it takes the others along.
    best = max(high, key=lambda body: (round(body.size[Axis.X] + body.size[Axis.Y], 3), -body.part.index))
    middle = scaled(plus(best.bounds.low, best.bounds.high), 0.5)
    return best.part, (middle[0], middle[1], best.bounds.high[2])
