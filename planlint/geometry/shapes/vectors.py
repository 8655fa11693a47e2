"""Vectors of three floats as plain tuples: fast enough, and nothing to import."""

from collections.abc import Iterable
from functools import reduce
from math import sqrt

from planlint.geometry.joint_facts import Vector
from planlint.placement import part_frames

Matrix = part_frames.Matrix

AXES: tuple[Vector, Vector, Vector] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
"""Unit vectors to the right, to the back and up; by number, or by ``Axis``."""


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def plus(a: Vector, b: Vector, times: float = 1.0) -> Vector:
    """``a + times * b``."""
    return a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]


def minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def scaled(a: Vector, times: float) -> Vector:
    return a[0] * times, a[1] * times, a[2] * times


def total(vectors: Iterable[Vector]) -> Vector:
    return reduce(plus, vectors, (0.0, 0.0, 0.0))


def cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def norm(a: Vector) -> float:
    return sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


def unit(a: Vector) -> Vector:
    """The direction of a vector that is not zero."""
    return scaled(a, 1 / norm(a))


def turned(matrix: Matrix, a: Vector) -> Vector:
    """``matrix @ a``."""
    return dot(matrix[0], a), dot(matrix[1], a), dot(matrix[2], a)


def turned_back(matrix: Matrix, a: Vector) -> Vector:
    """``matrix.T @ a``: the inverse of ``turned`` for a rotation."""
    x, y, z = a
    (m00, m01, m02), (m10, m11, m12), (m20, m21, m22) = matrix
    return m00 * x + m10 * y + m20 * z, m01 * x + m11 * y + m21 * z, m02 * x + m12 * y + m22 * z
