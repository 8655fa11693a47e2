"""Sizes of the fasteners that a plan places: how thick they are by their trade names, and the holes that are drilled.

* wood screws by gauge: ASME B18.6.1's rule ``D = 0.060 + 0.013 n``, as NDS 2018, Table L3 repeats it for Nos. 6 to 24,
  with that table's root diameters of rolled threads.
* lead holes: 0.90 of the root in hardwood and 0.70 in softwood and panels, NDS editions before 1962 as its commentary
  of 1997, C11.1.2.1, tells them; clearance holes of the screw's diameter, up to the next 1/64 in: *common practice*.
* metric clearance holes: ISO 273, medium fit, *from memory*. Inch bolts: 1/16 in over, the most that NDS 12.1.3 allows.
* heads of countersunk wood screws: twice the shank, about the most in ASME B18.6.1, *from memory*; plugs by 1/8 in, or
  in metric plans by 2 mm, as they are cut and sold: *common practice*.
* nails by pennies, common wire: ASTM F1667, *from memory*.
"""

from fractions import Fraction
from math import ceil

from planlint.text.rounding import whole_up

ROOT_BY_GAUGE = {6: 0.113, 7: 0.122, 8: 0.131, 9: 0.142, 10: 0.152, 12: 0.171, 14: 0.196}
ROOT_SHARE = 0.79
"""Of the shank, for gauges that the table leaves out: the least share in it. Basis: published source, NDS 2018, Table
L3."""
LEAD_HARD, LEAD_SOFT = 0.90, 0.70
"""Of the root. Basis: published source, the commentary of NDS 1997."""

METRIC_CLEARANCE = {3: "3.4", 4: "4.5", 5: "5.5", 6: "6.6", 8: "9", 10: "11", 12: "13.5"}
"""Millimetres of the hole, by those of the thread. Basis: from memory, ISO 273."""
BOLT_ROOM = Fraction(1, 16)
"""Inches that the hole of a bolt is wider. Basis: published source, NDS 12.1.3."""

NAILS = {
    2: (Fraction(1), 0.072), 3: (Fraction(5, 4), 0.080), 4: (Fraction(3, 2), 0.099), 5: (Fraction(7, 4), 0.099),
    6: (Fraction(2), 0.113), 7: (Fraction(9, 4), 0.113), 8: (Fraction(5, 2), 0.131), 9: (Fraction(11, 4), 0.131),
    10: (Fraction(3), 0.148), 12: (Fraction(13, 4), 0.148), 16: (Fraction(7, 2), 0.162), 20: (Fraction(4), 0.192),
}  # fmt: skip
"""Length and diameter in inches, by the penny. Basis: from memory, ASTM F1667."""


def gauge_diameter(gauge: int) -> Fraction:
    """Of a wood screw, in inches."""
    return Fraction(60 + 13 * gauge, 1000)


def counterbore(diameter: Fraction, *, inch: bool) -> Fraction:
    """How wide the head of a wood screw is bored in for, in inches: the next plug that hides it."""
    step = Fraction(1, 8) if inch else Fraction(20, 254)
    return ceil(2 * diameter / step) * step


def up_to_64th(inches: float) -> Fraction:
    """The next drill of a set by 1/64 in."""
    return Fraction(whole_up(inches * 64), 64)


def clearance_hole(diameter: Fraction, thread: int | None, *, bolt: bool) -> Fraction:
    """What a fastener passes through without biting, in inches; ``thread`` is the metric thread in millimetres."""
    if thread in METRIC_CLEARANCE:
        return Fraction(METRIC_CLEARANCE[thread]) * 10 / 254
    return diameter + BOLT_ROOM if bolt else up_to_64th(float(diameter))


def pilot_hole(diameter: Fraction, gauge: int | None, *, hard: bool) -> Fraction:
    """What a screw bites in, in inches: the nearest drill of a set by 1/64 in."""
    root = ROOT_BY_GAUGE.get(gauge or 0, ROOT_SHARE * float(diameter))
    return Fraction(max(1, round((LEAD_HARD if hard else LEAD_SOFT) * root * 64)), 64)
