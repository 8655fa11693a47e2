"""How far parts bend between what holds them up, and what a shelf may bear before that is too much."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from planlint.geometry.join_holds import glue_holds, shaped
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part
from planlint.statics.carried_loads import DOWN, SHORT, UPRIGHT, Standing, station_on
from planlint.statics.cut_sections import STOCKY, cut_sections, left_in_span
from planlint.statics.lying_wood import lying
from planlint.statics.weights import part_weight
from planlint.statics.wood_strength import Figure, modulus

if TYPE_CHECKING:
    from planlint.statics.beam_parts import BeamPart

_SAME = 1.5
"""Inches within which two places of support are one. Basis: our own judgement."""
LEAST_SPAN = 6.0
"""Inches of span under which no bending is told. Basis: our own judgement."""
LEAST_OVERHANG = 3.0


class ShelfSpan(NamedTuple):
    """A stretch of a part between two supports, or beyond the last: stations along it, in inches."""

    low: float
    high: float
    overhang: bool = False

    @property
    def long(self) -> float:
        return self.high - self.low


class Sag(NamedTuple):
    """How far a part sags in a span, in inches, below the straight line between its supports."""

    part: Part
    span: ShelfSpan
    inches: float


def shelf_spans(piece: Piece, part: Part) -> list[ShelfSpan]:
    """The stretches of a part between its supports, from its low end."""
    places = sorted(_supports(piece, part))
    merged: list[list[float]] = []
    for place in places:
        if merged and place - merged[-1][-1] <= _SAME:
            merged[-1].append(place)
        else:
            merged.append([place])
    stations = [sum(group) / len(group) for group in merged]
    if len(stations) < 2:
        return []
    found = [ShelfSpan(low, high) for low, high in pairwise(stations) if high - low >= LEAST_SPAN]
    end = float(part.length)
    if stations[0] >= LEAST_OVERHANG:
        found.insert(0, ShelfSpan(0.0, stations[0], True))
    if end - stations[-1] >= LEAST_OVERHANG:
        found.append(ShelfSpan(stations[-1], end, True))
    return found


def _supports(piece: Piece, part: Part) -> Iterator[float]:
    body, long = piece.body(part), float(part.length)
    held = [
        piece.contact(join).points
        for join in piece.graph.joins_of(part)
        if piece.trusted(join) and not _rides(piece, join, part)
    ]
    lies = (
        [point for patch in each.patches for point in patch] for each in lying(piece) if each.part is part
    )
    for points in (*held, *lies):
        stations = [station_on(body, point) for point in points]
        low, high = min(stations), max(stations)
        if high - low <= SHORT * long:
            yield (low + high) / 2
        else:
            yield low
            yield high


def _rides(piece: Piece, join: Join, part: Part) -> bool:
    """Whether the other part is a strip that lies along this one and is held up by nothing but it."""
    other = join.other(part)
    along = abs(dot(piece.body(other).grain, piece.body(part).grain)) > 0.99
    return along and all(part in each.parts for each in piece.graph.joins_of(other) if piece.trusted(each))


def lies_flat(piece: Piece, part: Part) -> bool:
    """Whether a part lies so that what stands on it bends it: level, and long for its thickness."""
    level = abs(piece.body(part).grain[2]) < UPRIGHT
    return level and part.length > STOCKY * min(part.thickness, part.width)


# ---------------------------------------------------------------- under the loads of the plan


def sags(piece: Piece, standing: Standing, part: Part) -> list[Sag]:
    """How far the middle line of a loaded part sags in each of its spans; of one that is held along one long edge as
    well, that is what its free edge does (Timoshenko's plates held on three sides, from memory: a tenth less at twice
    as long as wide). The free end of an overhang drops below the line through the supports before it."""
    beam, solution = standing.structure.beams[part.name], standing.solution
    forces = (*standing.weights, *standing.bears)
    pounds = -sum(force.pounds[2] for force in forces if force.part is part and force.point is None)
    every = shelf_spans(piece, part)
    inner = [each for each in every if not each.overhang]
    found = []
    for span in every if inner else ():
        line, seen = span, [span.low + span.long * n / 8 for n in range(1, 8)]
        if span.overhang:
            before = span.low < inner[0].low
            line, seen = (inner[0], [span.low]) if before else (inner[-1], [span.high])
        low, high, *here = solution.shifts(part, [beam.at(at) for at in (line.low, line.high, *seen)], DOWN)
        worst = 0.0
        for at, drop in zip(seen, here, strict=True):
            straight = low + (high - low) * (at - line.low) / line.long
            worst = max(worst, drop + _between(beam, at, pounds) - straight)
        found.append(Sag(part, span, worst))
    return found


def _between(beam: BeamPart, at: float, pounds: float) -> float:
    """What a spread load bends a stretch between two nodes by, besides what the nodes tell."""
    for low, high in pairwise(beam.nodes):
        if low <= at <= high:
            through, edgewise = beam.flexure_between(low, high)
            flex = 1 / (beam.z[2] ** 2 / through + beam.y[2] ** 2 / edgewise)
            return pounds / beam.length * ((at - low) * (high - at)) ** 2 / (24 * flex)
    return 0.0


# ---------------------------------------------------------------- what a shelf may bear


class Bears(NamedTuple):
    """What a shelf may bear spread evenly, in pounds in all, over ``span`` inches, until it sags ``sag``."""

    part: Part
    pounds: float
    span: float
    sag: float
    basis: str


def may_bear(piece: Piece, part: Part, sag_per_inch: float) -> Bears | None:
    """For a level part: the load spread over its longest span at which that sags so much for each inch of span, held up
    at both ends as if it were free to turn there; its own weight counts. ``None`` where it spans nothing, or where
    nothing is known of its wood.
    """
    if not lies_flat(piece, part) or part.facing.axis is not Axis.Z:
        return None
    found = [span for span in shelf_spans(piece, part) if not span.overhang]
    flex = flexure(piece, part)
    if not found or flex is None:
        return None
    span = max(found, key=lambda each: each.long)
    sag = sag_per_inch * span.long
    left = left_in_span(cut_sections(piece.body(part)), span.low, span.high)
    whole = 384 * flex.value * left * sag / (5 * span.long**3)
    own = part_weight(piece, part).pounds * span.long / float(part.length)
    return Bears(part, max(0.0, whole - own), span.long, sag, flex.basis)


def flexure(piece: Piece, part: Part) -> Figure | None:
    """E I of a level part together with the strips that are fast along it: a section of several woods, their modulus
    told by that of the part. Pounds times square inches."""
    found = modulus(part.stock.material)
    if found is None:
        return None
    slabs = [(part, found)]
    for join in piece.graph.joins_of(part):
        other = join.other(part)
        fast = piece.trusted(join) and (glue_holds(piece, join) or shaped(join)) and _rides(piece, join, part)
        stiff = modulus(other.stock.material)
        if fast and stiff is not None and other.length >= (1 - SHORT) * part.length:
            slabs.append((other, stiff))
    # Each slab by its modulus, width, height and the height of its middle.
    sections = []
    for each, stiff in slabs:
        box = piece.body(each).bounds
        wide = each.thickness if each.across is Axis.Z else each.width  # from above, across its grain
        middle = (box.high[2] + box.low[2]) / 2
        sections.append((stiff.value, float(wide), box.high[2] - box.low[2], middle))
    total = sum(e * wide * high for e, wide, high, _ in sections)
    level = sum(e * wide * high * middle for e, wide, high, middle in sections) / total
    value = sum(
        e * (wide * high**3 / 12 + wide * high * (middle - level) ** 2) for e, wide, high, middle in sections
    )
    return Figure(value, found.basis)
