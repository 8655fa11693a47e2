"""How hard the loads bend each part of a piece: by the forces on one side of a cut through it, and the wood there.

What the springs and loads do to a part is known to balance, so this holds however coarsely its bending was solved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import norm, total
from planlint.model.plan import Part
from planlint.statics.carried_loads import SHORT
from planlint.statics.solved_loads import Force, Solution
from planlint.text.grouping import grouped

if TYPE_CHECKING:
    from planlint.statics.beam_parts import BeamPart, Floats, Whole

_STEPS = 16
"""Lengths of a part at whose ends it is looked at, besides where forces act and cuts end. Basis: a parabola's top is
missed by less than half a percent."""
_BESIDE = 1e-4
"""Inches to either side of a force or an end of a cut."""
LITTLE = 1e-5
"""A force below this share of all forces is as good as none. Basis: our own judgement."""


class Bent(NamedTuple):
    """A part where its loads come nearest to breaking it."""

    part: Part
    station: float
    """Inches along its grain, from its low end."""
    psi: float
    """Tension in the outermost fibre, of bending both ways and of what pulls along the part."""
    left: float
    """The share of its strength that cuts leave there."""
    flat: bool
    """Whether it is bent through its face rather than edgewise."""


def bent_parts(
    solution: Solution, forces: Sequence[Force], stands: Mapping[str, float] | None = None
) -> Iterator[Bent]:
    """Every part that something acts on, with the forces that it was solved under; but for those that cannot come to
    what they may stand, in psi by their names."""
    import numpy as np  # noqa: PLC0415 - for loads only

    pulls = np.array(solution.pulls)
    acting = np.abs(pulls) > LITTLE * sum(norm(force.pounds) for force in forces)
    every = grouped((force.part.name, force) for force in forces)
    for name, ends in solution.ends.items():
        beam, loads = solution.beams[name], every.get(name, [])
        act = acting[ends.numbers]
        pounds = -pulls[ends.numbers][act]
        borne = float(np.abs(pounds).sum()) + sum(norm(force.pounds) for force in loads)
        if not len(pounds) or (stands is not None and _at_most(beam, borne) <= stands.get(name, inf)):
            continue
        at = [(force.point, force.pounds) for force in loads if force.point is not None]
        points = np.array([*ends.points[act], *(point for point, _ in at)])
        whole = np.array([*(pounds[:, None] * ends.ways[act]), *(force for _, force in at)])
        spread = total(force.pounds for force in loads if force.point is None)
        yield _worst(beam, points, whole, ends.places[act], np.array(spread))


def _at_most(beam: BeamPart, pounds: float) -> float:
    """psi that forces of so many pounds in all, which balance, cannot bend a part beyond: no more than half of them is
    on one side of a cut, no further from it than the part is long, and off its axis by its width at most."""
    b, t = beam.width, beam.thickness
    left = min((min(cut[4:]) for cut in beam.cut), default=1.0)
    moment = pounds / 2 * (beam.length + max(b, t))
    return (moment * 6 * (1 / t + 1 / b) + pounds) / (b * t * left)


def _worst(beam: BeamPart, points: Floats, forces: Floats, joints: Whole, spread: Floats) -> Bent:
    """Bent by forces at some points, of which the first are those of joints, and by one spread evenly."""
    import numpy as np  # noqa: PLC0415 - for loads only

    places = (points - beam.start) @ beam.axes.T
    pounds = forces @ beam.axes.T
    even = beam.axes @ spread / beam.length
    low, high = _between_ends(beam, places[:, 0], joints)
    edges = [*places[:, 0], *(edge for cut in beam.cut for edge in (cut.low, cut.high))]
    inner = np.linspace(0.0, beam.length, _STEPS + 1)
    stations = np.concatenate(([low, high], inner, *(np.array(edges) + off for off in (-_BESIDE, _BESIDE))))
    stations = np.unique(stations[(stations >= low) & (stations <= high)])
    before = places[:, 0] < stations[:, None]
    arm = places[:, 0] - stations[:, None]
    along = (before * pounds[:, 0]).sum(axis=1) + even[0] * stations
    through = (before * (places[:, 2] * pounds[:, 0] - arm * pounds[:, 2])).sum(axis=1) + even[
        2
    ] * stations**2 / 2
    edgewise = (before * (arm * pounds[:, 1] - places[:, 1] * pounds[:, 0])).sum(axis=1) - even[
        1
    ] * stations**2 / 2
    left = np.ones((len(stations), 3))
    for cut in beam.cut:
        left[(stations > cut.low) & (stations < cut.high)] = cut.bears_through, cut.bears_edgewise, cut.wood
    b, t = beam.width, beam.thickness
    flat = np.abs(through) * 6 / (b * t * t * left[:, 0])
    aside = np.abs(edgewise) * 6 / (t * b * b * left[:, 1])
    # What lies before a cut pulls the part where it goes towards its low end.
    psi = flat + aside + np.maximum(0.0, -along) / (b * t * left[:, 2])
    n = int(psi.argmax())
    is_flat = bool(flat[n] >= aside[n])
    return Bent(beam.part, float(stations[n]), float(psi[n]), float(left[n, 0 if is_flat else 1]), is_flat)


def _between_ends(beam: BeamPart, stations: Floats, joints: Whole) -> tuple[float, float]:
    """The stretch that is judged: less the joints at its ends, whose parts hold one another, and less ends cut
    aslant."""
    low, high = _aslant(beam.body)
    for found in grouped(zip(joints.tolist(), stations.tolist(), strict=False)).values():
        if max(found) - min(found) <= SHORT * beam.length:
            if min(found) <= low + _BESIDE:
                low = max(low, *found)
            if max(found) >= high - _BESIDE:
                high = min(high, *found)
    return (low, high) if low < high else (beam.length / 2, beam.length / 2)


def _aslant(body: Body) -> tuple[float, float]:
    """The stations between which its ends are whole."""
    grain = body.part.grain
    low, high = 0.0, float(body.part.length)
    for end in body.cut_ends:
        normal, offset = body.own_planes[end]
        for corner in product(*((0.0, size) for size in body.size)):
            rest = sum(normal[n] * corner[n] for n in range(3) if n != grain)
            if abs(normal[grain]) > _BESIDE:
                station = (offset - rest) / normal[grain]
                low, high = (max(low, station), high) if end.sign < 0 else (low, min(high, station))
    return low, high
