"""The fewest sheets of strips, by column generation and an integer program over patterns of strips and of sheets.

After Gilmore and Gomory (1965), two-stage cutting with trimming: a strip's pattern says how many parts of each kind lie
along it, a sheet's how many strips of each width lie on it; sheets ripped first and sheets crosscut first share the
parts. Patterns are found by what they would spare, until none is left that would: the answer in fractions then bounds
all lay-outs in strips. HiGHS (by scipy, the extra ``sheet``) chooses how often each is used. All in whole numbers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import inf
from time import monotonic
from typing import Any, NamedTuple

from planlint.sheet.knapsack import MOST_MARKS, fullest
from planlint.text.rounding import SOLVED, whole_up

MOST_SECONDS = 12.0
"""What one stock may take in all; half of it for the patterns at the most. Basis: own judgement."""
TIDY_SECONDS = 2.0
"""What is spent on less wood in strips once the sheets are the fewest. Basis: own judgement."""


SETTING = 0.1
"""What a setting of fence or stop counts for, in sheets that lie in strips. Basis: own judgement."""
MOST_WAYS_SET = 400
"""Ways to fill strips up to which the fewest settings of the saw are sought, too. Basis: own judgement, from times."""
_MOST_PATTERNS = 8_000
"""Ways to fill strips that are all weighed; with more, only some besides those that were found by need. Basis: own
judgement, from times."""


class PartsAlike(NamedTuple):
    """Parts alike: how many, and the ways each may lie in each direction: along the strip, across it."""

    many: int
    ways: tuple[tuple[tuple[int, int], ...], ...]
    """For each direction of strips."""


class OnStrip(NamedTuple):
    """One part on a strip: its kind, along the strip, across it."""

    kind: int
    long: int
    wide: int


class StripOf(NamedTuple):
    """A strip of one direction, as wide as its widest part may be; its parts the widest first."""

    direction: int
    wide: int
    parts: tuple[OnStrip, ...]


class SheetOf(NamedTuple):
    """A sheet of one direction: the widths of its strips."""

    direction: int
    widths: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """Strips and sheets, each as often as it is cut; ``proved``: with strips fewer sheets do not do.

    ``worth``: of one part of each kind, in sheets, as the answer in fractions has it; empty where that is not known.
    """

    strips: tuple[StripOf, ...]
    sheets: tuple[SheetOf, ...]
    proved: bool
    worth: tuple[float, ...]


def fewest_sheets(kinds: Sequence[PartsAlike], rooms: Sequence[tuple[int, int]], most: int) -> Chosen | None:
    """What takes the fewest sheets, then, as far as the time goes, the least wood in strips and the fewest settings of
    fence and stop; ``None`` where nothing was found. ``rooms``: for each direction (along the grain first), along a
    strip and across all strips; ``most`` sheets do for certain."""
    until = monotonic() + MOST_SECONDS
    search = _PatternSearch(kinds, rooms)
    bound = search.patterns(until - MOST_SECONDS / 2)
    found = search.chosen(until - MOST_SECONDS / 3 - monotonic())
    every = False
    if bound is None or found is None or found.many > bound:
        # What spares nothing by itself may do so together with others.
        every = search.add_all()
        better = search.chosen(until - monotonic())
        if better is not None and (found is None or better.many <= found.many):
            found = better
    if found is None:
        return None
    proved = (bound is not None and min(found.many, most) <= bound) or (every and found.least)
    if found.many <= most:
        search.add_emptier()
        found = search.chosen(TIDY_SECONDS, found.many) or found
    return Chosen(
        tuple(each for each, many in found.used.items() if isinstance(each, StripOf) for _ in range(many)),
        tuple(each for each, many in found.used.items() if isinstance(each, SheetOf) for _ in range(many)),
        proved,
        () if bound is None else tuple(search.worth[: len(kinds)]),
    )


class _PatternUse(NamedTuple):
    """How often each pattern is used; whether these patterns give no fewer sheets."""

    used: dict[StripOf | SheetOf, int]
    least: bool

    @property
    def many(self) -> int:
        return sum(many for each, many in self.used.items() if isinstance(each, SheetOf))


class _PatternSearch:
    """The patterns found so far. Rows of the program are the kinds, then the widths of strips of each direction."""

    def __init__(self, kinds: Sequence[PartsAlike], rooms: Sequence[tuple[int, int]]) -> None:
        self.kinds, self.rooms = kinds, rooms
        self.lying = [
            sorted(
                {OnStrip(n, *way) for n, kind in enumerate(kinds) for way in kind.ways[direction]},
                key=lambda part: (-part.wide, -part.long, part.kind),
            )
            for direction in range(len(rooms))
        ]
        self.widths = [
            (d, wide) for d, lying in enumerate(self.lying) for wide in sorted({p.wide for p in lying})
        ]
        self.row = {each: len(kinds) + n for n, each in enumerate(self.widths)}
        self.strips: list[StripOf] = []
        self.sheets: list[SheetOf] = []
        for direction, wide in self.widths:
            for part in self.lying[direction]:
                if part.wide == wide:
                    times = min(rooms[direction][0] // part.long, kinds[part.kind].many)
                    self.strips.append(StripOf(direction, wide, (part,) * times))
            self.sheets.append(SheetOf(direction, (wide,) * (rooms[direction][1] // wide)))
        self.worth: list[float] = []
        self.least = [float(kind.many) for kind in kinds] + [0.0] * len(self.widths)
        self.most = [inf] * len(self.least)

    def _table(self) -> Any:
        from scipy.sparse import csc_array  # noqa: PLC0415

        cells: list[tuple[int, int, float]] = []
        for column, strip in enumerate(self.strips):
            cells += [(part.kind, column, 1.0) for part in strip.parts]
            cells.append((self.row[strip.direction, strip.wide], column, -1.0))
        for column, sheet in enumerate(self.sheets, len(self.strips)):
            cells += [(self.row[sheet.direction, wide], column, 1.0) for wide in sheet.widths]
        rows, columns, values = zip(*cells, strict=True)
        # What stands twice in one place is added up.
        shape = len(self.least), self.columns
        return csc_array((values, (rows, columns)), shape=shape)

    def patterns(self, until: float) -> int | None:
        """Find patterns until none would spare anything; how many sheets no lay-out in strips can do without, or
        ``None`` where the time was up, or measures are too fine to know."""
        from scipy.optimize import linprog  # noqa: PLC0415

        exact = all(room <= MOST_MARKS for both in self.rooms for room in both)
        known: set[StripOf | SheetOf] = {*self.strips, *self.sheets}
        while monotonic() < until:
            costs = [0.0] * len(self.strips) + [1.0] * len(self.sheets)
            answer = linprog(costs, A_ub=-self._table(), b_ub=[-each for each in self.least], method="highs")
            if answer.x is None or answer.fun is None:
                return None
            self.worth = [-float(each) for each in answer.ineqlin.marginals]
            new = [each for each in self._sparing(self.worth) if each not in known]
            if not new:
                return whole_up(float(answer.fun), SOLVED) if exact else None
            known |= set(new)
            self.strips += [each for each in new if isinstance(each, StripOf)]
            self.sheets += [each for each in new if isinstance(each, SheetOf)]
        return None

    def _sparing(self, worth: Sequence[float]) -> Iterator[StripOf | SheetOf]:
        """For each width the strip, and for each direction the sheet, worth most beyond its cost."""
        for direction, wide in self.widths:
            some = [part for part in self.lying[direction] if part.wide <= wide]
            value, taken = fullest(
                [part.long for part in some],
                [self.kinds[part.kind].many for part in some],
                self.rooms[direction][0],
                [worth[part.kind] for part in some],
            )
            if value > worth[self.row[direction, wide]] + SOLVED:
                parts = (part for part, many in zip(some, taken, strict=True) for _ in range(many))
                yield StripOf(direction, wide, tuple(parts))
        for direction, (_, room) in enumerate(self.rooms):
            widths = [wide for way, wide in self.widths if way == direction]
            value, taken = fullest(
                widths,
                [room // wide for wide in widths],
                room,
                [worth[self.row[direction, wide]] for wide in widths],
            )
            if value > 1 + SOLVED:
                found = (wide for wide, many in zip(widths, taken, strict=True) for _ in range(many))
                yield SheetOf(direction, tuple(sorted(found, reverse=True)))

    def add_all(self) -> bool:
        """All strips and sheets that hold no more, as far as they are not too many; whether these are all there are."""
        strips, sheets, every = self._all(full=True)
        self.strips, self.sheets = sorted({*self.strips, *strips}), sorted({*self.sheets, *sheets})
        return every

    def _all(self, *, full: bool) -> tuple[set[StripOf], set[SheetOf], bool]:
        """All strips (``full``: that hold no more) and all sheets that do, and whether none was too many to look at."""
        strips, sheets, every = set[StripOf](), set[SheetOf](), True
        most = _MOST_PATTERNS // max(4, len(self.widths))
        for direction, wide in self.widths:
            some = [part for part in self.lying[direction] if part.wide <= wide]
            fills = _fills(some, self.rooms[direction][0], [kind.many for kind in self.kinds], full=full)
            here = {StripOf(direction, wide, parts) for parts in islice(fills, most) if parts}
            strips |= {each for each in here if full or each.parts[0].wide == wide}
            every = every and not [*islice(fills, 1)]
        for direction, (_, room) in enumerate(self.rooms):
            widths = sorted((wide for way, wide in self.widths if way == direction), reverse=True)
            stacks = _stacks(widths, 0, room, ()) if widths else iter(())
            sheets |= {SheetOf(direction, stack) for stack in islice(stacks, most)}
            every = every and not [*islice(stacks, 1)]
        return strips, sheets, every

    def add_emptier(self) -> None:
        """Every strip and sheet, as far as they are few: one that holds less may spare a setting. Then no part is cut
        that is not wanted."""
        strips, sheets, every = self._all(full=False)
        if not every or len(strips) > MOST_WAYS_SET:
            return
        self.strips, self.sheets = sorted(strips), sorted({*self.sheets, *sheets})
        self.most = self.least[: len(self.kinds)] + [inf] * len(self.widths)

    def _uses(self) -> Any:
        """For each setting of fence and stop the patterns that need it."""
        from scipy.sparse import csc_array  # noqa: PLC0415

        row: dict[tuple[bool, int], int] = {}
        cells: set[tuple[int, int]] = set()
        for column, strip in enumerate(self.strips):
            along = strip.direction == 0
            needs = {(along, part.wide) for part in strip.parts} | {(along, strip.wide)}
            needs |= {(not along, part.long) for part in strip.parts}
            cells |= {(row.setdefault(each, len(row)), column) for each in needs}
        rows, columns = zip(*cells, strict=True)
        return csc_array(([1.0] * len(cells), (rows, columns)), shape=(len(row), self.columns))

    @property
    def columns(self) -> int:
        return len(self.strips) + len(self.sheets)

    def chosen(self, seconds: float, sheets: int | None = None) -> _PatternUse | None:
        """The fewest sheets; or, of so many at the most, the least wood in strips and the fewest settings."""
        import numpy as np  # noqa: PLC0415
        from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
        from scipy.sparse import block_array, csc_array, eye_array  # noqa: PLC0415

        patterns: list[StripOf | SheetOf] = [*self.strips, *self.sheets]
        many = max(kind.many for kind in self.kinds)
        counted = np.array([0.0] * len(self.strips) + [1.0] * len(self.sheets))
        table, cost, most = self._table(), counted, np.full(self.columns, many)
        limits = [LinearConstraint(table, self.least, self.most)]
        if sheets is not None:
            wood = [strip.wide / self.rooms[strip.direction][1] for strip in self.strips]
            cost = np.array(wood + [0.0] * len(self.sheets))
            limits.append(LinearConstraint(counted, -np.inf, sheets))
        if sheets is not None and len(self.strips) <= MOST_WAYS_SET:
            # A second number for each setting says whether it is used.
            uses = self._uses()
            more = uses.shape[0]
            cost = np.append(cost, np.full(more, SETTING))
            most = np.append(most, np.ones(more))
            some = -many * len(self.kinds) * eye_array(more)
            limits = [
                LinearConstraint(
                    block_array([[table, csc_array((table.shape[0], more))]]), self.least, self.most
                ),
                LinearConstraint(np.append(counted, np.zeros(more)), -np.inf, sheets),
                LinearConstraint(block_array([[uses, some]]), -np.inf, 0.0),
            ]
        found = milp(
            cost,
            constraints=limits,
            integrality=np.ones(len(cost), dtype=int),
            bounds=Bounds(0, most),
            options={"time_limit": max(0.5, seconds)},
        )
        if found.x is None:
            return None
        used = zip(patterns, map(round, found.x), strict=False)
        return _PatternUse(
            {each: count for each, count in used if count}, sheets is None and found.status == 0
        )


def _fills(
    lying: Sequence[OnStrip], room: int, left: list[int], *, full: bool = True
) -> Iterator[tuple[OnStrip, ...] | None]:
    """Every way to fill a strip with no more of a kind than ``left``; ``None`` for each that leaves room for more,
    where it is to be ``full``."""

    def fill(at: int, room: int, parts: tuple[OnStrip, ...]) -> Iterator[tuple[OnStrip, ...] | None]:
        if at == len(lying):
            yield None if full and any(each.long <= room and left[each.kind] for each in lying) else parts
            return
        part = lying[at]
        for many in range(min(room // part.long, left[part.kind]), -1, -1):
            left[part.kind] -= many
            yield from fill(at + 1, room - many * part.long, (*parts, *(part,) * many))
            left[part.kind] += many

    return fill(0, room, ())


def _stacks(widths: Sequence[int], at: int, room: int, parts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to lay strips of these widths that leaves room for no more."""
    if at == len(widths):
        if room < widths[-1]:
            yield parts
        return
    for many in range(room // widths[at], -1, -1):
        yield from _stacks(widths, at + 1, room - many * widths[at], (*parts, *(widths[at],) * many))
