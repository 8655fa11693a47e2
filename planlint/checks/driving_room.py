"""Drivers that cannot reach a screw, and pieces that no order of work puts together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import ceil
from typing import NamedTuple

from planlint.checks.row_trial import behind, has_room, set_out_freely, shows
from planlint.checks.row_view import Row, at_most, listed, rows
from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.facts import Pocket
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.text.measures import length
from planlint.workplan.build_order import (
    LENGTH_STEP,
    LONGEST_BIT,
    Assembly,
    Blocking,
    assemblies,
    build_order,
    least_stuck,
)

MOST_NAMED = 4
"""Joints of a knot that one finding tells one by one. Basis: our own judgement."""
MOST_KNOTS = 24
"""Knots of one set of parts that are told: each costs a search of the whole set. Basis: our own judgement."""
MOST_UNDONE = 24
"""Joints of a knot tried for the one that undoes it: each costs a search of the knot. Basis: our own judgement."""


def no_room_to_drive(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The part that a screw goes into stands itself where the driver for it must stand."""
    for row in rows(piece):
        shut = [pocket for pocket in row.pockets if piece.into_in_the_way(pocket)]
        if not shut:
            continue
        at = row.setting_out(pocket.station for pocket in shut)
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=(
                f"No driver reaches the screw{'' if len(shut) == 1 else 's'} {at}, in the {row.asked.face.value} of "
                f"{row.part.name}: {row.into.name} stands in the way of its own screw."
            ),
            repairs=_from_elsewhere(row, (), _places_with_room(row, ())),
        )


def no_build_order(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A set of parts in which every way to take the last joint apart is blocked by a part of the set.

    Each knot is told at one of its joints. That one then counts as free, and the search goes on for the next knot.
    """
    stuck_sets = [stuck for whole in assemblies(piece) for stuck in whole.stuck_sets()]
    if not stuck_sets:
        return
    first: dict[int, Row] = {}
    for row in rows(piece):
        first.setdefault(row.join.index, row)
    at_part: defaultdict[int, list[Join]] = defaultdict(list)
    for join in piece.plan.joins:
        at_part[join.part_a.index].append(join)
    free: set[int] = set()

    def blocking(join: Join) -> frozenset[int]:
        return frozenset() if join.index in free else piece.blocking(join)

    for stuck in stuck_sets:
        waiting, told = [stuck], 0
        while waiting and told < MOST_KNOTS:
            piece.tick()
            here = _by_place(piece, waiting.pop())
            inner = _inside(here.parts, at_part)
            knot = least_stuck(here, inner, blocking)
            case = _Knot(piece, knot, tuple(_inside(knot.parts, at_part)), blocking, first)
            row, places = _way_out(case)
            yield _no_order(rule, case, row, places)
            free.add(row.join.index)
            told += 1
            waiting += [
                each for tree in build_order(here.parts, inner, blocking) for each in tree.stuck_sets()
            ]


def _by_place(piece: Piece, stuck: Assembly) -> Assembly:
    """Its parts in an order that neither names nor the order of statements change."""
    parts = sorted(stuck.parts, key=lambda part: tuple(round(x, 4) for x in piece.body(part).middle[::-1]))
    return replace(stuck, parts=tuple(parts))


def _inside(parts: Iterable[Part], at_part: Mapping[int, Sequence[Join]]) -> list[Join]:
    """The joints with both ends among some parts, in the order of the plan."""
    present = {part.index for part in parts}
    found = [join for i in present for join in at_part.get(i, ()) if join.part_b.index in present]
    return sorted(found, key=lambda join: join.index)


class _Knot(NamedTuple):
    """A set of parts that no order puts together, its joints, and what blocks them where earlier knots are undone."""

    piece: Piece
    stuck: Assembly
    inner: tuple[Join, ...]
    blocking: Blocking
    first: Mapping[int, Row]

    @property
    def told(self) -> list[Join]:
        """The joints that are in one another's way, by place."""
        return sorted(self.stuck.joins, key=lambda join: _place(self.piece, join))

    def holds(self, blocking: Blocking) -> bool:
        """Whether there is still no order with other things in the way."""
        return any(tree.stuck_sets() for tree in build_order(self.stuck.parts, self.inner, blocking))

    def others(self, row: Row) -> list[Part]:
        return [part for part in self.stuck.parts if part not in row.join.parts]

    def longest_that_fits(self, least: float) -> float | None:
        """The longest bit and drill together, in inches, with which there is an order; ``None`` under ``least``.

        The bit stays as it is and the drill's body gets shorter, so that what fits once fits shorter too.
        """
        profile = self.piece.settings.profile
        now = profile.driver_length + profile.drill_length

        def fits(total: float) -> bool:
            bit = min(profile.driver_length, LONGEST_BIT * total)
            short = replace(profile, driver_length=bit, drill_length=total - bit)

            def in_the_way(join: Join) -> frozenset[int]:
                if not self.blocking(join):
                    return frozenset()
                return self.piece.in_the_way_of(self.piece.pockets(join), short)

            return not self.holds(in_the_way)

        if now <= least or not fits(least):
            return None
        good, bad = 0, ceil((now - least) / LENGTH_STEP)
        while bad - good > 1:
            half = (good + bad) // 2
            good, bad = (half, bad) if fits(least + half * LENGTH_STEP) else (good, half)
        return least + good * LENGTH_STEP


def _no_order(rule: Rule, knot: _Knot, row: Row, places: Sequence[float] | None) -> Finding:
    piece, names = knot.piece, [part.name for part in knot.stuck.parts]
    within, joins = {part.index for part in knot.stuck.parts}, knot.told
    told = [_blocked(piece, join, within) for join in joins[:MOST_NAMED]]
    more = f"; and {len(joins) - MOST_NAMED} more joints likewise" if len(joins) > MOST_NAMED else ""
    fits = knot.longest_that_fits(rule.limit("short set-up", piece.settings))
    profile = piece.settings.profile
    return rule.finding(
        grade=None if fits is None else min(rule.grade, Grade.CAUTION),
        span=row.asked.span,
        joint=row.join.name,
        parts=names,
        says=(
            f"No order of work puts {listed(names)} together: {'; '.join(told)}{more}. Whichever joint comes last, its "
            "screws are out of reach."
        ),
        measured=None if fits is None else profile.driver_length + profile.drill_length,
        limit=fits,
        unit=None if fits is None else "in",
        repairs=_from_elsewhere(row, knot.others(row), places, fits),
    )


def _way_out(knot: _Knot) -> tuple[Row, list[float] | None]:
    """The row whose joint, made in another way, undoes the knot; best one whose pockets can be moved, out of sight.

    With it the places along the joint that they can be moved to, if any.
    """
    joins = knot.told[:MOST_UNDONE]

    def undoes(free: Join) -> bool:
        return not knot.holds(lambda join: frozenset() if join is free else knot.blocking(join))

    undoing = [knot.first[join.index] for join in joins if undoes(join)] or [knot.first[joins[0].index]]
    moved = []
    for row in undoing:
        others, pockets = knot.others(row), behind(row)
        places = _places_with_room(row, others)
        if places is not None:
            return row, places
        if pockets and has_room(row, pockets, others):
            if not _would_show(row, pockets):
                return row, None
            moved.append(row)
    return (moved or undoing)[0], None


def _place(piece: Piece, join: Join) -> tuple[float, ...]:
    """Where a joint lies: an order that neither names nor the order of statements change."""
    x, y, z = piece.pockets(join)[0].exit
    return round(z, 4), round(x, 4), round(y, 4)


def _blocked(piece: Piece, join: Join, within: set[int]) -> str:
    names = [piece.plan.parts[i].name for i in sorted(piece.blocking(join)) if i in within]
    stand = "stands" if len(names) == 1 else "stand"
    return f"{listed(names)} {stand} in the driver's way at {join.part_a.name} to {join.part_b.name}"


def _from_elsewhere(
    row: Row, others: Sequence[Part], places: Sequence[float] | None, fits: float | None = None
) -> list[str]:
    """Other places along the joint, or the other face, where a driver has room; else a shorter one, or no screws.

    ``places`` are those along the joint with room; the other face comes last where the pockets would show in it.
    """
    profile, unit = row.piece.settings.profile, row.unit
    ways = []
    if places is not None:
        ways.append(
            f"set the pockets of {row.joint} out at {row.setting_out(places)}: there the driver has room."
        )
    moved = behind(row)
    drill = f"drill the pockets of {row.joint} in the {row.asked.face.opposite.value} of {row.part.name}"
    room = bool(moved) and has_room(row, moved, others)
    show = room and _would_show(row, moved)
    if room and not show:
        ways.append(f"{drill}: there is room.")
    keys = "`driver-length` and `drill-length` under `[drilling]` in planlint.toml"
    taken = f"{length(profile.driver_length, unit)} and {length(profile.drill_length, unit)}"
    if fits is not None:
        ways.append(
            f"drive with bit and drill no longer than {at_most(fits, unit)} together, and give their lengths, taken "
            f"as {taken}, as {keys}."
        )
    no_screws = f"make {row.joint} with glue, dowels or a tenon instead of pocket screws"
    if fits is None:
        no_screws += (
            "; or drive it by hand or by a right-angle drive, and give the lengths of its bit and drill, taken as "
            f"{taken}, as {keys}"
        )
    ways.append(f"{no_screws}.")
    if show:
        ways.append(f"{drill} and plug them: they show.")
    return [f"{way[0].upper()}{way[1:]}" if n == 0 else f"Or {way}" for n, way in enumerate(ways)]


def _would_show(row: Row, pockets: Sequence[Pocket]) -> bool:
    """Whether pockets moved elsewhere would be holes in sight: a row that is plugged is plugged there too."""
    return not row.asked.plugged and shows(row, pockets)


def _places_with_room(row: Row, others: Sequence[Part]) -> list[float] | None:
    """The row moved as little as is needed for a driver to pass the receiving part and ``others``.

    ``None`` where there is no such place, or only where pockets show that do not as they are.
    """
    piece = row.piece
    ground = piece.ground(row.join, row.number)
    if ground is None:
        return None
    found = set_out_freely(
        row, lambda station: ground.free(station) and has_room(row, (ground.pocket(station),), others)
    )
    if found is None or not _would_show(row, [ground.pocket(station) for station in found]):
        return found
    return found if shows(row, row.pockets) else None
