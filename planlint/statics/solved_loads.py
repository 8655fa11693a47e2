"""Where the loads of a piece go: every part, joint and support in balance.

Parts are beams (``beam_parts``), joints springs (``joint_ties``). Where contact would have to pull it is taken away,
and the system solved again. A grain of stiffness is given to every unknown first and then taken back by solving for
what it carried: where that does not come to nothing, something moves, and that is what is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

from planlint.geometry.facts import Screw, Vector
from planlint.geometry.shapes.vectors import dot, length, minus, plus, scaled
from planlint.model.plan import Join, Part
from planlint.statics.beam_parts import BeamPart, Row
from planlint.statics.joint_ties import ONE_WAY, Kind, Tie
from planlint.statics.linear_solver import Rows, Solve, solver

BALANCE = 1e-6
"""The share of all loads by which forces may fail to balance."""
NOTHING = 1e-3
"""The share of all loads below which a contact may pull, as good as none."""
GRAIN = 1e-5
"""Stiffness, in pounds an inch, that every unknown is given at first."""
ROUNDS = 25
"""Times that contacts are taken away and brought back before what is found is left as it is."""
CORRECTIONS = 6
FAR = 0.25
"""Share of the piece's size by which something must shift to be told as loose. Basis: our own judgement."""


class Force(NamedTuple):
    """A force in pounds at a point of a part; without a point, spread evenly over its length."""

    part: Part
    pounds: Vector
    point: Vector | None = None


class ScrewForce(NamedTuple):
    """Pounds along a screw (more than 0 pulls on it) and across it."""

    screw: Screw
    along: float
    across: float


@dataclass(frozen=True)
class Solution:
    """Every part in balance under some forces, or what moves instead."""

    beams: Mapping[str, BeamPart]
    ties: tuple[Tie, ...]
    pulls: tuple[float, ...]
    """The force in each spring: more than 0 pulls."""
    moves: tuple[float, ...]
    loose: tuple[Part, ...]
    """The parts that nothing keeps where they are; the forces mean nothing then."""
    way: Vector = (0.0, 0.0, 0.0)
    """Where the loose parts go, as a unit vector."""
    pressing: frozenset[int] = frozenset()
    """The numbers of the contacts that press."""
    off: float = 0.0
    """The share of the loads that is not balanced."""

    def shift(self, part: Part, point: Vector, direction: Vector) -> float:
        """How far a point of a part goes in a direction, in inches."""
        row = self.beams[part.name].moves(point, direction)
        return sum(share * self.moves[each] for each, share in row.items())

    def screw_forces(self, join: Join) -> tuple[ScrewForce, ...]:
        """What each screw of a joint carries, in their order."""
        found: dict[int, list[tuple[Tie, float]]] = {}
        for tie, pull in zip(self.ties, self.pulls, strict=True):
            if tie.screw is not None and tie.join is not None and tie.join.index == join.index:
                found.setdefault(id(tie.screw), []).append((tie, pull))
        forces = []
        for each in found.values():
            screw = each[0][0].screw
            assert screw is not None
            total = _sum(scaled(tie.direction, pull) for tie, pull in each)
            along = dot(total, screw.pocket.direction)
            across = length(minus(total, scaled(screw.pocket.direction, along)))
            forces.append(ScrewForce(screw, along, across))
        return tuple(forces)

    def on_supports(self, *kinds: Kind) -> dict[str, Vector]:
        """What each part presses on the floor or the wall with, in pounds, by its name."""
        found: dict[str, Vector] = {}
        for tie, pull in zip(self.ties, self.pulls, strict=True):
            if tie.kind in kinds:
                # The spring pulls the part towards its direction where it is stretched: the support feels the opposite.
                before = found.get(tie.part.name, (0.0, 0.0, 0.0))
                found[tie.part.name] = plus(before, tie.direction, -pull)
        return found


class Structure:
    """The parts and springs of a piece, ready for any forces."""

    def __init__(self, beams: Mapping[str, BeamPart], ties: Sequence[Tie], size: float) -> None:
        self.beams, self.ties, self.size = beams, tuple(ties), size
        self.unknowns = sum(beam.unknowns for beam in beams.values())
        self.rows = [self._row(tie) for tie in self.ties]
        self.frame: list[Row] = [{i: GRAIN} for i in range(self.unknowns)]
        for beam in beams.values():
            for row, stiffness in beam.springs():
                _add(self.frame, row, stiffness)
        for row, tie in zip(self.rows, self.ties, strict=True):
            if tie.kind not in ONE_WAY:
                _add(self.frame, row, tie.stiffness)
        self._known: dict[frozenset[int], tuple[Rows, Solve]] = {}

    def softened(self, numbers: Iterable[int], stiffness: float) -> Structure:
        """The same with some springs, none of them contacts, of another stiffness."""
        other, ties = copy(self), list(self.ties)
        other.frame, other._known = [dict(row) for row in self.frame], {}
        for n in numbers:
            _add(other.frame, self.rows[n], stiffness - ties[n].stiffness)
            ties[n] = ties[n]._replace(stiffness=stiffness)
        other.ties = tuple(ties)
        return other

    def _row(self, tie: Tie) -> Row:
        row = {
            each: -share for each, share in self.beams[tie.part.name].moves(tie.point, tie.direction).items()
        }
        if tie.to is not None:
            for each, share in self.beams[tie.to.name].moves(tie.point, tie.direction).items():
                row[each] = row.get(each, 0.0) + share
        return {each: share for each, share in row.items() if share}

    def solve(
        self, forces: Iterable[Force], before: Solution | None = None, *, feet_held: bool = False
    ) -> Solution:
        """The piece in balance under some forces. ``before`` has it under others, which are not far from these: looked
        for is from there on; with ``feet_held`` no foot lifts off, and none comes down, that does not there."""
        right, total = self._right(forces)
        one_way = [n for n, tie in enumerate(self.ties) if tie.kind in ONE_WAY]
        pressing = frozenset(one_way) if before is None else before.pressing
        if feet_held:
            one_way = [n for n in one_way if self.ties[n].kind is not Kind.FLOOR]
        bad = max(NOTHING * total, 1e-9)
        seen: set[frozenset[int]] = set()
        moves: list[float] = []
        for _ in range(ROUNDS):
            seen.add(pressing)
            moves = self._solver(pressing)[1](right)
            follows = set(pressing)
            for n in one_way:
                pull = self.ties[n].stiffness * _movement(self.rows[n], moves)
                if n in pressing and pull > bad:
                    follows.discard(n)
                elif n not in pressing and pull < -bad:
                    follows.add(n)
            # What has been tried before goes round in a ring: then contacts are only taken away.
            then = frozenset(follows) if frozenset(follows) not in seen else frozenset(follows) & pressing
            if then in seen:
                break
            pressing = then
        return self._solution(pressing, moves, right, total)

    def pushed(self, forces: Iterable[Force], before: Solution) -> Solution:
        """What some small forces more add to a piece in balance: contacts press, or stand open, as they did before."""
        right, total = self._right(forces)
        moves = self._solver(before.pressing)[1](right)
        return self._solution(before.pressing, moves, right, total)

    def work(self, forces: Iterable[Force], solution: Solution) -> float:
        """What some forces do while the piece goes where a solution takes it, in inch-pounds."""
        return sum(a * b for a, b in zip(self._right(forces)[0], solution.moves, strict=True))

    def _right(self, forces: Iterable[Force]) -> tuple[list[float], float]:
        right, total = [0.0] * self.unknowns, 0.0
        for force in forces:
            beam = self.beams[force.part.name]
            point = force.point
            at = beam.spread_force(force.pounds) if point is None else beam.force_at(point, force.pounds)
            total += length(force.pounds)
            for each, pounds in at.items():
                right[each] += pounds
        return right, total

    def _solver(self, pressing: frozenset[int]) -> tuple[Rows, Solve]:
        known = self._known.get(pressing)
        if known is None:
            filled = [dict(row) for row in self.frame]
            for n in pressing:
                _add(filled, self.rows[n], self.ties[n].stiffness)
            known = self._known[pressing] = filled, solver(filled)
        return known

    def _balanced(
        self, pressing: frozenset[int], moves: list[float], right: Sequence[float], total: float
    ) -> tuple[list[float], float]:
        """Movements corrected for the grain of stiffness, and the share of the forces that it still carries."""
        rows, solve = self._solver(pressing)
        off = 0.0
        for _ in range(CORRECTIONS):
            # The true stiffness is that less the grain: what is missing is solved for again.
            missing = [force + GRAIN * move for force, move in zip(right, moves, strict=True)]
            for i, row in enumerate(rows):
                move, taken = moves[i], 0.0
                for j, a in row.items():
                    taken += a * moves[j]
                    missing[j] -= a * move
                missing[i] -= taken - row[i] * move
            off = max(map(abs, missing)) / (total or 1.0)
            if off <= BALANCE / 100:
                break
            moves = [move + more for move, more in zip(moves, solve(missing), strict=True)]
        return moves, off

    def _solution(
        self, pressing: frozenset[int], moves: list[float], right: Sequence[float], total: float
    ) -> Solution:
        moves, off = self._balanced(pressing, moves, right, total)
        pulls = tuple(
            tie.stiffness * _movement(row, moves) if tie.kind not in ONE_WAY or n in pressing else 0.0
            for n, (tie, row) in enumerate(zip(self.ties, self.rows, strict=True))
        )
        loose, way = self._loose(moves, off)
        return Solution(self.beams, self.ties, pulls, tuple(moves), loose, way, pressing, off)

    def _loose(self, moves: Sequence[float], off: float) -> tuple[tuple[Part, ...], Vector]:
        """The parts that go far, and where to: none where all is in balance and stays in its place."""
        far: dict[str, Vector] = {}
        for name, beam in self.beams.items():
            shifts = [
                (moves[beam.first + 6 * n], moves[beam.first + 6 * n + 1], moves[beam.first + 6 * n + 2])
                for n in range(len(beam.nodes))
            ]
            far[name] = max(shifts, key=length)
        most = max(far.values(), key=length)
        if off <= BALANCE and length(most) < FAR * self.size:
            return (), (0.0, 0.0, 0.0)
        loose = [name for name, shift in far.items() if length(shift) > 0.1 * length(most)]
        return tuple(self.beams[name].part for name in loose), scaled(most, 1 / (length(most) or 1.0))


def _movement(row: Row, moves: Sequence[float]) -> float:
    return sum(share * moves[each] for each, share in row.items())


def _add(rows: Sequence[Row], row: Row, stiffness: float) -> None:
    """Adds a spring: of the matrix, which is symmetric, what lies from the diagonal on."""
    entries = sorted(row.items())
    for at, (i, a) in enumerate(entries):
        mine, times = rows[i], stiffness * a
        for j, b in entries[at:]:
            mine[j] = mine.get(j, 0.0) + times * b


def _sum(vectors: Iterable[Vector]) -> Vector:
    total = (0.0, 0.0, 0.0)
    for each in vectors:
        total = plus(total, each)
    return total
