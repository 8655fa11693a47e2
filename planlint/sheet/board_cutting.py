"""Boards cut to length: fewest boards, then least wood bought, then fewest ways to set the saw's stop.

All lengths are exact; the saw takes its kerf at each cut. The choice of patterns is an integer program (HiGHS, by
``scipy.optimize.milp``; the extra ``sheet``) over all ways to fill a board, after Gilmore and Gomory (1961). If there
are too many ways, they are found by need (column generation) and the answer is told with its bound. Without scipy the
boards are filled longest part first, and that is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from math import inf, lcm
from typing import NamedTuple

from planlint.sheet.knapsack import MOST_MARKS, fullest, solver_here
from planlint.text.rounding import SOLVED, whole_down, whole_up

_MOST_PATTERNS = 2_000
"""Ways to fill a board that are all weighed; beyond, they are found by need. Basis: own judgement, from times."""
_MOST_ROUNDS = 300
"""Rounds in which patterns are found by need. Basis: own judgement, from times."""
_SECONDS = 2.0
"""What each question to the solver may take. Basis: own judgement."""


class Board(NamedTuple):
    """A length that is sold, in inches; ``price`` for one, where the shop told it."""

    length: Fraction
    price: float | None = None


class Saw(NamedTuple):
    """What the saw takes at each cut, and what is trimmed from each end of a board as it is bought; inches."""

    kerf: Fraction
    trim: Fraction


@dataclass(frozen=True, slots=True)
class BoardCut:
    """``count`` boards cut alike: ``parts`` are indices of the lengths asked for, the longest first."""

    board: Board
    parts: tuple[int, ...]
    count: int

    def left(self, lengths: Sequence[Fraction], saw: Saw) -> Fraction:
        """What is left of one such board behind its last cut, its ends trimmed."""
        used = sum((lengths[part] + saw.kerf for part in self.parts), Fraction(0))
        return max(Fraction(0), self.board.length - 2 * saw.trim - used)


@dataclass(frozen=True, slots=True)
class BoardCutting:
    """How all lengths come out of boards. ``bound``: no way takes fewer boards (or, with prices, less money)."""

    boards: tuple[BoardCut, ...]
    bound: float
    how: str
    """``proved``, ``bounded`` (the best found, with its bound) or ``first fit`` (no solver at hand)."""

    @property
    def count(self) -> int:
        return sum(each.count for each in self.boards)

    @property
    def length(self) -> Fraction:
        """Inches of all boards together."""
        return sum((each.board.length * each.count for each in self.boards), Fraction(0))


class TooLong(ValueError):  # noqa: N818 - says what is wrong
    """A length that no board gives."""

    def __init__(self, length: Fraction) -> None:
        super().__init__(f"no board that is sold gives {length}")
        self.length = length


def cut_boards(
    lengths: Sequence[Fraction], counts: Sequence[int], sold: Sequence[Board], saw: Saw, *, exact: bool = True
) -> BoardCutting:
    """How ``counts[i]`` parts of each ``lengths[i]`` (inches, all different) come out of boards ``sold``.

    Raises ``TooLong`` for a length that no board gives, ``ValueError`` where nothing is sold. ``exact``: by the solver.
    """
    if not sold:
        raise ValueError("no length is sold")
    room = max(board.length for board in sold) - 2 * saw.trim
    for length in lengths:
        if length > room:
            raise TooLong(length)
    task = _BoardTask(lengths, counts, tuple(dict.fromkeys(sold)), saw)
    if exact and (found := _solved(task)) is not None:
        return found
    return BoardCutting(_in_order(task, _first_fit(task)), _by_length(task), "first fit")


class _BoardTask:
    """The same in whole numbers: each part with its kerf, each board with one kerf more (the last cut needs none)."""

    def __init__(
        self, lengths: Sequence[Fraction], counts: Sequence[int], sold: tuple[Board, ...], saw: Saw
    ) -> None:
        self.saw, self.sold, self.counts = saw, sold, tuple(counts)
        rooms = [board.length - 2 * saw.trim + saw.kerf for board in sold]
        needs = [length + saw.kerf for length in lengths]
        scale = lcm(*(number.denominator for number in (*rooms, *needs)))
        self.needs = [int(need * scale) for need in needs]
        self.rooms = [int(room * scale) for room in rooms]
        self.order = sorted(range(len(needs)), key=lambda i: -self.needs[i])
        self.priced = all(board.price is not None for board in sold)

    def with_counts(self, counts: Sequence[int]) -> _BoardTask:
        """The same for other counts."""
        fewer = copy(self)
        fewer.counts = tuple(counts)
        return fewer

    def cost(self, board: int) -> float:
        """What the first question counts: money where it is known, else boards."""
        price = self.sold[board].price
        return price if self.priced and price is not None else 1.0


_Pattern = tuple[int, tuple[int, ...]]
"""A board and how many of each length come out of it."""


def _by_length(task: _BoardTask) -> float:
    """No way takes less than this: all that is needed, by the board that gives most for its cost."""
    whole = sum(need * count for need, count in zip(task.needs, task.counts, strict=True))
    least = min(task.cost(b) * whole / room for b, room in enumerate(task.rooms) if room > 0)
    return least if task.priced else float(whole_up(least))


def _first_fit(task: _BoardTask) -> tuple[BoardCut, ...]:
    """Longest part first, each into the first board that has room; a new one is the shortest that takes the most."""
    open_boards: list[tuple[int, int, list[int]]] = []
    by_room = sorted(range(len(task.rooms)), key=lambda b: (-task.rooms[b], task.cost(b)))
    for part in task.order:
        for _ in range(task.counts[part]):
            for place, (board, room, parts) in enumerate(open_boards):
                if room >= task.needs[part]:
                    parts.append(part)
                    open_boards[place] = (board, room - task.needs[part], parts)
                    break
            else:
                open_boards.append((by_room[0], task.rooms[by_room[0]] - task.needs[part], [part]))
    filled: Counter[tuple[int, tuple[int, ...]]] = Counter()
    for _, room, parts in open_boards:
        used = task.rooms[by_room[0]] - room
        board = min((b for b in range(len(task.rooms)) if task.rooms[b] >= used), key=lambda b: task.rooms[b])
        filled[board, tuple(parts)] += 1
    return tuple(BoardCut(task.sold[board], parts, count) for (board, parts), count in filled.items())


# ---------------------------------------------------------------- the exact choice


def _solved(task: _BoardTask) -> BoardCutting | None:
    """The best choice of patterns; ``None`` where there is no solver, or it found nothing in its time."""
    if not solver_here():
        return None
    patterns = list(_fillings(task, _MOST_PATTERNS + 1))
    if len(patterns) > _MOST_PATTERNS:
        return _rounded(task)
    chosen, proved = _choice(task, patterns)
    if chosen is None:
        return None
    cost = sum(task.cost(patterns[p][0]) * count for p, count in chosen.items())
    return _told(task, _as_cut(task, patterns, chosen), cost if proved else _by_length(task))


def _rounded(task: _BoardTask) -> BoardCutting | None:
    """Patterns found by need: whole boards of each as far as the answer in fractions has them, the rest likewise."""
    patterns, shares, bound = _by_need(task)
    whole = {p: whole_down(share, SOLVED) for p, share in enumerate(shares) if share >= 1 - SOLVED}
    if not whole:
        whole = {max(range(len(shares)), key=lambda p: shares[p]): 1}
    boards = _as_cut(task, patterns, whole)
    rest = list(task.counts)
    for cut in boards:
        for part in cut.parts:
            rest[part] -= cut.count
    left = _solved(task.with_counts(rest)) if any(rest) else None
    if any(rest) and left is None:
        return None
    return _told(task, (*boards, *(left.boards if left else ())), max(bound, _by_length(task)))


def _told(task: _BoardTask, boards: tuple[BoardCut, ...], bound: float) -> BoardCutting:
    """With what the bound says of it; longest-first where that takes no more."""
    simple = _first_fit(task)
    cost, plain = (
        sum(task.cost(task.sold.index(cut.board)) * cut.count for cut in each) for each in (boards, simple)
    )
    if plain < cost - SOLVED:
        boards, cost = simple, plain
    bound = bound if task.priced else float(whole_up(bound, SOLVED))
    return BoardCutting(_in_order(task, boards), bound, "proved" if bound >= cost - SOLVED else "bounded")


def _fillings(task: _BoardTask, most: int) -> Iterator[_Pattern]:
    """Every way to fill a board to which no part can be added that is still wanted, ``most`` at most."""
    told = 0
    for board, room in enumerate(task.rooms):
        stack: list[tuple[int, int, tuple[int, ...]]] = [(0, room, ())]
        while stack:
            place, left, taken = stack.pop()
            if place == len(task.order):
                full = [0] * len(task.order)
                for part, count in zip(task.order, taken, strict=True):
                    full[part] = count
                spare = any(
                    need <= left and have < want
                    for need, have, want in zip(task.needs, full, task.counts, strict=True)
                )
                if not spare and any(full):
                    yield board, tuple(full)
                    told += 1
                    if told >= most:
                        return
                continue
            part = task.order[place]
            fits = min(task.counts[part], left // task.needs[part])
            stack += [(place + 1, left - n * task.needs[part], (*taken, n)) for n in range(fits + 1)]


def _by_need(task: _BoardTask) -> tuple[list[_Pattern], list[float], float]:
    """Patterns found one after another by what they would spare (column generation), how many boards of each an answer
    in fractions takes, and the bound that this proves."""
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import linprog  # noqa: PLC0415

    patterns: list[_Pattern] = []
    for cut in _first_fit(task):
        full = [0] * len(task.needs)
        for part in cut.parts:
            full[part] += 1
        patterns.append((task.sold.index(cut.board), tuple(full)))
    for part, need in enumerate(task.needs):
        board = max(range(len(task.rooms)), key=lambda b: task.rooms[b])
        alone = [0] * len(task.needs)
        alone[part] = min(task.rooms[board] // need, task.counts[part])
        patterns.append((board, tuple(alone)))
    bound, shares = 0.0, []
    for _ in range(_MOST_ROUNDS):
        table = np.array([counts for _, counts in patterns], dtype=float).T
        costs = [task.cost(board) for board, _ in patterns]
        answer = linprog(costs, A_ub=-table, b_ub=[-float(count) for count in task.counts], method="highs")
        if answer.x is None or answer.fun is None:
            break
        shares = [float(share) for share in answer.x]
        worth = [-float(each) for each in answer.ineqlin.marginals]
        best = [
            (*fullest(task.needs, task.counts, room, worth), board) for board, room in enumerate(task.rooms)
        ]
        # Farley's bound (1990): the dual values, made small enough that no pattern is worth more than its cost.
        over = max(value / task.cost(board) for value, _, board in best)
        if max(task.rooms) <= MOST_MARKS:
            bound = max(bound, float(answer.fun) / max(1.0, over))
        new = [(board, counts) for value, counts, board in best if value > task.cost(board) + SOLVED]
        new = [each for each in new if each not in patterns]
        if not new:
            break
        patterns += new
    return patterns[: len(shares)], shares, bound


class _Goal(NamedTuple):
    """What a choice must keep to: the sum of ``weights`` times the boards of each pattern."""

    weights: Sequence[float]
    least: float
    most: float


def _choice(task: _BoardTask, patterns: Sequence[_Pattern]) -> tuple[dict[int, int] | None, bool]:
    """How many boards of each pattern: least cost, then least length, then fewest patterns; whether the first of these
    is proved."""
    most = sum(task.counts)
    limits = [
        _Goal([counts[part] for _, counts in patterns], task.counts[part], inf)
        for part in range(len(task.needs))
    ]
    cost = [task.cost(board) for board, _ in patterns]
    long = [float(task.sold[board].length) for board, _ in patterns]
    answer, proved = None, True
    for number, goal in enumerate((cost, long)):
        found, ended = _least(goal, limits, most)
        if found is None:
            break
        answer = found
        proved = ended if number == 0 else proved
        reached = sum(weight * count for weight, count in zip(goal, answer, strict=True))
        limits.append(_Goal(goal, -inf, reached + SOLVED))
    if answer is None:
        return None, False
    if len(patterns) <= _MOST_PATTERNS // 10:
        answer = _fewest_patterns(limits, sum(answer), len(patterns)) or answer
    return {p: count for p, count in enumerate(answer) if count}, proved


def _least(goal: Sequence[float], limits: Sequence[_Goal], most: int) -> tuple[list[int] | None, bool]:
    """Whole numbers from 0 to ``most`` that reach the least of ``goal``; whether that is proved."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415

    found = milp(
        list(goal),
        constraints=LinearConstraint(
            [list(each.weights) for each in limits],
            [each.least for each in limits],
            [each.most for each in limits],
        ),
        integrality=[1] * len(goal),
        bounds=Bounds(0, most),
        options={"time_limit": _SECONDS},
    )
    return (None if found.x is None else [round(each) for each in found.x]), found.status == 0


def _fewest_patterns(limits: Sequence[_Goal], most: int, many: int) -> list[int] | None:
    """The same boards with as few different fillings as can be: a second number for each says whether it is used."""
    none = [0.0] * many
    wider = [_Goal([*each.weights, *none], each.least, each.most) for each in limits]
    for p in range(many):
        used = [0.0] * (2 * many)
        used[p], used[many + p] = 1.0, -float(most)
        wider.append(_Goal(used, -inf, 0.0))
    found, _ = _least([*none, *[1.0] * many], wider, most)
    return found and found[:many]


def _as_cut(task: _BoardTask, patterns: Sequence[_Pattern], chosen: dict[int, int]) -> tuple[BoardCut, ...]:
    """Boards with just the parts that are wanted: what a pattern gives beyond that is left on the board."""
    wanted = list(task.counts)
    boards: Counter[tuple[int, tuple[int, ...]]] = Counter()
    for p, count in sorted(chosen.items(), key=lambda each: -each[1]):
        board, counts = patterns[p]
        for _ in range(count):
            parts: list[int] = []
            for part in task.order:
                take = min(counts[part], wanted[part])
                wanted[part] -= take
                parts += [part] * take
            if parts:
                boards[board, tuple(parts)] += 1
    return tuple(BoardCut(task.sold[board], parts, count) for (board, parts), count in boards.items())


def _in_order(task: _BoardTask, boards: Sequence[BoardCut]) -> tuple[BoardCut, ...]:
    """Longest boards and parts first, equal ones told once."""
    counts: Counter[tuple[Board, tuple[int, ...]]] = Counter()
    for cut in boards:
        counts[cut.board, cut.parts] += cut.count
    place = {part: n for n, part in enumerate(task.order)}
    merged = (BoardCut(board, parts, count) for (board, parts), count in counts.items())
    return tuple(sorted(merged, key=lambda each: (-each.board.length, [place[part] for part in each.parts])))
