"""What close-ups share: lines and wood inside a window of a view, and a measure with its limit written on it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import atan2, cos, hypot, pi, sin
from typing import Any, NamedTuple, Self

from planlint.checks.row_view import Row
from planlint.drawings.drawn_view import Drawn, Room
from planlint.drawings.hidden_lines import Scene
from planlint.drawings.margin_labels import Label, names_beside
from planlint.drawings.name_spots import spot
from planlint.drawings.paper_lines import inked
from planlint.drawings.primitives import (
    ARROW,
    Area,
    Frame,
    Item,
    Line,
    Text,
    arrow,
    arrows,
    fitted_usual,
    ring,
    scale_words,
    words_wide,
)
from planlint.drawings.true_edges import faces
from planlint.drawings.view_window import EVERYWHERE, Window, in_window
from planlint.drawings.viewpoints import SeenAt, View
from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.flat_shapes import beyond, flat_unit
from planlint.geometry.shapes.vectors import dot, plus
from planlint.reports.safe_words import visible
from planlint.text.rounding import ROUNDING


class Measure(NamedTuple):
    """A measure in words and the limit that it missed; either may be empty."""

    found: str
    limit: str


NO_MEASURE = Measure("", "")

Between = tuple[Vector, Vector]
"""Two places in the piece."""


class CloseUp(NamedTuple):
    """A drawing and what it is called."""

    title: str
    items: list[Item]
    between: Between | None = None
    """The two places in the piece between which the measure lies."""


ByFact = Mapping[type, Callable[[Piece, Any, Room, Measure], CloseUp | None]]
"""What draws what a check judged, by its type."""


_SIZE = 3.2
"""Of the letters of a measure, in mm."""

_Rim = tuple[float, float, float, float]
"""Millimetres left free at the left, the top, the right and the bottom of a room."""


def within_rim(room: Room, rim: _Rim) -> Room:
    return room[0] + rim[0], room[1] + rim[1], room[2] - rim[2], room[3] - rim[3]


@dataclass(eq=False)
class DetailView:
    """A close-up in the making: a view of a ``window`` in a room on paper, what is drawn of it, and what is written on
    that. Places are those on paper."""

    view: View
    on: Frame
    room: Room
    items: list[Item] = field(default_factory=list)
    window: Window = EVERYWHERE

    @classmethod
    def through(
        cls, view: View, window: Window, room: Room, unit: str, most: float, rim: _Rim = (26, 12, 26, 12)
    ) -> Self:
        """What a window shows, at a usual scale, ``most`` mm an inch at the most; ``rim`` is left free for words."""
        return cls(view, fitted_usual(window, within_rim(room, rim), unit, most), room, window=window)

    @classmethod
    def of(cls, shown: Drawn, room: Room) -> Self:
        return cls(shown.scene.view, shown.frame, room, list(shown.items))

    def at(self, point: Vector) -> SeenAt:
        return self.on.on_paper(self.view.flat(point))

    def shape(self, points: Iterable[Vector]) -> tuple[SeenAt, ...]:
        return tuple(map(self.at, points))

    def clipped(self, shape: Iterable[SeenAt]) -> tuple[SeenAt, ...]:
        """What of a convex shape of the view lies in the window, on paper."""
        return tuple(map(self.on.on_paper, in_window(shape, self.window)))

    def close_up(self, title: str, between: Between | None = None) -> CloseUp:
        return CloseUp(f"{title}, {scale_words(self.on.scale)}", self.items, between)

    # ------------------------------------------------------------ wood

    def draw(self, bodies: Iterable[Body], bold: Sequence[int] = ()) -> None:
        """The lines of bodies inside the window."""
        kinds: list[tuple[str, list[int] | None, bool]] = [("seen", None, False), ("hidden", None, True)]
        if bold:
            kinds.insert(0, ("fault", list(bold), False))
        for kind, segments in inked(Scene(bodies, self.view, self.window).stretches(), kinds).items():
            self.items += [Line(kind, (self.on.on_paper(a), self.on.on_paper(b))) for a, b in segments]

    def fill(self, bodies: Sequence[Body], bad: Sequence[int] = ()) -> None:
        """The wood of bodies in the window as tones, the farthest first."""
        found: list[tuple[float, Area]] = []
        for number, body in enumerate(bodies):
            tone = "in the way" if body.part.index in bad else "wood" if number % 2 == 0 else "other wood"
            found += [(deep, Area(tone, shape)) for deep, shape in self._fronts(body)]
        self.items += [area for _, area in sorted(found, key=lambda each: each[0])]

    def names(self, bodies: Sequence[Body]) -> list[Label]:
        """The names of bodies that show in the window, each with a place of its wood that no other lies over."""
        shapes = {body: self._fronts(body) for body in bodies}
        shared = [item.points for item in self.items if isinstance(item, Area) and item.tone == "in the way"]
        labels = []
        for body, mine in shapes.items():
            level = max((deep for deep, _ in mine), default=0.0)
            over = [
                shape
                for other, theirs in shapes.items()
                for deep, shape in theirs
                if other is not body and deep >= level
            ]
            own = [shape for _, shape in mine]
            at = spot(own, self.items, [*over, *(shape for shape in shared if shape not in own)])
            if at is not None:
                labels.append(Label(visible(body.part.name), at))
        return labels

    def _fronts(self, body: Body) -> list[tuple[float, tuple[SeenAt, ...]]]:
        """The faces of a body that look at who looks, as far as they lie in the window; how near each comes."""
        toward = self.view.toward
        return [
            (max(dot(corner, toward) for corner in face.corners), shape)
            for face in faces(body)
            if dot(face.normal, toward) >= ROUNDING
            and (shape := self.clipped(map(self.view.flat, face.corners)))
        ]

    # ------------------------------------------------------------ measures and names

    def beside(self, labels: Sequence[Label], rim: _Rim = (0, 0, 0, 0)) -> None:
        """Names in the margins beside what is drawn."""
        self.items += names_beside(labels, self.items, within_rim(self.room, rim))

    def distance(self, between: Between, measure: Measure, aside: float = 0.0) -> None:
        """The distance between two places in the piece, ``measured`` on paper."""
        a, b = between
        self.measured(self.at(a), self.at(b), measure, aside)

    def measured(self, a: SeenAt, b: SeenAt, measure: Measure, aside: float = 0.0) -> None:
        """A distance and its limit, written outside what is drawn already, on the shorter way out of it.

        A distance that runs up and down the paper is drawn where it is, ``aside`` mm to the right; any other beside the
        drawing, between lines that lead to it.
        """
        if not measure.found:
            return
        far = hypot(b[0] - a[0], b[1] - a[1])
        if far <= 0.02:
            self.called_out(a, measure)
            return
        x, y = flat_unit(b[0] - a[0], b[1] - a[1])
        top, bottom = self._top_and_bottom(self.items)
        high, low = min(a[1], b[1]), max(a[1], b[1])
        up = high - top <= bottom - low
        found: list[Item] = []
        if abs(y) > 0.85:
            p, q = (a[0] + aside, a[1]), (b[0] + aside, b[1])
            if aside:
                found += [
                    Line("measure", (end, (to[0] + (1.0 if aside > 0 else -1.0), to[1])))
                    for end, to in ((a, p), (b, q))
                ]
            ends = arrows(p, q, (x, y), far, "measure", 2.5 * ARROW)
            found += ends
            tail = min(
                (e for line in ends if isinstance(line, Line) for e in line.points),
                key=lambda e: e[1] if up else -e[1],
            )
            edge = min(tail[1], top - 3) if up else max(tail[1], bottom + 3)
            found.append(Line("measure", (tail, (tail[0], edge))))
            self.items += [*found, *self._words(tail[0], edge, measure, up=up)]
            return
        out = (y, -x) if (x > 0) == up else (-y, x)
        off = (max(a[1], b[1]) - top if up else bottom - min(a[1], b[1])) / abs(out[1]) + 5.0
        p, q = beyond(a, out, off), beyond(b, out, off)
        for start, end in ((a, p), (b, q)):
            found.append(Line("measure", (beyond(start, out, 1.0), beyond(end, out, 1.5))))
        found += arrows(p, q, (x, y), far, "measure", 2.5 * ARROW)
        high, low = self._top_and_bottom(found)
        self.items += [*found, *self._words((p[0] + q[0]) / 2, high if up else low, measure, up=up)]

    def _top_and_bottom(self, items: Iterable[Item]) -> tuple[float, float]:
        """How high and how low lines and areas reach on paper."""
        levels = [y for item in items if not isinstance(item, Text) for _, y in item.points]
        return min(levels, default=self.room[1]), max(levels, default=self.room[3])

    def _words(self, x: float, edge: float, measure: Measure, *, up: bool) -> list[Item]:
        """A measure over its limit, above or below a level of the paper, as near to ``x`` as the room lets it be."""
        room = self.room
        lines = [(measure.found, True), *([(measure.limit, False)] if measure.limit else [])]
        half = max(words_wide(words, _SIZE, bold) for words, bold in lines) / 2 + 0.5
        x = min(max(x, room[0] + half), room[2] - half)
        pitch = _SIZE * 1.25
        y = edge - 1.2 - pitch * (len(lines) - 1) if up else edge + 1.2 + _SIZE * 0.75
        y = min(max(y, room[1] + _SIZE), room[3] - pitch * (len(lines) - 1))
        return [
            Text((x, y + pitch * n), words, _SIZE, "middle", 0.0, "fault", bold)
            for n, (words, bold) in enumerate(lines)
        ]

    def called_out(self, at: SeenAt, measure: Measure) -> None:
        """A measure that is no distance on this drawing, or none at all, led to its place from under what is drawn."""
        if not measure.found:
            return
        _, bottom = self._top_and_bottom(self.items)
        low = min(max(bottom + 3, at[1] + 3), self.room[3] - 8)
        dot = Area("fault", ring(at, 0.7, 0.7, 12))
        words = self._words(at[0], low, measure, up=False)
        self.items += [Line("measure", (at, (at[0], low))), dot, *words]

    def angle(self, at: SeenAt, one: SeenAt, other: SeenAt, measure: Measure) -> None:
        """The angle at a place between two ways on paper, with its limit."""
        turn = atan2(one[1], one[0])
        wide = (atan2(other[1], other[0]) - turn + pi) % (2 * pi) - pi

        def out(radius: float, share: float) -> SeenAt:
            way = turn + wide * share
            return at[0] + radius * cos(way), at[1] + radius * sin(way)

        arc = tuple(out(16.0, n / 12) for n in range(13))
        self.items += [Line("measure", (at, out(19.2, share))) for share in (0.0, 1.0)]
        self.items.append(Line("measure", arc))
        self.called_out(arc[6], measure)


def mouth_rim(row: Row, pocket: Pocket, many: int = 32) -> list[Vector]:
    """The rim of a pocket's mouth, an ellipse in the drilled face."""
    frame, radius = row.frame, row.piece.settings.profile.bit_diameter / 2
    return [
        plus(plus(pocket.mouth, frame.inward, u), frame.across, v)
        for u, v in ring((0.0, 0.0), radius / frame.sine, radius, many)
    ]


def way_arrow(a: SeenAt, b: SeenAt, *, both: bool = False) -> list[Item]:
    """A wide arrow from one place on paper to another."""
    x, y = flat_unit(b[0] - a[0], b[1] - a[1])
    short = 3.0
    start = (a[0] + short * x, a[1] + short * y) if both else a
    ends = [arrow(b, (x, y), "fault", 4.0), *([arrow(a, (-x, -y), "fault", 4.0)] if both else [])]
    return [Line("fault", (start, (b[0] - short * x, b[1] - short * y))), *ends]
