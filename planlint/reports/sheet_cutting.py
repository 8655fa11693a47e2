"""How boards and sheets are cut, told and drawn for the shop sheet."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from planlint.model.stock import Stock
from planlint.reports.safe_words import count, visible
from planlint.reports.sheet_section import Cut, Picture, Section, Slab, Table
from planlint.sheet.buying_list import Purchase
from planlint.sheet.panel_cutting import Panel, PanelCut
from planlint.sheet.saw_settings import CROSSCUT, PLANE, RIP, SLANTED, saw_settings
from planlint.sheet.sawn_pieces import Spot
from planlint.sheet.shop_sheet import ShopSheet
from planlint.text.measures import by_rule, degrees, length, listed
from planlint.text.rounding import ROUNDING, whole_up

_HOW = {
    "proved": "Fewer cannot do.",
    "through": "Fewer cannot do with cuts that go right through.",
    "strips": "Fewer cannot do with strips cut right across each sheet first; whether fewer do with other cuts is not "
    "known, but not fewer than {bound}.",
    "bounded": "The best found in its time; fewer than {bound} cannot do.",
    "first fit": "Laid out largest first, without the solver of the extra `sheet`; fewer than {bound} cannot do.",
}


def cutting_sections(sheet: ShopSheet, numbers: dict[str, int]) -> Iterator[Section]:
    silent: dict[str, list[Purchase]] = {}
    laid = [buy for buy in sheet.buying if buy.why is None]
    for buy in sheet.buying:
        if buy.why is not None:
            silent.setdefault(buy.why, []).append(buy)
    words: tuple[str, ...] = (_saw(sheet, laid), *_assumed(laid)) if laid else ()
    for buy in laid:
        title = f"How to cut {stock_words(buy.stock, buy.unit)}"
        out = (*words, *_left_out(buy, buy.unit, numbers))
        words = ()
        if buy.boards is not None:
            yield _from_boards(title, buy, sheet, numbers, out)
        elif buy.panels is not None and buy.panel is not None:
            yield _from_panels(title, buy, numbers, out)
    for why, buys in silent.items():
        out = tuple(words for buy in buys for words in _left_out(buy, buy.unit, numbers))
        stocks = [_with_total(buy, buy.unit) for buy in buys]
        title = f"Not laid out: {listed(stocks, most=len(stocks))}"
        yield Section(title, (_WHY[why], *out), narrow=True)
    yield from _settings(sheet, numbers)


def _settings(sheet: ShopSheet, numbers: dict[str, int]) -> Iterator[Section]:
    """How fence and stop are set the fewest times, where any of their settings cuts more than once."""
    settings, fewest = saw_settings(sheet.buying)
    if all(each.cuts == 1 and each.way not in SLANTED for each in settings):
        return
    many = sum(each.way != PLANE for each in settings)
    words = (
        "Set fence and stop in this order, and cut all that each setting gives, from every board and sheet, before the "
        f"next: {count(many, 'setting')}.{' Fewer do not do for these cuts.' if fewest else ''}",
    )
    rows = []
    for each in settings:
        way = f"{each.way} {by_rule(each.measure, each.unit)}"
        way = f"{each.way} {degrees(each.measure)}" if each.way in SLANTED else way
        way = "plane what is rough" if each.way == PLANE else way
        parts = list(Counter(numbers[part.names[0]] for part in each.parts).items())
        told = _counted(parts)
        if each.cuts != len(each.parts):
            told = f"{count(each.cuts, 'cut')}, for No. {listed([str(n) for n, _ in sorted(parts)], most=len(parts))}"
        rows.append((way, told))
    yield Section("Settings of the saw", words, Table(("Set", "Cut"), tuple(rows)), narrow=True)


def _counted(parts: Iterable[tuple[int, int]]) -> str:
    """``2 x No. 1 + No. 4``: numbers of parts, and how many of each."""
    return " + ".join(f"{f'{many} x ' if many > 1 else ''}No. {number}" for number, many in sorted(parts))


def _saw(sheet: ShopSheet, laid: Sequence[Purchase]) -> str:
    """What each cut and each trim takes, and what the drawings show: once for all stock."""
    kerf, trim, edge = (length(each, sheet.unit) for each in (*sheet.saw, sheet.edge_trim))
    told = f"Each cut takes {kerf}; {trim} is trimmed from each end"
    if sheet.edge_trim and any(buy.stock.sheet for buy in laid):
        told += f" and {edge} from each edge of a sheet"
    told += ". Defects and end checks are yours to see: what does not fall into the trims or what is left takes more."
    if any(buy.panels for buy in laid):
        told += (
            " Of a sheet cut the strips first, then the parts from each strip, as the drawing numbers the cuts; its "
            "grain runs from left to right there."
        )
        if any(cut.spots for buy in laid if buy.panels for cut in buy.panels.sheets):
            told += (
                " Where cuts have numbers in the table, each cuts one piece in two: in that order, or in that of the "
                "settings of the saw."
            )
    return told


def _left_out(buy: Purchase, unit: str, numbers: dict[str, int]) -> Iterator[str]:
    """Parts that nothing that is sold gives, with their measures and what there is."""
    if buy.room is None or not buy.left_out:
        return
    long, wide = buy.room
    room = length(long, unit) + (f" x {length(wide, unit)}" if wide is not None else "")
    for part in buy.left_out:
        size = f"{length(part.sawn, part.unit)} x {length(part.width, part.unit)}"
        yield (
            f"NOT LAID OUT, and not bought: {visible(listed(list(part.names)))} (No. {numbers[part.names[0]]}), {size}"
            f"{' rough' if part.rough else ''}. The most that is sold gives {room} within its trims: find a larger "
            "size, or make the part up of several."
        )


_WHY = {
    "no width": "Neither the plan nor the shop's settings say how wide it is sold.",
    "wide": "Boards are seldom sold so wide, and neither the plan nor the settings say how it is bought: glue it "
    "up of narrower boards, and buy more than the board feet told, for their edges and ends.",
    "too large": "Nothing that is sold gives any of these parts.",
    "too many": "There are too many parts to lay out at once: divide the plan.",
}


def _assumed(laid: Sequence[Purchase]) -> Iterator[str]:
    """Of what neither the plan nor the shop says how it is sold, and what is taken for it."""
    as_others = [
        stock_words(buy.stock, buy.unit)
        for buy in laid
        if buy.stock.length is not None and any(part.stock.length is None for part in buy.parts)
    ]
    if as_others:
        yield f"Where a line of the stock says no size, it is taken in that of another: {'; '.join(as_others)}."
    sizes: dict[str, list[str]] = {}
    for buy in laid:
        if (sold := buy.assumed) is not None and sold.length is not None:
            wide = f"{length(sold.width, buy.unit)} x " if sold.sheet and sold.width is not None else ""
            sizes.setdefault(f"{wide}{length(sold.length, buy.unit)}", []).append(
                stock_words(buy.stock, buy.unit)
            )
    if sizes:
        told = ". ".join(f"{size}: {'; '.join(stocks)}" for size, stocks in sizes.items())
        yield (
            "SIZES TAKEN, NOT TOLD: neither the plan nor the shop's settings say how long or large this is sold, so it "
            f"is laid out from usual sizes. {told}. If yours differ, write the size behind the stock "
            f"(`, {next(iter(sizes))}`), or keep it in [stock], before you buy."
        )


def _with_total(buy: Purchase, unit: str) -> str:
    """Of boards and planks also how long all parts are together."""
    words = stock_words(buy.stock, unit)
    if buy.why != "no width":
        return words
    whole = sum((part.length * part.count for part in buy.parts), Fraction(0))
    return f"{words} ({length(whole, unit)} in all, before kerfs and trims)"


def _from_boards(
    title: str, buy: Purchase, sheet: ShopSheet, numbers: dict[str, int], out: tuple[str, ...]
) -> Section:
    assert buy.boards is not None
    saw = sheet.saw
    lengths = [buy.parts[index].sawn for index in buy.cut]
    rows, pictures = [], []
    for number, cut in enumerate(buy.boards.boards, 1):
        left = cut.left(lengths, saw)
        told = " + ".join(
            f"{by_rule(lengths[part], buy.parts[buy.cut[part]].unit)} (No. {_numbers_of(buy, lengths[part], numbers)})"
            for part in cut.parts
        )
        rows.append((f"{cut.count} of", length(cut.board.length, buy.unit), length(left, buy.unit), told))
        high = float(buy.stock.width or 1)
        x, slabs, cuts = float(saw.trim), [], list[Cut]()
        for part in cut.parts:
            long = float(lengths[part])
            slabs.append(Slab(x, 0.0, long, high, _numbers_of(buy, lengths[part], numbers)))
            if x + long < float(cut.board.length) - ROUNDING:
                cuts.append(Cut(len(cuts) + 1, (x + long, 0.0), (x + long, high)))
            x += long + float(saw.kerf)
        many = f"{cut.count} alike" if cut.count > 1 else "one"
        pictures.append(
            Picture(f"Board {number}, {many}", float(cut.board.length), high, tuple(slabs), tuple(cuts))
        )
    how = _HOW[buy.boards.how].format(bound=whole_up(buy.boards.bound))
    words = (*out, f"{count(buy.count, 'board')}. {how}", *_ripped(buy, numbers))
    head = ("Boards", "Long", "Left", "Cut, in this order")
    narrow = all(len(cut.parts) <= MANY_PARTS for cut in buy.boards.boards)
    return Section(title, words, Table(head, tuple(rows)), tuple(pictures), narrow=narrow)


def _ripped(buy: Purchase, numbers: dict[str, int]) -> Iterator[str]:
    """The parts that are narrower than the board they come from."""
    told = [
        f"No. {numbers[part.names[0]]} to {by_rule(part.width, part.unit)}"
        for part in buy.parts
        if buy.stock.width is not None and part.width < buy.stock.width and not part.rough
    ]
    if told:
        yield f"Then rip {listed(told, len(told))}."


MANY_PARTS = 8
"""Parts on a board up to which half a page is wide enough to draw it. Basis: our own judgement."""


def _numbers_of(buy: Purchase, long: Fraction, numbers: dict[str, int]) -> str:
    return "/".join(str(numbers[part.names[0]]) for part in buy.parts if part.sawn == long)


def _from_panels(title: str, buy: Purchase, numbers: dict[str, int], out: tuple[str, ...]) -> Section:
    assert buy.panels is not None
    assert buy.panel is not None
    what = "sheet" if buy.stock.sheet else "board"
    rows, pictures = list[tuple[str, ...]](), []
    for number, cut in enumerate(buy.panels.sheets, 1):
        rows += _sawn(number, buy, cut, numbers) if cut.spots else ()
        for place, strip in enumerate(cut.strips, 1):
            parts = " + ".join(
                f"{by_rule(each.long, part.unit)}"
                f"{'' if each.wide == strip.wide else f' trimmed to {by_rule(each.wide, part.unit)}'}"
                f" (No. {numbers[part.names[0]]})"
                for each in strip.parts
                for part in (buy.parts[buy.cut[each.part]],)
            )
            widest = buy.parts[buy.cut[max(strip.parts, key=lambda each: each.wide).part]]
            first = f"{RIP if cut.along else CROSSCUT} {by_rule(strip.wide, widest.unit)}"
            rows.append((f"{number}" if place == 1 else "", first, parts))
        pictures.append(_panel_picture(f"{what.capitalize()} {number}", buy, buy.panel, cut, numbers))
    how = _HOW[buy.panels.how].format(bound=buy.panels.bound)
    size = panel_size(buy.panel, buy.unit)
    of_all = f", of the {buy.others + 1} sizes kept the one that takes least" if buy.others else ""
    words = (*out, f"{count(buy.count, what)} of {size}{of_all}. {how}")
    ways = {"piece by piece" if cut.spots else cut.along for cut in buy.panels.sheets}
    head = (
        what.capitalize(),
        "First",
        "then crosscut" if ways == {True} else "then rip" if ways == {False} else "then",
    )
    return Section(title, words, Table(head, tuple(rows)), tuple(pictures), narrow=True)


def _sawn(
    number: int, buy: Purchase, cut: PanelCut, numbers: dict[str, int]
) -> Iterator[tuple[str, str, str]]:
    """The cuts of a sheet that is cut piece by piece, in their order."""

    def told(parts: Sequence[int]) -> str:
        return _counted(Counter(numbers[buy.parts[buy.cut[part]].names[0]] for part in parts).items())

    for place, saw in enumerate(cut.saws, 1):
        unit = buy.parts[buy.cut[saw.off[0]]].unit
        rest = f"; from the rest {told(saw.rest)}" if saw.rest else "; the rest is left over"
        yield (
            f"{number}" if place == 1 else "",
            f"({place}) {RIP if saw.rip else CROSSCUT} {by_rule(saw.measure, unit)}",
            f"for {told(saw.off)}{rest}",
        )


def panel_size(panel: Panel, unit: str) -> str:
    return f"{length(panel.width, unit)} x {length(panel.length, unit)}"


def _panel_picture(
    title: str, buy: Purchase, panel: Panel, cut: PanelCut, numbers: dict[str, int]
) -> Picture:
    spots = list(cut.spots)
    for strip in cut.strips:
        for each in strip.parts:
            at, size = (each.start, strip.start), (each.long, each.wide)
            spots.append(
                Spot(each.part, *(at if cut.along else at[::-1]), *(size if cut.along else size[::-1]))
            )
    slabs = (
        Slab(float(x), float(y), float(long), float(wide), str(numbers[buy.parts[buy.cut[part]].names[0]]))
        for part, x, y, long, wide in spots
    )
    cuts = (
        Cut(number, (float(x1), float(y1)), (float(x2), float(y2)))
        for number, (_, (x1, y1), (x2, y2), *_) in enumerate(cut.saws, 1)
    )
    return Picture(title, float(panel.length), float(panel.width), tuple(slabs), tuple(cuts))


def stock_words(stock: Stock, unit: str) -> str:
    """A stock as it is asked for: its sums worked out, its nominal size kept."""
    size = [length(each, unit) for each in (stock.thickness, stock.width) if each is not None]
    told = [
        f"{stock.material.name}, {stock.nominal or ' x '.join(size)}{' thick' if stock.width is None else ''}"
    ]
    if stock.length is not None:
        told.append(length(stock.length, unit) + ("" if stock.sheet else " long"))
    return visible((" x " if stock.sheet else ", ").join(told))
