"""Names beside a view: in the margins to its left and right, each with a leader to its place. None lies on another."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planlint.drawings.primitives import Area, Item, Line, Text, abbreviated, ring
from planlint.drawings.view_window import Window
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.flat_shapes import turn

_SIZE = 2.8
"""Height of their letters, in mm."""
_PITCH = 1.7
"""From one line of names to the next, in heights of their letters. Basis: our own judgement."""


class Label(NamedTuple):
    """Words for a place on paper."""

    words: str
    place: SeenAt
    tone: str = "ink"
    bold: bool = False


class Margins(NamedTuple):
    """The room for names: ``left`` to ``view_left`` and ``view_right`` to ``right``, from ``top`` to ``bottom``."""

    left: float
    view_left: float
    view_right: float
    right: float
    top: float
    bottom: float

    def holds(self, size: float) -> int:
        """How many names there is room for in both margins."""
        return 2 * max(0, int((self.bottom - self.top) / (size * _PITCH)))


def margin_labels(labels: Sequence[Label], margins: Margins, size: float = _SIZE) -> list[Item]:
    """Names with their leaders; there must be room for them (``Margins.holds``)."""
    if not labels:
        return []
    middle = (margins.view_left + margins.view_right) / 2
    order = sorted(labels, key=lambda label: (label.place[0], label.place[1], label.words))
    side_holds = margins.holds(size) // 2
    many_left = sum(label.place[0] < middle for label in order)
    # A margin too full gives those nearest to the other side away; evenly filled margins are easier to read.
    many_left = min(
        max(many_left, len(order) - side_holds, len(order) // 3), side_holds, -(-2 * len(order) // 3)
    )
    items: list[Item] = []
    for side, mine in (("left", order[:many_left]), ("right", order[many_left:])):
        left = side == "left"
        edge = margins.view_left - 2.5 if left else margins.view_right + 2.5
        room = (edge - margins.left) if left else (margins.right - edge)
        some = _uncrossed(
            sorted(mine, key=lambda label: (label.place[1], label.place[0])), edge, margins, size
        )
        for label, y in zip(some, _levels([label.place[1] for label in some], margins, size), strict=True):
            words = abbreviated(label.words, size, room - 0.5, label.bold)
            anchor = "end" if left else "start"
            at = edge - 0.7 if left else edge + 0.7
            items.append(Text((at, y + size * 0.35), words, size, anchor, 0.0, label.tone, label.bold))
            kind = "measure" if label.tone == "fault" else "dimension"
            items += [
                Line(kind, ((edge, y), label.place)),
                Area(label.tone, ring(label.place, 0.45, 0.45, 8)),
            ]
    return items


def names_beside(labels: Sequence[Label], items: Iterable[Item], room: Window) -> list[Item]:
    """Names in the margins beside lines and areas, as far as a room on paper reaches and holds them."""
    xs = [x for item in items if not isinstance(item, Text) for x, _ in item.points]
    margins = Margins(room[0], min(xs) - 1, max(xs) + 1, room[2], room[1], room[3])
    return margin_labels(labels[: margins.holds(_SIZE)], margins, _SIZE)


def _levels(wanted: Sequence[float], margins: Margins, size: float) -> list[float]:
    """Heights near the wanted ones, in order, far enough apart (pool adjacent violators)."""
    pitch = size * _PITCH
    top, bottom = margins.top + pitch / 2, margins.bottom - pitch / 2
    pools: list[tuple[float, int]] = []
    for number, want in enumerate(wanted):
        mean, many = min(max(want, top), bottom) - number * pitch, 1
        while pools and pools[-1][0] > mean:
            before, count = pools.pop()
            mean, many = (before * count + mean * many) / (count + many), count + many
        pools.append((mean, many))
    flat = [mean for mean, many in pools for _ in range(many)]
    last = bottom - (len(wanted) - 1) * pitch
    return [min(max(each, top), last) + number * pitch for number, each in enumerate(flat)]


def _uncrossed(labels: list[Label], edge: float, margins: Margins, size: float) -> list[Label]:
    """Names changed for one another as long as their leaders cross."""
    found = list(labels)
    for _ in range(len(found)):
        levels = _levels([label.place[1] for label in labels], margins, size)
        changed = False
        for i in range(len(found)):
            for j in range(i + 1, len(found)):
                if _cross((edge, levels[i]), found[i].place, (edge, levels[j]), found[j].place):
                    found[i], found[j] = found[j], found[i]
                    changed = True
        if not changed:
            break
    return found


def _cross(a: SeenAt, b: SeenAt, c: SeenAt, d: SeenAt) -> bool:
    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0
