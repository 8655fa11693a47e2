"""The fewest sheets of strips, by an integer program over the patterns of strips and of sheets.

After Gilmore and Gomory (1965), two-stage cutting with trimming: a strip's pattern says how many parts of each kind lie
along it, a sheet's how many strips of each width lie on it; sheets ripped first and sheets crosscut first share the
parts. HiGHS, by ``scipy.optimize.milp`` (the extra ``sheet``), chooses how often each is used. All in whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

SECONDS = 5.0
"""What the solver may take for one stock. Basis: own judgement."""
MOST_PATTERNS = 8_000
"""Ways to fill strips, and sheets, that are looked at; with more, what is found is not proved. Basis: own judgement,
from times."""


class Kind(NamedTuple):
    """Parts alike: how many, and the ways each may lie in each direction: along the strip, across it."""

    many: int
    ways: tuple[tuple[tuple[int, int], ...], ...]
    """For each direction of strips."""


class Lying(NamedTuple):
    """One part on a strip: its kind, along the strip, across it."""

    kind: int
    long: int
    wide: int


class StripOf(NamedTuple):
    """A strip of one direction, as wide as its widest part."""

    direction: int
    wide: int
    parts: tuple[Lying, ...]


class SheetOf(NamedTuple):
    """A sheet of one direction: the widths of its strips."""

    direction: int
    widths: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """Strips and sheets, each as often as it is cut; ``proved``: with strips there is nothing better."""

    strips: tuple[StripOf, ...]
    sheets: tuple[SheetOf, ...]
    proved: bool


def fewest_sheets(kinds: Sequence[Kind], rooms: Sequence[tuple[int, int]], most: int) -> Chosen | None:
    """What takes the fewest sheets, then the least wood in strips; ``None`` where at most ``most`` sheets are not found
    to do. ``rooms``: for each direction, along a strip and across all strips."""
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import lil_matrix  # noqa: PLC0415

    strips, all_strips = _strips(kinds, rooms)
    sheets, all_sheets = _sheets(strips, rooms)
    number = {each: n for n, each in enumerate({(s.direction, s.wide) for s in strips})}
    table = lil_matrix((len(kinds) + len(number), len(strips) + len(sheets)))
    for column, strip in enumerate(strips):
        for part in strip.parts:
            table[part.kind, column] += 1
        table[len(kinds) + number[strip.direction, strip.wide], column] = -1
    for column, sheet in enumerate(sheets, len(strips)):
        for wide in sheet.widths:
            table[len(kinds) + number[sheet.direction, wide], column] += 1
    # All strips together weigh less than one sheet.
    share = [strip.wide / (2 * (most + 1) * rooms[strip.direction][1]) for strip in strips]
    least = [float(kind.many) for kind in kinds] + [0.0] * len(number)
    found = milp(
        np.array(share + [1.0] * len(sheets)),
        constraints=LinearConstraint(table.tocsc(), least, np.inf),
        integrality=[1] * table.shape[1],
        bounds=Bounds(0, max(kind.many for kind in kinds)),
        options={"time_limit": SECONDS},
    )
    if found.x is None:
        return None
    used = [round(times) for times in found.x]
    return Chosen(
        tuple(strip for strip, times in zip(strips, used[: len(strips)], strict=True) for _ in range(times)),
        tuple(sheet for sheet, times in zip(sheets, used[len(strips) :], strict=True) for _ in range(times)),
        found.status == 0 and all_strips and all_sheets,
    )


def _strips(kinds: Sequence[Kind], rooms: Sequence[tuple[int, int]]) -> tuple[list[StripOf], bool]:
    """All full strips, and whether these are all."""
    found: list[StripOf] = []
    looks = 0
    for direction, (long, _) in enumerate(rooms):
        lying = sorted(
            {Lying(n, *way) for n, kind in enumerate(kinds) for way in kind.ways[direction]},
            key=lambda part: (-part.wide, -part.long, part.kind),
        )
        for wide in dict.fromkeys(part.wide for part in lying):
            some = [part for part in lying if part.wide <= wide]
            for parts in _fills(some, wide, long, [kind.many for kind in kinds]):
                looks += 1
                if looks > MOST_PATTERNS:
                    return found, False
                if parts is not None:
                    found.append(StripOf(direction, wide, parts))
    return found, True


def _fills(
    lying: Sequence[Lying], wide: int, room: int, left: list[int]
) -> Iterator[tuple[Lying, ...] | None]:
    """Every way to fill a strip as wide as its widest part, with no more of a kind than ``left``; ``None`` for each
    that leaves room for another part."""

    def fill(at: int, room: int, parts: tuple[Lying, ...]) -> Iterator[tuple[Lying, ...] | None]:
        if at == len(lying):
            yield None if any(each.long <= room and left[each.kind] for each in lying) else parts
            return
        part = lying[at]
        if part.wide < wide and not parts:
            return
        for many in range(min(room // part.long, left[part.kind]), -1, -1):
            left[part.kind] -= many
            yield from fill(at + 1, room - many * part.long, (*parts, *(part,) * many))
            left[part.kind] += many

    return fill(0, room, ())


def _sheets(strips: Sequence[StripOf], rooms: Sequence[tuple[int, int]]) -> tuple[list[SheetOf], bool]:
    """All full sheets of strips of these widths, and whether these are all."""
    found: list[SheetOf] = []
    for direction, (_, room) in enumerate(rooms):
        widths = sorted({strip.wide for strip in strips if strip.direction == direction}, reverse=True)
        if not widths:
            continue
        for sheet in _stacks(widths, 0, room, ()):
            if len(found) == MOST_PATTERNS:
                return found, False
            found.append(SheetOf(direction, sheet))
    return found, True


def _stacks(widths: Sequence[int], at: int, room: int, parts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to lay strips of these widths that leaves room for no more."""
    if at == len(widths):
        if room < widths[-1]:
            yield parts
        return
    for many in range(room // widths[at], -1, -1):
        yield from _stacks(widths, at + 1, room - many * widths[at], (*parts, *(widths[at],) * many))
