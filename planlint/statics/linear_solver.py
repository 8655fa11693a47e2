"""Symmetric systems of linear equations with few neighbours to each unknown, as structures give them.

Unknowns come in sixes, as the nodes of beams have them. Measured on pieces of 8 to 30 parts (300 to 700 unknowns):
elimination here takes no longer than numpy's on a full matrix, and nothing has to be imported, which costs as much
again; so loads are judged wherever planlint runs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

Rows = Sequence[dict[int, float]]
"""A symmetric matrix: each row's entries by column, from the diagonal on; what is told left of it is not read."""
Solve = Callable[[Sequence[float]], list[float]]

SIX = 6
_Block = list[list[float]]


class _Step(NamedTuple):
    """A node taken out: its first unknown, the inverse of its own block, the unknowns beside it, and what each of its
    six takes of each of those."""

    first: int
    inverse: _Block
    beside: list[int]
    shares: _Block


def solver(rows: Rows) -> Solve:
    """What solves ``rows @ x = right`` for any right side: Gauss's elimination, the node of fewest neighbours first.

    No pivot is looked for between nodes: the matrix of a structure needs none. Raises ``ZeroDivisionError`` where it is
    singular.
    """
    left = _in_sixes(rows)
    beside: dict[int, set[int]] = {node: set() for node in range(len(rows) // SIX)}
    for i, row in enumerate(left):
        for other in row:
            beside[i // SIX].add(other)
            beside[other].add(i // SIX)
    for node, others in beside.items():
        others.discard(node)
    steps = []
    while beside:
        node = min(beside, key=lambda each: len(beside[each]))
        steps.append(_take_out(left, node, beside))
    steps_back = steps[::-1]

    def solve(right: Sequence[float]) -> list[float]:
        value = list(right)
        for first, _, others, shares in steps:
            v0, v1, v2, v3, v4, v5 = value[first : first + SIX]
            for c, a0, a1, a2, a3, a4, a5 in zip(others, *shares, strict=True):
                value[c] -= v0 * a0 + v1 * a1 + v2 * a2 + v3 * a3 + v4 * a4 + v5 * a5
        for first, inverse, others, shares in steps_back:
            mine = value[first : first + SIX]
            beyond = [value[c] for c in others]
            for p in range(SIX):
                value[first + p] = _dot(inverse[p], mine) - _dot(shares[p], beyond)
        return value

    return solve


def _in_sixes(rows: Rows) -> list[dict[int, list[float]]]:
    """Each row by nodes; of each pair of nodes it is kept once, in the rows of the lower."""
    left: list[dict[int, list[float]]] = [{} for _ in rows]
    for i, row in enumerate(rows):
        for j, a in row.items():
            if j >= i:
                left[i].setdefault(j // SIX, [0.0] * SIX)[j % SIX] = a
                if j // SIX == i // SIX:
                    left[j].setdefault(j // SIX, [0.0] * SIX)[i % SIX] = a
    return left


def _take_out(left: list[dict[int, list[float]]], node: int, beside: dict[int, set[int]]) -> _Step:
    neighbours = sorted(beside.pop(node))
    first, zero = SIX * node, [0.0] * SIX
    own = left[first : first + SIX]
    inverse = inverted([row[node] for row in own])
    reach, shares = {}, {}
    for each in neighbours:
        block = (
            [row.get(each, zero) for row in own]
            if each > node
            else [
                list(column)
                for column in zip(
                    *(row.get(node, zero) for row in left[SIX * each : SIX * each + SIX]), strict=True
                )
            ]
        )
        reach[each] = list(zip(*block, strict=True))
        shares[each] = [
            [
                i0 * b0 + i1 * b1 + i2 * b2 + i3 * b3 + i4 * b4 + i5 * b5
                for b0, b1, b2, b3, b4, b5 in reach[each]
            ]
            for i0, i1, i2, i3, i4, i5 in inverse
        ]
    for at, each in enumerate(neighbours):
        beyond = [(other, list(zip(*shares[other], strict=True))) for other in neighbours[at:]]
        for row, (r0, r1, r2, r3, r4, r5) in zip(
            left[SIX * each : SIX * each + SIX], reach[each], strict=True
        ):
            for other, taken in beyond:
                row[other] = [
                    x - (r0 * a0 + r1 * a1 + r2 * a2 + r3 * a3 + r4 * a4 + r5 * a5)
                    for x, (a0, a1, a2, a3, a4, a5) in zip(row.get(other, zero), taken, strict=True)
                ]
    together = set(neighbours)
    for each in neighbours:
        beside[each] |= together
        beside[each] -= {each, node}
    others = [SIX * each + n for each in neighbours for n in range(SIX)]
    return _Step(
        first, inverse, others, [[a for each in neighbours for a in shares[each][p]] for p in range(SIX)]
    )


def inverted(block: _Block) -> _Block:
    """The inverse of a small full matrix, by Gauss and Jordan with the largest pivot."""
    size = len(block)
    wide = [[*row, *(1.0 if i == j else 0.0 for j in range(size))] for i, row in enumerate(block)]
    for i in range(size):
        best = max(range(i, size), key=lambda n: abs(wide[n][i]))
        wide[i], wide[best] = wide[best], wide[i]
        pivot = wide[i][i]
        wide[i] = top = [each / pivot for each in wide[i]]
        for n in range(size):
            if n != i and wide[n][i]:
                times = wide[n][i]
                wide[n] = [a - times * b for a, b in zip(wide[n], top, strict=True)]
    return [row[size:] for row in wide]


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum([a * b for a, b in zip(one, other, strict=True)])
