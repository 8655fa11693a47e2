"""What to buy, told for the shop sheet: boards and sheets, fasteners, plugs, dowels, glue, finish, and the cost."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from planlint.reports.safe_words import count, visible
from planlint.reports.sheet_cutting import panel_size, stock_words
from planlint.reports.sheet_section import Section, Table
from planlint.sheet.buying_list import Purchase
from planlint.sheet.joint_setouts import SPLINE_UNIT
from planlint.sheet.shop_sheet import ShopSheet
from planlint.sheet.sundries import Sundry, metal_of
from planlint.text.measures import in_inches, length, listed
from planlint.text.rounding import whole_down, whole_up
from planlint.wording.fastener_words import bored_in, fastener_called
from planlint.wording.row_words import screw_length


def buying_section(sheet: ShopSheet) -> Section:
    rows = [row for buy in sheet.buying for row in _timber(buy, buy.unit)]
    rows += [_sundry(each, sheet.unit) for each in sheet.sundries]
    if sheet.unsettled:
        names = listed([visible(each.joint) for each in sheet.unsettled])
        rows.append(("not known", "", f"what holds {names}: not settled by the plan, and not counted"))
    return Section(
        "To buy",
        tuple(_words(sheet)),
        Table(("How many", "Wood and price", "What"), tuple(rows)),
        narrow=True,
    )


def _words(sheet: ShopSheet) -> Iterator[str]:
    if sheet.areas.finish:
        yield f"Finish for about {_area(sheet.areas.finish, sheet.unit, 0)}, one coat on every face that shows."
    if sheet.tape:
        told = [
            f"{_feet(each.feet, sheet.unit)} on {visible(each.material)}, {length(each.thickness, sheet.unit)} thick"
            for each in sheet.tape
        ]
        yield f"Veneer tape for the edges, and some to trim: {'; '.join(told)}."
    if sheet.areas.glue >= 0.05:
        yield f"Glue for about {_area(sheet.areas.glue, sheet.unit, 1)} of joints."
    if sheet.areas.dry:
        many = count(sheet.areas.dry, "joint")
        yield f"The plan does not say `glued` of {many} such as tenons or dowels: glue for these is not counted."
    if any(each.loose for each in sheet.sundries):
        yield (
            "Where the plan does not say how many dowels or biscuits a joint gets, they are counted as the list of "
            "parts sets them out, by common practice."
        )
    planed = {buy.stock.thickness: buy.quarters for buy in sheet.buying if buy.quarters}
    if planed:
        told = [f"{length(thick, 'in')} as {int(4 * sold)}/4" for thick, sold in sorted(planed.items())]
        yield f"Board feet count the thickness before planing, as timber is sold: {listed(told)}."
    known = [buy.price for buy in sheet.buying if buy.price is not None]
    if known:
        missing = [
            stock_words(buy.stock, buy.unit) for buy in sheet.buying if buy.price is None or buy.unpriced
        ]
        without = f", without what has no price in the settings: {'; '.join(missing)}" if missing else ""
        yield f"Timber comes to {sum(known):.2f}{without}."


def _timber(buy: Purchase, unit: str) -> Iterator[tuple[str, str, str]]:
    yield _many(buy, unit), _cost(buy, unit), _bought(buy, unit)
    if buy.left_out and not buy.why:
        names = listed([visible(name) for part in buy.left_out for name in part.names])
        yield "not known", "", f"{stock_words(buy.stock, unit)} for {names}: larger than what is sold"


def _many(buy: Purchase, unit: str) -> str:
    if buy.boards is not None:
        by_length = Counter[Fraction]()
        for cut in buy.boards.boards:
            by_length[cut.board.length] += cut.count
        return " and ".join(f"{many} of {length(long, unit)}" for long, many in by_length.items())
    if buy.panel is None:
        return "as needed"
    return count(buy.count, "sheet" if buy.stock.sheet else "board")


def _bought(buy: Purchase, unit: str) -> str:
    """The stock with the size that is bought: as sawn where it is rough, or where the plan leaves it to the shop."""
    words = stock_words(buy.stock, unit)
    if buy.as_sawn:
        least = " x ".join(length(each, unit) for each in buy.as_sawn if each is not None)
        words += f": that is planed; buy it rough, at least {least}{'' if buy.as_sawn[1] else ' thick'}"
    if buy.panel is None or buy.stock.length is not None:
        return words
    size = length(buy.panel.length, unit) if buy.stock.width is not None else panel_size(buy.panel, unit)
    return f"{words}, {size}"


def _cost(buy: Purchase, unit: str) -> str:
    feet = buy.board_feet
    told = [] if feet is None else [_wood(feet, unit) + (f" as {buy.sold_as}" if buy.sold_as else "")]
    if buy.price is not None:
        told.append(f"{buy.price:.2f}")
        if buy.unpriced:
            told.append(f"and {buy.unpriced} without a price")
    return "; ".join(told)


def _wood(board_feet: float, unit: str) -> str:
    """Timber in the plan's own measure: board feet, 144 cubic inches each, or cubic metres."""
    if in_inches(unit):
        return f"{_upward(board_feet, 1)} board feet"
    return f"{_upward(board_feet * 144 * 0.0254**3, 3)} cubic metres"


def _upward(value: float, digits: int) -> str:
    """What is bought, rounded; a half up: ``8.25`` as ``8.3``."""
    return f"{whole_down(value * 10**digits + 0.5) / 10**digits:.{digits}f}"


def _feet(feet: float, unit: str) -> str:
    """A length that is bought, rounded up: feet, or tenths of a metre (one foot is 0.3048 m by definition)."""
    whole = whole_up(feet)
    if in_inches(unit):
        return f"{whole} {'foot' if whole == 1 else 'feet'}"
    return f"{whole_up(feet * 3.048) / 10:.1f} m"


def _area(square_feet: float, unit: str, digits: int) -> str:
    """An area in the plan's own measure: square feet, or square metres (one foot is 0.3048 m by definition)."""
    if in_inches(unit):
        return f"{square_feet:.{digits}f} square feet"
    return f"{square_feet * 0.3048**2:.{digits + 1}f} square metres"


def _sundry(each: Sundry, unit: str) -> tuple[str, str, str]:
    if each.what == "splines":
        return length(each.bought / SPLINE_UNIT, unit), "", _what(each, unit)
    return str(each.bought), "", f"{_what(each, unit)} ({each.needed} needed)"


def _what(each: Sundry, unit: str) -> str:
    kind = f", {visible(each.kind)}" if each.kind else ""
    if each.size is not None:
        thread, long, gauge = each.size
        return f"{thread} screws {screw_length(long, unit)}, No. {gauge}"
    if each.loose is not None:
        sizes = ", ".join(f"{length(size, unit)} {word}" for word, size in each.loose.measures)
        what = "spline" if each.what == "splines" else each.what
        silent = each.what == "dowels" and "long" not in dict(each.loose.measures)
        return f"{what}{f', {sizes}' if sizes else ''}{', how long the plan does not say' if silent else ''}"
    if each.made is not None:
        name = " ".join(filter(None, (metal_of(each.made), fastener_called(each.made, unit))))
        plugs = f"plugs{bored_in(each.made, unit, ' ')} for the heads of "
        before = {"head plugs": plugs, "inserts": "threaded inserts for "}.get(each.what, "")
        return f"{before}{name}{kind if each.what == 'head plugs' else ''}"
    return f"plugs for pockets{kind}"
