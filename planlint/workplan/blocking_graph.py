"""Which part stops which, for each way it might be moved: the directional blocking graph of a piece.

After Wilson and Latombe (1994), from memory: for one direction, an arc from part to part tells that the first cannot
be moved that way while the second stays. A set of parts comes off a piece that way just where no arc leads from it to
what stays; the least such sets are the strongly connected parts of the graph that no arc leaves. So for each direction
sets are found exactly, without trying them.

Tried are the six directions of the piece, and for parts that lie aslant their own and those square to their joints;
where none of them serves, a short move out of the joint followed by a second one, turned a corner.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import takewhile
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.box_index import BoxTree, boxes_meet
from planlint.geometry.shapes.vectors import dot, plus, scaled
from planlint.model.plan import Join
from planlint.text.rounding import ALIGNED
from planlint.workplan.joint_freedom import SQUARE, Freedom, channel_opened, easiest, freedom, remade
from planlint.workplan.swept_wood import Sweep, Wood, reach_of, share_wood, swept_box, wood_of

SIX: tuple[Vector, ...] = (
    (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0),
)  # fmt: skip
"""The directions of the piece in the order in which they are tried: a builder lifts off before anything else."""
MOST_WAYS = 40
"""Directions that are tried at most. Basis: our own judgement."""
_CLEAR = 1 / 16
"""Inches that a part is moved past the end of a joint before it turns a corner. Basis: our own judgement."""


class Move(NamedTuple):
    """How a set of parts leaves what stays: straight, or ``first`` so many inches, then straight along ``way``.

    Unit vectors in the piece's axes. Put together, it comes the same way back.
    """

    way: Vector
    first: tuple[Vector, float] | None = None


class Motions:
    """All that is known of how the parts of one piece can be moved; found when asked for, and kept.

    ``loosened`` joints are sprung, or left out: their two parts are in each other's way no more. ``notched`` ones are
    channels cut through at their ends: part A slides along them past what stopped it. ``remade`` ones another way.
    """

    def __init__(
        self,
        piece: Piece,
        loosened: frozenset[int] = frozenset(),
        notched: frozenset[int] = frozenset(),
        remade: frozenset[int] = frozenset(),
    ) -> None:
        self._piece = piece
        self.loosened = loosened
        self.notched = notched
        self.remade = remade
        self._freedom: dict[int, Freedom | None] = {}
        self._rows: dict[tuple[int, Move], frozenset[int]] = {}
        self._overlaps: dict[tuple[int, int], bool] = {}
        self._held: dict[frozenset[int], set[int]] = {}
        """For a group that did not come off straight, one part for each way that stopped it."""

    # ------------------------------------------------------------ what is there

    @cached_property
    def wood(self) -> tuple[Wood, ...]:
        return tuple(map(wood_of, self._piece.bodies))

    @cached_property
    def _tree(self) -> BoxTree:
        return BoxTree([wood.bounds for wood in self.wood])

    @cached_property
    def far(self) -> float:
        """Inches that take any part out of the piece."""
        return reach_of(self._piece.bounds)

    @cached_property
    def joins_of(self) -> tuple[tuple[Join, ...], ...]:
        """By part: its joints, those with itself left out."""
        found: list[list[Join]] = [[] for _ in self._piece.plan.parts]
        for join in self._piece.plan.joins:
            if join.part_a is not join.part_b:
                found[join.part_a.index].append(join)
                found[join.part_b.index].append(join)
        return tuple(map(tuple, found))

    def freedom(self, join: Join) -> Freedom | None:
        """The ways in which A may leave B; ``None`` where the plan does not settle how the two lie."""
        if join.index not in self._freedom:
            piece, found = self._piece, None
            if join.index not in self.loosened and piece.trusted(join):
                body = piece.body(join.part_a)
                found = freedom(join, piece.contact(join), body, piece.body(join.part_b))
                if join.index in self.notched:
                    found = channel_opened(join, body, found) or found
                if join.index in self.remade:
                    found = remade(join, found)
            self._freedom[join.index] = found
        return self._freedom[join.index]

    def ways(self, parts: Iterable[int]) -> tuple[Vector, ...]:
        """The directions tried for a set of parts; for each its opposite too."""
        found = list(SIX)
        parts = sorted(parts)
        for i in parts:
            body = self._piece.bodies[i]
            if body.rotation is not None:
                for axis in SIX:
                    _add(found, body.direction_to_piece(axis))
        for i in parts:
            for join in self.joins_of[i]:
                if join.part_a.index == i and (free := self.freedom(join)) is not None:
                    for way in (free.out, *free.only):
                        _add(found, way)
                        _add(found, scaled(way, -1.0))
            if len(found) >= MOST_WAYS:
                break
        return tuple(found[:MOST_WAYS])

    # ------------------------------------------------------------ what stops what

    def stopped_by(self, i: int, move: Move) -> frozenset[int]:
        """The parts, of the whole piece, that must go along if part ``i`` is to be moved so."""
        key = i, move
        found = self._rows.get(key)
        if found is None:
            found = self._rows[key] = frozenset(self._stopped_by(i, move))
        return found

    def _stopped_by(self, i: int, move: Move) -> set[int]:
        way = move.way if move.first is None else move.first[0]
        stops = self._guided_by(i, move)
        past: set[int] = {i}
        for join in self.joins_of[i]:
            other = (join.part_b if join.part_a.index == i else join.part_a).index
            free = self.freedom(join)
            if join.index in self.loosened or (
                free and not free.loose and join.index in self.notched and abs(dot(free.out, way)) < SQUARE
            ):
                past.add(other)
        legs: list[tuple[Vector, float, Vector]] = [(way, self.far, (0.0, 0.0, 0.0))]
        if move.first is not None:
            legs = [(way, move.first[1], (0.0, 0.0, 0.0)), (move.way, self.far, scaled(way, move.first[1]))]
        mover = self.wood[i]
        joined = {each.index for join in self.joins_of[i] for each in join.parts}
        for number, (direction, far, start) in enumerate(legs):
            sweep = Sweep(mover, direction, far, start)
            here = Box(*(plus(corner, start) for corner in mover.bounds))
            for j in self._tree.near(swept_box(here, direction, far)):
                if j in past or j in stops:
                    continue
                within = number == 0 and self._in_one_another(i, j)
                # Wood that a joint lets into wood is in no one's way while it moves as the joint allows.
                if (within and j in joined) or not self._fixed(i, j):
                    continue
                # A post whose tenon goes through one foot into another is in its way as soon as they are apart.
                deep = _shared(mover.bounds, self.wood[j].bounds, direction) if within else 0.0
                apart = Sweep(mover, direction, far, scaled(direction, deep)) if within else sweep
                if apart.runs_into(self.wood[j]):
                    stops.add(j)
        return stops

    def _guided_by(self, i: int, move: Move) -> set[int]:
        """The parts in a joint with part ``i`` that does not allow it to be moved so."""
        stops: set[int] = set()
        way = move.way if move.first is None else move.first[0]
        for join in self.joins_of[i]:
            free = self.freedom(join)
            if free is None or free.loose:
                continue
            mine = join.part_a.index == i
            # Still in the joint where it turns the corner, it is guided there too.
            guided = [way] if move.first is None or free.deep <= move.first[1] else [way, move.way]
            if not all(free.allows(each if mine else scaled(each, -1.0)) for each in guided):
                stops.add((join.part_b if mine else join.part_a).index)
        return stops

    def stop(self, group: Collection[int], stay: Collection[int], move: Move) -> int | None:
        """One of the parts that stay which stops a group from being moved so; ``None`` where none does. What lies in a
        joint with it is asked first: for that no wood is swept."""
        for ask in (self._guided_by, self.stopped_by):
            for i in group:
                for stops in ask(i, move):
                    if stops in stay:
                        return stops
        return None

    def _fixed(self, i: int, j: int) -> bool:
        parts = self._piece.plan.parts
        return self._piece.placement.fixed_together(parts[i], parts[j])

    def _in_one_another(self, i: int, j: int) -> bool:
        if not boxes_meet(self.wood[i].bounds, self.wood[j].bounds):
            return False
        key = (i, j) if i < j else (j, i)
        found = self._overlaps.get(key)
        if found is None:
            found = self._overlaps[key] = share_wood(self.wood[i], self.wood[j])
        return found

    def move_off(self, group: frozenset[int], present: frozenset[int]) -> Move | None:
        """A straight move by which a group comes off what else is present, as square to all of its joints as may be."""
        return next((move for _, move in self._straight_off(group, present)), None)

    def moves_off(self, group: frozenset[int], present: frozenset[int]) -> list[Move]:
        """All straight moves that are as square as the best of them, that first."""
        found = self._straight_off(group, present)
        best = next(found, None)
        if best is None:
            return []
        return [best[1], *(move for _, move in takewhile(lambda each: each[0] == best[0], found))]

    def _straight_off(
        self, group: frozenset[int], present: frozenset[int]
    ) -> Iterator[tuple[tuple[float, float], Move]]:
        """The straight moves by which a group comes off, the squarest first, with how square they are."""
        if group in self._held and self._held[group] <= present:
            return
        stay, held, open_to = present - group, set[int](), False
        square: list[Vector] = []
        for i in sorted(group):
            for join in self.joins_of[i]:
                mine = join.part_a.index == i
                other = (join.part_b if mine else join.part_a).index
                if other in present and other not in group and (free := self.freedom(join)) is not None:
                    out = easiest(join, free, self._piece.body(join.part_a), self._piece.body(join.part_b))
                    _add(square, out if mine else scaled(out, -1.0))
        shares = {
            way: (-min(each := [round(dot(out, way), 9) for out in square], default=0.0), -sum(each))
            for way in self.ways(group)
        }
        for way in sorted(shares, key=lambda way: shares[way]):
            move = Move(way)
            stops = self.stop(group, stay, move)
            if stops is None:
                open_to = True
                yield shares[way], move
            else:
                held.add(stops)
        if not open_to:
            self._held[group] = held

    def turned_moves(self, present: frozenset[int]) -> list[Move]:
        """Moves round a corner: out of a joint as far as it guides, then another way."""
        ways = self.ways(present)
        deep = {
            round(free.deep + _CLEAR, 4)
            for i in present
            for join in self.joins_of[i]
            if join.part_b.index in present and (free := self.freedom(join)) is not None and free.deep > 0
        }
        return [
            Move(way, (first, far))
            for first in ways
            for far in sorted(deep)[:3]
            for way in ways
            if abs(dot(first, way)) < ALIGNED
        ]

    # ------------------------------------------------------------ sets that come off

    def least_sets(self, groups: Sequence[frozenset[int]], move: Move) -> list[frozenset[int]]:
        """The least sets of groups that come off the others by a move, each as its parts; none where all must go.

        ``groups`` are parts that stay together; they are the whole of what is present.
        """
        import networkx as nx  # noqa: PLC0415 - a plan whose parts come off one by one does without

        home = {i: number for number, group in enumerate(groups) for i in group}
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(range(len(groups)))
        for number, group in enumerate(groups):
            for i in group:
                graph.add_edges_from(
                    (number, home[j]) for j in self.stopped_by(i, move) if home.get(j, number) != number
                )
        strong = list(nx.strongly_connected_components(graph))
        if len(strong) < 2:
            return []
        ends = [each for each in strong if all(to in each for n in each for to in graph.successors(n))]
        return sorted((frozenset(i for n in each for i in groups[n]) for each in ends), key=min)


def _shared(one: Box, other: Box, way: Vector) -> float:
    """Inches along a unit vector that bring a box out of all that it shares with another."""
    return sum(abs(step) * each for step, each in zip(way, one.shared(other), strict=True)) + _CLEAR


def _add(found: list[Vector], way: Vector) -> None:
    if not any(dot(each, way) > ALIGNED for each in found):
        found.append(way)


@of_piece
def motions(piece: Piece) -> Motions:
    """The motions of a piece."""
    return Motions(piece)
