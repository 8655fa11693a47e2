"""Parts and springs as one system of linear equations, and its balance under any forces.

Where contact would have to pull it is taken away, and the system solved again. A grain of stiffness is given to every
unknown first and then taken back by solving for what it carried: where that does not come to nothing, something moves,
and that is what is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from functools import partial
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.vectors import norm
from planlint.model.plan import Part
from planlint.statics.beam_parts import BeamPart, Floats, Whole
from planlint.statics.joint_ties import ONE_WAY, Kind, Tie
from planlint.statics.solved_loads import Ends, Force, Solution

BALANCE = 1e-6
"""The share of all loads by which forces may fail to balance."""
_NOTHING = 1e-3
"""The share of all loads below which a contact may pull, as good as none."""
LEAST_PULL = 1e-9
"""Pounds by which a contact that nothing loads may seem to be pulled. Basis: geometry of floats."""
GRAIN = 1e-5
"""Stiffness, in pounds an inch, that every unknown is given at first."""
_ROUNDS = 25
"""Times that contacts are taken away and brought back before what is found is left as it is."""
CORRECTIONS = 6
_FAR = 0.25
"""Share of the piece's size by which something must shift to be told as loose. Basis: our own judgement."""
MOST_FULL = 400
"""Unknowns up to which the matrix is kept full: from there on a sparse one is quicker, if scipy is installed. Contacts
up to which what holds with some open is had from what holds when all press."""
_FEW = 1 / 3
"""Share of the unknowns up to which other springs are taken into what is solved already. Basis: measured, what is
solved anew costs as much from there on."""

Flags = NDArray[np.bool_]
Solver = Callable[[Floats], Floats]
"""From forces to movements: of one set of them, or of a column each."""
_Matrix = Any
"""A full array of numpy's, or a sparse one of scipy's: the same algebra is asked of both."""
_Block = tuple[Sequence[int] | Whole, int, Floats]
"""Numbers of rows, the first of the columns, and what stands there."""


class Structure:
    """The parts and springs of a piece, ready for any forces."""

    def __init__(self, beams: Mapping[str, BeamPart], ties: Sequence[Tie], size: float) -> None:
        self.beams, self.ties, self.size = beams, tuple(ties), size
        self.unknowns = sum(beam.unknowns for beam in beams.values())
        self.presses = np.array([tie.kind in ONE_WAY for tie in self.ties])
        self.costs = np.array([tie.stiffness for tie in self.ties])
        self.ends = _ends(self.ties)
        self.shares = _matrix(_stretched(beams, self.ends), (len(self.ties), self.unknowns))
        self.alone = _matrix(_bending(beams), (self.unknowns, self.unknowns))
        self.contacts = np.flatnonzero(self.presses)
        self._right_of: dict[int, tuple[Force, Floats]] = {}
        self._known: dict[bytes, _SpringMatrix] = {}
        self._first: tuple[Floats, _SpringMatrix] | None = None
        """What springs cost when all first pressed, and that system: others are had from it."""
        self._gives: Floats | None = None
        """While all contacts press: how far each gives for a pound in each other."""

    def softened(self, stiffness: Mapping[int, float]) -> Structure:
        """The same with some springs, none of them contacts, of another stiffness, by their numbers."""
        other, ties = copy(self), list(self.ties)
        other._known, other._gives = {}, None
        for n, softer in stiffness.items():
            ties[n] = ties[n]._replace(stiffness=softer)
        other.ties, other.costs = tuple(ties), np.array([tie.stiffness for tie in ties])
        return other

    def pulls(self, moves: Floats) -> Floats:
        """The force in each spring."""
        found: Floats = self.costs * (self.shares @ moves)
        return found

    def solve(
        self, forces: Iterable[Force], before: Solution | None = None, *, feet_held: bool = False
    ) -> Solution:
        """The piece in balance under some forces. ``before`` has it under others, which are not far from these: looked
        for is from there on; with ``feet_held`` no foot lifts off, and none comes down, that does not there."""
        right, total = self._right(forces)
        free = self.presses
        pressing = free if before is None else np.array(before.pressing)
        if feet_held:
            free = free & np.array([tie.kind is not Kind.FLOOR for tie in self.ties])
        bad = max(_NOTHING * total, LEAST_PULL)
        seen: set[bytes] = set()
        quick = self._quick(right) if len(self.contacts) <= MOST_FULL else None
        for _ in range(_ROUNDS):
            seen.add(pressing.tobytes())
            if quick is not None:
                pulls = quick(pressing)
            else:
                found = self._solution(pressing, right, total)
                pulls = self.pulls(np.array(found.moves))
            follows = np.where(free & pressing, pulls <= bad, np.where(free, pulls < -bad, pressing))
            # What has been tried before goes round in a ring: then contacts are only taken away.
            then = follows & pressing if follows.tobytes() in seen else follows
            if then.tobytes() not in seen:
                pressing = then
            elif quick is not None:  # Where little holds the parts it loses its digits: looked at once more.
                quick, seen = None, set()
            else:
                return found
        return self._solution(pressing, right, total)

    def _quick(self, right: Floats) -> Callable[[Flags], Floats]:
        """The forces in contacts while some press, from how they are while all do."""
        on, costs = self.contacts, self.costs[self.contacts]
        rows, all_press = self.shares[on], self._system(self.presses)
        if self._gives is None:
            self._gives = rows @ all_press.solve(rows.T if isinstance(rows, np.ndarray) else rows.toarray().T)
        gives, stretched = self._gives, rows @ all_press.solve(right)

        def pulls(pressing: Flags) -> Floats:
            opened = np.flatnonzero(~pressing[on])
            inner = np.diag(1 / costs[opened]) - gives[opened[:, None], opened]
            found = np.zeros(len(self.ties))
            found[on] = costs * (stretched + np.linalg.solve(inner, stretched[opened]) @ gives[opened])
            return found

        return pulls

    def pushed(self, forces: Iterable[Force], before: Solution) -> Solution:
        """What some small forces more add to a piece in balance: contacts press, or stand open, as they did before."""
        right, total = self._right(forces)
        return self._solution(np.array(before.pressing), right, total)

    def work(self, forces: Iterable[Force], solution: Solution) -> float:
        """What some forces do while the piece goes where a solution takes it, in inch-pounds."""
        return float(self._right(forces)[0] @ np.array(solution.moves))

    def _right(self, forces: Iterable[Force]) -> tuple[Floats, float]:
        right, total = np.zeros(self.unknowns), 0.0
        for force in forces:
            beam, at = self.beams[force.part.name], force.point
            if id(force) not in self._right_of:
                moved = (
                    beam.spread_force(force.pounds) if at is None else beam.moves((at,), (force.pounds,))[0]
                )
                self._right_of[id(force)] = force, moved
            right[beam.columns] += self._right_of[id(force)][1]
            total += norm(force.pounds)
        return right, total

    def _system(self, pressing: Flags, *, anew: bool = False) -> _SpringMatrix:
        """What solves it while some contacts press: from the first that was solved, or ``anew``."""
        key = pressing.tobytes()
        known = self._known.get(key)
        if known is None or (anew and known.derived):
            costs = np.where(self.presses & ~pressing, 0.0, self.costs)
            other = () if self._first is None else np.flatnonzero(costs != self._first[0])
            few = len(other) <= _FEW * self.unknowns and isinstance(self.shares, np.ndarray)
            if anew or self._first is None or not few:
                matrix = self._stiffness(costs)
                known = _SpringMatrix(matrix.__matmul__, _solver(matrix, often=self._first is None))
            else:
                first, system = self._first
                known = system.changed(self.shares[other], (costs - first)[other])
            self._first = self._first or (costs, known)
            self._known[key] = known
        return known

    def _stiffness(self, costs: Floats) -> _Matrix:
        """What the beams and springs that cost so much resist with, for each pair of unknowns."""
        if not isinstance(self.shares, np.ndarray):
            return self.alone + (self.shares.T * costs) @ self.shares
        found = self.alone.copy()
        for name, ends in self.ends.items():  # Each spring touches but two parts: a tenth of the work.
            shares, first = self.shares[ends.numbers], self.beams[name].first
            own = slice(first, first + self.beams[name].unknowns)
            found[own] += (shares[:, own].T * costs[ends.numbers]) @ shares
        return found

    def _solution(self, pressing: Flags, right: Floats, total: float) -> Solution:
        system = self._system(pressing)
        moves, off = system.balanced(right, total)
        loose, way = self._loose(moves, off)
        if system.derived and (loose or off > BALANCE):  # Where little holds the parts digits are lost.
            moves, off = self._system(pressing, anew=True).balanced(right, total)
            loose, way = self._loose(moves, off)
        pulls = np.where(self.presses & ~pressing, 0.0, self.pulls(moves))
        return Solution(
            self.beams,
            self.ties,
            self.ends,
            tuple(pulls.tolist()),
            tuple(moves.tolist()),
            loose,
            way,
            tuple(pressing.tolist()),
            off,
        )

    def _loose(self, moves: Floats, off: float) -> tuple[tuple[Part, ...], Vector]:
        """The parts that go far, and where to: none where all is in balance and stays in its place."""
        shifts = moves.reshape(-1, 6)[:, :3]
        far = np.sqrt((shifts**2).sum(axis=1))
        most = int(far.argmax())
        if off <= BALANCE and far[most] < _FAR * self.size:
            return (), (0.0, 0.0, 0.0)
        loose = [
            beam.part for beam in self.beams.values() if far[beam.columns[::6] // 6].max() > far[most] / 10
        ]
        x, y, z = (shifts[most] / (far[most] or 1.0)).tolist()
        return tuple(loose), (x, y, z)


def _ends(ties: Sequence[Tie]) -> Mapping[str, Ends]:
    """What takes hold of each part, by its name."""
    points = np.array([tie.point for tie in ties]).reshape(-1, 3)
    ways = np.array([tie.direction for tie in ties], dtype=float).reshape(-1, 3)
    places = np.array([-tie.kind.value if tie.join is None else tie.join.index for tie in ties], dtype=int)
    of: dict[str, list[tuple[int, float]]] = {}
    for n, tie in enumerate(ties):
        of.setdefault(tie.part.name, []).append((n, -1.0))
        if tie.to is not None:
            of.setdefault(tie.to.name, []).append((n, 1.0))
    found = {}
    for name, each in of.items():
        numbers, signs = np.array([n for n, _ in each]), np.array([[sign] for _, sign in each])
        found[name] = Ends(numbers, points[numbers], signs * ways[numbers], places[numbers])
    return found


def _stretched(beams: Mapping[str, BeamPart], ends: Mapping[str, Ends]) -> Iterator[_Block]:
    """What an inch of each unknown stretches each tie by."""
    for name, each in ends.items():
        yield each.numbers, beams[name].first, beams[name].moves(each.points, each.ways)


def _bending(beams: Mapping[str, BeamPart]) -> Iterator[_Block]:
    """The stiffness of the beams, and the grain of each unknown."""
    for beam in beams.values():
        held = GRAIN * np.eye(beam.unknowns)
        if not beam.stiff:
            shares, costs = beam.springs()
            held += (shares.T * costs) @ shares
        yield range(beam.first, beam.first + beam.unknowns), beam.first, held


class _SpringMatrix:
    """What resists movements, and what solves it."""

    def __init__(self, resists: Solver, solve: Solver, *, derived: bool = False) -> None:
        self.resists, self.solve, self.derived = resists, solve, derived

    def changed(self, shares: Floats, more: Floats) -> _SpringMatrix:
        """The same with some springs stiffer by so much: Woodbury's identity (1950)."""
        spread = self.solve(shares.T)
        inner = np.diag(1 / more) + shares @ spread

        def solve(right: Floats) -> Floats:
            found = self.solve(right)
            less: Floats = spread @ np.linalg.solve(inner, shares @ found)
            return found - less

        def resists(moves: Floats) -> Floats:
            added: Floats = shares.T @ (more * (shares @ moves))
            return self.resists(moves) + added

        return _SpringMatrix(resists, solve, derived=True)

    def balanced(self, right: Floats, total: float) -> tuple[Floats, float]:
        """Movements, corrected for the grain of stiffness, and the share of the forces that it still carries."""
        moves, missing, off = np.zeros_like(right), right, 0.0
        for _ in range(CORRECTIONS):
            moves = moves + self.solve(missing)
            # The true stiffness is that less the grain: what is missing is solved for again.
            missing = right + GRAIN * moves - self.resists(moves)
            off = float(np.abs(missing).max()) / (total or 1.0)
            if off <= BALANCE / 100:
                break
        return moves, off


def _matrix(blocks: Iterable[_Block], shape: tuple[int, int]) -> _Matrix:
    """Blocks set side by side: a full matrix, or a sparse one, of which numpy's algebra asks the same."""
    if shape[1] <= MOST_FULL or find_spec("scipy") is None:
        full = np.zeros(shape)
        for rows, first, values in blocks:
            full[rows, first : first + values.shape[1]] = values
        return full
    from scipy.sparse import csr_array  # noqa: PLC0415 - for large pieces only

    found = []
    for rows, first, values in blocks:
        at, across = np.nonzero(values)
        found.append((np.array(rows)[at], first + across, values[at, across]))
    row, column, value = (np.concatenate(each) for each in zip(*found, strict=True))
    return csr_array((value, (row, column)), shape=shape)


def _solver(matrix: _Matrix, *, often: bool) -> Solver:
    if isinstance(matrix, np.ndarray):
        # The inverse costs what five solutions do, and each one then next to nothing.
        return np.linalg.inv(matrix).__matmul__ if often else partial(np.linalg.solve, matrix)
    from scipy.sparse.linalg import splu  # noqa: PLC0415

    # It is symmetric and its diagonal holds: no pivot is looked for, and an order that keeps it so fills in least.
    solve: Solver = splu(matrix.tocsc(), "MMD_AT_PLUS_A", 0.0, options={"SymmetricMode": True}).solve
    return solve
