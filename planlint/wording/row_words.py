"""The words for rows of pockets and their screws: how they are set out, where more may go, what drives them."""

from collections.abc import Iterable
from math import ceil

from planlint.checks.row_view import Row
from planlint.geometry.joint_facts import Screw
from planlint.model.workshop import SetUp, ShopScrews
from planlint.rulebook.limits import NIL
from planlint.text.measures import at_mark, bare_length, in_inches, length, listed, rule_mark, stations_told
from planlint.text.rounding import ROUNDING


def measured_from(row: Row) -> str:
    """How the places of a row are measured: ``from left``, or ``along the mitre, from its top``."""
    cut = row.part.cut_at(row.side)
    aslant = cut is not None and cut.long_at.axis is row.along
    return f"along the mitre, from its {row.origin.value}" if aslant else f"from {row.origin.value}"


def setting_out(row: Row, stations: Iterable[float] | None = None) -> str:
    """Stations, or those of its pockets, as a builder marks them: ``1-1/2, 6 and 12 in from left``."""
    if stations is None:
        stations = (pocket.station for pocket in row.pockets)
    away = sorted(row.from_side(station, row.origin) for station in stations)
    return f"{stations_told(away, row.unit)} {measured_from(row)}"


def free_places(row: Row) -> str:
    """Where along the joint a pocket may go: ``1 to 2-3/8 in and 4 to 5 in from top``; empty if nowhere."""
    rooms = [
        room
        for low, high, why in row.piece.allowed_stretches(row.join, row.number)
        if not why and (room := row.room(low, high)) is not None
    ]
    bare = [
        " to ".join(dict.fromkeys(bare_length(at_mark(each, row.unit), row.unit) for each in room))
        for room in sorted(rooms)[:3]
    ]
    return f"{listed(bare)} {'in' if in_inches(row.unit) else 'mm'} {measured_from(row)}" if bare else ""


def screw_name(row: Row, screw: Screw) -> str:
    """``coarse 1-1/4 in``."""
    return f"{screw.thread} {screw_length(screw.length, row.unit)}"


def at_least(value: float, unit: str) -> str:
    """A length that is not to be gone under, rounded up to the marks of a rule."""
    mark = rule_mark(unit)
    return length(ceil(value / mark - NIL) * mark, unit)


RIGHT_ANGLE, COMPACT = 4.0, 6.5
"""Inches under which what turns a bit is called a right-angle head, or a compact drill. Basis: our own judgement."""


def set_up_words(set_up: SetUp, unit: str) -> str:
    """``the 3 in bit in a right-angle head (3 in long)``."""
    turned = set_up.driver_length
    what = "right-angle head" if turned < RIGHT_ANGLE else "compact drill" if turned < COMPACT else "drill"
    return f"the {length(set_up.bit, unit)} bit in a {what} ({length(turned, unit)} long)"


def screw_length(value: float, unit: str) -> str:
    """The length of a screw as it is called; in a metric plan 1-1/4 in is 32 mm, and a length with no such name is told
    both ways unless that is whole millimetres."""
    if in_inches(unit):
        return length(value)
    value = called_as(value, unit)
    metric = abs(value * 25.4 - round(value * 25.4)) < ROUNDING
    return length(value, unit) if metric else f"{length(value)} ({length(value, unit)})"


def called_as(value: float, unit: str) -> float:
    """The length, in inches, by which a screw of it goes where the plan counts in ``unit``."""
    return value if in_inches(unit) else _METRIC.get(value, value)


_METRIC = dict(zip(ShopScrews.lengths, ShopScrews.metric_lengths, strict=True))
