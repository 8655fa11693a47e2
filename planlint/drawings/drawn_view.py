"""One view of some bodies on paper: its lines, and where on each part there is room for a sign."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from functools import lru_cache
from math import hypot, inf
from typing import NamedTuple

from planlint.drawings.hidden_lines import EdgeRun, PaperGrid, Scene
from planlint.drawings.name_spots import away
from planlint.drawings.paper_lines import Inked, Kinds, Laid, inked_again, laid
from planlint.drawings.primitives import Frame, Item, Line, end_grain_mark, frame_fitted, grain_mark
from planlint.drawings.true_edges import faces
from planlint.drawings.view_window import AN_EYE_S, EVERYWHERE, HAIR
from planlint.drawings.viewpoints import SeenAt, View
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.polygons import area, middle
from planlint.geometry.shapes.vectors import dot, minus, plus, scaled
from planlint.text.rounding import LEAST_DIVISOR, ROUNDING

Room = tuple[float, float, float, float]
"""Left, top, right, bottom on paper, in mm."""
_LEAST = 60.0
"""Millimetres that the larger side of a view is drawn long where its room lets it. Basis: our own judgement."""
_FEW = 8
"""Times that a face of a curved part must be as large to be sought all over. Basis: our own judgement."""
MOST_HIDDEN = 200
"""Hidden lines of a view beyond which nobody can tell them apart: they are left out. Basis: our own judgement."""


class SignSpot(NamedTuple):
    """Where on a part a sign may go: on paper, and the point of the part's surface that it shows."""

    at: SeenAt
    point: Vector
    clear: float
    """Millimetres to the nearest line."""


class Drawn(NamedTuple):
    """A view on paper."""

    items: list[Item]
    frame: Frame
    scene: Scene
    lines: Inked
    left_out: int
    """Hidden lines that are too many to be drawn."""

    def on_paper(self, point: Vector) -> SeenAt:
        return self.frame.on_paper(self.scene.view.flat(point))


@lru_cache(maxsize=32)
def extent(bodies: tuple[Body, ...], view: View) -> tuple[float, float, float, float]:
    """How far bodies reach in a parallel view: left, low, right, high."""
    flats = [view.flat(corner) for body in bodies for face in faces(body) for corner in face.corners]
    xs, ys = zip(*flats, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@lru_cache(maxsize=32)
def _seen(bodies: tuple[Body, ...], view: View) -> tuple[Scene, list[EdgeRun]]:
    """Kept for the views asked about last: each finding of a piece is shown on the same ones."""
    scene = _scene(bodies, view)
    return scene, scene.stretches()


@lru_cache(maxsize=32)
def _scene(bodies: tuple[Body, ...], view: View) -> Scene:
    return Scene(bodies, view, EVERYWHERE if view.eye is None else AN_EYE_S)


@lru_cache(maxsize=32)
def _laid(bodies: tuple[Body, ...], view: View) -> list[Laid]:
    return laid(_seen(bodies, view)[1])


@lru_cache(maxsize=2048)
def seen_of(bodies: tuple[Body, ...], view: View, body: Body) -> float:
    """How many inches of the edges of one of some bodies are seen in a view, on its paper. Kept, as many findings
    name it."""
    lines = (each for each in _scene(bodies, view).of_body(body) if not each.hidden)
    return sum(hypot(each.b[0] - each.a[0], each.b[1] - each.a[1]) for each in lines)


def drawn(
    bodies: Sequence[Body],
    view: View,
    where: Room | Frame,
    *,
    most: float = 101.6,
    hidden: bool = True,
    bold: Sequence[int] = (),
    bold_kind: str = "fault",
    doubtful: Sequence[int] = (),
) -> Drawn:
    """Bodies on paper, in a room or at a frame. Parts ``bold`` have lines of ``bold_kind``, drawn over all others;
    ``doubtful`` ones, whose place is not certain, lines that say so."""
    scene, stretches = _seen(tuple(bodies), view)
    if isinstance(where, Frame):
        frame = where
    elif view.eye is None:
        box = extent(tuple(bodies), view)
        frame = frame_fitted(
            box, where, max(most, _LEAST / max(box[2] - box[0], box[3] - box[1], LEAST_DIVISOR))
        )
    else:
        xs, ys = zip(*[end for each in stretches for end in (each.a, each.b)], strict=True)
        frame = frame_fitted((min(xs), min(ys), max(xs), max(ys)), where, inf)
    many = sum(each.hidden for each in stretches)
    plain = [body.part.index for body in bodies if body.part.index not in {*bold, *doubtful}]
    kinds: Kinds = []
    if bold:
        kinds.append((bold_kind, list(bold), False))
    kinds.append(("seen", plain, False))
    if doubtful:
        kinds.append(("unknown", list(doubtful), False))
    if bold and bold_kind == "fault":
        kinds.append(("fault hidden", list(bold), True))
    if hidden and many <= MOST_HIDDEN:
        kinds.append(("hidden", plain, True))
    lines = inked_again(_laid(tuple(bodies), view), kinds)
    items: list[Item] = [
        Line(kind, (frame.on_paper(a), frame.on_paper(b)))
        for kind, segments in lines.items()
        for a, b in segments
    ]
    return Drawn(items, frame, scene, lines, many if hidden and many > MOST_HIDDEN else 0)


def sign_spots(view: Drawn, parts: Container[int] | None = None) -> dict[int, SignSpot]:
    """For each part that shows, its place farthest from all lines."""
    spots = _spots(view.scene.bodies, view.scene.view)
    found: dict[int, SignSpot] = {}
    for body in view.scene.bodies:
        number = body.part.index
        if parts is None or number in parts:
            spot = spots.of(body)
            if spot is not None:
                found[number] = SignSpot(
                    view.frame.on_paper(spot.at), spot.point, min(spot.clear * view.frame.scale, 8.0)
                )
    return found


@lru_cache(maxsize=32)
def _spots(bodies: tuple[Body, ...], view: View) -> _Spots:
    """Kept as the views are: each finding of a piece has names on the same ones."""
    return _Spots(*_seen(bodies, view))


class _Spots:
    """For each part of a view the place farthest from all lines; ``clear`` is in inches here."""

    def __init__(self, scene: Scene, stretches: Sequence[EdgeRun]) -> None:
        self._scene = scene
        lines = [(each.a, each.b) for each in stretches if not each.hidden]
        boxes = [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in lines]
        wide = max((box[2] for box in boxes), default=1) - min((box[0] for box in boxes), default=0)
        tall = max((box[3] for box in boxes), default=1) - min((box[1] for box in boxes), default=0)
        self._reach = max(wide, tall) / 20
        self._lines = lines
        self._grid = PaperGrid(boxes)
        self._known: dict[int, SignSpot | None] = {}

    def of(self, body: Body) -> SignSpot | None:
        if body.part.index not in self._known:
            self._known[body.part.index] = self._found(body)
        return self._known[body.part.index]

    def _clear(self, at: SeenAt, reach: float) -> float:
        """How far a place is from the nearest line, ``reach`` at the most."""
        x, y = at
        near = self._grid.near(x - reach, y - reach, x + reach, y + reach)
        return min((reach, *(away(at, *self._lines[n]) for n in near)))

    def _found(self, body: Body) -> SignSpot | None:
        view, best = self._scene.view, None
        turned = (
            face for face in faces(body) if view.eye is not None or dot(face.normal, view.toward) >= 0.05
        )
        sized = sorted(((round(area(face.corners), 6), face) for face in turned), key=lambda each: -each[0])
        for size, face in sized:
            # Of the chords of a curve, and of what is left beside it, each is looked at once.
            curved = view.eye is not None or len(body.own_cells) != 1 or bool(body.round_planes)
            small = curved and size * _FEW < sized[0][0]
            for point in [middle(face.corners)] if small else _from_the_centre(face.corners):
                at = view.flat(point)
                least = 0.0 if best is None else best.clear + ROUNDING
                if self._clear(at, least) < least:
                    continue
                clear = self._clear(at, self._reach)
                if self._scene.seen(plus(point, face.normal, HAIR)):
                    best = SignSpot(at, point, clear)
                    if clear >= self._reach:
                        return best
        return best


def _from_the_centre(corners: Sequence[Vector]) -> Iterator[Vector]:
    """Places all over a convex face, its centre first; the others are not worked out before they are asked for."""
    centre = middle(corners)
    yield centre
    yield from sorted(_samples(corners), key=lambda each: _far(each, centre))[1:]


def _samples(corners: Sequence[Vector]) -> Iterable[Vector]:
    """Places all over a convex face."""
    if len(corners) == 4:
        a, b, c, d = corners
        ab, dc = minus(b, a), minus(c, d)
        across, along = hypot(*minus(d, a)), hypot(*ab)
        ratio = max(along, across) / max(min(along, across), LEAST_DIVISOR)
        many, few = (9, 3) if ratio > 2 else (5, 5)
        n, m = (many, few) if along >= across else (few, many)
        for i in range(n):
            s = (i + 0.5) / n
            p, q = plus(a, ab, s), plus(d, dc, s)
            for j in range(m):
                yield plus(p, minus(q, p), (j + 0.5) / m)
        return
    centre = middle(corners)
    yield centre
    for corner, after in zip(corners, [*corners[1:], corners[0]], strict=True):
        for share in (0.4, 0.75):
            yield plus(centre, minus(corner, centre), share)
            yield plus(centre, minus(scaled(plus(corner, after), 0.5), centre), share)


def _far(a: Vector, b: Vector) -> float:
    """How far places lie apart, so that those as far but for rounding are alike."""
    return round(hypot(*minus(a, b)), 6)


def grain_sign(view: Drawn, body: Body, place: SignSpot) -> list[Item]:
    """The run of the grain at a place of a part, as far as there is room for its sign; a panel's is its outer ply's."""
    if view.scene.view.eye is not None:
        return []
    x, y = view.scene.view.flat(body.grain)
    if hypot(x, y) < 0.3:
        return end_grain_mark(place.at) if place.clear > 1.4 else []
    way = (x, -y)
    room = next((long for long in (8.0, 5.0, 3.0) if _clear_along(view, body, place, long)), 0.0)
    return grain_mark(place.at, way, room) if room and place.clear > 0.8 else []


def _clear_along(view: Drawn, body: Body, place: SignSpot, long: float) -> bool:
    """Whether a line along the grain through a place stays on the part, where it is seen."""
    x, y = view.scene.view.flat(body.grain)
    inch = long / 2 / max(hypot(x, y) * view.frame.scale, LEAST_DIVISOR)
    for sign in (1.15, -1.15):
        end = plus(place.point, body.grain, sign * inch)
        if not body.holds(end, ROUNDING) or not view.scene.seen(plus(end, view.scene.view.toward, HAIR)):
            return False
    return True
