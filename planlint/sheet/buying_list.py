"""From the parts to what is bought for them: boards and sheets with how they are cut, screws, plugs, glue, finish."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from planlint.model.plan import Fastening
from planlint.model.stock import Stock
from planlint.model.workshop import Buying, Settings
from planlint.sheet.board_cutting import Board, BoardCutting, Saw, TooLong, cut_boards
from planlint.sheet.cut_list import CutGroup, CutPart
from planlint.sheet.panel_cutting import Panel, PanelCutting, PanelSaw, TooLarge, Wanted, cut_panels

NO_GRAIN = frozenset({"fibreboard", "particleboard", "hardboard"})
"""Kinds of panel whose parts may be cut either way."""

MOST_PARTS = 2_000
"""Parts of one stock that are laid out on boards and sheets. Basis: own judgement, from times."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What one stock comes to. ``boards`` or ``panels`` tell how it is cut; where neither does, ``why`` says why not.

    ``cut`` are the indices of ``parts``, one for each that is cut, in the numbers that the cutting uses.
    """

    stock: Stock
    parts: tuple[CutPart, ...]
    cut: tuple[int, ...]
    boards: BoardCutting | None = None
    panels: PanelCutting | None = None
    panel: Panel | None = None
    why: str | None = None
    """``no length``, ``no width``, ``no sheet size``, ``too long``, ``too large`` or ``too many``."""
    wrong: str | None = None
    """The part that is too long or too large."""
    price: float | None = None
    """For all of it, where the shop told a price."""

    @property
    def count(self) -> int:
        """Boards or sheets."""
        return self.boards.count if self.boards else len(self.panels.sheets) if self.panels else 0

    @property
    def board_feet(self) -> float | None:
        """By definition a foot square and an inch thick; for boards of a nominal size by that."""
        if self.stock.sheet or self.stock.material.panel:
            return None
        thickness, width = _counted(self.stock)
        if self.boards:
            bought = sum((cut.board.length * cut.count for cut in self.boards.boards), Fraction(0))
        elif self.panels and self.panel:
            bought = self.panel.length * len(self.panels.sheets)
        else:
            bought = sum((part.length * part.count for part in self.parts), Fraction(0))
        if width is None:
            area = sum((part.length * part.width * part.count for part in self.parts), Fraction(0))
            return float(area * thickness / 144)
        return float(bought * width * thickness / 144)

    @property
    def waste(self) -> float | None:
        """The share of what is bought that does not become parts, kerfs and trims among it."""
        used = sum((part.length * part.width * part.count for part in self.parts), Fraction(0))
        if self.boards and self.stock.width:
            bought = sum((cut.board.length * cut.count for cut in self.boards.boards), Fraction(0))
            return float(1 - used / (bought * self.stock.width))
        if self.panels and self.panel:
            return float(1 - used / (self.panel.length * self.panel.width * len(self.panels.sheets)))
        return None


def _counted(stock: Stock) -> tuple[Fraction, Fraction | None]:
    """Thickness and width by which board feet are counted."""
    from planlint.model.trade_sizes import nominal_parts  # noqa: PLC0415

    nominal = nominal_parts(stock.nominal) if stock.nominal else None
    return nominal or (stock.thickness, stock.width)


def purchases(groups: Iterable[CutGroup], settings: Settings, *, exact: bool = True) -> tuple[Purchase, ...]:
    """How each group comes out of what is sold: lengths and sizes of the plan's stock line, else of the shop's own."""
    return tuple(_purchase(group, settings, exact=exact) for group in groups)


def _purchase(group: CutGroup, settings: Settings, *, exact: bool) -> Purchase:
    stock, parts = group.stock, group.parts
    none = Purchase(stock, parts, ())
    if sum(part.count for part in parts) > MOST_PARTS:
        return replace(none, why="too many")
    sold = _sold(stock, settings)
    buying = settings.buying
    if stock.sheet or stock.material.panel:
        sizes = [each for each in sold if each.length is not None and each.width is not None]
        if not sizes:
            return replace(none, why="no sheet size")
        return _from_panels(none, sizes[0], buying, edges=buying.edge_trim, exact=exact)
    lengths = [each for each in sold if each.length is not None]
    if not lengths:
        return replace(none, why="no length")
    width = stock.width
    if width is None:
        return replace(none, why="no width")
    if any(part.width > width for part in parts):
        wrong = next(part for part in parts if part.width > width)
        return replace(none, why="too large", wrong=wrong.names[0])
    if any(2 * part.width + buying.kerf <= width for part in parts):
        # More than one lies side by side: the board is ripped as a sheet is.
        longest = max(lengths, key=lambda each: each.length or 0)
        return _from_panels(none, replace(longest, width=width), buying, edges=Fraction(0), exact=exact)
    return _from_boards(none, lengths, buying, exact=exact)


def _sold(stock: Stock, settings: Settings) -> list[Stock]:
    """The stock as it is sold: as the plan says, or as the shop keeps it."""
    if stock.length is not None:
        return [stock]
    return [
        kept
        for kept in settings.stock
        if kept.material.stands_for == stock.material.stands_for
        and kept.thickness == stock.thickness
        and (stock.width is None or kept.width is None or kept.width == stock.width)
        and kept.length is not None
    ]


def _from_boards(none: Purchase, sold: Sequence[Stock], buying: Buying, *, exact: bool) -> Purchase:
    lengths = sorted({part.sawn for part in none.parts}, reverse=True)
    counts = [sum(part.count for part in none.parts if part.sawn == length) for length in lengths]
    prices = {each.length: buying.price(each) for each in sold if each.length is not None}
    boards = [Board(length, prices[length]) for length in sorted(prices)]
    try:
        cutting = cut_boards(lengths, counts, boards, Saw(buying.kerf, buying.end_trim), exact=exact)
    except TooLong as problem:
        wrong = next(part for part in none.parts if part.sawn == problem.length)
        return replace(none, why="too long", wrong=wrong.names[0])
    each = [cut.board.price for cut in cutting.boards]
    price = None
    if all(one is not None for one in each):
        price = sum((cut.board.price or 0.0) * cut.count for cut in cutting.boards)
    # One index for each length: the parts of that length, the widest first.
    first = tuple(next(n for n, part in enumerate(none.parts) if part.sawn == length) for length in lengths)
    return replace(none, boards=cutting, cut=first, price=price)


def _from_panels(none: Purchase, sold: Stock, buying: Buying, *, edges: Fraction, exact: bool) -> Purchase:
    assert sold.length is not None
    assert sold.width is not None
    panel = Panel(max(sold.length, sold.width), min(sold.length, sold.width))
    if not (sold.sheet or sold.material.panel):
        panel = Panel(sold.length, sold.width)
    turns = none.stock.material.kind in NO_GRAIN
    numbers = [n for n, part in enumerate(none.parts) for _ in range(part.count)]
    wanted = [Wanted(none.parts[n].sawn, none.parts[n].width, turns) for n in numbers]
    try:
        cutting = cut_panels(wanted, panel, PanelSaw(buying.kerf, buying.end_trim, edges), exact=exact)
    except TooLarge as problem:
        return replace(none, why="too large", wrong=none.parts[numbers[problem.part]].names[0])
    price = buying.price(sold)
    total = None if price is None else price * len(cutting.sheets)
    return replace(none, panels=cutting, panel=panel, cut=tuple(numbers), price=total)


@dataclass(frozen=True, slots=True)
class Sundry:
    """Something else to have at hand: ``needed``, and ``bought`` with spares; ``what`` is a code.

    ``size`` is that of pocket screws; ``made`` tells other fasteners.
    """

    what: str
    size: tuple[str, float, int] | None
    needed: int
    bought: int
    kind: str = ""
    """In the shop's own words."""
    made: Fastening | None = None


def fasteners_bought(counted: dict[Fastening, int], buying: Buying) -> tuple[Sundry, ...]:
    """Fasteners that are no pocket screws, by kind and size; screws and nails with spares."""
    merged: dict[object, tuple[Fastening, int]] = {}
    for made, count in counted.items():
        key = made.kind, made.called, made.thick, made.length
        merged[key] = merged.get(key, (made, 0))[0], merged.get(key, (made, 0))[1] + count
    return tuple(
        Sundry(
            made.kind,
            None,
            count,
            ceil(count * (1 + buying.spare_screws) - 1e-9) if made.kind in {"screws", "nails"} else count,
            made=made,
        )
        for made, count in merged.values()
    )


def sundries(screws: dict[tuple[str, float, int], int], plugs: int, buying: Buying) -> tuple[Sundry, ...]:
    """Screws by kind (thread, length, gauge) with spares, and plugs."""
    found = [
        Sundry("screws", kind, count, ceil(count * (1 + buying.spare_screws) - 1e-9))
        for kind, count in sorted(screws.items())
    ]
    if plugs:
        found.append(
            Sundry("plugs", None, plugs, ceil(plugs * (1 + buying.spare_screws) - 1e-9), buying.plugs)
        )
    return tuple(found)
