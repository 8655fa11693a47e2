"""The shop sheet as sections of words, tables and pictures: one document, from which text, page and PDF are made."""

from collections.abc import Iterator, Mapping, Sequence

from planlint.findings.finding import Finding
from planlint.findings.one_cause import one_a_cause
from planlint.reports.load_tables import loads_told
from planlint.reports.numbered_names import runs_of
from planlint.reports.safe_words import visible
from planlint.reports.setout_words import works
from planlint.reports.sheet_buying import buying_section
from planlint.reports.sheet_cutting import cutting_sections, stock_words
from planlint.reports.sheet_section import Note, Section, Table
from planlint.sheet.cut_list import CutPart
from planlint.sheet.drilling_setups import alike_rows
from planlint.sheet.shop_sheet import ShopSheet
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule, in_inches, length, listed, stations_told, to_sixteenth
from planlint.text.sayings import Saying
from planlint.wording.row_words import screw_length

_MOST_NAMES = 12
"""Names of alike parts that a row tells one by one. Basis: own judgement."""


_CARE = (
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
            Section("Take care", (_CARE, *_of_several(sheet))),
            *_wrong(sheet),
            *_parts(sheet, numbers),
            *cutting_sections(sheet, numbers),
            buying_section(sheet),
            *_drilling(sheet),
            _finish(sheet),
            _wall(sheet),
            *(
                Section(what, t.words, Table(t.head, t.rows), narrow=True)
                for what, t in loads_told(sheet.piece)
            ),
        )
        if section is not None
    )


def _of_several(sheet: ShopSheet) -> Iterator[str]:
    """What to know of a list that is of several plans."""
    if sheet.piece is None:
        yield (
            "This buys and cuts for several plans at once. Drilling, weights and the order of work stand on the sheet "
            "of each plan alone: make and pin up these too. Mark each part with its plan and name as you cut it: the "
            "numbers here are of this list alone."
        )
    if sheet.units:
        yield (
            "These plans count in inches and in millimetres: parts and their stock are told in that of their own plan, "
            f"what is of all plans in {'inches' if in_inches(sheet.unit) else 'millimetres'}."
        )
    if sheet.otherwise:
        yield (
            f"The settings for {_names(sheet.otherwise)} saw or buy another way: here those for the first plan count."
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
            (
                f"{'This plan has' if sheet.piece else 'These plans have'} faults that spoil timber or joints. Mend "
                "them first:",
                *_faults(sheet.stops),
            ),
            boxed=True,
        )
    if sheet.unsettled:
        yield Section(
            "Not counted",
            (
                "The plan does not settle where the parts of these joints lie, or they do not meet. What holds them is "
                "in no number below, nor on the buying list:",
                *_unsettled(sheet),
            ),
            boxed=True,
        )
    if sheet.others:
        yield Section("Look at these too", tuple(_faults(sheet.others)))


_MOST_FAULTS = 12
"""Faults that a sheet tells one by one: an inspection tells all. Basis: own judgement."""


def _faults(findings: Sequence[Finding]) -> Iterator[str]:
    """The same fault at joints alike is told once, with where else it is."""
    told = [each for first in one_a_cause(findings) for each in (first, *first.beside)]
    yield from map(_fault, told[:_MOST_FAULTS])
    if len(told) > _MOST_FAULTS:
        yield f"and {len(told) - _MOST_FAULTS} more: `planlint inspect` tells them all."


def _unsettled(sheet: ShopSheet) -> Iterator[str]:
    for each in sheet.unsettled[:_MOST_FAULTS]:
        many = f"{each.many} in all" if each.many is not None else "how many only shows then"
        yield f"{visible(each.joint)}: {listed(each.what)}, {many}"
    if len(sheet.unsettled) > _MOST_FAULTS:
        yield f"and {len(sheet.unsettled) - _MOST_FAULTS} more."


def _fault(finding: Finding) -> str:
    also = f" The same at {_names([_where(each) for each in finding.also])}." if finding.also else ""
    return f"{finding.rule} at {visible(_where(finding))}: {visible(finding.says)}{also}"


def _where(finding: Finding) -> str:
    return finding.joint or listed(list(finding.parts))


# ---------------------------------------------------------------- parts


def _parts(sheet: ShopSheet, numbers: dict[str, int]) -> Iterator[Section]:
    head = ("No.", "How many", "Length", "Width", "Thick", "Then", "Parts")
    every = [part for group in sheet.parts for part in group.parts]
    words = "Length runs with the grain."
    if any(part.ends for part in every):
        words += " A length with slanted ends is from long point to long point."
    if any(part.shaped for part in every):
        words += " A length with tenons, tongues or tails is with these."
    if any(part.worked or part.rough for part in every):
        words += " What is then cut into a part is set out below its table, from its sides as they lie in the piece."
    for group in sheet.parts:
        first: dict[object, int] = {}
        rows, notes = [], []
        for part in group.parts:
            number, names = numbers[part.names[0]], _names(part.names)
            cuts = (*_rough(part), *works(part, part.unit, first.get(part.mirrored)))
            first[part.like] = number
            sizes = (
                *(by_rule(each, part.unit) for each in (part.length, part.width)),
                length(part.thickness, part.unit),
            )
            rows.append((str(number), str(part.count), *sizes, "below" if cuts else "square", names))
            if cuts:
                notes.append(Note(f"No. {number}: {names}", cuts))
        yield Section(
            f"Parts to cut from {stock_words(group.stock, group.parts[0].unit)}",
            (words,) if group is sheet.parts[0] else (),
            Table(head, tuple(rows)),
            notes=tuple(notes),
        )


def _names(names: Sequence[str]) -> str:
    """Names as a row tells them; of several plans each plan once, with its parts behind it."""
    plans = grouped((each.names[0], each.names[1]) for each in names if isinstance(each, Saying))
    told = [f"{visible(plan)}: {listed(runs_of(bare), _MOST_NAMES)}" for plan, bare in plans.items()]
    return "; ".join(told) or listed(runs_of(names), _MOST_NAMES)


def _rough(part: CutPart) -> Iterator[str]:
    if part.rough_size is not None:
        sizes = " x ".join(length(each, part.unit) for each in part.rough_size)
        yield f"rough to {sizes}, then plane"


# ---------------------------------------------------------------- drilling and finish


def _drilling(sheet: ShopSheet) -> Iterator[Section]:
    if sheet.drilling:
        yield Section(
            "Drilling and driving",
            (
                "For each setting of the fixture drill and drive one joint in scrap of the same thickness first, with "
                "each of its screws. Coarse thread for soft wood and sheet stuff, with a light clutch; fine for "
                "hardwood, with more; stop as the joint closes." + _not_here(sheet),
            ),
            narrow=True,
        )
    for set_up in sheet.drilling:
        unit = sheet.unit
        mixed = len(set_up.screws) > 1
        rows = tuple(
            (
                _names(each.parts),
                f"{each.row.face.value}, at the {listed([side.value for side in each.ends])}",
                f"{stations_told(each.row.places, unit)} {each.row.measured}{', plugged' if each.row.plugged else ''}"
                + (f"; {each.row.screw[0]} {screw_length(each.row.screw[1], unit)}" if mixed else ""),
            )
            for each in alike_rows(set_up.rows)
        )
        screws = [
            f"{count} {thread} {screw_length(long, unit)}, No. {gauge}"
            for thread, long, gauge, count in set_up.screws
        ]
        yield Section(
            f"Pockets in {length(set_up.thickness, unit)} stock",
            (
                f"Set the fixture for {length(set_up.thickness, unit)}: the shoulder lies "
                f"{by_rule(set_up.setback, unit)} back from the joint along the bore, and the wide bit goes in "
                f"{to_sixteenth(set_up.depth, unit)} from where its edge first touches: set its stop by that. "
                f"Screws: {listed(screws)}.",
            ),
            Table(("Parts", "Face and end", "Pockets at"), rows),
            narrow=True,
        )


def without_pictures(sheet: ShopSheet, sketches: Mapping[int, object]) -> Iterator[str]:
    """Says so where only the first steps have pictures."""
    if sketches and (bare := [step.number for step in sheet.steps if step.number not in sketches]):
        yield f"Only the steps before {bare[0]} have a picture here: `planlint draw PLAN --step {bare[0]}` draws it."


def _not_here(sheet: ShopSheet) -> str:
    """The joints whose pockets are in no set-up."""
    names = [visible(each.joint) for each in sheet.unsettled if "pockets" in each.what]
    return f" Not below: {listed(names)}, not settled yet." if names else ""


def _finish(sheet: ShopSheet) -> Section | None:
    words = []
    if sheet.plugged:
        count = sum(many for _, many in sheet.plugged)
        told = [
            f"{sum(counts)} {what}"
            for kind, what in (("plugs", "pockets"), ("head plugs", "sunk heads"))
            if (counts := [each.needed for each in sheet.sundries if each.what == kind])
        ]
        parts = _names([name for name, _ in sheet.plugged])
        words.append(
            f"{listed(told)} {'is' if count == 1 else 'are'} plugged, in {parts}: "
            "glue the plugs in once the screws hold, let them dry, then sand flush."
        )
    if sheet.unfinished:
        words.append(f"Finish {_names(sheet.unfinished)} on both faces: solid wood that dries unevenly cups.")
    return Section("Plugs and finish", tuple(words), narrow=True) if words else None


def _wall(sheet: ShopSheet) -> Section | None:
    """What the plan says of the wall, and what it does not."""
    words = [
        f"{visible(name)} hangs with its bottom {length(high, sheet.unit)} above the floor."
        for name, high in sheet.hung
    ]
    if sheet.walled:
        words.append(
            f"{_names(sheet.walled)} {'is' if len(sheet.walled) == 1 else 'are'} fixed to the wall. With what, the "
            "plan does not say: it is not on the list of what to buy. Take what your wall asks for."
        )
    return Section("At the wall", tuple(words), narrow=True) if words else None
