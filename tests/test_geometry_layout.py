"""Where the tool lays pockets out, and stations said in the plan: promises kept, and arithmetic."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.geometry.drilling.pocket_layout import RowFrame, laid_out, row_frame, stations
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.contact import contact
from planlint.model.directions import Side
from planlint.model.join_details import PocketRow
from planlint.model.plan import Part
from planlint.model.workshop import DrillingProfile, Settings
from tests.builders import NOWHERE, part
from tests.meetings import Meeting, put_together
from tests.solids import join_of, tried

# ---------------------------------------------------------------- layouts

lengths = st.one_of(
    st.integers(8, 600).map(lambda n: n / 16),
    st.floats(0.5, 40),
    st.floats(0.5, 40).map(lambda x: round(x, 2)),
)

SHOP = Settings()


def joint(a: Part, side: Side, b: Part) -> tuple[RowFrame, Body]:
    """The lines of a row drilled in A's back, B set middle to middle against it; and A's body."""
    body, into = put_together(Meeting(a, side, b, side.opposite), (0.0, 0.0, 0.0), 0.0)
    met = contact(join_of(a, side, b, side.opposite), body, into)
    frame = row_frame(body, side, Side.BACK, met, DrillingProfile())
    assert frame is not None
    return frame, body


FRAME, _ = joint(
    part("a", "12 x 3 x 3/4", "crosswise front"), Side.LEFT, part("b", "24 x 3 x 3/4", "upright front")
)


@given(lengths, st.integers(1, 12), st.floats(0, 0.4), st.floats(0, 0.4))
@tried(400)
def test_layout(width: float, count: int, spare_low: float, spare_high: float) -> None:
    """The tool's layout: so many, low to high, in the stretch allowed (1e-9), spaced evenly within 5/32 in.

    Each lies on the 1/16 grid, measured from one end of the joint or the other, or at the very middle, wherever
    the stretch is wide enough to hold a line of the grid for each.
    """
    low, high = spare_low * width, width - spare_high * width
    found = laid_out(count, FRAME._replace(high=width), (low, high))
    assert len(found) == count
    assert found == sorted(found)
    assert all(low - 1e-9 <= station <= high + 1e-9 for station in found)
    steps = [after - before for before, after in pairwise(found)]
    if steps:
        assert max(steps) - min(steps) <= 5 / 32 + 1e-9
    for station in found:
        grids = (_off_grid(station), _off_grid(width - station), abs(station - width / 2))
        assert min(grids) < 1e-9 or high - low < 1 / 16


@given(lengths, st.integers(1, 12))
@tried(200)
def test_free_layout_is_symmetrical_with_half_spaces_at_the_ends(width: float, count: int) -> None:
    """Where nothing is in the way the two halves mirror (1e-9), and the ends lie half a space in, within 1/32 in."""
    found = laid_out(count, FRAME._replace(high=width), (0.0, width))
    mirrored = [width - station for station in reversed(found)]
    assert found == pytest.approx(mirrored, abs=1e-9)
    assert found[0] == pytest.approx(width / count / 2, abs=1 / 32 + 1e-9)


def _off_grid(value: float) -> float:
    return abs(value * 16 - round(value * 16)) / 16


def test_layouts_by_hand() -> None:
    """Two in a 2 in rail lie at 1/2 and 1-1/2; two in 1-1/4 are drawn in; with no room they stay where they fall."""

    def two(width: float, allowed: tuple[float, float]) -> list[float]:
        return laid_out(2, FRAME._replace(high=width), allowed)

    assert two(2, (5 / 16, 2 - 5 / 16)) == [0.5, 1.5]
    assert two(1, (5 / 16, 1 - 5 / 16)) == [5 / 16, 11 / 16]
    assert two(0.5, (5 / 16, 3 / 16)) == [0.125, 0.375]
    assert laid_out(3, FRAME._replace(high=11.25), (5 / 16, 11)) == [1.875, 5.625, 9.375]
    # 1-1/16, 2 and 3 are marks too near for 0.95: from the first in reach to the last, and half-way.
    assert laid_out(3, FRAME._replace(high=5), (1.03, 3), 0.95) == [1.0625, 2.03125, 3.0]


def asked(
    at: list[str] | None, *, every: str | None = None, first: str = "0", origin: Side | None
) -> PocketRow:
    return PocketRow(
        Side.BACK,
        False,
        NOWHERE,
        at=None if at is None else tuple(Fraction(each) for each in at),
        every=None if every is None else Fraction(every),
        first=Fraction(first),
        origin=origin,
    )


def test_stations_said_are_measured_from_the_side_named() -> None:
    """A 3 in rail centred on a 2 in wide patch: 1 from its top is 1-1/2 along the patch, which starts 1/2 up."""
    rail = part("a", "12 x 3 x 3/4", "crosswise front")
    block = part("b", "2 x 4 x 4", "upright front")
    frame, body = joint(rail, Side.LEFT, block)
    assert frame.high == pytest.approx(2)
    around = (0.0, 2.0)
    assert stations(asked(["1"], origin=Side.TOP), frame, around, body, SHOP) == pytest.approx([1.5])
    assert stations(asked(["2", "1"], origin=Side.BOTTOM), frame, around, body, SHOP) == pytest.approx(
        [0.5, 1.5]
    )


def test_every_starts_where_said_and_stops_before_the_end() -> None:
    """A 30 in long edge, every 7 from 2: 2, 9, 16, 23; from the right end they mirror; the last keeps 5/16."""
    rail = part("a", "30 x 3 x 3/4", "crosswise front")
    top = part("b", "30 x 20 x 3/4", "crosswise up")
    frame, body = joint(rail, Side.TOP, top)
    around = (0.0, 30.0)
    left = asked(None, every="7", first="2", origin=Side.LEFT)
    assert stations(left, frame, around, body, SHOP) == pytest.approx([2, 9, 16, 23])
    right = asked(None, every="7", first="2", origin=Side.RIGHT)
    assert stations(right, frame, around, body, SHOP) == pytest.approx([7, 14, 21, 28])
    exact = asked(None, every="7", first="27/16", origin=None)
    assert stations(exact, frame, around, body, SHOP)[-1] == pytest.approx(27 / 16 + 28)
