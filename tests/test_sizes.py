"""Trade sizes compared with the published tables, written out here by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planlint.model.fastener_sizes import NAILS, ROOT_BY_GAUGE, clearance_hole, gauge_diameter, pilot_hole
from planlint.model.trade_sizes import dressed, nominal_of, nominal_parts

# PS 20, minimum dressed sizes of dry softwood.
NAMED = {
    "1x2": (0.75, 1.5),
    "1x3": (0.75, 2.5),
    "1x4": (0.75, 3.5),
    "1x5": (0.75, 4.5),
    "1x6": (0.75, 5.5),
    "1x8": (0.75, 7.25),
    "1x10": (0.75, 9.25),
    "1x12": (0.75, 11.25),
    "5/4x4": (1.0, 3.5),
    "5/4x6": (1.0, 5.5),
    "2x2": (1.5, 1.5),
    "2x3": (1.5, 2.5),
    "2x4": (1.5, 3.5),
    "2x6": (1.5, 5.5),
    "2x8": (1.5, 7.25),
    "2x10": (1.5, 9.25),
    "2x12": (1.5, 11.25),
    "4x4": (3.5, 3.5),
    "4x6": (3.5, 5.5),
    "6x6": (5.5, 5.5),
}

BOARD_THICKNESS = {
    "3/8": 5 / 16,
    "1/2": 7 / 16,
    "5/8": 9 / 16,
    "3/4": 5 / 8,
    "1": 0.75,
    "5/4": 1.0,
    "1-1/2": 1.25,
}
BOARD_WIDTH = dict(
    zip(
        (2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16),
        (1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.25, 8.25, 9.25, 10.25, 11.25, 13.25, 15.25),
        strict=True,
    )
)
DIMENSION_THICKNESS = {"2": 1.5, "2-1/2": 2.0, "3": 2.5, "3-1/2": 3.0, "4": 3.5, "4-1/2": 4.0}
DIMENSION_WIDTH = {"5": 4.5, "6": 5.5, "8": 7.25, "10": 9.25, "12": 11.25, "14": 13.25, "16": 15.25}


def same(found: object, expected: object) -> None:
    """Equal, whether a number is written as a fraction or as a decimal."""
    assert found == expected


@pytest.mark.parametrize(("nominal", "actual"), NAMED.items())
def test_named_sizes(nominal: str, actual: tuple[float, float]) -> None:
    same(dressed(nominal), actual)
    parts = nominal_parts(nominal)
    assert parts is not None
    assert nominal_of(*parts) == nominal


@pytest.mark.parametrize(("nominal", "actual"), BOARD_THICKNESS.items())
def test_board_thickness(nominal: str, actual: float) -> None:
    same(dressed(f"{nominal}x4"), (actual, 3.5))


@pytest.mark.parametrize(("nominal", "actual"), BOARD_WIDTH.items())
def test_board_width(nominal: int, actual: float) -> None:
    same(dressed(f"1x{nominal}"), (0.75, actual))


@pytest.mark.parametrize(("nominal", "actual"), DIMENSION_THICKNESS.items())
def test_dimension_thickness(nominal: str, actual: float) -> None:
    same(dressed(f"{nominal}x6"), (actual, 5.5))


@pytest.mark.parametrize(("nominal", "actual"), DIMENSION_WIDTH.items())
def test_dimension_width(nominal: str, actual: float) -> None:
    same(dressed(f"2x{nominal}"), (1.5, actual))


@pytest.mark.parametrize(
    ("nominal", "actual"),
    [("6x8", (5.5, 7.25)), ("8x8", (7.25, 7.25)), ("12x16", (11.25, 15.0)), ("16x16", (15.0, 15.0))],
)
def test_timbers(nominal: str, actual: tuple[float, float]) -> None:
    same(dressed(nominal), actual)


@pytest.mark.parametrize(
    "nominal",
    ["4x2", "2x5/4", "1x1", "7/4x4", "2x13", "2x", "x4", "2", "", "axb", "1/0x4", "2x4x6", "1x" + "9" * 5000],
)
def test_sizes_that_are_not_made(nominal: str) -> None:
    assert dressed(nominal) is None


@pytest.mark.parametrize(
    ("thickness", "width"), [("3/4", "3-1/2"), ("1-1/2", "3-1/2"), ("1", "3-1/2"), ("3/4", "4")]
)
def test_actual_sizes_are_not_nominal(thickness: str, width: str) -> None:
    parts = nominal_parts(f"{thickness}x{width}")
    assert parts is not None
    assert nominal_of(*parts) is None


# Common wire nails: each penny a quarter of an inch longer up to 10d, drawn to the steel wire gauge.
WIRE = {15: 0.072, 14: 0.080, 12.5: 0.099, 11.5: 0.113, 10.25: 0.131, 9: 0.148, 8: 0.162, 6: 0.192}
NAIL_GAUGES = {
    2: 15,
    3: 14,
    4: 12.5,
    5: 12.5,
    6: 11.5,
    7: 11.5,
    8: 10.25,
    9: 10.25,
    10: 9,
    12: 9,
    16: 8,
    20: 6,
}
LONGER = {12: 3.25, 16: 3.5, 20: 4.0}


def test_nails_by_the_penny() -> None:
    assert list(NAILS) == list(NAIL_GAUGES)
    for penny, gauge in NAIL_GAUGES.items():
        same(NAILS[penny], (LONGER.get(penny, 1 + (penny - 2) / 4), WIRE[gauge]))


def test_holes_for_fasteners() -> None:
    """ISO 273, medium; 1/16 in over a bolt; roots of NDS 2018, table L3, of which 90 or 70 parts in 100 are drilled."""
    for thread, hole in ((3, 3.4), (4, 4.5), (5, 5.5), (6, 6.6), (8, 9), (10, 11), (12, 13.5)):
        assert clearance_hole(Fraction(1, 4), thread, bolt=True) * 127 == Fraction(str(hole)) * 5
    assert clearance_hole(Fraction(1, 4), None, bolt=True) == Fraction(5, 16)
    assert clearance_hole(gauge_diameter(8), None, bolt=False) == Fraction(11, 64)
    roots = {6: 0.113, 7: 0.122, 8: 0.131, 9: 0.142, 10: 0.152, 12: 0.171, 14: 0.196}
    assert roots == ROOT_BY_GAUGE
    holes = [pilot_hole(gauge_diameter(8), 8, hard=hard) * 64 for hard in (True, False)]
    assert holes == [8, 6]  # 0.118 and 0.092 in.
