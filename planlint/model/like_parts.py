"""Which parts are alike: asked here by all who ask it, from the keys that two parts have to share.

None counts which of its two broad sides is the face, nor to which hand a part is turned: left and right are alike.
"""

from fractions import Fraction

from planlint.model.directions import Axis
from planlint.model.plan import Part


def section(part: Part) -> tuple[str, Fraction, Fraction]:
    """What it is sawn to before it is cut to length: stock, width, thickness."""
    return part.stock.name, part.width, part.thickness


def lie(part: Part) -> tuple[Axis, Axis]:
    """How it lies before it is turned: its grain, its broad sides."""
    return part.grain, part.facing.axis


def stand(part: Part) -> tuple[Axis, Axis, tuple[Axis, Fraction] | None]:
    """How it lies in the piece, and how far it is turned about what."""
    turn = part.turn
    return *lie(part), turn and (turn.axis, abs(turn.angle))


def pattern(part: Part) -> tuple[object, ...]:
    """What a builder makes alike parts by: their section, their length, how they stand."""
    return part.length, *section(part), *stand(part)


def alike(one: Part, other: Part) -> bool:
    """Whether they are of one pattern, as a part and itself are."""
    return pattern(one) == pattern(other)


def are_twins(one: Part, other: Part) -> bool:
    """Whether they are two parts of one pattern."""
    return one.name != other.name and alike(one, other)


def akin(one: Part, other: Part) -> bool:
    """Whether they are two parts of one stock whose grain runs along one axis, whatever they measure."""
    return one.name != other.name and one.stock is other.stock and one.grain is other.grain
