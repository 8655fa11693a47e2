"""How much wood stands between a bore and the outside of its own part."""

from typing import NamedTuple

from planlint.geometry.drilling.pocket_layout import RowFrame, covers, fences, wood_rule
from planlint.geometry.joint_facts import Pocket
from planlint.geometry.shapes.body import Body, Cell, Plane
from planlint.geometry.shapes.convex import Hull, Rim, disc, furthest, gap_between, oval, point
from planlint.geometry.shapes.face_distance import to_face
from planlint.geometry.shapes.polygons import cell_corners
from planlint.geometry.shapes.segments import segment_to_box
from planlint.geometry.shapes.vectors import cross, dot, minus, plus, scaled, unit
from planlint.model.directions import Side
from planlint.model.workshop import DrillingProfile, Settings
from planlint.rulebook.limits import NIL


class WoodBeside(NamedTuple):
    """Wood between a pocket's ``bore`` or its ``pilot`` and one thing beside it, in inches (negative: broken out).

    ``at`` is a side of the part, or the name of a cut (``groove``, ``taper`` …); ``spare`` how much more that is than
    the limit of the ``rule`` that says so. ``trim`` is the plane of a taper, a chamfer … (own frame).
    """

    wood: float
    at: Side | str
    spare: float
    what: str
    rule: str
    trim: Plane | None = None


class Clearance(NamedTuple):
    """The wood that a pocket's bore and its pilot keep: of all round each, that which keeps least over its limit."""

    bore: WoodBeside
    pilot: WoodBeside

    @property
    def least(self) -> WoodBeside:
        """That of the bore or of the pilot, whichever keeps less over its limit."""
        return self.bore if self.bore.spare <= self.pilot.spare else self.pilot


def clearance(
    pocket: Pocket, frame: RowFrame, body: Body, settings: Settings, *, exact: bool = True
) -> Clearance:
    """What keeps least over its limit beside a pocket's bore, and beside its pilot."""
    found = clearances(pocket, frame, body, settings, exact=exact)
    bore, pilot = (min((e for e in found if e.what == what), key=_spare) for what in ("bore", "pilot"))
    return Clearance(bore, pilot)


def _spare(beside: WoodBeside) -> float:
    return beside.spare


def _wood(beside: WoodBeside) -> float:
    return beside.wood


def clearances(
    pocket: Pocket, frame: RowFrame, body: Body, settings: Settings, *, exact: bool = False
) -> list[WoodBeside]:
    """All that lies beside a pocket: the sides of its part, and of its cuts those that come near.

    Where wood is left, what is short of its limit is exact; the rest, unless all is to be ``exact``, may be more. Where
    a bore runs into a rabbet or groove, by its staves.
    """
    found: list[WoodBeside] = []
    profile, limits, part = settings.profile, settings.limits, body.part
    beside: list[tuple[Side | str, Plane, Plane | None]] = [
        *((side, plane, None) for side, plane in fences(body, pocket.side, pocket.face)),
        (pocket.side, body.planes[pocket.side], None),
        *((kind, body.in_piece(plane), plane) for kind, plane in body.own_trims),
    ]
    for side, plane, trim in beside:
        if body.layers and isinstance(side, Side) and body.backed(side, (pocket.shoulder, pocket.exit)):
            continue
        cover, rule = covers(frame, plane, profile), wood_rule(part, pocket.side, side)
        needed, moved = limits[rule, "wood"], cover.change * pocket.station
        wood = cover.bore + moved
        found.append(WoodBeside(wood, side, wood - needed, "bore", rule, trim))
        if side is not pocket.side:  # In the joint plane the pilot ends; the shoulder must stay behind it.
            wood = cover.pilot + moved
            found.append(WoodBeside(wood, side, wood - needed, "pilot", rule, trim))
    if body.own_cuts and (exact or min(found, key=_spare).spare < 0):
        found = _to_faces(found, pocket, body, profile, exact)
    if part.removals:
        found += _to_removals(pocket, body, settings, exact)
    return found


def _hulls(pocket: Pocket, body: Body, profile: DrillingProfile) -> dict[str, Hull]:
    """The bore, flat at its shoulder and aslant at the face, and the pilot, which ends in the joint plane."""
    axis, joint, thin = pocket.direction, body.planes[pocket.side].normal, profile.pilot_diameter / 2
    return {
        "bore": bore_hull(pocket, profile.bit_diameter / 2),
        "pilot": (disc(pocket.shoulder, axis, thin), oval(pocket.exit, axis, thin, joint)),
    }


def bore_hull(pocket: Pocket, radius: float) -> Hull:
    """A bore as it is: from its flat shoulder to the face, where it ends aslant."""
    long = minus(pocket.mouth, pocket.tail)
    across = scaled(unit(cross(long, pocket.direction)), radius)
    deep, lean = dot(minus(pocket.shoulder, pocket.mouth), pocket.direction), dot(long, pocket.direction)
    if deep >= lean:
        return disc(pocket.shoulder, pocket.direction, radius), Rim(pocket.mouth, long, across)
    if deep <= -lean:
        return (point(pocket.shoulder),)  # So thin that no wood is bored.
    # In thin stock the front of the mouth would lie before the shoulder: both end where the two planes meet.
    beside = plus(long, pocket.direction, -lean)
    return Rim(pocket.shoulder, beside, across, deep / lean), Rim(pocket.mouth, long, across, deep / lean)


def _to_faces(
    found: list[WoodBeside], pocket: Pocket, body: Body, profile: DrillingProfile, exact: bool
) -> list[WoodBeside]:
    """The same to the faces themselves. What leaves the part at none of them lies outside it altogether."""
    told: list[WoodBeside] = []
    for what, hull in _hulls(pocket, body, profile).items():
        near = [_to_plane(each, hull, body) for each in found if each.what == what]
        measured = [_to_face(each, hull, body) if exact or each.spare < 0 else each for each in near]
        out = min(map(_wood, near)) < 0 <= min(map(_wood, measured))
        told += near if out else measured
    return told


def _to_plane(beside: WoodBeside, hull: Hull, body: Body) -> WoodBeside:
    """By the body that is bored: of a shoulder that lies in part before the face only what is in the wood."""
    if beside.spare >= 0:
        return beside
    plane = _plane(beside, body)
    wood = plane.depth(furthest(hull, plane.normal))
    return beside._replace(wood=wood, spare=beside.spare + wood - beside.wood)


def _to_face(beside: WoodBeside, hull: Hull, body: Body) -> WoodBeside:
    at = beside.trim if beside.trim is not None else beside.at
    assert not isinstance(at, str)
    wood = to_face(hull, beside.wood, body, at)
    return beside._replace(wood=wood, spare=beside.spare + wood - beside.wood)


def _plane(beside: WoodBeside, body: Body) -> Plane:
    if beside.trim is not None:
        return body.in_piece(beside.trim)
    assert isinstance(beside.at, Side)
    return body.planes[beside.at]


def _to_removals(pocket: Pocket, body: Body, settings: Settings, exact: bool) -> list[WoodBeside]:
    """What rabbets, grooves and notches leave beside the bore and the pilot, of those that come near."""
    profile, needed = settings.profile, settings.limits["thin-cover", "wood"]
    found: list[WoodBeside] = []
    hulls, axis = _hulls(pocket, body, profile), body.direction_to_own(pocket.direction)
    shoulder, exit_ = body.to_own(pocket.shoulder), body.to_own(pocket.exit)
    radius, thin = profile.bit_diameter / 2, profile.pilot_diameter / 2
    tail = body.to_own(pocket.tail)
    # The mouth's tail lies farther back than its middle.
    back = plus(shoulder, axis, dot(axis, minus(tail, shoulder)))
    ends = {"bore": (back, shoulder, radius), "pilot": (shoulder, exit_, thin * 1.1)}
    for removal, gone in zip(body.part.removals, body.own_removals, strict=True):
        for what, (start, end, wide) in ends.items():
            # A capsule round it holds the bore: where that clears, no more need be asked.
            if not exact and segment_to_box(start, end, gone.box) - wide >= needed:
                continue
            corners = cell_corners(Cell(gone.box, (*gone.cuts, *body.own_cuts)))
            if corners:
                away = gap_between(hulls[what], [point(body.to_piece(each)) for each in corners])
                wood = away if away > 0 else min(-NIL, segment_to_box(start, end, gone.box) - wide)
                found.append(WoodBeside(wood, removal.kind, wood - needed, what, "thin-cover"))
    return found
