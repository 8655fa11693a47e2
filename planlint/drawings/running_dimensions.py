"""Distances of a row of pockets from one edge, along one line: running dimensions (ISO 129-1, from memory)."""

from collections.abc import Iterator, Sequence
from math import atan2, degrees
from typing import NamedTuple

from planlint.drawings.primitives import Item, Line, Text, arrow, dimension, ring
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.flat_shapes import beyond

_SIZE = 2.8
CLEAR = 6.0
"""Millimetres from the joint to the line that the distances stand on."""


class Mark(NamedTuple):
    """What is set out, on paper: its middle, its foot on the edge or joint, and how far it lies from the named side."""

    mouth: SeenAt
    leaves: SeenAt
    away: float
    """Inches."""
    words: str
    """The same as it is written."""


def running(
    marks: Sequence[Mark], zero: SeenAt, out: SeenAt, rising: SeenAt, origin: str, off: float = CLEAR
) -> list[Item]:
    """Distances from one side, all on one line ``off`` mm beyond the joint. ``zero`` is where the side measured from
    meets the joint; ``out`` looks out of the joint, ``rising`` away from that side; both are unit, on paper."""

    def level(at: SeenAt) -> float:
        return (at[0] - zero[0]) * rising[0] + (at[1] - zero[1]) * rising[1]

    start = beyond(zero, out, off)
    far = max(level(mark.leaves) for mark in marks)
    items: list[Item] = [
        Line("dimension", (start, beyond(start, rising, far))),
        Line("dimension", (beyond(zero, out, 1.0), beyond(start, out, 1.0))),
        Line("dimension", ring(start, 0.8, 0.8, 12), closed=True),
    ]
    last = _SIZE * 0.8
    items.append(_beside(beyond(start, rising, -1.7), out, f"0 at {origin}", bold=True))
    for mark in sorted(marks, key=lambda each: each.away):
        at = beyond(start, rising, level(mark.leaves))
        items += [Line("dimension", (mark.mouth, beyond(at, out, 1.2))), arrow(at, rising, size=1.7)]
        last = max(level(mark.leaves), last + _SIZE * 1.15)
        items.append(_beside(beyond(start, rising, last), out, mark.words))
    return items


def _beside(at: SeenAt, out: SeenAt, words: str, *, bold: bool = False) -> Text:
    """Words that go on from a line of distances outward: upright where that is to a side, else along the way out."""
    x, y = beyond(at, out, 2.0)
    if abs(out[0]) > 0.5:
        return Text((x, y + _SIZE * 0.35), words, _SIZE, "start" if out[0] > 0 else "end", bold=bold)
    turn, anchor = degrees(atan2(-out[1], out[0])), "start"
    if turn > 91 or turn < -89:
        turn, anchor = turn + 180, "end"
    return Text((x + _SIZE * 0.35, y), words, _SIZE, anchor, turn, bold=bold)


def meeting_distance(
    marks: Sequence[Mark], out: SeenAt, sideways: SeenAt, words: str
) -> Iterator[list[Item]]:
    """From the joint to the middles of the mouths, beside one of them: the ways to write it, the best first."""
    order = sorted(marks, key=lambda mark: mark.leaves[0] * sideways[0] + mark.leaves[1] * sideways[1])
    left = out[1] * sideways[0] - out[0] * sideways[1]
    places = [(order[-1], 1.0), (order[0], -1.0), (order[-1], -1.0), (order[0], 1.0)]
    places += [(mark, 1.0) for mark in order[1:-1]]
    for off in (5.0, 8.0, 2.8):
        for mark, side in places:
            reach = (mark.mouth[0] - mark.leaves[0]) * out[0] + (mark.mouth[1] - mark.leaves[1]) * out[1]
            aside = off * side if left > 0 else -off * side
            yield dimension(mark.mouth, beyond(mark.mouth, out, -reach), aside, words)
