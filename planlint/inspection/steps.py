"""The order of work as steps: what is put together when, with which screws, and where the clamps go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from planlint.checks.rows import Row, rows
from planlint.geometry.build_order import Assembly
from planlint.geometry.piece import Piece
from planlint.inspection.clamps import Clamp, Clamping
from planlint.model.plan import Join, Part


@dataclass(frozen=True)
class JoinWork:
    """One joint to be made: its rows of pockets (none where the plan does not settle where they lie, or has none)."""

    join: Join
    rows: tuple[Row, ...]
    settled: bool
    """Whether the parts are placed for certain, so that places along the joint can be told."""
    clamp: Clamp | None


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

    Inside each assembly the largest piece stands first, and each step brings one piece that joints tie to what
    stands, the one with the most such joints first; tops, backs and what only rests come last.
    """
    by_join: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows(piece):
        by_join[row.join.index].append(row)
    clamping = Clamping(piece)

    def work_of(joins: Sequence[Join], present: Iterable[Part]) -> tuple[JoinWork, ...]:
        clamps = clamping.of_step(joins, {part.index for part in present})
        return tuple(
            JoinWork(join, tuple(by_join.get(join.index, ())), piece.trusted(join), clamp)
            for join, clamp in zip(joins, clamps, strict=True)
        )

    steps: list[Step] = []
    for assembly in _inner_first(piece.assemblies):
        if assembly.stuck:
            work = work_of(assembly.joins, assembly.parts)
            steps.append(Step(len(steps) + 1, assembly.parts, (), work, stuck=True))
            continue
        for added, standing, joins in _one_by_one(assembly, lambda join: _comes_late(piece, join)):
            work = work_of(joins, (*added, *standing))
            steps.append(Step(len(steps) + 1, added, standing, work))
    return steps


def _inner_first(trees: Iterable[Assembly]) -> list[Assembly]:
    """Every assembly of more than one part, those inside another before it."""
    found: list[Assembly] = []
    waiting = list(trees)
    while waiting:
        here = waiting.pop()
        if len(here.parts) > 1:
            found.append(here)
            waiting += here.steps
    return found[::-1]


Move = tuple[tuple[Part, ...], tuple[Part, ...], list[Join]]


def _comes_late(piece: Piece, join: Join) -> bool:
    """Whether a joint lays something on what stands: a top, a back panel, a part that rests."""
    kind = join.tradition.kind if join.tradition else ""
    return kind in {"resting", "glued"} or piece.kind(join).name in {"top to apron", "edge band"}


def _one_by_one(assembly: Assembly, late: Callable[[Join], bool]) -> list[Move]:
    """The pieces of an assembly brought together one at a time: what comes, what stands, the joints between."""
    home = {part.index: number for number, piece in enumerate(assembly.steps) for part in piece.parts}
    ties: defaultdict[int, list[Join]] = defaultdict(list)
    for join in assembly.joins:
        for end in {home[join.part_a.index], home[join.part_b.index]}:
            ties[end].append(join)
    last = [all(map(late, ties[n])) for n in range(len(assembly.steps))]
    first = max(
        range(len(assembly.steps)),
        key=lambda n: (not last[n], len(assembly.steps[n].parts), len(ties[n]), -n),
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
