"""The shop sheet as sections of words, tables and pictures: one document, from which text, page and PDF are made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from planlint.checks.row_view import listed, places
from planlint.findings.finding import Finding
from planlint.model.stock import Stock
from planlint.reports.loads_told import loads_told
from planlint.reports.safe_words import visible
from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutOut, CutPart, EndSetting, Shaped
from planlint.sheet.drilling_setups import DrillingSetUp, alike
from planlint.sheet.panel_cutting import Panel, PanelCut
from planlint.sheet.shop_sheet import ShopSheet
from planlint.text.measures import degrees, length, to_sixteenth
from planlint.wording.fastener_words import fastener_name

MOST_NAMES = 12
"""Names of alike parts that a row tells one by one. Basis: own judgement."""


class Table(NamedTuple):
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Slab(NamedTuple):
    """A rectangle of a picture: from its left lower corner, in inches; ``label`` is empty for what is left over."""

    x: float
    y: float
    wide: float
    high: float
    label: str


class Picture(NamedTuple):
    """A board or a sheet with what is cut from it; ``grain`` lies along its ``wide``."""

    title: str
    wide: float
    high: float
    slabs: tuple[Slab, ...]


@dataclass(frozen=True, slots=True)
class Section:
    title: str
    words: tuple[str, ...] = ()
    table: Table | None = None
    pictures: tuple[Picture, ...] = ()
    boxed: bool = False
    """Told in a box: nobody may miss it."""


CARE = (
    "Wear eye and ear protection; keep guards on the saw and hands clear of the blade; clamp what is drilled. "
    "Measure the timber before you cut: sizes here are the plan's. Follow the makers' words for saw, drill and finish, "
    "and local codes where a piece carries people or hangs on a wall."
)


def sheet_sections(sheet: ShopSheet) -> tuple[Section, ...]:
    """The sheet in the order in which a builder needs it."""
    numbers = part_numbers(sheet)
    return tuple(
        section
        for section in (
            Section("Take care", (CARE,)),
            *_wrong(sheet),
            *_parts(sheet, numbers),
            *_cutting(sheet, numbers),
            _buying(sheet),
            *_drilling(sheet),
            _finish(sheet),
            *(Section(what, t.words, Table(t.head, t.rows)) for what, t in loads_told(sheet.piece)),
        )
        if section is not None
    )


def part_numbers(sheet: ShopSheet) -> dict[str, int]:
    """A number for each row of the parts list, by the first name in it: it stands on the pictures too."""
    rows = [part for group in sheet.parts for part in group.parts]
    return {part.names[0]: number for number, part in enumerate(rows, 1)}


# ---------------------------------------------------------------- what is wrong


def _wrong(sheet: ShopSheet) -> Iterator[Section]:
    if sheet.stops:
        yield Section(
            "Do not cut yet",
            ("This plan has faults that spoil timber or joints. Mend them first:", *map(_fault, sheet.stops)),
            boxed=True,
        )
    if sheet.others:
        yield Section("Look at these too", tuple(map(_fault, sheet.others)))


def _fault(finding: Finding) -> str:
    where = finding.joint or listed([visible(name) for name in finding.parts])
    return f"{finding.rule} at {visible(where)}: {visible(finding.says)}"


# ---------------------------------------------------------------- parts


def _parts(sheet: ShopSheet, numbers: dict[str, int]) -> Iterator[Section]:
    head = ("No.", "Parts", "How many", "Length", "Width", "Thick", "Then cut")
    for group in sheet.parts:
        rows = tuple(
            (
                str(numbers[part.names[0]]),
                _names(part.names),
                str(part.count),
                *(length(each, sheet.unit) for each in (part.length, part.width, part.thickness)),
                "; ".join([*_rough(part, sheet.unit), *_works(part, sheet.unit)]) or "square",
            )
            for part in group.parts
        )
        grain = "Length runs with the grain."
        if any(part.ends for part in group.parts):
            grain += " A length with slanted ends is from long point to long point."
        yield Section(f"Parts to cut from {_stock(group.stock, sheet.unit)}", (grain,), Table(head, rows))


def _stock(stock: Stock, unit: str) -> str:
    """A stock as it is asked for: its sums worked out, its nominal size kept."""
    size = [length(each, unit) for each in (stock.thickness, stock.width) if each is not None]
    told = [
        f"{stock.material.name}, {stock.nominal or ' x '.join(size)}{' thick' if stock.width is None else ''}"
    ]
    if stock.length is not None:
        told.append(length(stock.length, unit) + ("" if stock.sheet else " long"))
    return visible((" x " if stock.sheet else ", ").join(told))


def _names(names: Sequence[str]) -> str:
    return visible(listed(list(names), MOST_NAMES))


def _rough(part: CutPart, unit: str) -> Iterator[str]:
    if part.rough_size is not None:
        sizes = " x ".join(length(each, unit) for each in part.rough_size)
        yield f"rough to {sizes}, then plane"


def _works(part: CutPart, unit: str) -> Iterator[str]:
    if part.count > 1 and (part.ends or part.cut_outs or part.shaped):
        yield f"as {visible(part.names[0])} lies"
    if len({end[1:] for end in part.ends}) == 1 and len(part.ends) == 2:
        yield _end("both ends", part.ends[0])
    else:
        for end in part.ends:
            yield _end(f"{end.end.value} end", end)
    for cut in part.cut_outs:
        yield _cut_out(cut, unit)
    for told, many in Counter(_shape(each, unit) for each in part.shaped).items():
        yield told if many == 1 else f"{told}, {many} times"


def _end(which: str, end: EndSetting) -> str:
    how = "blade tilted" if end.tilted else "fence turned"
    return f"{which} {degrees(end.angle)}, {how}, long at {end.long_at.value}"


def _shape(shaped: Shaped, unit: str) -> str:
    told = ", ".join(f"{length(size, unit)} {what}" for what, size in shaped.measures)
    return f"{'let in for ' if shaped.lets_in else ''}{shaped.kind} at the {shaped.side.value}{told and f' ({told})'}"


def _cut_out(cut: CutOut, unit: str) -> str:
    wide, deep, away = (length(each, unit) for each in (cut.wide, cut.deep, cut.away))
    at = f"at the {cut.measured.value}" if not cut.away else f"{away} from {cut.measured.value}"
    run = (
        "" if cut.whole else f", from {length(cut.start, unit)} to {length(cut.stop, unit)} {cut.runs.words}"
    )
    return f"{cut.kind} {wide} wide, {deep} deep in the {cut.face.value}, {at}{run}"


# ---------------------------------------------------------------- boards and sheets


_HOW = {
    "proved": "Fewer cannot do.",
    "strips": "Fewer cannot do with strips cut right across each sheet first.",
    "bounded": "The best found in its time; {bound} at the least are needed.",
    "first fit": "Laid out largest first, without the solver of the extra `sheet`; {bound} at the least are needed.",
}


def _cutting(sheet: ShopSheet, numbers: dict[str, int]) -> Iterator[Section]:
    for buy in sheet.buying:
        title = f"How to cut {_stock(buy.stock, sheet.unit)}"
        if buy.why is not None:
            yield Section(title, (_why(buy, sheet.unit),))
        elif buy.boards is not None:
            yield _from_boards(title, buy, sheet, numbers)
        elif buy.panels is not None and buy.panel is not None:
            yield _from_panels(title, buy, sheet, numbers)


_WHY = {
    "no length": "Neither the plan nor the shop's settings say in what lengths it is sold: {total} in all, before "
    "kerfs and trims. Write the length sold behind the stock (`, 8 ft`), or keep it in [stock].",
    "no width": "Neither the plan nor the shop's settings say how wide it is sold: {total} in all.",
    "no sheet size": "Neither the plan nor the shop's settings say the size of the sheets: write it behind the stock "
    "(`, 48 x 96`), or keep it in [stock].",
    "too long": "{wrong} is longer than any board that is sold, its ends trimmed.",
    "too large": "{wrong} does not come out of what is sold.",
    "too many": "There are too many parts to lay out at once: divide the plan.",
}


def _why(buy: Purchase, unit: str) -> str:
    whole = sum((part.length * part.count for part in buy.parts), Fraction(0))
    return _WHY[buy.why or ""].format(total=length(whole, unit), wrong=visible(buy.wrong or ""))


def _from_boards(title: str, buy: Purchase, sheet: ShopSheet, numbers: dict[str, int]) -> Section:
    assert buy.boards is not None
    saw = sheet.saw
    lengths = [buy.parts[index].length for index in buy.cut]
    rows, pictures = [], []
    for number, cut in enumerate(buy.boards.boards, 1):
        left = cut.left(lengths, saw)
        told = " + ".join(
            f"{length(lengths[part], sheet.unit)} (No. {_numbers_of(buy, lengths[part], numbers)})"
            for part in cut.parts
        )
        rows.append((f"{cut.count} of", length(cut.board.length, sheet.unit), told, length(left, sheet.unit)))
        high = float(buy.stock.width or 1)
        x, slabs = float(saw.trim), []
        for part in cut.parts:
            long = float(lengths[part])
            slabs.append(Slab(x, 0.0, long, high, _numbers_of(buy, lengths[part], numbers)))
            x += long + float(saw.kerf)
        many = f"{cut.count} alike" if cut.count > 1 else "one"
        pictures.append(Picture(f"Board {number}, {many}", float(cut.board.length), high, tuple(slabs)))
    how = _HOW[buy.boards.how].format(bound=ceil(buy.boards.bound - 1e-9))
    words = (
        f"{buy.count} {'board' if buy.count == 1 else 'boards'}. {how}",
        f"Each cut takes {length(saw.kerf, sheet.unit)}; {length(saw.trim, sheet.unit)} is trimmed from each end.",
    )
    head = ("Boards", "Long", "Cut, in this order", "Left")
    return Section(title, words, Table(head, tuple(rows)), tuple(pictures))


def _numbers_of(buy: Purchase, long: Fraction, numbers: dict[str, int]) -> str:
    return "/".join(str(numbers[part.names[0]]) for part in buy.parts if part.length == long)


def _from_panels(title: str, buy: Purchase, sheet: ShopSheet, numbers: dict[str, int]) -> Section:
    assert buy.panels is not None
    assert buy.panel is not None
    rows, pictures = [], []
    for number, cut in enumerate(buy.panels.sheets, 1):
        for place, strip in enumerate(cut.strips, 1):
            parts = " + ".join(
                f"{length(each.long, sheet.unit)}"
                f"{'' if each.wide == strip.wide else f' trimmed to {length(each.wide, sheet.unit)}'}"
                f" (No. {numbers[buy.parts[buy.cut[each.part]].names[0]]})"
                for each in strip.parts
            )
            rows.append(
                (f"{number}" if place == 1 else "", f"{_first(cut)} {length(strip.wide, sheet.unit)}", parts)
            )
        pictures.append(_panel_picture(f"Sheet {number}", buy, buy.panel, cut, numbers))
    how = _HOW[buy.panels.how].format(bound=buy.panels.bound)
    size = f"{length(buy.panel.width, sheet.unit)} x {length(buy.panel.length, sheet.unit)}"
    what = "sheet" if buy.stock.sheet or buy.stock.material.panel else "board"
    words = (
        f"{buy.count} {what}{'' if buy.count == 1 else 's'} of {size}. {how}",
        f"Each cut takes {length(sheet.saw.kerf, sheet.unit)}. Cut the strips first, then the parts from each strip.",
    )
    head = (what.capitalize(), "First", "then crosscut" if buy.panels.sheets[0].along else "then cut")
    return Section(title, words, Table(head, tuple(rows)), tuple(pictures))


def _first(cut: PanelCut) -> str:
    return "rip" if cut.along else "crosscut"


def _panel_picture(
    title: str, buy: Purchase, panel: Panel, cut: PanelCut, numbers: dict[str, int]
) -> Picture:
    slabs = []
    for strip in cut.strips:
        for each in strip.parts:
            label = str(numbers[buy.parts[buy.cut[each.part]].names[0]])
            x, y, wide, high = each.start, strip.start, each.long, each.wide
            if not cut.along:
                x, y, wide, high = y, x, high, wide
            slabs.append(Slab(float(x), float(y), float(wide), float(high), label))
    return Picture(title, float(panel.length), float(panel.width), tuple(slabs))


# ---------------------------------------------------------------- buying


def _buying(sheet: ShopSheet) -> Section:
    rows = [(_many(buy, sheet.unit), _stock(buy.stock, sheet.unit), _cost(buy)) for buy in sheet.buying]
    for each in sheet.sundries:
        if each.size is not None:
            thread, long, gauge = each.size
            what = f"{thread} screws {length(long, sheet.unit)}, No. {gauge}"
        elif each.made is not None:
            what = fastener_name(each.made, sheet.unit, None)
        else:
            what = f"plugs for pockets{f', {visible(each.kind)}' if each.kind else ''}"
        rows.append((str(each.bought), f"{what} ({each.needed} needed)", ""))
    words = [f"Finish for about {sheet.areas.finish:.0f} square feet, one coat on every face that shows."]
    if sheet.areas.glue >= 0.05:
        words.append(f"Glue for about {sheet.areas.glue:.1f} square feet of joints.")
    total = sum(buy.price or 0.0 for buy in sheet.buying)
    if total:
        missing = [buy for buy in sheet.buying if buy.price is None]
        words.append(
            f"Timber comes to {total:.2f}{' without what has no price in the settings' if missing else ''}."
        )
    return Section("To buy", tuple(words), Table(("How many", "What", "Cost"), tuple(rows)))


def _many(buy: Purchase, unit: str) -> str:
    if buy.boards is not None:
        by_length: dict[Fraction, int] = {}
        for cut in buy.boards.boards:
            by_length[cut.board.length] = by_length.get(cut.board.length, 0) + cut.count
        return " and ".join(f"{count} of {length(long, unit)}" for long, count in by_length.items())
    if buy.panels is not None:
        return str(buy.count)
    return "as needed"


def _cost(buy: Purchase) -> str:
    feet = buy.board_feet
    told = [] if feet is None else [f"{feet:.1f} board feet"]
    if buy.price is not None:
        told.append(f"{buy.price:.2f}")
    return "; ".join(told)


# ---------------------------------------------------------------- drilling and finish


def _drilling(sheet: ShopSheet) -> Iterator[Section]:
    for set_up in sheet.drilling:
        unit = sheet.unit
        rows = tuple(
            (
                _names(each.parts),
                f"{each.row.face.value}, at the {listed([side.value for side in each.ends])}",
                f"{places(each.row.places, unit)} {each.row.measured}{', plugged' if each.row.plugged else ''}",
            )
            for each in alike(set_up.rows)
        )
        yield Section(
            f"Pockets in {length(set_up.thickness, unit)} stock",
            (
                f"Set the fixture for {length(set_up.thickness, unit)}: the shoulder lies "
                f"{length(set_up.setback, unit)} back from the joint along the bore, and the wide bit goes in "
                f"{to_sixteenth(set_up.depth, unit)} from where its edge first touches: set its stop by that.",
                _screws(set_up, unit),
                "Drill and drive one joint in scrap of the same thickness first.",
            ),
            Table(("Parts", "Face and end", "Pockets at"), rows),
        )


def _screws(set_up: DrillingSetUp, unit: str) -> str:
    told = [
        f"{count} {thread} {length(long, unit)}, No. {gauge}" for thread, long, gauge, count in set_up.screws
    ]
    return (
        f"Screws: {listed(told)}. Coarse thread for soft wood and sheet stuff, fine for hardwood; a light clutch "
        "in soft and sheet stuff, more in hardwood, and stop as the joint closes."
    )


def _finish(sheet: ShopSheet) -> Section | None:
    words = []
    plugged = [row for set_up in sheet.drilling for row in set_up.rows if row.plugged]
    if plugged:
        count = sum(len(row.places) for row in plugged)
        words.append(
            f"{count} pockets are plugged, in {_names(list(dict.fromkeys(row.part for row in plugged)))}: glue the "
            "plugs in once the screws hold, let them dry, then sand flush."
        )
    if sheet.unfinished:
        words.append(f"Finish {_names(sheet.unfinished)} on both faces: solid wood that dries unevenly cups.")
    return Section("Plugs and finish", tuple(words)) if words else None
