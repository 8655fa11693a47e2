"""From the parts to what is bought for them: boards and sheets with how they are cut, screws, plugs, glue, finish."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from planlint.model.stock import Stock
from planlint.model.trade_sizes import before_planing, name_of_dressed, nominal_parts
from planlint.model.workshop import Buying, Settings
from planlint.sheet.board_cutting import Board, BoardCutting, Saw, cut_boards
from planlint.sheet.cut_list import PLANING, CutGroup, CutPart, merged, rough_of
from planlint.sheet.panel_cutting import Panel, PanelCutting, PanelSaw, WantedPart, cut_panels, sheet_gives
from planlint.text.measures import in_inches

NO_GRAIN = frozenset({"fibreboard", "particleboard", "hardboard"})
"""Kinds of panel whose parts may be cut either way."""

USUAL_LENGTHS = {True: (96, 120, 144, 168, 192), False: (2400, 3000, 3600, 4200, 4800)}
USUAL_SHEET = {True: (48, 96), False: (1220, 2440)}
"""What boards and sheets are taken to be sold as where neither plan nor shop says: inches where plans count in these,
else millimetres. Basis: common practice (teaching texts name 4 ft by 8 ft as the standard panel), from memory."""
WIDEST = 12
"""Inches of width beyond which a board is glued up of others. Basis: common practice, from memory."""

Laying = Callable[[CutGroup], None]
"""Told of each stock before it is laid out: that may take a while."""

_MOST_PARTS = 2_000
"""Parts of one stock that are laid out on boards and sheets. Basis: own judgement, from times."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What one stock comes to. ``boards`` or ``panels`` tell how it is cut; where neither does, ``why`` says why not.

    ``cut`` are the indices of ``parts``, one for each that is cut, in the numbers that the cutting uses.
    """

    stock: Stock
    parts: tuple[CutPart, ...]
    """All that is laid out, or, where ``why`` says that nothing is, all there are."""
    cut: tuple[int, ...]
    boards: BoardCutting | None = None
    panels: PanelCutting | None = None
    panel: Panel | None = None
    why: str | None = None
    """``no width``, ``wide`` (sold by nobody in one piece), ``too large`` (all of it) or ``too many``."""
    left_out: tuple[CutPart, ...] = ()
    """Parts that nothing that is sold gives: they are neither laid out nor bought."""
    room: tuple[Fraction, Fraction | None] | None = None
    """The largest that is sold, its trims taken off: along the grain, and across where that is given."""
    price: float | None = None
    """For all boards and sheets of which the shop told a price."""
    unpriced: int = 0
    """Boards or sheets of which it told none."""
    others: int = 0
    """Other sizes of sheet that were tried and take more."""
    assumed: Stock | None = None
    """What it is taken to be sold as, for neither the plan nor the shop says it."""

    @property
    def unit(self) -> str:
        """That of the plan of its first part: plans of several units may share a stock."""
        return self.parts[0].unit

    @property
    def count(self) -> int:
        """Boards or sheets."""
        return self.boards.count if self.boards else len(self.panels.sheets) if self.panels else 0

    @property
    def as_sawn(self) -> tuple[Fraction, Fraction | None] | None:
        """Thickness and width that rough boards must have at the least, to be planed to the size of the plan."""
        rough = [part.rough_size[1] for part in self.parts if part.rough_size is not None]
        if not rough or self.stock.sheet:
            return None
        thickness = rough_of(self.stock.thickness, PLANING, self.unit)
        return thickness, self.stock.width and max(*rough, self.stock.width)

    @property
    def board_feet(self) -> float | None:
        """By definition a foot square and an inch thick, counted as timber is sold: a nominal size by its name, else
        rough boards as wide as they are sawn, and in plans in inches by ``quarters``."""
        if self.stock.sheet:
            return None
        thickness, width = (
            nominal_parts(self.stock.nominal or self.sold_as or "")
            or self.as_sawn
            or (self.stock.thickness, self.stock.width)
        )
        thickness = self.quarters or thickness
        if self.boards:
            bought = self.boards.length
        elif self.panels and self.panel:
            bought = self.panel.length * self.count
            width = width or self.panel.width
        else:
            bought = sum((part.length * part.count for part in self.parts), Fraction(0))
        if width is None:
            return float(self._used * thickness / 144)
        return float(bought * width * thickness / 144)

    @property
    def quarters(self) -> Fraction | None:
        """The thickness before planing, in inches, by which board feet are counted; ``None`` where it is not."""
        timber = in_inches(self.unit) and not self.stock.sheet and not (self.stock.nominal or self.sold_as)
        return before_planing(self.stock.thickness) if timber else None

    @property
    def sold_as(self) -> str | None:
        """The nominal size by which softwood is counted of which the plan says only what it measures."""
        made = self.stock
        soft = made.material.kind == "softwood" and not (made.nominal or self.as_sawn)
        return name_of_dressed(made.thickness, made.width) if soft and in_inches(self.unit) else None

    @property
    def waste(self) -> float | None:
        """The share of what is bought that does not become parts, kerfs and trims among it."""
        return None if self.area is None else float(1 - self._used / self.area)

    @property
    def area(self) -> Fraction | None:
        """Square inches that are bought; ``None`` where nothing is laid out."""
        if self.boards and self.stock.width:
            return self.boards.length * self.stock.width
        if self.panels and self.panel:
            return self.panel.length * self.panel.width * self.count
        return None

    @property
    def _used(self) -> Fraction:
        """Square inches that become parts."""
        return sum((part.length * part.width * part.count for part in self.parts), Fraction(0))


def purchases(
    groups: Iterable[CutGroup],
    settings: Settings,
    *,
    exact: bool = True,
    laying: Laying | None = None,
) -> tuple[Purchase, ...]:
    """How each group comes out of what is sold: lengths and sizes of the plan's stock line, else of the shop's own."""
    found = []
    for group in groups:
        if laying is not None:
            laying(group)
        found.append(_purchase(group, settings, exact=exact))
    return tuple(found)


def bought_together(groups: Iterable[CutGroup], settings: Settings) -> tuple[CutGroup, ...]:
    """Parts of what is bought as one thing in one group, whatever plans call it. What leaves its size open is bought in
    the one size that others of it name, where that gives all its parts and the shop keeps no other."""
    every = list(groups)
    kinds: dict[object, dict[object, list[CutGroup]]] = {}
    for group in every:
        stock, made = group.stock, group.stock.material
        sold = made.sold_as, made.sawn, made.treated, made.grade, stock.thickness, stock.sheet or stock.width
        size = (stock.width and stock.length and _panel(stock)) if stock.sheet else stock.length
        kinds.setdefault(sold, {}).setdefault(size, []).append(group)
    found = []
    for sizes in kinds.values():
        told = [alike for size, alike in sizes.items() if size is not None]
        silent = sizes.get(None, [])
        if len(told) == 1 and silent and _gives(told[0][0].stock, silent, settings):
            told[0] += silent
            silent = []
        found += [alike for alike in (*told, silent) if alike]
    return tuple(map(_as_one, sorted(found, key=lambda alike: min(map(every.index, alike)))))


def _gives(sold: Stock, groups: Sequence[CutGroup], settings: Settings) -> bool:
    """Whether all parts of stock that says no size come out of what is ``sold``, and the shop keeps none in another."""
    buying = settings.buying
    saw = PanelSaw(buying.kerf, buying.end_trim, buying.edge_trim)
    return not _sold(groups[0].stock, settings) and all(
        sheet_gives(_wanted(part, part.stock.material.kind in NO_GRAIN, _panel(sold)), _panel(sold), saw)
        if sold.sheet
        else sold.length is not None and part.sawn + 2 * buying.end_trim <= sold.length
        for group in groups
        for part in group.parts
    )


def _as_one(groups: Sequence[CutGroup]) -> CutGroup:
    """By the first name of the stock, and by its nominal size where one plan says that. Where a part of it is rough the
    boards are, and all that comes out of them is planed."""
    nominal = next((group.stock.nominal for group in groups if group.stock.nominal), None)
    stock, parts = (
        replace(groups[0].stock, nominal=nominal),
        [part for group in groups for part in group.parts],
    )
    rough = any(part.rough for part in parts)
    return CutGroup(stock, merged(replace(part, rough=rough) for part in parts))


def _purchase(group: CutGroup, settings: Settings, *, exact: bool) -> Purchase:
    stock, parts = group.stock, group.parts
    none = Purchase(stock, parts, ())
    if sum(part.count for part in parts) > _MOST_PARTS:
        return replace(none, why="too many")
    sold, buying, width = _sold(stock, settings), settings.buying, stock.width
    if stock.sheet:
        sold = [each for each in sold if each.width is not None]
    if not sold and not stock.sheet and width is not None and width > WIDEST:
        return replace(none, why="wide")
    if not sold and (stock.sheet or width is not None):
        sold = [_usual(none, buying)]
        none = replace(none, assumed=sold[0])
    if stock.sheet:
        return _from_panels(none, sold, buying, edges=buying.edge_trim, exact=exact)
    if width is None:
        sizes = [each for each in sold if each.width is not None]
        if not sizes:
            return replace(none, why="no width")
        return _from_panels(none, sizes, buying, edges=Fraction(0), exact=exact)
    if any(2 * part.width + buying.kerf <= width for part in parts):
        # More than one lies side by side: the board is ripped as a sheet is.
        sizes = [replace(each, width=width) for each in sold]
        return _from_panels(none, sizes, buying, edges=Fraction(0), exact=exact)
    return _from_boards(none, sold, width, buying, exact=exact)


def _sold(stock: Stock, settings: Settings) -> list[Stock]:
    """The stock as it is sold: as the plan says, or as the shop keeps it."""
    if stock.length is not None:
        return [stock]
    return [
        kept
        for kept in settings.stock
        if kept.material.sold_as == stock.material.sold_as
        and stock.material.grade in {"", kept.material.grade}
        and stock.material.sawn in {"", kept.material.sawn}
        and stock.material.treated in {"", kept.material.treated}
        and kept.thickness == stock.thickness
        and (stock.width is None or kept.width is None or kept.width == stock.width)
        and kept.length is not None
    ]


def _usual(none: Purchase, buying: Buying) -> Stock:
    """A sheet of the usual size, or the shortest usual board that gives every part, else the longest."""
    inch = in_inches(none.unit)
    scale = Fraction(1) if inch else Fraction(10, 254)
    if none.stock.sheet:
        width, length = USUAL_SHEET[inch]
        return replace(none.stock, width=width * scale, length=length * scale)
    lengths = [each * scale for each in USUAL_LENGTHS[inch]]
    need = max(part.sawn for part in none.parts) + 2 * buying.end_trim
    return replace(none.stock, length=next((each for each in lengths if each >= need), lengths[-1]))


def _split(none: Purchase, fits: Callable[[CutPart], bool]) -> Purchase:
    """With only the parts that come out of what is sold, and the others apart."""
    laid = tuple(part for part in none.parts if fits(part))
    out = tuple(part for part in none.parts if not fits(part))
    return replace(none, parts=laid or none.parts, left_out=out, why=None if laid else "too large")


def _from_boards(
    none: Purchase, sold: Sequence[Stock], width: Fraction, buying: Buying, *, exact: bool
) -> Purchase:
    prices = {each.length: buying.price(each) for each in sold if each.length is not None}
    room = max(prices) - 2 * buying.end_trim
    none = replace(_split(none, lambda part: part.sawn <= room and part.width <= width), room=(room, width))
    if none.why:
        return none
    lengths = sorted({part.sawn for part in none.parts}, reverse=True)
    counts = [sum(part.count for part in none.parts if part.sawn == length) for length in lengths]
    boards = [Board(length, prices[length]) for length in sorted(prices)]
    cutting = cut_boards(lengths, counts, boards, Saw(buying.kerf, buying.end_trim), exact=exact)
    priced = [(cut.board.price, cut.count) for cut in cutting.boards]
    known = [price * count for price, count in priced if price is not None]
    # One index for each length: the parts of that length, the widest first.
    first = tuple(next(n for n, part in enumerate(none.parts) if part.sawn == length) for length in lengths)
    return replace(
        none,
        boards=cutting,
        cut=first,
        price=sum(known) if known else None,
        unpriced=sum(count for price, count in priced if price is None),
    )


def _from_panels(
    none: Purchase, sold: Sequence[Stock], buying: Buying, *, edges: Fraction, exact: bool
) -> Purchase:
    """Out of the size that takes the least money, or where no price is told the least wood; of those that give the
    most parts."""
    saw = PanelSaw(buying.kerf, buying.end_trim, edges)
    turns = none.stock.material.kind in NO_GRAIN
    tried = []
    for each in sold:
        panel = _panel(each)
        split = _split(none, lambda part, panel=panel: sheet_gives(_wanted(part, turns, panel), panel, saw))  # type: ignore[misc]
        room = panel.length - 2 * saw.ends, panel.width - 2 * saw.edges
        tried.append((replace(split, panel=panel, room=room), buying.price(each)))
    fewest = min(sum(part.count for part in one.left_out) for one, _ in tried)
    tried = [(one, price) for one, price in tried if sum(part.count for part in one.left_out) == fewest]
    if tried[0][0].why:
        return replace(max(tried, key=lambda each: each[0].room or (0, 0))[0], panel=None)
    laid = [_laid_out(one, price, saw, turns=turns, exact=exact) for one, price in tried]
    priced = all(each.price is not None for each in laid)
    best = min(laid, key=lambda each: ((each.price if priced else 0) or 0, each.area or 0, each.count))
    return replace(best, others=len(laid) - 1)


def _panel(sold: Stock) -> Panel:
    assert sold.length is not None
    assert sold.width is not None
    if sold.sheet:
        return Panel(max(sold.length, sold.width), min(sold.length, sold.width))
    return Panel(sold.length, sold.width)


def _wanted(part: CutPart, turns: bool, panel: Panel) -> WantedPart:
    """As it is first sawn: a rough part with what is planed off its edges, as far as the board has it."""
    wide = min(part.rough_size[1], max(panel.width, part.width)) if part.rough_size else part.width
    return WantedPart(part.sawn, wide, turns)


def _laid_out(one: Purchase, price: float | None, saw: PanelSaw, *, turns: bool, exact: bool) -> Purchase:
    assert one.panel is not None
    numbers = [n for n, part in enumerate(one.parts) for _ in range(part.count)]
    wanted = [_wanted(one.parts[n], turns, one.panel) for n in numbers]
    cutting = cut_panels(wanted, one.panel, saw, exact=exact)
    count = len(cutting.sheets)
    return replace(
        one,
        panels=cutting,
        cut=tuple(numbers),
        price=None if price is None else price * count,
        unpriced=count if price is None else 0,
    )
