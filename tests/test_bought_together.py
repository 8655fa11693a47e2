"""What is bought as one thing is bought once, whatever the lines of the stock call it; what is not is kept apart."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from io import StringIO
from types import SimpleNamespace
from typing import Any

import pytest

from planlint.inspection.inspect_plan import inspect_text
from planlint.model.timber import material_of
from planlint.model.workshop import Buying, Settings
from planlint.reports.page_layout import Page
from planlint.reports.sheet_files import sheet_json
from planlint.reports.sheet_text import write_sheet
from planlint.sheet.saw_settings import SLANTED, saw_settings
from planlint.sheet.shop_sheet import ShopSheet, joined_sheet
from planlint.text.source import PlanText


def kitchen(*stocks: str, settings: Settings | None = None, long: int = 40) -> ShopSheet:
    """A plan for each stock, with one part of it."""
    return joined_sheet(
        [
            inspect_text(
                PlanText(
                    f"{n}.plan",
                    f'plan "Unit {n}"\n    unit inch\nstock own_{n} of {stock}\n'
                    f"part side of own_{n}, {long} long, 3-1/2 wide, upright, facing left\n",
                ),
                settings,
            )
            for n, stock in enumerate(stocks)
        ]
    )


@pytest.mark.parametrize(
    ("stocks", "bought"),
    [
        # One plan says the size, or its sides the other way round, or a name of the same wood.
        (("birch plywood, 3/4 thick, 48 x 96", "birch plywood, 3/4 thick"), [1]),
        (("birch plywood, 3/4 thick, 48 x 96", "Birch Plywood, 3/4 thick, 96 x 48"), [1]),
        (("Baltic birch, 3/4 thick", "Baltic birch plywood, 3/4 thick"), [1]),
        (("pine, 1x4", "pine, 3/4 x 3-1/2"), [1]),
        (("doug fir, 1x4, 8 ft", "Douglas-fir, 1x4"), [1]),
        # Another face, grade, thickness or size is another thing.
        (("birch plywood, 3/4 thick", "walnut plywood, 3/4 thick"), [1, 1]),
        (("A2 cherry plywood, 3/4 thick", "cherry plywood, 3/4 thick"), [1, 1]),
        (("MDF, 3/4 thick", "oak veneered MDF, 3/4 thick"), [1, 1]),
        (("birch plywood, 3/4 thick", "birch plywood, 1/2 thick"), [1, 1]),
        (("pine, 1x4, 8 ft", "pine, 1x4, 12 ft"), [1, 1]),
    ],
)
def test_what_is_one_thing_is_bought_once(stocks: tuple[str, ...], bought: list[int]) -> None:
    sheet = kitchen(*stocks)
    assert [each.count for each in sheet.buying] == bought
    assert [len(group.parts) for group in sheet.parts] == [1] * len(bought)
    assert [each["bought"] for each in sheet_json(sheet)["parts"]] == list(range(len(bought)))


def test_a_part_too_long_for_the_size_of_another_plan_is_bought_apart() -> None:
    """60 does not come out of 4 ft; of no size said, 8 ft are usual."""
    sheet = kitchen("pine, 1x4, 4 ft", "pine, 1x4", long=60)
    assert [(each.count, each.why) for each in sheet.buying] == [(0, "too large"), (1, None)]


def test_a_price_is_for_its_own_face_and_grade() -> None:
    sold = [material_of(name) for name in ("birch plywood", "A2 cherry plywood", "C3 cherry plywood")]
    kept = kitchen("birch plywood, 3/4 thick, 48 x 96").buying[0].stock
    asked = [replace(kept, material=material) for material in sold]
    buying = Buying(prices=tuple(zip(asked, (70.0, 120.0, 90.0), strict=True)))
    names = ("birch plywood", "walnut plywood", "A2 cherry plywood", "C3 cherry plywood")
    sheet = kitchen(*(f"{name}, 3/4 thick, 48 x 96" for name in names), settings=Settings(buying=buying))
    assert [each.price for each in sheet.buying] == [70.0, None, 120.0, 90.0]


def test_the_saw_is_turned_and_tilted_once_for_all_that_is_cut_so() -> None:
    """Two rails with two mitres each; a stile with one, and a long edge bevelled."""
    sheet = joined_sheet(
        [
            inspect_text(
                PlanText(
                    "a.plan",
                    'plan "A"\n    unit inch\nstock strip of poplar, 1x4\n'
                    "part rail_t, rail_b of strip, 24 long, crosswise, facing front\n"
                    "    left end cut 45, long at top\n    right end cut 45, long at top\n"
                    "part stile of strip, 20 long, upright, facing front\n"
                    "    top end cut 45, long at left\n    left edge cut 22.5, long at front\n",
                )
            )
        ]
    )
    order, _ = saw_settings(sheet.buying)
    assert [(each.way, each.measure, each.cuts) for each in order if each.way in SLANTED] == [
        ("fence turned", 45, 5),
        ("blade tilted", Fraction(45, 2), 1),
    ]


def test_a_board_takes_the_stop_that_sheets_have_set() -> None:
    """By hand: a band of 24 off a sheet, ripped to 3; a board cut to 24 and ripped to 3: two settings, not four."""
    parts: Any = [
        SimpleNamespace(count=1, sawn=24, length=24, width=3, rough=False, unit="in", names=("a",), ends=())
    ]
    saws = [
        SimpleNamespace(rip=rip, measure=wide, off=(0,), rest=()) for rip, wide in ((False, 24), (True, 3))
    ]
    sheets = SimpleNamespace(sheets=[SimpleNamespace(saws=saws)])
    panel: Any = SimpleNamespace(boards=None, panels=sheets, panel=(96, 48), parts=parts, cut=[0])
    board: Any = SimpleNamespace(boards=[24], panels=None, parts=parts, stock=SimpleNamespace(width=6))
    for bought in ([panel, board], [board, panel]):
        told = [(each.way, int(each.measure), each.cuts) for each in saw_settings(bought)[0]]
        assert told == [("crosscut", 24, 2), ("rip", 3, 2)]


@pytest.mark.parametrize(("wide", "strip"), [(240, "rip 10 in"), (260, "rip 260 mm")])
def test_a_strip_is_told_in_the_unit_of_the_widest_part_that_is_cut_from_it(wide: int, strip: str) -> None:
    """One plan is in inches, with a part 10 in wide, and one in millimetres: 10 in are 254 mm."""
    inches = 'plan "A"\n    unit inch\nstock ply of birch plywood, 3/4 thick, 48 x 96\n'
    metric = 'plan "B"\n    unit mm\nstock ply of birch plywood, 19.05 thick\n'
    plans = (
        f"{inches}part a of ply, 40 long, 10 wide, upright, facing left\n",
        f"{metric}part b of ply, 900 long, {wide} wide, upright, facing left\n",
    )
    sheet = joined_sheet([inspect_text(PlanText(f"{n}.plan", text)) for n, text in enumerate(plans)])
    page = StringIO()
    write_sheet(Page(page, 160), sheet)
    assert f" {strip}  " in page.getvalue()
