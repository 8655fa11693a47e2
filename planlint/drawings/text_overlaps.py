"""Where words lie on a sheet: on other words, or on lines."""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from math import cos, hypot, radians, sin

from planlint.drawings.primitives import Item, Line, Text, words_wide
from planlint.drawings.view_window import span_inside
from planlint.drawings.viewpoints import SeenAt

WORDS_TOUCH = 0.35
"""Millimetres by which a line may reach into the box of words: letters seldom fill it."""
_CLEAR = 0.3
"""Millimetres that a line of distances stops short of the box of words. Basis: our own judgement."""
_LEAST = 0.8
"""Millimetres below which nothing is left of such a line. Basis: our own judgement."""


@lru_cache(maxsize=4096)
def text_box(text: Text) -> tuple[SeenAt, ...]:
    """The corners of what words cover."""
    wide = words_wide(text.words, text.size, text.bold)
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[text.anchor]
    c, s = cos(radians(-text.turn)), sin(radians(-text.turn))
    x, y = text.at
    high = 0.75 * text.size
    around = ((left, 0.1), (left + wide, 0.1), (left + wide, -high), (left, -high))
    return tuple((x + u * c - v * s, y + u * s + v * c) for u, v in around)


@lru_cache(maxsize=4096)
def _bounds(text: Text) -> tuple[float, float, float, float]:
    """The box round words, along the paper: left, top, right, base."""
    xs, ys = zip(*text_box(text), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def texts_meet(one: Text, other: Text) -> bool:
    """Whether words lie on one another: no side of either box parts them."""
    left, top, right, base = _bounds(one)
    to_left, to_top, to_right, to_base = _bounds(other)
    if right <= to_left or to_right <= left or base <= to_top or to_base <= top:
        return False
    first, second = text_box(one), text_box(other)
    for box in (first, second):
        for (x0, y0), (x1, y1) in ((box[0], box[1]), (box[1], box[2])):
            ux, uy = x1 - x0, y1 - y0
            a = [x * ux + y * uy for x, y in first]
            b = [x * ux + y * uy for x, y in second]
            if max(a) <= min(b) or max(b) <= min(a):
                return False
    return True


def on_lines(text: Text, items: Iterable[Item], touch: float = WORDS_TOUCH) -> list[Line]:
    """The lines that run through words."""
    lines = (item for item in items if isinstance(item, Line) and _near(text, item, touch))
    return [line for line in lines if next(_spans(text, line, touch), None)]


def parted(items: Iterable[Item]) -> list[Item]:
    """All items, with lines of distances and leaders broken where words stand (ISO 129-1, from memory)."""
    items = list(items)
    texts = [item for item in items if isinstance(item, Text)]
    found: list[Item] = []
    for item in items:
        if not isinstance(item, Line) or item.kind != "dimension" or len(item.points) != 2:
            found.append(item)
            continue
        (x, y), (p, q) = item.points
        last, far = 0.0, hypot(p - x, q - y)
        near = (text for text in texts if _near(text, item, -_CLEAR))
        gone = sorted(span for text in near for span in _spans(text, item, -_CLEAR))
        for start, end in (*gone, (1.0, 1.0)):
            if (start - last) * far > (_LEAST if gone else 0.0):
                ends = tuple((x + (p - x) * t, y + (q - y) * t) for t in (last, start))
                found.append(item._replace(points=ends) if gone else item)
            last = max(last, end)
    return found


def _near(text: Text, line: Line, touch: float) -> bool:
    """Whether the boxes round words and round a line meet."""
    from_left, from_top, to_right, to_base = _reach(line)
    left, top, right, base = _bounds(text)
    return (
        from_left <= right - touch
        and to_right >= left + touch
        and from_top <= base - touch
        and to_base >= top + touch
    )


def _spans(text: Text, line: Line, touch: float) -> Iterator[tuple[float, float]]:
    """Where each stretch of a line runs through words, from 0 to 1; their box is ``touch`` mm smaller all round."""
    corner, along, far, _ = text_box(text)
    wide, high = (
        hypot(along[0] - corner[0], along[1] - corner[1]),
        hypot(far[0] - along[0], far[1] - along[1]),
    )
    ux, uy = (along[0] - corner[0]) / wide, (along[1] - corner[1]) / wide
    vx, vy = (far[0] - along[0]) / high, (far[1] - along[1]) / high

    def own(at: SeenAt) -> SeenAt:
        x, y = at[0] - corner[0], at[1] - corner[1]
        return x * ux + y * uy, x * vx + y * vy

    points = [own(point) for point in (*line.points, *(line.points[:1] if line.closed else ()))]
    box = touch, touch, wide - touch, high - touch
    yield from (span for a, b in pairwise(points) if (span := span_inside(a, b, box)))


@lru_cache(maxsize=4096)
def _reach(line: Line) -> tuple[float, float, float, float]:
    xs, ys = zip(*line.points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
