"""The shop sheet as sections of words, tables and pictures: one document, from which text, page and PDF are made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction

from planlint.checks.row_view import listed, places
from planlint.findings.finding import Finding
from planlint.reports.loads_told import loads_told
from planlint.reports.safe_words import visible
from planlint.reports.sheet_cutting import cutting_sections, stock_words
from planlint.reports.sheet_section import Section, Table
from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutOut, CutPart, EndSetting, Shaped
from planlint.sheet.drilling_setups import DrillingSetUp, alike
from planlint.sheet.shop_sheet import ShopSheet
from planlint.text.measures import degrees, length, to_sixteenth
from planlint.wording.fastener_words import fastener_name

MOST_NAMES = 12
"""Names of alike parts that a row tells one by one. Basis: own judgement."""


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
            *cutting_sections(sheet, numbers),
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
            ("This plan has faults that spoil timber or joints. Mend them first:", *_faults(sheet.stops)),
            boxed=True,
        )
    if sheet.others:
        yield Section("Look at these too", tuple(_faults(sheet.others)))


MOST_FAULTS = 12
"""Faults that a sheet tells one by one: an inspection tells all. Basis: own judgement."""


def _faults(findings: Sequence[Finding]) -> Iterator[str]:
    yield from map(_fault, findings[:MOST_FAULTS])
    if len(findings) > MOST_FAULTS:
        yield f"and {len(findings) - MOST_FAULTS} more: `planlint inspect` tells them all."


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
        yield Section(
            f"Parts to cut from {stock_words(group.stock, sheet.unit)}", (grain,), Table(head, rows)
        )


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


# ---------------------------------------------------------------- buying


def _buying(sheet: ShopSheet) -> Section:
    rows = [
        (_many(buy, sheet.unit), stock_words(buy.stock, sheet.unit), _cost(buy, sheet.unit))
        for buy in sheet.buying
    ]
    for each in sheet.sundries:
        if each.size is not None:
            thread, long, gauge = each.size
            what = f"{thread} screws {length(long, sheet.unit)}, No. {gauge}"
        elif each.made is not None:
            what = fastener_name(each.made, sheet.unit, None)
        else:
            what = f"plugs for pockets{f', {visible(each.kind)}' if each.kind else ''}"
        rows.append((str(each.bought), f"{what} ({each.needed} needed)", ""))
    words = [
        f"Finish for about {_area(sheet.areas.finish, sheet.unit, 0)}, one coat on every face that shows."
    ]
    if sheet.tape:
        tape = f"{sheet.tape:.0f} feet" if sheet.unit in {"in", "ft"} else f"{sheet.tape * 0.3048:.1f} m"
        words.append(f"Veneer tape for {tape} of edges, and some to trim.")
    if sheet.areas.glue >= 0.05:
        words.append(f"Glue for about {_area(sheet.areas.glue, sheet.unit, 1)} of joints.")
    total = sum(buy.price or 0.0 for buy in sheet.buying)
    if total:
        missing = [buy for buy in sheet.buying if buy.price is None]
        words.append(
            f"Timber comes to {total:.2f}{' without what has no price in the settings' if missing else ''}."
        )
    return Section("To buy", tuple(words), Table(("How many", "What", "Wood and price"), tuple(rows)))


def _many(buy: Purchase, unit: str) -> str:
    if buy.boards is not None:
        by_length: dict[Fraction, int] = {}
        for cut in buy.boards.boards:
            by_length[cut.board.length] = by_length.get(cut.board.length, 0) + cut.count
        return " and ".join(f"{count} of {length(long, unit)}" for long, count in by_length.items())
    if buy.panels is not None:
        return str(buy.count)
    return "as needed"


def _area(square_feet: float, unit: str, places: int) -> str:
    """An area in the plan's own measure: square feet, or square metres (one foot is 0.3048 m by definition)."""
    if unit == "in":
        return f"{square_feet:.{places}f} square feet"
    return f"{square_feet * 0.3048**2:.{places + 1}f} square metres"


def _wood(board_feet: float, unit: str) -> str:
    """Timber in the plan's own measure: board feet, 144 cubic inches each, or cubic metres."""
    return (
        f"{board_feet:.1f} board feet" if unit == "in" else f"{board_feet * 144 * 0.0254**3:.3f} cubic metres"
    )


def _cost(buy: Purchase, unit: str) -> str:
    feet = buy.board_feet
    told = [] if feet is None else [_wood(feet, unit)]
    if buy.price is not None:
        told.append(f"{buy.price:.2f}")
    return "; ".join(told)


# ---------------------------------------------------------------- drilling and finish


def _drilling(sheet: ShopSheet) -> Iterator[Section]:
    for set_up in sheet.drilling:
        unit = sheet.unit
        mixed = len(set_up.screws) > 1
        rows = tuple(
            (
                _names(each.parts),
                f"{each.row.face.value}, at the {listed([side.value for side in each.ends])}",
                f"{places(each.row.places, unit)} {each.row.measured}{', plugged' if each.row.plugged else ''}"
                + (f"; {each.row.screw[0]} {length(each.row.screw[1], unit)}" if mixed else ""),
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
                "Drill and drive one joint in scrap of the same thickness first"
                + (", with each of these screws." if mixed else "."),
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
