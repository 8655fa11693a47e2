"""Where the loads of a piece go: what is told of it once every part, joint and support is in balance.

Parts are beams (``beam_parts``), joints springs (``joint_ties``), and ``spring_structure`` solves them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.shapes.vectors import dot, minus, norm, plus, scaled, total
from planlint.model.plan import Join, Part
from planlint.statics.joint_ties import Kind, Tie

if TYPE_CHECKING:
    from planlint.statics.beam_parts import BeamPart, Floats, Whole


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


class Ends(NamedTuple):
    """The springs that take hold of a part, a row each: their numbers; where they lie; which way it goes where they are
    stretched; and a number for the joint, or the kind of support."""

    numbers: Whole
    points: Floats
    ways: Floats
    places: Whole


@dataclass(frozen=True)
class Solution:
    """Every part in balance under some forces, or what moves instead."""

    beams: Mapping[str, BeamPart]
    ties: tuple[Tie, ...]
    ends: Mapping[str, Ends]
    """By the names of the parts."""
    pulls: tuple[float, ...]
    """The force in each spring: more than 0 pulls."""
    moves: tuple[float, ...]
    loose: tuple[Part, ...]
    """The parts that nothing keeps where they are; the forces mean nothing then."""
    way: Vector = (0.0, 0.0, 0.0)
    """Where the loose parts go, as a unit vector."""
    pressing: tuple[bool, ...] = ()
    """Of each spring whether it is a contact that presses."""
    off: float = 0.0
    """The share of the loads that is not balanced."""

    def shift(self, part: Part, point: Vector, direction: Vector) -> float:
        """How far a point of a part goes in a direction, in inches."""
        return self.shifts(part, (point,), direction)[0]

    def shifts(self, part: Part, points: Sequence[Vector], direction: Vector) -> list[float]:
        """The same of several points."""
        beam = self.beams[part.name]
        moves = self.moves[beam.first : beam.first + beam.unknowns]
        found: list[float] = (beam.moves(points, [direction] * len(points)) @ moves).tolist()
        return found

    def screw_forces(self, join: Join) -> tuple[ScrewForce, ...]:
        """What each screw of a joint carries, in their order."""
        return self._screw_forces.get(join.index, ())

    @cached_property
    def _screw_forces(self) -> Mapping[int, tuple[ScrewForce, ...]]:
        """By the numbers of joints."""
        found: dict[int, dict[int, list[tuple[Tie, float]]]] = {}
        for tie, pull in zip(self.ties, self.pulls, strict=True):
            if tie.screw is not None and tie.join is not None:
                found.setdefault(tie.join.index, {}).setdefault(id(tie.screw), []).append((tie, pull))
        return {index: tuple(map(_screw_force, screws.values())) for index, screws in found.items()}

    def on_supports(self, *kinds: Kind) -> dict[str, Vector]:
        """What each part presses on the floor or the wall with, in pounds, by its name."""
        found: dict[str, Vector] = {}
        for tie, pull in zip(self.ties, self.pulls, strict=True):
            if tie.kind in kinds:
                # The spring pulls the part towards its direction where it is stretched: the support feels the opposite.
                before = found.get(tie.part.name, (0.0, 0.0, 0.0))
                found[tie.part.name] = plus(before, tie.direction, -pull)
        return found


def _screw_force(ties: Sequence[tuple[Tie, float]]) -> ScrewForce:
    screw = ties[0][0].screw
    assert screw is not None
    pounds = total(scaled(tie.direction, pull) for tie, pull in ties)
    along = dot(pounds, screw.pocket.direction)
    return ScrewForce(screw, along, norm(minus(pounds, scaled(screw.pocket.direction, along))))
