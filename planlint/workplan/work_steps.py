"""The order of work as steps: what is put together when, with which screws, and where the clamps go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from math import ceil
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import makes_panel, rests
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.workplan.build_order import LENGTH_STEP, LONGEST_BIT, Assembly, assemblies, build_order
from planlint.workplan.clamps import Clamp, Clamping


class Slots(NamedTuple):
    """What a slotted joint lets move: a part, and along which axis, which is across its grain."""

    part: Part
    along: Axis


@dataclass(frozen=True)
class JoinWork:
    """One joint to be made."""

    join: Join
    settled: bool
    """Whether the parts are placed for certain, so that places along the joint can be told."""
    clamp: Clamp | None
    set_up: float | None = None
    """The longest bit and drill together, in inches, that reach its screws, where those of the shop do not."""

    @property
    def slots(self) -> Slots | None:
        """For a slotted joint, the wider of its boards that moves along it; ``None`` where none does."""
        join = self.join
        if not join.slotted or any(part.turn is not None for part in join.parts):
            return None
        ends = ((join.part_a, join.side_a), (join.part_b, join.side_b))
        moving = [part for part, side in ends if part.stock.material.solid and not part.is_edge(side)]
        widest = max(moving, key=lambda part: part.width, default=None)
        return None if widest is None else Slots(widest, widest.across)


@dataclass(frozen=True)
class Step:
    """``added`` is joined to ``standing`` by ``work``; both are single parts or what earlier steps made.

    A ``stuck`` step is one that no order makes: ``work`` are then the joints that are in one another's way.
    """

    number: int
    added: tuple[Part, ...]
    standing: tuple[Part, ...]
    work: tuple[JoinWork, ...]
    stuck: bool = False

    @property
    def made(self) -> tuple[Part, ...]:
        """The parts that hang together after this step, in the order of the plan."""
        return tuple(sorted((*self.added, *self.standing), key=lambda part: part.index))


def work_steps(piece: Piece) -> list[Step]:
    """All steps, in an order in which each joint can be driven when its turn comes, as far as there is one.

    Panels of boards come first. Inside each assembly the largest piece stands first, and each step brings one piece
    that joints tie to what stands, the one with the most such joints first; tops, backs and what only rests come last.
    Where only a shorter bit and drill than the shop's puts parts together, they are put together with it.
    """
    clamping = Clamping(piece)

    def work_of(joins: Sequence[Join], present: set[int], set_up: float | None) -> tuple[JoinWork, ...]:
        return tuple(
            JoinWork(
                join,
                piece.trusted(join),
                clamp,
                None if piece.blocking(join).isdisjoint(present) else set_up,
            )
            for join, clamp in zip(joins, clamping.of_step(joins, present), strict=True)
        )

    steps: list[Step] = []
    for assembly, set_up in _in_turn(piece):
        if assembly.stuck:
            work = work_of(assembly.joins, {part.index for part in assembly.parts}, None)
            steps.append(Step(len(steps) + 1, assembly.parts, (), work, stuck=True))
            continue
        for added, standing, joins in _one_by_one(assembly, lambda join: _comes_late(piece, join)):
            work = work_of(joins, {part.index for part in (*added, *standing)}, set_up)
            steps.append(Step(len(steps) + 1, added, standing, work))
    return steps


def _in_turn(piece: Piece) -> list[tuple[Assembly, float | None]]:
    """Every assembly of more than one part, those inside another before it and panels before all.

    With each the short set-up that it takes, if it does not go together with the bit and drill of the shop.
    """
    found: list[tuple[Assembly, float | None]] = []
    waiting: list[tuple[Assembly, float | None]] = [(each, None) for each in assemblies(piece)]
    while waiting:
        here, set_up = waiting.pop()
        if here.stuck and set_up is None:
            short = _with_short_set_up(piece, here)
            if not short.tree.stuck:
                here, set_up = short
        if len(here.parts) > 1:
            found.append((here, set_up))
            waiting += [(each, set_up) for each in here.steps]
    found.reverse()
    panels: set[frozenset[int]] = set()
    for here, _ in found:
        inside = all(len(each.parts) == 1 or _indices(each) in panels for each in here.steps)
        if inside and not here.stuck and all(map(makes_panel, here.joins)):
            panels.add(_indices(here))
    return sorted(found, key=lambda each: _indices(each[0]) not in panels)


def _indices(assembly: Assembly) -> frozenset[int]:
    return frozenset(part.index for part in assembly.parts)


class _Short(NamedTuple):
    """How a set of parts goes together with a short set-up, and how long that may be at most."""

    tree: Assembly
    set_up: float


def _with_short_set_up(piece: Piece, stuck: Assembly) -> _Short:
    """A set that the shop's bit and drill cannot put together, taken apart with the longest that does most for it.

    Judged as rule no-build-order judges it: the drill's body gets shorter, down to that rule's short set-up.
    """
    within, profile = _indices(stuck), piece.settings.profile
    inner = [join for join in piece.plan.joins if {part.index for part in join.parts} <= within]
    now = profile.driver_length + profile.drill_length
    least = min(now, piece.limits["no-build-order", "short set-up"])

    def taken_apart(total: float) -> Assembly:
        bit = min(profile.driver_length, LONGEST_BIT * total)
        short = replace(profile, driver_length=bit, drill_length=total - bit)

        def in_the_way(join: Join) -> frozenset[int]:
            return piece.in_the_way_of(piece.pockets(join), short) if piece.blocking(join) else frozenset()

        (tree,) = build_order(stuck.parts, inner, in_the_way)
        return tree

    def left(tree: Assembly) -> int:
        return sum(len(each.parts) for each in tree.stuck_sets())

    best = taken_apart(least)
    good, bad, most = 0, ceil((now - least) / LENGTH_STEP), left(best)
    while bad - good > 1:
        half = (good + bad) // 2
        tree = taken_apart(least + half * LENGTH_STEP)
        good, bad, best = (half, bad, tree) if left(tree) <= most else (good, half, best)
    return _Short(best, least + good * LENGTH_STEP)


Move = tuple[tuple[Part, ...], tuple[Part, ...], list[Join]]


def _comes_late(piece: Piece, join: Join) -> bool:
    """Whether a joint lays something on what stands: a top, a back panel, a part that rests."""
    kind = join.tradition.kind if join.tradition else ""
    return kind in {"resting", "glued"} or _under_a_top(join) or piece.kind(join).name == "edge band"


def _under_a_top(join: Join) -> bool:
    """Whether the upper edge of one part meets the underside of a board or panel that lies flat."""
    ends = (join.part_a, join.side_a), (join.part_b, join.side_b)
    return any(
        apron.is_edge(upper) and top.is_face(under) and under is Side.BOTTOM and not apron.is_face(Side.TOP)
        for (apron, upper), (top, under) in (ends, ends[::-1])
    )


def _lies_on_top(join: Join) -> int | None:
    """The part that lies on top of another without being held to it."""
    if not rests(join) or join.side_a.axis is not Axis.Z or any(part.turn for part in join.parts):
        return None
    return (join.part_a if join.side_a is Side.BOTTOM else join.part_b).index


def _one_by_one(assembly: Assembly, late: Callable[[Join], bool]) -> list[Move]:
    """The pieces of an assembly brought together one at a time: what comes, what stands, the joints between."""
    home = {part.index: number for number, piece in enumerate(assembly.steps) for part in piece.parts}
    ties: defaultdict[int, list[Join]] = defaultdict(list)
    for join in assembly.joins:
        for end in {home[join.part_a.index], home[join.part_b.index]}:
            ties[end].append(join)
    last = [all(map(late, ties[n])) for n in range(len(assembly.steps))]
    above = {home[upper] for join in assembly.joins if (upper := _lies_on_top(join)) is not None}
    first = max(
        range(len(assembly.steps)),
        key=lambda n: (not last[n], n not in above, len(assembly.steps[n].parts), len(ties[n]), -n),
    )
    standing = list(assembly.steps[first].parts)
    present, made = {first}, set[int]()
    count: defaultdict[int, int] = defaultdict(int)
    ready: list[tuple[bool, int, int]] = []
    moves: list[Move] = []
    here = first
    while True:
        for join in ties[here]:
            for end in (home[join.part_a.index], home[join.part_b.index]):
                if end not in present:
                    count[end] += 1
                    heappush(ready, (last[end], -count[end], end))
        while ready and ready[0][2] in present:
            heappop(ready)
        if not ready:
            return moves
        here = heappop(ready)[2]
        present.add(here)
        joins = []
        for join in ties[here]:
            ends = {home[join.part_a.index], home[join.part_b.index]}
            if ends <= present and join.index not in made:
                made.add(join.index)
                joins.append(join)
        added = assembly.steps[here].parts
        moves.append((added, tuple(standing), joins))
        standing += added
