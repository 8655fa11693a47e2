"""A part's own frame: the planes of its six sides, and how a turn carries them into the piece.

Own frame: axes parallel to the piece's before any turn, origin at the left, front, bottom corner of the
box the part is sawn from (where that corner lies before the turn). A turned part turns about the middle of
that box. Lengths in inches unless the caller scales them; normals point out of the wood and need not be of
unit length, so that they can be exact.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import cos, radians, sin

from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from planlint.model.wood_cuts import Scalar, Triple, plane_of

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]
"""Three rows; the entries of a quarter turn are whole numbers, so that exact lengths stay exact."""

_QUARTERS = ((1, 0), (0, 1), (-1, 0), (0, -1))
"""Cosine and sine of 0, 90, 180 and 270 degrees, exactly."""


def rotation(part: Part) -> Matrix | None:
    """The turn of a part as a matrix; ``None`` for no turn at all. Quarter turns are exact whole numbers."""
    turn = part.turn
    if turn is None or turn.angle % 360 == 0:
        return None
    c: float
    s: float
    if turn.angle % 90 == 0:
        c, s = _QUARTERS[int(turn.angle // 90) % 4]
    else:
        angle = radians(float(turn.angle % 360))
        c, s = cos(angle), sin(angle)
    if turn.axis is Axis.X:
        return (1, 0, 0), (0, c, -s), (0, s, c)
    if turn.axis is Axis.Y:
        return (c, 0, s), (0, 1, 0), (-s, 0, c)
    return (c, -s, 0), (s, c, 0), (0, 0, 1)


def rotate(matrix: Matrix, vector: Sequence[Scalar]) -> Triple:
    """The matrix applied to a direction."""
    x, y, z = vector
    first, second, third = matrix
    return (
        first[0] * x + first[1] * y + first[2] * z,
        second[0] * x + second[1] * y + second[2] * z,
        third[0] * x + third[1] * y + third[2] * z,
    )


def side_plane(part: Part, side: Side) -> tuple[Triple, Triple]:
    """A point of a side and the normal out of it, in the part's own frame (inches).

    For a side with a cut it is the plane of the cut, and the point lies on its long edge. The normal is
    exact but not of unit length for a cut of 45 degrees, ``(-1, 0, 1)`` say; exact and unit for a square
    side; a unit vector of floats for any other cut.
    """
    return plane_of(part.size, side, part.cut_at(side))


def own_to_piece(part: Part, position: Sequence[Scalar], point: Sequence[Scalar]) -> Triple:
    """A point of the part's own frame, in the piece; ``position`` is where that frame's origin lies."""
    matrix = rotation(part)
    if matrix is None:
        return position[0] + point[0], position[1] + point[1], position[2] + point[2]
    x, y, z = turned_about_middle(matrix, part.size, point)
    return position[0] + x, position[1] + y, position[2] + z


def turned_about_middle(matrix: Matrix, size: Sequence[Scalar], point: Sequence[Scalar]) -> Triple:
    """A point of a box after the box turned about its middle, from the corner the box had before."""
    middle = half(size[0]), half(size[1]), half(size[2])
    x, y, z = rotate(matrix, (point[0] - middle[0], point[1] - middle[1], point[2] - middle[2]))
    return middle[0] + x, middle[1] + y, middle[2] + z


def direction_to_piece(part: Part, direction: Sequence[Scalar]) -> Triple:
    """A direction of the part's own frame, in the piece."""
    matrix = rotation(part)
    return (direction[0], direction[1], direction[2]) if matrix is None else rotate(matrix, direction)


def half(value: Scalar) -> Scalar:
    """Half a length, exact where the length is."""
    if isinstance(value, int):
        return value // 2 if value % 2 == 0 else Fraction(value, 2)
    return value / 2
