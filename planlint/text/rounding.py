"""How far numbers that are one may differ, since they are worked out in floating point: by meaning, in one place.

Floats of the size of furniture, in inches, are exact to some 1e-14; each turn, cut and crossing of planes makes that
a few times more. Basis of all of these, where nothing else is said: geometry of floats.
"""

from math import ceil, floor

ROUNDING = 1e-6
"""Inches by which lengths that are the same may differ: many times what parts turned and cut come to, and what no tool
shows. So may degrees."""
ON = 1e-7
"""Inches within which a corner lies in a plane that is turned or moved, or two corners are one."""
TOUCH = 1e-9
"""Inches within which a place lies in a plane, or two are one, while nothing is turned."""
STILL = 1e-12
"""Part of a direction below which it has none that way: it runs along a plane, or stands still. Less than so many
inches of a line is no stretch of it."""
ALIGNED = 1 - ROUNDING
"""Cosine of two directions from which a builder takes them for one: 0.08 degrees."""
SAME_WAY = 1 - STILL
"""Cosine of two directions from which they are one but for rounding."""
SOLVED = 1e-6
"""By how much a whole number, or a cost, that a solver comes to may be off. Basis: what HiGHS itself lets pass, 1e-7 of
a limit and 1e-6 of a whole number."""
LEAST_DIVISOR = 1e-9
"""What is divided by at the least, where nothing may be left: so little that what comes of it is beyond all use."""


def whole_up(value: float, off: float = TOUCH) -> int:
    """The least whole number that a value does not exceed, but for rounding, or for what it may be ``off``."""
    return ceil(value - off)


def whole_down(value: float, off: float = TOUCH) -> int:
    """The largest whole number that a value reaches, but for rounding, or for what it may be ``off``."""
    return floor(value + off)
