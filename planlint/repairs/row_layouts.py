"""Other places for the pockets of a row: few screws before many, near where they are before far."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain, islice
from math import ceil

from planlint.checks.row_view import Row
from planlint.model.join_details import PocketRow
from planlint.repairs.written_lengths import down, marks, up
from planlint.rulebook.limits import NIL


def layouts(row: Row, *, aside: bool = False) -> Iterator[PocketRow]:
    """Other places for a row's pockets: as the builder says it now, then otherwise; few screws before many.

    ``aside``: first the row as it is, moved along.
    """
    asked, seen = row.asked, set()
    for way in chain(_shifted(row) if aside else (), _layouts(row)):
        if way != asked and way not in seen:
            seen.add(way)
            yield way


def _layouts(row: Row) -> Iterator[PocketRow]:
    asked, have = row.asked, len(row.pockets)
    limit = row.piece.limits["wide-spacing", "spacing"]
    enough = max(2, ceil(row.width / limit - NIL))
    counts = [
        PocketRow(asked.face, asked.in_b, asked.span, count, plugged=asked.plugged)
        for count in (*range(max(have, 1), have + 3), enough, enough + 1, *range(have - 1, 0, -1))
    ]
    if asked.fixed:
        yield from _moved(row)
        yield from counts
        yield from _evenly(row, limit)
    elif asked.every is not None:
        yield from _evenly(row, limit)
        yield from counts
    else:
        yield from counts
        yield from _moved(row)
        yield from _evenly(row, limit)
    yield from _shifted(row)


def _moved(row: Row, by: Fraction = Fraction(0)) -> Iterator[PocketRow]:
    """Each pocket moved no further than it needs, to where it keeps its wood and its distance from the next."""
    found = safe_stretch(row)
    if found is None:
        return
    apart = row.piece.settings.bore_spacing
    for mark in marks(row.unit)[1:]:
        low, high = up(found[0], mark), down(found[1], mark)
        wanted = sorted(row.from_side(pocket.station, row.origin) + float(by) for pocket in row.pockets)
        kept = row.asked.at or ()
        places: list[Fraction] = []
        for place in wanted:
            exact = next((each for each in kept if abs(each - place) < NIL), None)
            near = exact if exact is not None else round(place / float(mark)) * mark
            near = min(max(near, low), high)
            if places and near - places[-1] < apart - NIL:
                near = up(float(places[-1]) + apart, mark)
            places.append(near)
        if places and places[-1] > high:
            places[-1] = high
            for index in range(len(places) - 2, -1, -1):
                places[index] = min(places[index], down(float(places[index + 1]) - apart, mark))
        if places and places[0] >= low:
            order = _as_told(row, places)
            yield PocketRow(
                row.asked.face,
                row.asked.in_b,
                row.asked.span,
                at=order,
                origin=row.origin,
                plugged=row.asked.plugged,
            )


def _as_told(row: Row, places: list[Fraction]) -> tuple[Fraction, ...]:
    """Places in the order in which the builder told them."""
    told = row.asked.at
    if told is None or len(told) != len(places):
        return tuple(places)
    ranks = sorted(range(len(told)), key=lambda index: told[index])
    order = [Fraction(0)] * len(told)
    for place, index in zip(places, ranks, strict=True):
        order[index] = place
    return tuple(order)


def _shifted(row: Row) -> Iterator[PocketRow]:
    """The whole row moved along, clear of what it runs into: a little first."""
    step = marks(row.unit)[0]
    for times in range(1, 7):
        for sign in (1, -1):
            yield from islice(_moved(row, step * times * sign), 1)


def _evenly(row: Row, limit: float) -> Iterator[PocketRow]:
    """Pockets at one distance from one another: the first where it is, or nearer the end, or as near as may be."""
    asked, width = row.asked, row.width
    base = min(row.piece.limits["far-from-end", "from the end"], width / 4)
    found = safe_stretch(row)
    firsts = [asked.first] if asked.first is not None else []
    marked = marks(row.unit)
    firsts += [down(base, mark) for mark in marked]
    if asked.every is not None and asked.every <= limit:
        pitch = asked.every
        count = int((width - 2 * base) / float(pitch)) + 1
        for more in (0, 1):
            middle = down((width - (count + more - 1) * float(pitch)) / 2, marked[-1])
            if middle > 0:
                yield _every(asked, pitch, middle)
    if found is not None:
        # What is written is what is drilled: no first pocket where its bore would break out.
        firsts = [each for each in firsts if each >= found[0] - NIL]
        firsts += [up(found[0] + at, marked[-1]) for at in (0, 0.5, 1)]
    for first in dict.fromkeys(firsts):
        span = width - 2 * float(first)
        if span <= 0 or first <= 0:
            continue
        count = max(2, ceil(span / limit - NIL) + 1)
        for screws in (count, count + 1):
            for mark in marked:
                pitch = down(span / (screws - 1), mark)
                if pitch > 0:
                    yield _every(asked, pitch, first)


def _every(asked: PocketRow, pitch: Fraction, first: Fraction) -> PocketRow:
    origin = asked.origin if asked.every is not None else None
    return PocketRow(
        asked.face, asked.in_b, asked.span, every=pitch, first=first, origin=origin, plugged=asked.plugged
    )


def safe_stretch(row: Row) -> tuple[float, float] | None:
    """Distances from the side that a row is measured from between which a pocket keeps its wood and its screw
    does not split the receiving part's end; ``None`` where there is no such place."""
    piece = row.piece
    low, high = piece.allowed(row.join, row.number)[:2]
    if low > high:
        return None
    least = piece.limits["near-end", "end distance"] * max(s.diameter for s in row.screws)
    low, high = row.clear_of_ends(low, high, least)
    if low > high:
        return None
    near, far = sorted(row.from_side(station, row.origin) for station in (low, high))
    return near, far
