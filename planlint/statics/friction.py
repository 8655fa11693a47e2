"""Where parts rub on one another and on the floor: friction holds no more than its share of what presses there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import norm, scaled, total
from planlint.statics.joint_ties import Kind, Tie
from planlint.statics.solved_loads import Force, Solution

if TYPE_CHECKING:
    from planlint.statics.spring_structure import Structure

RUBS = 0.4
"""What rubs holds this share of what presses. Basis: our own judgement, between what is told from memory: the Wood
Handbook's 0.6 at rest for smooth dry wood, and what EN 1995-2, table 6.1, designs by, 0.2 to 0.45."""
WORTH = 0.01
"""Of all loads: less is not worth a look. Basis: our own judgement."""
SLIPPING = 1e-3
"""Pounds an inch of what slides, so that it has a place to be found at."""
_PRESSES = {Kind.RUBBING: Kind.PRESSING, Kind.FLOOR_RUBBING: Kind.FLOOR}

_Place = tuple[Kind, object]
"""A joint, or the foot of a part."""


class Rubbed(NamedTuple):
    """What presses at one place, and the friction that keeps the part of ``ties`` there, in pounds."""

    ties: tuple[Tie, ...]
    presses: float
    holds: Vector


def slides(structure: Structure, firm: Solution, forces: Sequence[Force]) -> Solution | None:
    """How a piece that friction keeps in balance slides, where that is more than friction can hold; else ``None``.

    What lies loose on purpose rubs, and the feet of what no wall holds; that the whole piece slides is not told.
    """
    rubbed = dict(_rubbed(firm))
    if _whole_slides(rubbed) or any(tie.kind is Kind.WALL for tie in structure.ties):
        rubbed = {place: each for place, each in rubbed.items() if place[0] is Kind.RUBBING}
    worth = WORTH * sum(norm(force.pounds) for force in forces)
    if not any(norm(each.holds) > RUBS * each.presses + worth for each in rubbed.values()):
        return None
    sliding = structure.softened(
        {n: SLIPPING for n, tie in enumerate(structure.ties) if _place(tie) in rubbed}
    )
    if not sliding.pushed(forces, firm).loose:
        return None  # Its joints hold it as well, and give a little where it slips.
    free = sliding.solve(forces, firm)
    if not free.loose:
        return None
    # The theorem of virtual work: where loads do more than friction takes up, they go that way.
    taken = sum(RUBS * max(0.0, each.presses) * _slip(free, each) for each in rubbed.values())
    return free if structure.work(forces, free) > taken else None


def _whole_slides(rubbed: Mapping[_Place, Rubbed]) -> bool:
    feet = [each for place, each in rubbed.items() if place[0] is Kind.FLOOR_RUBBING]
    return norm(total(each.holds for each in feet)) > RUBS * sum(each.presses for each in feet)


def _rubbed(solution: Solution) -> Iterator[tuple[_Place, Rubbed]]:
    found: dict[_Place, list[tuple[Tie, float]]] = {}
    pressed: dict[_Place, float] = {}
    for tie, pull in zip(solution.ties, solution.pulls, strict=True):
        place = _place(tie)
        if tie.kind in _PRESSES and (tie.join is None or tie.join.rests):
            found.setdefault(place, []).append((tie, pull))
        elif tie.kind in _PRESSES.values():
            pressed[place] = pressed.get(place, 0.0) - pull
    for place, ties in found.items():
        holds = total(scaled(tie.direction, pull) for tie, pull in ties)
        presses = pressed.get((_PRESSES[place[0]], place[1]), 0.0)
        yield place, Rubbed(tuple(tie for tie, _ in ties), presses, holds)


def _place(tie: Tie) -> _Place:
    return tie.kind, tie.join.index if tie.join is not None else tie.part.name


def _slip(solution: Solution, place: Rubbed) -> float:
    """How far a part slides at one place, in inches."""
    tie = place.ties[0]
    at = middle([each.point for each in place.ties])

    def slip(way: Vector) -> float:
        other = 0.0 if tie.to is None else solution.shift(tie.to, at, way)
        return other - solution.shift(tie.part, at, way)

    return norm(total(scaled(way, slip(way)) for way in {each.direction: None for each in place.ties}))
