"""What grooves, dados, notches, tapers and all else that is cut away leaves of a part's stiffness and strength, along
its grain."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.geometry.shapes.body import Body, Box
from planlint.model.directions import Axis
from planlint.text.rounding import ROUNDING

STOCKY = 6.0
"""A part shorter than so many of its thicknesses does not bend. Basis: our own judgement."""
_LEAST = 1e-3
"""Share of its stiffness that a part keeps where a cut takes all but slivers."""


class CutStretch(NamedTuple):
    """From ``low`` to ``high`` along the grain, in inches: the shares left of E I through the face, and edgewise; of
    the section moduli likewise; and of the wood."""

    low: float
    high: float
    through: float
    edgewise: float
    bears_through: float
    bears_edgewise: float
    wood: float


def cut_sections(body: Body) -> tuple[CutStretch, ...]:
    """A part's stretches of one section each, from its low end; none where nothing is cut away. Wood let into a cut
    does not count: it seldom fits tight enough to press."""
    part = body.part
    if not (part.removals or part.trims):
        return ()
    grain, across = part.grain, part.across
    deep = part.facing.axis
    boxes = body.own_boxes
    stations = sorted({0.0, float(part.length), *(at for box in boxes for at in _run(box, grain))})
    found = []
    for low, high in pairwise(stations):
        if low < -ROUNDING or high > float(part.length) + ROUNDING or high - low < ROUNDING:
            continue
        middle = (low + high) / 2
        here = [box for box in boxes if box.low[grain] < middle < box.high[grain]]
        wide, thick = float(part.width), float(part.thickness)
        through, out = _second_moment(here, across, deep)
        edgewise, aside = _second_moment(here, deep, across)
        area = sum((box.high[across] - box.low[across]) * (box.high[deep] - box.low[deep]) for box in here)
        left = (
            through / (wide * thick**3 / 12),
            edgewise / (thick * wide**3 / 12),
            through / out / (wide * thick**2 / 6),
            edgewise / aside / (thick * wide**2 / 6),
            area / (wide * thick),
        )
        found.append(CutStretch(low, high, *(max(_LEAST, share) for share in left)))
    return tuple(found)


def _run(box: Box, axis: Axis) -> tuple[float, float]:
    return box.low[axis], box.high[axis]


def _second_moment(boxes: Iterable[Box], wide: Axis, deep: Axis) -> tuple[float, float]:
    """Of several rectangles, against bending in the direction of ``deep``, about their common middle; and how far the
    wood reaches from that."""
    slabs = [
        (box.high[wide] - box.low[wide], box.high[deep] - box.low[deep], (box.high[deep] + box.low[deep]) / 2)
        for box in boxes
    ]
    area = sum(b * t for b, t, _ in slabs)
    if not area:
        return 0.0, 1.0
    level = sum(b * t * at for b, t, at in slabs) / area
    moment = sum(b * t**3 / 12 + b * t * (at - level) ** 2 for b, t, at in slabs)
    return moment, max(abs(at - level) + t / 2 for _, t, at in slabs)


def left_between(stretches: Sequence[CutStretch], low: float, high: float) -> tuple[float, float]:
    """The shares left from one station to another: bending adds up along it."""
    if not stretches or high - low < ROUNDING:
        return 1.0, 1.0
    parts = [(min(high, s.high) - max(low, s.low), s) for s in stretches if s.high > low and s.low < high]
    through, edgewise = (
        sum(long / share for long, share in shares) / (high - low)
        for shares in ([(long, s.through) for long, s in parts], [(long, s.edgewise) for long, s in parts])
    )
    return 1 / through, 1 / edgewise


def left_in_span(stretches: Sequence[CutStretch], low: float, high: float) -> float:
    """The share left through the face of what a load spread over a span bends at its middle: the product of the
    parabola of its moment and the triangle of a force there, by Simpson's rule in each stretch."""

    def tells(at: float) -> float:
        r = (at - low) / (high - low)
        return r * (1 - r) * min(r, 1 - r)

    whole = bent = 0.0
    middle = (low + high) / 2
    for stretch in stretches:
        for a, b in (
            (max(low, stretch.low), min(middle, stretch.high)),
            (max(middle, stretch.low), min(high, stretch.high)),
        ):
            if b > a:
                each = (b - a) / 6 * (tells(a) + 4 * tells((a + b) / 2) + tells(b))
                whole, bent = whole + each, bent + each / stretch.through
    return whole / bent if bent else 1.0
