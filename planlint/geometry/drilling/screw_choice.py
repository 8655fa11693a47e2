"""The screw in each pocket: its length, its thread, and where its point ends.

Diameters by gauge: ``D = 0.060 + 0.013 n`` inches, the rule that NDS 2018, Table L3 follows for Nos. 6 to 24.
"""

from __future__ import annotations

from planlint.geometry.facts import Pocket, Screw, Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.segments import RIM, rim, segment_to_box, tube_to_box
from planlint.geometry.shapes.vectors import dot, plus
from planlint.model.directions import Side
from planlint.model.plan import ScrewChoice
from planlint.model.threads import suited_thread
from planlint.model.workshop import Settings
from planlint.rulebook.limits import NIL

POINT_DIAMETERS = 2.0
"""Length of a screw's taper in diameters: NDS 2018 12.3.5.3(b) takes E = 2 D for wood screws."""


def diameter(gauge: int) -> float:
    """Thread diameter of a wood screw in inches."""
    return 0.060 + 0.013 * gauge


def screw_in(
    pocket: Pocket, into: Body, meeting: Side, choice: ScrewChoice | None, settings: Settings
) -> Screw:
    """The screw of a pocket; ``meeting`` is the side of the receiving part that it enters."""
    thread = (
        choice.thread
        if choice and choice.thread
        else suited_thread(into.part.stock.material, settings.limits)
    )
    gauge = choice.gauge if choice and choice.gauge else settings.screws.gauge(thread)
    size = diameter(gauge)
    if choice is not None and choice.length is not None:
        return _screw(pocket, thread, gauge, size, float(choice.length), into.planes[meeting], chosen=False)
    nearest = inside = None
    holds, cover = settings.limits["short-grip", "thread in the wood"] * size, settings.tip_cover
    for length in sorted(settings.screws.lengths, key=lambda each: (abs(each - 2 * pocket.setback), each)):
        screw = _screw(pocket, thread, gauge, size, length, into.planes[meeting], chosen=True)
        nearest = nearest or screw
        if screw.reach > 0 and tip_cover(screw, into, meeting)[0] >= cover:
            if length - pocket.setback >= holds - NIL and grip(screw, into) >= holds - NIL:
                return screw
            inside = inside or screw
    found = inside or nearest
    assert found is not None
    return found


def _screw(
    pocket: Pocket, thread: str, gauge: int, size: float, length: float, entered: Plane, *, chosen: bool
) -> Screw:
    tip = plus(pocket.shoulder, pocket.direction, length)
    return Screw(pocket, thread, length, gauge, size, tip, entered.depth(tip), chosen)


def neck(screw: Screw, most: float | None = None) -> Vector:
    """Where the shank ends and the point begins; the point is no longer than the screw, or than ``most``."""
    point = min(screw.length if most is None else most, POINT_DIAMETERS * screw.diameter)
    return plus(screw.tip, screw.pocket.direction, -point)


def tip_cover(screw: Screw, into: Body, meeting: Side) -> tuple[float, Side | str]:
    """Least wood between a screw and the outside of the receiving part, in inches, and what lies there.

    That is a side, or the name of a cut. Negative where the screw comes out. The shank counts with its radius,
    the last two diameters as a cone.
    """
    pocket, radius = screw.pocket, screw.diameter / 2
    past = screw.length - pocket.setback
    waist = neck(screw, past)
    best: tuple[float, Side | str] = (float("inf"), meeting)
    for side, (normal, offset) in into.planes.items():
        if side is meeting:
            continue
        along = dot(normal, pocket.direction)
        # The end of the shank that lies nearer to this side.
        deep = offset - max(dot(normal, pocket.exit), dot(normal, waist))
        cover = min(offset - dot(normal, screw.tip), deep - radius * max(0.0, 1 - along * along) ** 0.5)
        if cover < best[0]:
            best = (cover, side)
    if into.part.removals:
        a, b = into.to_own(pocket.exit), into.to_own(screw.tip)
        axis = into.direction_to_own(pocket.direction)
        shank, taper = rim(a, axis, radius), rim(into.to_own(waist), axis, radius)
        for removal, gone in zip(into.part.removals, into.own_removals, strict=True):
            if _enters_from(a, axis, gone):
                continue  # It is driven from the floor of this very dado, groove or rabbet.
            # A capsule holds the screw: where that clears, no more need be asked.
            if segment_to_box(a, b, gone) - radius >= best[0]:
                continue
            cover = min(tube_to_box(shank, taper, gone), tube_to_box(taper, [b] * RIM, gone))
            if cover < best[0]:
                best = (cover, removal.kind)
    return best


def _enters_from(start: Vector, axis: Vector, gone: Box) -> bool:
    """Whether a screw starts on a wall of what was taken away and runs straight out of it."""
    low, high = gone
    if not all(low[i] - _ROUNDING <= start[i] <= high[i] + _ROUNDING for i in range(3)):
        return False
    return any(
        (axis[i] > 0.5 and abs(start[i] - high[i]) < _ROUNDING)
        or (axis[i] < -0.5 and abs(start[i] - low[i]) < _ROUNDING)
        for i in range(3)
    )


_ROUNDING = 1e-6


def grip(screw: Screw, into: Body) -> float:
    """Length of the screw in the receiving part's wood, point included, in inches."""
    start, end = screw.pocket.exit, screw.tip
    if screw.reach <= 0:
        return 0.0
    past = screw.length - screw.pocket.setback
    return sum(high - low for low, high in into.stretches(start, end)) * past


def end_distance(screw: Screw, into: Body, meeting: Side) -> float | None:
    """Along the receiving part's grain, from where the screw enters to the nearer end; ``None`` in end grain."""
    if into.part.is_end(meeting):
        return None
    return min(_to_plane(screw.pocket.exit, into.grain, into.planes[end]) for end in into.part.ends)


def _to_plane(point: Vector, direction: Vector, plane: Plane) -> float:
    return plane.depth(point) / abs(dot(plane.normal, direction))
