"""A cut through wood along a bore: what a screw does inside, with bore, pilot and screw as they are."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import atan2, hypot

from planlint.drawings.close_ups import DetailView
from planlint.drawings.drawn_view import Room
from planlint.drawings.margin_labels import Label
from planlint.drawings.name_spots import in_outline, spot
from planlint.drawings.primitives import Area, Frame, Item, Line, hatched
from planlint.drawings.view_window import HAIR
from planlint.drawings.viewpoints import SeenAt, View, parallel
from planlint.geometry.joint_facts import Pocket, Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Plane, body_planes
from planlint.geometry.shapes.flat_shapes import flat_unit, turn
from planlint.geometry.shapes.polygons import Polygon, area, clipped_by_all
from planlint.geometry.shapes.vectors import cross, dot, plus, scaled
from planlint.model.plan import Part
from planlint.model.workshop import DrillingProfile
from planlint.reports.safe_words import visible
from planlint.text.rounding import ROUNDING

_ROUND = 0.75
"""Inches of wood shown round bore and screw. Basis: our own judgement."""


@dataclass(eq=False)
class WoodSection(DetailView):
    """A cut: the view looks square at its plane. ``shapes`` are those of each part on paper, by its index."""

    shapes: dict[int, list[tuple[SeenAt, ...]]] = field(default_factory=dict)

    def cut(
        self,
        piece: Piece,
        at: Vector,
        own: Body,
        bores: Sequence[Sequence[SeenAt]] = (),
        *,
        own_last: bool = False,
    ) -> None:
        """The wood that the plane through a place meets; that of ``own`` in a tone of its own."""
        met = _cut_bodies(piece, at, self.view, self.window)
        for body, polygons in sorted(met, key=lambda each: own_last and each[0] is own):
            self.items += _wood(body, polygons, self.view, self.on, bores, own=body is own)
            self.shapes[body.part.index] = [self.shape(polygon) for polygon in polygons]

    def names_of(self, *parts: Part) -> list[Label]:
        """The names of parts, each with a place of its cut wood that is clear of all that is drawn."""
        where = ((part, spot(self.shapes.get(part.index, ()), self.items)) for part in parts)
        return [Label(visible(part.name), at) for part, at in where if at is not None]


def along_bore(piece: Piece, screw: Screw, room: Room) -> WoodSection:
    """The plane of a bore's axis and the square to its face, the drilled face up."""
    pocket = screw.pocket
    frame = piece.row_frame(pocket.join, pocket.row)
    assert frame is not None
    normal = frame.face.normal
    view = parallel("section", cross(frame.inward, normal), normal)
    shown = [view.flat(p) for p in (pocket.tail, pocket.mouth, pocket.exit, screw.tip)]
    back = view.flat(plus(pocket.exit, normal, -frame.thickness / 2))
    xs, ys = zip(*shown, back, strict=True)
    window = min(xs) - _ROUND, min(ys) - _ROUND, max(xs) + _ROUND, max(ys) + _ROUND / 2
    section = WoodSection.through(view, window, room, piece.plan.unit, 76.2)
    bores = bore_outlines(pocket, piece.settings.profile, view, frame.face)
    section.cut(piece, pocket.exit, piece.body(pocket.part), bores)
    bore, pilot = (tuple(map(section.on.on_paper, outline)) for outline in bores)
    section.items += [Area("bore", bore), Area("bore", pilot)]
    section.items += [Line("seen", bore), Line("thin", pilot, closed=True)]
    section.items += screw_drawing(screw, view, section.on)
    axis = plus(pocket.mouth, pocket.direction, -0.3), plus(screw.tip, pocket.direction, 0.25)
    section.items.append(Line("axis", section.shape(axis)))
    return section


def bore_outlines(pocket: Pocket, profile: DrillingProfile, view: View, face: Plane) -> list[list[SeenAt]]:
    """The bore from its shoulder to the drilled face, then the pilot, in the plane of the axis."""
    (sx, sy), (ex, ey) = (view.flat(p) for p in (pocket.shoulder, pocket.exit))
    dx, dy = flat_unit(*view.flat(pocket.direction))
    r, q = profile.bit_diameter / 2, profile.pilot_diameter / 2
    level = view.flat(scaled(face.normal, face.offset))
    rise = view.flat(face.normal)

    def to_face(x: float, y: float) -> SeenAt:
        deep = (level[0] - x) * rise[0] + (level[1] - y) * rise[1]
        slope = -(dx * rise[0] + dy * rise[1])
        return x - dx * deep / slope, y - dy * deep / slope

    nx, ny = -dy, dx
    low, high = (sx - r * nx, sy - r * ny), (sx + r * nx, sy + r * ny)
    bore = [to_face(*low), low, high, to_face(*high)]
    pilot = [
        (sx - q * nx, sy - q * ny),
        (ex - q * nx, ey - q * ny),
        (ex + q * nx, ey + q * ny),
        (sx + q * nx, sy + q * ny),
    ]
    return [bore, pilot]


def screw_drawing(screw: Screw, view: View, on: Frame, *, headless: bool = False) -> list[Item]:
    """A screw as seen from the side: washer head, shank, thread to the point."""
    pocket = screw.pocket
    x, y = view.flat(pocket.shoulder)
    tx, ty = view.flat(screw.tip)
    far = hypot(tx - x, ty - y)
    if far < ROUNDING:
        return []
    dx, dy = flat_unit(tx - x, ty - y)
    r = screw.diameter / 2

    def at(along: float, aside: float) -> SeenAt:
        return on.on_paper((x + along * dx - aside * dy, y + along * dy + aside * dx))

    head = screw.diameter * 0.95
    point = max(0.0, far - 1.6 * screw.diameter)
    core = r * 0.65
    washer = at(-0.11, -0.6 * head), at(0.0, -head), at(0.0, head), at(-0.11, 0.6 * head)
    shank = at(0.0, -core), at(point, -core), at(far, 0.0), at(point, core), at(0.0, core)
    items: list[Item] = []
    for shape in (shank,) if headless else (washer, shank):
        items += [Area("steel", shape), Line("thin", shape, closed=True)]
    pitch = 0.11 if screw.thread == "coarse" else 0.075
    along = far * 0.35
    while along < far - 0.02:
        wide = r * min(1.0, (far - along) / (1.6 * screw.diameter) + 0.15)
        items.append(Line("thin", (at(along, -wide), at(along + pitch * 0.5, wide))))
        along += pitch
    return items


def _cut_bodies(
    piece: Piece, at: Vector, view: View, window: tuple[float, float, float, float]
) -> Iterable[tuple[Body, list[Polygon]]]:
    """Every part that the cut meets inside the window, as convex polygons in the plane."""
    left, low, right, high = window
    deep = dot(at, view.toward)

    def corner(x: float, y: float) -> Vector:
        return plus(plus(scaled(view.right, x), view.up, y), view.toward, deep)

    square = (corner(left, low), corner(right, low), corner(right, high), corner(left, high))
    for body in piece.bodies:
        depth = [dot(c, view.toward) for c in body.bounds.corners]
        if min(depth) > deep or max(depth) < deep:
            continue
        found = [clipped_by_all(square, body_planes(body, cell)) for cell in body.own_cells]
        found = [polygon for polygon in found if area(polygon) > HAIR]
        if found:
            yield body, found


def _wood(
    body: Body,
    polygons: list[Polygon],
    view: View,
    on: Frame,
    bores: Sequence[Sequence[SeenAt]],
    *,
    own: bool,
) -> list[Item]:
    """Cut wood: its tone, lines along grain or layers where they lie in the cut, else slanting, and its outline."""
    items: list[Item] = []
    x, y = view.flat(body.grain)
    if body.part.stock.material.panel:
        p, q = view.flat(body.planes[body.part.facing].normal)
        x, y = -q, p
    in_plane = hypot(x, y) > 0.7
    angle = atan2(-y, x) if in_plane else (0.785 if own else -0.785)
    gone = [[on.on_paper(point) for point in outline] for outline in bores]
    shapes = [[view.flat(point) for point in polygon] for polygon in polygons]
    for flat in shapes:
        paper = tuple(map(on.on_paper, flat))
        items.append(Area("wood" if own else "other wood", paper))
        for line in hatched(paper, angle, 2.4 if in_plane else 1.8):
            items += _without(line, gone)
    for a, b in outline_of(shapes):
        items += _without(Line("seen", (on.on_paper(a), on.on_paper(b))), gone)
    return items


def outline_of(shapes: Sequence[Sequence[SeenAt]]) -> list[tuple[SeenAt, SeenAt]]:
    """The sides of convex polygons that no other of them lies against."""
    found = []
    for number, shape in enumerate(shapes):
        others = [other for n, other in enumerate(shapes) if n != number]
        for a, b in zip(shape, [*shape[1:], shape[0]], strict=True):
            far = hypot(b[0] - a[0], b[1] - a[1])
            if far < ROUNDING:
                continue
            nx, ny = (b[1] - a[1]) / far * HAIR, -(b[0] - a[0]) / far * HAIR
            stops = sorted(
                {0.0, 1.0, *(t for other in others for p in other if 0 < (t := _share(a, b, p)) < 1)}
            )
            for s, e in pairwise(stops):
                m = _between(a, b, (s + e) / 2)
                out, back = (m[0] + nx, m[1] + ny), (m[0] - nx, m[1] - ny)
                if not any(in_outline(other, out) or in_outline(other, back) for other in others):
                    found.append((_between(a, b, s), _between(a, b, e)))
    return found


def _between(a: SeenAt, b: SeenAt, share: float) -> SeenAt:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _share(a: SeenAt, b: SeenAt, p: SeenAt) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    if abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) > ROUNDING * hypot(dx, dy):
        return -1.0
    return ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)


def _without(line: Line, gone: Sequence[Sequence[SeenAt]]) -> list[Line]:
    """A straight line less what lies in convex outlines."""
    (a, b) = line.points[0], line.points[-1]
    left = [(0.0, 1.0)]
    for shape in gone:
        low, high = 0.0, 1.0
        around = sum(p[0] * q[1] - p[1] * q[0] for p, q in zip(shape, [*shape[1:], shape[0]], strict=True))
        sign = 1.0 if around > 0 else -1.0
        for p, q in zip(shape, [*shape[1:], shape[0]], strict=True):
            f0 = sign * turn(p, q, a)
            f1 = sign * turn(p, q, b)
            if f0 <= 0 and f1 <= 0:
                low, high = 1.0, 0.0
                break
            if f0 < 0 or f1 < 0:
                zero = f0 / (f0 - f1)
                low, high = (max(low, zero), high) if f1 > 0 else (low, min(high, zero))
        if low < high:
            left = [
                span
                for s, e in left
                for span in ((s, min(e, low)), (max(s, high), e))
                if span[1] - span[0] > ROUNDING
            ]
    return [Line(line.kind, (_between(a, b, s), _between(a, b, e))) for s, e in left]
