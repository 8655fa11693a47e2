"""What lies on a sheet of paper: lines by kind, filled areas, words. Millimetres, from the top left corner, down.

Kinds of line by ISO 128-2 (from memory): wide for what is seen, narrow dashed for hidden edges, narrow for dimensions,
leaders and hatching, long-dashed dotted for axes, long-dashed double-dotted for neighbours. A fault is drawn widest,
and in words too: its colour only helps.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from math import atan2, cos, degrees, hypot, sin
from typing import NamedTuple
from unicodedata import combining, east_asian_width

from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.flat_shapes import beyond, flat_unit
from planlint.text.measures import in_inches
from planlint.text.rounding import LEAST_DIVISOR, ROUNDING, TOUCH


class Pen(NamedTuple):
    """How a kind of line is drawn: wide in mm, its dashes, and the tone of its ink."""

    wide: float
    dashes: tuple[float, ...] = ()
    tone: str = "ink"


PENS: dict[str, Pen] = {
    "hatch": Pen(0.13),
    "grain": Pen(0.18),
    "dimension": Pen(0.18),
    "hidden": Pen(0.25, (2.0, 1.0)),
    "axis": Pen(0.18, (6.0, 1.0, 0.6, 1.0)),
    "neighbour": Pen(0.25, (6.0, 1.0, 0.6, 1.0, 0.6, 1.0)),
    "unknown": Pen(0.5, (1.0, 1.5)),
    "thin": Pen(0.25),
    "seen": Pen(0.5),
    "changed": Pen(0.9),
    "fault hidden": Pen(0.6, (2.0, 1.0), "fault"),
    "fault": Pen(0.9, (), "fault"),
    "measure": Pen(0.25, (), "fault"),
    "place": Pen(0.6, (), "fault"),
}
"""Kinds of line, those drawn first before those that lie over them."""

TONES: dict[str, str] = {
    "ink": "#1a1a1a",
    "fault": "#b3261e",
    "paper": "#ffffff",
    "wood": "#f6ecd9",
    "other wood": "#e3ecef",
    "bore": "#ffffff",
    "steel": "#7d8790",
    "in the way": "#f5d0cc",
    "room": "#e8e6f4",
}
"""Tones of ink and of filled areas, for light paper."""


class Line(NamedTuple):
    kind: str
    points: tuple[SeenAt, ...]
    closed: bool = False


class Area(NamedTuple):
    """A filled area; its outline is a line of its own."""

    tone: str
    points: tuple[SeenAt, ...]


class Text(NamedTuple):
    """Words on one line. ``at`` lies on their base line; ``turn`` is in degrees against the clock."""

    at: SeenAt
    words: str
    size: float = 2.8
    anchor: str = "start"
    """``start``, ``middle`` or ``end``: what of the words lies at ``at``."""
    turn: float = 0.0
    tone: str = "ink"
    bold: bool = False


Item = Line | Area | Text


class Sheet(NamedTuple):
    """One sheet: ``name`` for addresses, ``title`` for people, ``says`` what it shows in words."""

    name: str
    title: str
    says: str
    wide: float
    high: float
    items: tuple[Item, ...]


_PAPERS: dict[str, tuple[float, float]] = {"letter": (279.4, 215.9), "a4": (297.0, 210.0)}
"""Sheets lying on their long side: ANSI Y14.1 size A, and ISO 216."""


_ASKED: ContextVar[str | None] = ContextVar("paper", default=None)


@contextmanager
def on_paper(name: str | None) -> Iterator[None]:
    """Draw on one of ``PAPERS`` within, whatever unit a plan counts in; ``None`` leaves it as it is."""
    before = _ASKED.set(name if name is not None else _ASKED.get())
    try:
        yield
    finally:
        _ASKED.reset(before)


def paper_of(unit: str) -> tuple[float, float]:
    """The paper that was asked for, else that of a builder who counts in a unit: Letter for inches, A4 for metric."""
    return _PAPERS[_ASKED.get() or ("letter" if in_inches(unit) else "a4")]


class Frame(NamedTuple):
    """Where a view lies on paper: ``scale`` mm for an inch, its origin at ``x``, ``y``."""

    scale: float
    x: float
    y: float

    def on_paper(self, at: SeenAt) -> SeenAt:
        return self.x + self.scale * at[0], self.y - self.scale * at[1]


def frame_fitted(
    box: tuple[float, float, float, float], room: tuple[float, float, float, float], most: float
) -> Frame:
    """A frame that lays a box of a view (left, low, right, high) in the middle of a room on paper (left, top, right,
    bottom), at ``most`` mm an inch at the most."""
    left, low, right, high = box
    x0, y0, x1, y1 = room
    scale = min(
        most, (x1 - x0) / max(right - left, LEAST_DIVISOR), (y1 - y0) / max(high - low, LEAST_DIVISOR)
    )
    x = (x0 + x1 - scale * (right - left)) / 2 - scale * left
    y = (y0 + y1 + scale * (high - low)) / 2 + scale * low
    return Frame(scale, x, y)


def fitted_usual(
    box: tuple[float, float, float, float], room: tuple[float, float, float, float], unit: str, most: float
) -> Frame:
    """The same, at a scale that is usual; a place may be enlarged."""
    scale = named_scale(frame_fitted(box, room, most).scale, unit, enlarged=True)
    return frame_fitted(box, room, scale)


INCH_SCALES = tuple(25.4 / n for n in (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128))
"""Full size, half, quarter …, and an inch for a foot: mm on paper for an inch. Basis: common practice."""
METRIC_SCALES = tuple(25.4 / n for n in (1, 2, 5, 10, 15, 20, 25, 50, 75, 100))
"""ISO 5455, from memory, and what joiners draw to between its steps (common practice)."""


def named_scale(most: float, unit: str, enlarged: bool = False) -> float:
    """The largest usual scale that is no larger than ``most`` mm an inch."""
    usual = INCH_SCALES if in_inches(unit) else METRIC_SCALES
    if enlarged:
        usual = (*(25.4 * n for n in (20, 10, 5, 4, 3, 2, 1.5)), *usual[:1], 25.4 * 0.75, *usual[1:])
    return next((scale for scale in usual if scale <= most + TOUCH), most)


def scale_words(scale: float) -> str:
    """``1:4``, ``2:1``; ``not to scale`` where it is none of the usual."""
    ratio = 25.4 / scale
    for over, under in ((1, ratio), (1 / ratio, 1), (3, 3 * ratio)):
        if abs(over - round(over)) < ROUNDING and abs(under - round(under)) < ROUNDING:
            return "full size" if round(over) == round(under) else f"{round(over)}:{round(under)}"
    return "not to a usual scale"


# ---------------------------------------------------------------- words


def words_wide(words: str, size: float, bold: bool = False) -> float:
    """About how wide words are in mm, rather more than less: no font is asked."""
    return sum(map(_letter_wide, words)) * size * (1.06 if bold else 1.0)


@lru_cache(maxsize=4096)
def _letter_wide(letter: str) -> float:
    """Asked again and again of the same few."""
    if combining(letter):
        return 0.0
    if east_asian_width(letter) in "WF":
        return 1.0
    if letter in "iljtfr.,:;'|! ()[]-1/":
        return 0.42
    return 0.82 if letter in "mwMW@%" or letter.isupper() else 0.6


def words_cut_off(words: str, size: float, room: float, bold: bool = False) -> str:
    """Words that fit a room in mm; cut off with an ellipsis where they do not."""
    if words_wide(words, size, bold) <= room:
        return words
    kept = words
    while kept and words_wide(kept + "…", size, bold) > room:
        kept = kept[:-1]
    return kept + "…"


def abbreviated(name: str, size: float, room: float, bold: bool = False) -> str:
    """A name that fits a room in mm: its middle is left out, as names often differ at their ends only."""
    fits, kept = name, len(name)
    while kept and words_wide(fits, size, bold) > room:
        kept -= 1
        fits = f"{name[: kept - kept // 2]}…{name[len(name) - kept // 2 :]}"
    return fits


def wrapped(words: str, size: float, room: float, most: int = 99) -> list[str]:
    """Words on lines no wider than a room in mm, ``most`` lines at the most."""
    lines = [""]
    for word in words.split():
        fits = word
        longer = f"{lines[-1]} {fits}".strip()
        if words_wide(longer, size) <= room:
            lines[-1] = longer
        else:
            if lines[-1]:
                lines.append("")
            while words_wide(fits, size) > room and len(fits) > 1:
                cut = len(fits)
                while cut > 1 and words_wide(fits[:cut], size) > room:
                    cut -= 1
                lines[-1] = fits[:cut]
                lines.append("")
                fits = fits[cut:]
            lines[-1] = fits
    if len(lines) > most:
        lines = [*lines[: most - 1], words_cut_off(f"{lines[most - 1]} …", size, room)]
    return [line for line in lines if line]


# ---------------------------------------------------------------- arrows and dimensions

ARROW = 2.0
"""Length of an arrow head in mm; it is a third as wide (ISO 129-1, from memory)."""
WRITTEN = 2.8
"""Height in mm of what a dimension says."""


def arrow(tip: SeenAt, way: SeenAt, tone: str = "ink", size: float = ARROW) -> Area:
    """A filled head whose point lies at ``tip`` and looks along ``way``."""
    x, y = flat_unit(*way)
    back = tip[0] - size * x, tip[1] - size * y
    w = size / 6
    return Area(tone, (tip, (back[0] - w * y, back[1] + w * x), (back[0] + w * y, back[1] - w * x)))


def dimension(a: SeenAt, b: SeenAt, off: float, words: str) -> list[Item]:
    """The distance from ``a`` to ``b`` written along a line ``off`` mm to the left of that way (negative: right).

    Where it has no room between the arrows they stand outside, and the words behind one of them.
    """
    x, y = flat_unit(b[0] - a[0], b[1] - a[1])
    left = y, -x
    far = hypot(b[0] - a[0], b[1] - a[1])
    p, q = beyond(a, left, off), beyond(b, left, off)
    sign = 1.0 if off >= 0 else -1.0
    items: list[Item] = [
        Line("dimension", (beyond(start, left, sign), beyond(end, left, sign * 1.5)))
        for start, end in ((a, p), (b, q))
        if abs(off) > 1.0
    ]
    wide = words_wide(words, WRITTEN)
    turn = degrees(atan2(-(q[1] - p[1]), q[0] - p[0]))
    if turn > 90 + ROUNDING or turn <= -90 + ROUNDING:
        turn += 180 if turn < 0 else -180
    up = sin(turn * 0.017453292519943295), cos(turn * 0.017453292519943295)
    items += arrows(p, q, (x, y), far)
    if far >= wide + 2 * ARROW + 1:
        middle = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
        return [*items, _written(middle, up, turn, words, "middle")]
    # The words lie upright beside the far end.
    run, tail = wide + 1.5, ARROW * 2
    end = q[0] + (tail + 0.5) * x, q[1] + (tail + 0.5) * y
    if abs(x) < 0.5 and far > WRITTEN + 0.5:
        # Beside the line, upright: nothing has to be turned to be read.
        out = sign * y
        at = (p[0] + q[0]) / 2 + (1.0 if out > 0 else -1.0), (p[1] + q[1]) / 2 + WRITTEN * 0.35
        items.append(_written(at, (0.0, 0.0), 0.0, words, "start" if out > 0 else "end"))
    elif abs(x) >= abs(y):
        along = 1.0 if x >= 0 else -1.0
        items.append(Line("dimension", (q, (end[0] + along * run, end[1]))))
        at = end[0] + along * run / 2, end[1]
        items.append(_written(at, (0.0, 1.0), 0.0, words, "middle"))
    else:
        items.append(Line("dimension", (q, end)))
        down = 1.0 if y >= 0 else -1.0
        at = end[0], end[1] + (WRITTEN if down > 0 else -0.8)
        items.append(_written(at, (0.0, 0.0), 0.0, words, "middle"))
    return items


def arrows(
    p: SeenAt, q: SeenAt, way: SeenAt, far: float, kind: str = "dimension", tail: float = 2 * ARROW
) -> list[Item]:
    """The line of a dimension with its arrows: inside where there is room, else from outside, ``tail`` mm long."""
    (x, y), tone = way, PENS[kind].tone
    if far >= 2 * ARROW + 0.5:
        return [Line(kind, (p, q)), arrow(p, (-x, -y), tone), arrow(q, (x, y), tone)]
    line = (p[0] - tail * x, p[1] - tail * y), (q[0] + tail * x, q[1] + tail * y)
    return [Line(kind, line), arrow(p, (x, y), tone), arrow(q, (-x, -y), tone)]


def _written(at: SeenAt, up: SeenAt, turn: float, words: str, anchor: str) -> Text:
    gap, tone = 0.9, PENS["dimension"].tone
    return Text((at[0] - gap * up[0], at[1] - gap * up[1]), words, WRITTEN, anchor, turn, tone)


def grain_mark(at: SeenAt, way: SeenAt, long: float = 7.0) -> list[Item]:
    """The usual sign for the run of the grain: a line with a half arrow at each end."""
    x, y = flat_unit(*way)
    a = at[0] - long / 2 * x, at[1] - long / 2 * y
    b = at[0] + long / 2 * x, at[1] + long / 2 * y
    barb = min(1.6, long / 4)
    return [
        Line("grain", ((a[0] + barb * (x - 0.5 * y), a[1] + barb * (y + 0.5 * x)), a, b,
                       (b[0] - barb * (x - 0.5 * y), b[1] - barb * (y + 0.5 * x)))),
    ]  # fmt: skip


def end_grain_mark(at: SeenAt) -> list[Item]:
    """Grain that looks out of the paper: a ring with a dot."""
    return [Line("grain", ring(at, 1.1, 1.1), closed=True), Area("ink", ring(at, 0.3, 0.3, 8))]


def ring(at: SeenAt, u: float, v: float, corners: int = 24, turn: float = 0.0) -> tuple[SeenAt, ...]:
    """An ellipse as a polygon: half axes ``u`` along ``turn`` (radians) and ``v`` across."""
    c, s = cos(turn), sin(turn)
    return tuple(
        (at[0] + u * cos(t) * c - v * sin(t) * s, at[1] + u * cos(t) * s + v * sin(t) * c)
        for t in (2 * 3.141592653589793 * n / corners for n in range(corners))
    )


def hatched(outline: Sequence[SeenAt], angle: float, apart: float) -> list[Line]:
    """Straight hatching inside a convex outline: lines at ``angle`` radians, ``apart`` mm."""
    c, s = cos(angle), sin(angle)
    turned = [(x * c + y * s, -x * s + y * c) for x, y in outline]
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    found = []
    level = (int(low / apart) + (1 if low > 0 else 0)) * apart
    while level < high:
        cross = []
        for (x0, y0), (x1, y1) in zip(turned, [*turned[1:], turned[0]], strict=True):
            if (y0 <= level) != (y1 <= level):
                cross.append(x0 + (x1 - x0) * (level - y0) / (y1 - y0))
        if len(cross) == 2 and abs(cross[1] - cross[0]) > 0.05:
            found.append(Line("hatch", tuple((x * c - level * s, x * s + level * c) for x in sorted(cross))))
        level += apart
    return found
