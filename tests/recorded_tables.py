"""What functions of plain numbers give over a grid of them, at their limits and beside: part of the kept record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import chain, product
from typing import Any

from planlint.geometry.drilling.pocket_layout import laid_out, stations
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.convex import disc, gap_between, oval, point, way_out
from planlint.geometry.shapes.joint_kinds import edge_to_edge, joint_kind, makes_panel
from planlint.geometry.shapes.segments import segment_to_box, segment_to_segment
from planlint.model.curves import arc_through, radius_of, radius_through, rise_of
from planlint.model.directions import Axis, Side
from planlint.model.join_details import PocketRow
from planlint.model.nearest_name import letters_apart
from planlint.model.plan import Part
from planlint.model.seasonal_movement import movement
from planlint.model.timber import find_material, material_of, names_by_kind, nearest_material
from planlint.model.trade_sizes import before_planing, dressed, name_of_dressed, nominal_of, nominal_parts
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from tests.builders import NOWHERE, part
from tests.meetings import Meeting, put_together
from tests.recorded_facts import Facts
from tests.solids import join_of
from tests.test_geometry_layout import FRAME, joint

EIGHTHS = [Fraction(n, 8) for n in (3, 5, 6, 8, 10, 12, 16, 20, 24, 28, 44, 58, 74, 96)]
POINTS = [
    (0.0, 0.0, 0.0),
    (3.0, 0.0, 0.0),
    (1.0, 2.0, 0.5),
    (1.0, -2.0, 0.5),
    (4.0, 1.0, 1.0),
    (2.0, 0.5, 3.0),
]
BOX = Box((0.5, -1.0, 0.25), (2.5, 1.0, 2.0))
SIZES = [
    "24 x 3 x 3/4",
    "24 x 2 x 1",
    "8 x 2 x 1",
    "24 x 2-1/2 x 1-1/2",
    "24 x 2 x 2",
    "24 x 6 x 3/4",
    "24 x 12 x 1",
]
"""Some just as wide as a band, an apron or a post may be; the last of sheet stock."""
WOODS = [
    "red oak", "oak", "Red Oak", "oak, red", "hardwood plywood", "plywood", "pine plywood", "birch plywood", "mdf",
    "MDF", "select pine", "clear pine", "pine", "fir", "quarter-sawn white oak", "white oak", "treated pine",
    "pressure-treated southern pine", "cherrry", "walnot", "particleboard", "nonesuch", "", "A-1 maple plywood",
]  # fmt: skip


def _asked(name: str, ask: Callable[..., Any], calls: Iterable[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
    for given in calls:
        try:
            yield name, given, ask(*given)
        except (ArithmeticError, ValueError, LookupError) as problem:
            yield name, given, type(problem).__name__


def _rows(count: int, width: float, allowed: tuple[float, float], room: float) -> list[float]:
    return laid_out(count, FRAME._replace(high=width), allowed, room)


def _stations(**told: Any) -> list[float]:
    frame, body = joint(
        part("a", "30 x 3 x 3/4", "crosswise front"), Side.TOP, part("b", "30 x 20 x 3/4", "crosswise up")
    )
    return stations(PocketRow(Side.BACK, False, NOWHERE, **told), frame, (0.0, 30.0), body, Settings())


def _kind(one: str, lies: str, side: Side, other: str, other_lies: str) -> tuple[Any, ...]:
    a, b = _of_sheet(part("a", one, lies)), _of_sheet(part("b", other, other_lies))
    join = join_of(a, side, b, side.opposite)
    bodies = put_together(Meeting(a, side, b, side.opposite), (0.0, 0.0, 0.0), 0.0)
    return joint_kind(join, *bodies, contact(join, *bodies)).name, edge_to_edge(join), makes_panel(join)


def _of_sheet(made: Part) -> Part:
    return replace(made, stock=replace(made.stock, sheet=made.width == 12))


def tables() -> list[str]:
    """Each call with what it gives."""
    facts = Facts(PlanText("", ""))
    spreads = [
        (0.0, 0.0),
        (0.3125, 0.3125),
        (0.5, 0.125),
        (0.125, 0.6),
        (1.0, 0.0),
        (0.0, 1.0),
        (0.9, 0.9),
        (2.63, 2.63),
    ]
    rows = (
        (count, width, (low, width - high), room)
        for count, width, (low, high), room in product(
            (1, 2, 3, 4, 5), (1.0, 1.5, 2.25, 3.5, 5.3, 11.25), spreads, (0.0, 0.75)
        )
    )
    crowded = (
        (count, width, (low, width - high), room)
        for count, width, (low, high), room in product(
            (1, 2, 3, 4),
            (1.2, 1.3, 1.7, 2.1, 2.2, 2.8, 3.2),
            [(0.0, 0.0), (0.0, 0.7), (0.7, 0.0), (0.3125, 0.3125), (0.2, 0.7), (0.65, 0.65)],
            (0.7, 0.8, 1.1),
        )
    )
    one_place = ((count, 1.3, (0.65, 0.65), 0.0) for count in (1, 2, 3))
    first, last = Fraction(2), Fraction(5, 2)
    told: list[dict[str, Any]] = [
        {"count": 4, "first": first, "last": last}, {"every": Fraction(6), "first": first, "last": last},
        {"every": Fraction(51, 8), "first": first, "last": last}, {"count": 1},
        {"count": 3, "first": Fraction(20), "last": Fraction(20)},
        {"every": Fraction(7), "first": first, "origin": Side.RIGHT}, {"every": Fraction(40), "first": first},
        {"count": 2, "first": first, "last": last, "origin": Side.RIGHT}, {"count": 7},
    ]  # fmt: skip
    lies = [("crosswise front", Side.LEFT), ("crosswise up", Side.BACK), ("crosswise front", Side.FRONT)]
    kinds = (
        (one, *lie, other, other_lies)
        for one, lie, other, other_lies in product(SIZES, lies, SIZES, ("upright front", "crosswise up"))
    )
    four = product(POINTS[:3], POINTS[3:], POINTS, POINTS[2:])
    rims = [
        (point(POINTS[0]), point(POINTS[2])), (disc(POINTS[0], (0.0, 0.0, 1.0), 0.5), point(POINTS[5])),
        (disc(POINTS[1], (0.6, 0.0, 0.8), 0.75), disc(POINTS[4], (0.0, 1.0, 0.0), 0.5)),
        (oval(POINTS[2], (0.6, 0.0, 0.8), 0.5, (0.0, 0.0, 1.0)), point(POINTS[3])),
        (disc(POINTS[0], (1.0, 0.0, 0.0), 1.0), disc(POINTS[1], (1.0, 0.0, 0.0), 1.0)),
    ]  # fmt: skip
    ways = [(1.0, 0.0, 0.0), (0.0, 0.6, 0.8), (0.0, 0.0, 1.0)]
    sizes = [
        f"{a}x{b}"
        for a, b in product(("1", "5/4", "2", "4", "6", "8", "3/4"), ("2", "3", "4", "6", "8", "12", "5"))
    ]
    every = {
        each.stands_for: each for name in chain(*names_by_kind().values()) if (each := find_material(name))
    }
    found = [*every.values(), find_material("quarter-sawn white oak")]
    for line in (
        *_asked("laid out", _rows, (*rows, *crowded, *one_place)),
        *(("stations", given, _stations(**given)) for given in told),
        *_asked("joint kind", _kind, kinds),
        *_asked("before planing", before_planing, product(EIGHTHS)),
        *_asked("dressed", dressed, product(sizes)),
        *_asked(
            "nominal parts",
            nominal_parts,
            product([*sizes, "2x", "x4", "2 x 4", "2x4x6", "1-1/4x4", "2.5x4"]),
        ),
        *_asked("name of dressed", name_of_dressed, product(EIGHTHS, [None, *EIGHTHS])),
        *_asked("nominal", nominal_of, product(EIGHTHS, EIGHTHS)),
        *_asked("wood", find_material, product(WOODS)),
        *_asked("wood of", material_of, product(filter(None, WOODS))),
        *_asked("nearest wood", nearest_material, product(WOODS)),
        *_asked(
            "moves",
            lambda wood, wide: movement(wood, wide, Settings().humidity),
            product(filter(None, found), (12.5,)),
        ),
        *_asked(
            "letters",
            letters_apart,
            product(("rail", "rial", "stile", "", "leg_fl"), ("rail", "stiles", "leg"), (0, 1, 2, 9)),
        ),
        *_asked("radius", radius_of, product((0.5, 1.0, 3.0), (1.0, 3.0, 12.0))),
        *_asked("rise", rise_of, product((1.0, 3.0, 12.5), (1.0, 3.0, 12.0))),
        *_asked(
            "radius through",
            radius_through,
            [([(0.0, 0.0), (x, y), (6.0, z)],) for x, y, z in product((1.0, 3.0), (1.0, -2.0), (0.0, 1.0))],
        ),
        *_asked(
            "arc",
            arc_through,
            [
                ((Axis.X, Axis.Z), [(0.0, 0.0), *mid, (6.0, z)], radius, up)
                for mid, radius in (
                    ([(2.0, 1.0)], None),
                    ([(3.0, -1.5)], None),
                    ([], 3.5),
                    ([], 12.0),
                    ([], 2.0),
                )
                for z in (0.0, 1.0)
                for up in (1, -1)
            ],
        ),
        *_asked("segments", segment_to_segment, four),
        *_asked(
            "segment to box", segment_to_box, [(a, b, BOX) for a, b in product(POINTS, POINTS) if a != b]
        ),
        *_asked("apart", gap_between, [(one, other) for one, other in product(rims, rims)]),
        *_asked("way out", lambda one, other: way_out(one, other, ways), product(rims, rims)),
    ):
        facts.put(*line)
    return facts.lines
