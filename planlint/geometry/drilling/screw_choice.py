"""The screw in each pocket: its length, its thread, and where its point ends.

Diameters by gauge: ``D = 0.060 + 0.013 n`` inches, the rule that NDS 2018, Table L3 follows for Nos. 6 to 24.
"""

from planlint.geometry.joint_facts import Pocket, Screw, Vector
from planlint.geometry.shapes.body import Body, Cell, Plane
from planlint.geometry.shapes.convex import Hull, disc, gap_between, oval, point, reaches
from planlint.geometry.shapes.face_distance import to_face
from planlint.geometry.shapes.polygons import cell_corners
from planlint.geometry.shapes.segments import segment_to_box
from planlint.geometry.shapes.vectors import dot, plus, scaled
from planlint.model.directions import Side
from planlint.model.join_details import ScrewChoice
from planlint.model.threads import suited_thread
from planlint.model.workshop import Settings
from planlint.rulebook.limits import NIL
from planlint.text.rounding import ROUNDING

POINT_DIAMETERS = 2.0
"""Length of a screw's taper in diameters: NDS 2018 12.3.5.3(b) takes E = 2 D for wood screws."""


def diameter(gauge: int) -> float:
    """Thread diameter of a wood screw in inches."""
    return 0.060 + 0.013 * gauge


def screw_in(
    pocket: Pocket, into: Body, meeting: Side, choice: ScrewChoice | None, settings: Settings
) -> Screw:
    """The screw of a pocket; ``meeting`` is the side of the receiving part that it enters.

    Chosen is, of the lengths that are kept, the usual one or the next to it that holds and leaves enough wood before
    its point; else one that holds and does not come out; else one that stays inside.
    """
    thread = (
        choice.thread
        if choice and choice.thread
        else suited_thread(into.part.stock.material, settings.limits)
    )
    gauge = choice.gauge if choice and choice.gauge else settings.screws.gauge(thread)
    size = diameter(gauge)
    if choice is not None and choice.length is not None:
        length = settings.screws.kept_as(float(choice.length))
        return _screw(pocket, thread, gauge, size, length, into.planes[meeting], chosen=False)
    nearest = inside = close = None
    holds, cover = settings.limits["short-grip", "thread in the wood"] * size, settings.tip_cover
    least = min(cover, settings.limits["tip-through", "wood at the least"])
    for length in sorted(settings.screws.lengths, key=lambda each: (abs(each - 2 * pocket.setback), each)):
        screw = _screw(pocket, thread, gauge, size, length, into.planes[meeting], chosen=True)
        nearest = nearest or screw
        left = tip_cover(screw, into, meeting)[0] if screw.reach > 0 else -1.0
        if (
            left >= least - NIL
            and length - pocket.setback >= holds - NIL
            and grip(screw, into) >= holds - NIL
        ):
            if left >= cover:
                return screw
            close = close or screw
        if left >= cover:
            inside = inside or screw
    found = close or inside or nearest
    assert found is not None
    return found


def _screw(
    pocket: Pocket, thread: str, gauge: int, size: float, length: float, entered: Plane, *, chosen: bool
) -> Screw:
    tip = plus(pocket.shoulder, pocket.direction, length)
    reach = -dot(entered.normal, pocket.direction) * (length - pocket.setback)
    return Screw(pocket, thread, length, gauge, size, tip, reach, chosen)


def neck(screw: Screw, most: float | None = None) -> Vector:
    """Where the shank ends and the point begins; the point is no longer than the screw, or than ``most``."""
    point = min(screw.length if most is None else most, POINT_DIAMETERS * screw.diameter)
    return plus(screw.tip, screw.pocket.direction, -point)


_NONE: frozenset[Side] = frozenset()


def tip_cover(
    screw: Screw, into: Body, meeting: Side, but: frozenset[Side] = _NONE
) -> tuple[float, Side | str]:
    """Least wood between a screw and the outside of the receiving part, ``but`` for some of its sides, and what is
    glued to its faces: inches, and what lies there (see ``_own_cover``)."""
    if not into.layers:
        return _own_cover(screw, into, meeting, but)
    beyond = {
        layer.face: found
        for layer in into.layers
        if layer.face is not meeting
        and abs(dot(into.planes[layer.face].normal, screw.pocket.direction)) > ROUNDING
        and (found := tip_cover(screw, layer.body, layer.back))[0] > into.planes[layer.face].depth(screw.tip)
    }
    own = _own_cover(screw, into, meeting, but | {*beyond})
    return min((own, *beyond.values()), key=_first)


def _own_cover(screw: Screw, into: Body, meeting: Side, glued: frozenset[Side]) -> tuple[float, Side | str]:
    """Least wood between a screw and the outside of the receiving part, in inches, and what lies there.

    That is a side, or the name of a cut. Negative where the screw comes out; without end where it does not
    get so far as the joint. Counted is what lies past the joint plane: the shank with its radius, the last two
    diameters as a cone. Sides that are ``glued`` to something are left out.
    """
    best: tuple[float, Side | str] = (float("inf"), meeting)
    out = best
    pocket, radius, axis = screw.pocket, screw.diameter / 2, screw.pocket.direction
    slant = abs(dot(axis, into.planes[meeting].normal))
    # What runs along a side never goes into the wood that is glued on there.
    if screw.reach <= ROUNDING or slant < ROUNDING:
        return best
    waist = neck(screw, screw.length - pocket.setback)
    joint = scaled(into.planes[meeting].normal, -1.0)
    # No part of the screw past the joint lies further from its axis than the slanted section in the joint plane.
    thick = radius / slant
    beyond = Plane(scaled(joint, -1.0), -dot(joint, pocket.exit) - ROUNDING)
    carved = bool(into.own_cuts or into.part.removals)
    hull: Hull = (
        (oval(pocket.exit, axis, radius, joint), disc(waist, axis, radius), point(screw.tip))
        if carved
        else ()
    )
    outside: list[tuple[Side | str, Plane, Plane | None]] = [
        (side, plane, None)
        for side, plane in into.planes.items()
        if side is not meeting and side not in glued
    ]
    outside += [(kind, into.in_piece(trim), trim) for kind, trim in into.own_trims]
    for side, plane, trim in outside:
        normal = plane.normal
        tip, start = plane.depth(screw.tip), plane.depth(pocket.exit)
        if min(tip, start) - thick >= max(0.0, best[0]):
            continue
        along = dot(normal, axis)
        cover = min(
            tip,
            plane.depth(waist) - radius * max(0.0, 1 - along * along) ** 0.5,
            start - reaches(axis, radius, joint, normal),
        )
        out = min(out, (cover, side), key=_first)
        if into.own_cuts and cover < best[0] and cover < _NEAR:
            at = trim if trim is not None else side
            assert not isinstance(at, str)
            cover = to_face(hull, cover, into, at, (beyond,))
        if cover < best[0]:
            best = (cover, side)
    if out[0] < 0 <= best[0]:
        best = out  # What leaves the part at no face past the joint lies outside it altogether.
    if into.part.removals:
        ends = into.to_own(pocket.exit), into.to_own(screw.tip)
        normal = into.direction_to_own(beyond.normal)
        own = Plane(normal, dot(normal, ends[0]) - ROUNDING)
        for removal, gone in zip(into.part.removals, into.own_removals, strict=True):
            # A capsule holds the screw: where that clears, no more need be asked.
            if segment_to_box(*ends, gone.box) - 1.1 * radius >= best[0]:
                continue
            # What of a cut lies before the joint is the other part's place, as in its own dado.
            corners = cell_corners(Cell(gone.box, (*gone.cuts, *into.own_cuts, own)))
            if not corners:
                continue
            cover = gap_between(hull, [point(into.to_piece(each)) for each in corners])
            if cover <= 0:
                cover = min(-ROUNDING, segment_to_box(*ends, gone.box))
            if cover < best[0]:
                best = (cover, removal.kind)
    return best


def _first(found: tuple[float, Side | str]) -> float:
    return found[0]


_NEAR = 1 / 4
"""Only what comes nearer than this, in inches, is measured to the face itself. Basis: our own judgement."""


def grip(screw: Screw, into: Body) -> float:
    """Length of the screw in the receiving part's wood, point included, in inches."""
    start, end = screw.pocket.exit, screw.tip
    if screw.reach <= 0:
        return 0.0
    past = screw.length - screw.pocket.setback
    wood = (into, *(layer.body for layer in into.layers))
    return sum(high - low for body in wood for low, high in body.stretches(start, end)) * past


def end_distance(screw: Screw, into: Body, meeting: Side) -> float | None:
    """Along the receiving part's grain, from where the screw enters to the nearer end: the part's own, or one that a
    rabbet, dado, groove or notch leaves there. ``None`` in end grain, and where it enters no wood."""
    if into.part.is_end(meeting):
        return None
    start, grain = plus(screw.pocket.exit, into.planes[meeting].normal, -_SKIN), into.grain
    low, high = (
        into.planes[end].depth(start) / abs(dot(into.planes[end].normal, grain)) for end in into.part.ends
    )
    if min(low, high) < 0:
        return None
    if not into.part.removals and not into.part.trims:
        inside = all(plane.depth(start) >= 0 for plane in into.planes.values())
        return min(low, high) if inside else None
    whole = low + high
    for a, b in into.stretches(plus(start, grain, -low), plus(start, grain, high)):
        if a * whole - _SKIN <= low <= b * whole + _SKIN:
            return min(low - a * whole, b * whole - low)
    return None


_SKIN = 1e-4
"""Inches past the joint at which the wood that a screw enters is looked at. Basis: our own judgement, past rounding."""
