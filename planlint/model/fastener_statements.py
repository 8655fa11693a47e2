"""Fasteners of a join other than pocket screws, as the plan places them: screws through a face, bolts, hinges …"""

from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from planlint.language.expression_tree import Expression, Name, Number
from planlint.language.syntax_tree import FastenersLine, RowOf, SideOf, Statement, TraditionItem, Word
from planlint.model.directions import Axis, Side
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import distance, name_of, positive_length, whole_number
from planlint.model.fastener_sizes import NAILS, clearance_hole, gauge_diameter, pilot_hole
from planlint.model.join_details import Fastening, PocketRow
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Part
from planlint.model.pocket_statements import GAUGES, LONGEST_SCREW, MOST_POCKETS, NEAREST
from planlint.model.scope import Scope
from planlint.text.measures import INCH_PER_UNIT, in_inches, in_words, length

THINNEST = Fraction(1, 50)
"""Inches: the finest pins that are driven are about 0.6 mm thick. Basis: common practice, from memory."""
METRIC_SIZES = range(2, 25)
"""Millimetres of metric threads that are read. Basis: own judgement."""
USUAL_GAUGE = 8
"""Of a screw through a face that does not say its gauge. Basis: common practice, from memory."""


class FastenerKind(NamedTuple):
    """What a kind of fastener does. ``driven`` ones go through one part into the other and are told through which."""

    one: str
    driven: bool = False
    sizes: tuple[str, ...] = ("long",)
    words: tuple[str, ...] = ()
    usual: Fraction | None = None
    """How thick it is where the plan does not say, in inches."""
    most: Fraction = Fraction(3, 4)
    """Inches: none in furniture is thicker. Basis: own judgement."""


KINDS: dict[str, FastenerKind] = {
    "screws": FastenerKind(
        "screw",
        True,
        sizes=("long", "thick", "gauge", "clearance", "pilot", "sunk"),
        words=("countersunk", "plugged"),
    ),
    "bolts": FastenerKind(
        "bolt", True, sizes=("long", "thick", "clearance", "pilot", "sunk"), words=("into inserts", "plugged")
    ),
    "nails": FastenerKind("nail", True, sizes=("long", "thick", "pilot")),
    "buttons": FastenerKind("button"),
    "clips": FastenerKind("clip"),
    "hinges": FastenerKind("hinge"),
    "slides": FastenerKind("slide", sizes=("long", "thick"), most=Fraction(2)),
    "pins": FastenerKind("pin", sizes=("long", "thick"), usual=Fraction(1, 4)),
}
"""The pin's size is one of the two that are usual (1/4 in and 5 mm): common practice, from memory."""
_LOOSE = {"dowels": "dowel", "biscuits": "biscuit"}


def fastening(
    workings: Workings,
    statement: Statement,
    node: FastenersLine,
    scope: Scope,
    sides: tuple[Part, Side, Part, Side],
) -> Fastening:
    """One line of fasteners; raises ``Refusal`` with what is wrong with it."""
    kind = KINDS[node.kind.text]
    part_a, side_a, part_b, side_b = sides
    in_b = _through(node, kind, scope, sides)
    part, side, into = (part_b, side_b, part_a) if in_b else (part_a, side_a, part_b)
    sizes = _sizes(node, kind, scope)
    thread = _thread(node)
    long, thick, gauge = sizes.get("long"), sizes.get("thick"), None
    if "gauge" in sizes:
        gauge = _gauge(node, scope)
        thick = gauge_diameter(gauge)
    metric = int(thread[1:]) if thread and thread[0] == "M" else None
    if metric is not None:
        thick = Fraction(metric * 10, 254)
    elif thread:
        long, thick = NAILS[int(thread[:-1])][0], Fraction(str(NAILS[int(thread[:-1])][1]))
    elif node.kind.text == "screws" and thick is None:
        gauge, thick = USUAL_GAUGE, gauge_diameter(USUAL_GAUGE)
    if kind.driven and long is None:
        says = f"how long the {node.kind.text} are is not said: `{node.kind.text} … , 2 long`"
        raise Refusal.at(node.kind, says)
    if node.kind.text == "slides" and long is None:
        raise Refusal.at(node.kind, "how long the slides are is not said: `slides 18 long`")
    if node.kind.text == "bolts" and thick is None:
        says = "how thick the bolts are is not said: `bolts 2 through leg, 5/16 thick, 4 long`, or `M8`"
        raise Refusal.at(node.kind, says)
    words = frozenset(word.text for word in node.words)
    clearance, pilot = sizes.get("clearance"), sizes.get("pilot")
    if kind.driven and node.kind.text != "nails" and thick is not None:
        bolt = node.kind.text == "bolts"
        clearance = clearance or clearance_hole(thick, metric, bolt=bolt)
        if not bolt:
            pilot = pilot or pilot_hole(thick, gauge, hard=into.stock.material.kind == "hardwood")
    what = node.kind.text, kind.one
    row = _row(workings, statement, node.row, what, scope, part, side, in_b=in_b)
    return Fastening(
        node.kind.text,
        row,
        thick or kind.usual,
        long,
        f"No. {gauge}" if gauge is not None else thread or _as_written(node, workings.unit),
        clearance,
        pilot,
        sizes.get("sunk", Fraction(0)),
        _line(node, scope, part, side),
        words,
        statement.span,
    )


def _through(
    node: FastenersLine, kind: FastenerKind, scope: Scope, sides: tuple[Part, Side, Part, Side]
) -> bool:
    """Whether the fasteners go in through B."""
    part_a, side_a, part_b, side_b = sides
    said, word = node.through, node.kind
    if said is None:
        if not kind.driven:
            return False
        says = (
            f"{word.text} go through one of the two parts into the other: say which, such as "
            f"`{word.text} 3 through {part_b.name}`; pocket screws are told as `pockets 2 in back`"
        )
        raise Refusal.at(word, says)
    if not kind.driven:
        raise Refusal.at(said, f"{word.text} lie between two parts and are not driven through one")
    side: Word | None = None
    name: Name | None = None
    if isinstance(said, SideOf):
        side, name = said.side, said.part
    else:
        name = said
    if name is None:
        assert side is not None
        # A part may be called by a side's name: `nails 4 through back`.
        named = [part.name.removeprefix(scope.prefix) for part in (part_a, part_b)]
        if side.text in named:
            return named.index(side.text) == 1
        # By its face alone the part is told too, as where a line tells several joins.
        in_b = side_of_word(side) is side_b.opposite is not side_a.opposite
    else:
        called = scope.prefix + name_of(name, scope)
        if called not in {part_a.name, part_b.name}:
            says = (
                f"{called} is not part of this join: say `through {part_a.name}` or `through {part_b.name}`; "
                "where several joins are told at once, the face that does for all, as `through top`, or one by one"
            )
            raise Refusal.at(name, says)
        in_b = called == part_b.name
    part, meeting = (part_b, side_b) if in_b else (part_a, side_a)
    if side is not None and side_of_word(side) is not meeting.opposite:
        far = f"{part.name}.{meeting.opposite.value}"
        says = (
            f"{word.text} are driven square to the joint, through {far}, not {side.text}; "
            f"pocket screws are told as `pockets 2 in {side.text}`"
        )
        raise Refusal.at(said, says)
    return in_b


def _sizes(node: FastenersLine, kind: FastenerKind, scope: Scope) -> dict[str, Fraction]:
    found: dict[str, Fraction] = {}
    for value, word, _ in node.sizes:
        if word.text not in kind.sizes:
            takes = in_words((f"`{each}`" for each in kind.sizes), "or")
            raise Refusal.at(value, f"{node.kind.text} are told by {takes}, not `{word.text}`", last=word)
        what = f"the {'length' if word.text == 'long' else 'size'} of the {node.kind.text}"
        size = positive_length(value, scope, what)
        if word.text in {"long", "sunk"} and size > LONGEST_SCREW * (2 if node.kind.text == "slides" else 1):
            raise Refusal.at(value, f"no {kind.one} is so {word.text}: check its unit", last=word)
        if word.text not in {"long", "gauge", "sunk"} and not THINNEST <= size <= kind.most:
            told = length(size, scope.unit)
            how = f"is {told} thick" if word.text == "thick" else f"has a {word.text} hole of {told}"
            raise Refusal.at(value, f"no {kind.one} {how}{_read_otherwise(value, kind.most)}", last=word)
        found[word.text] = size
    for word in node.words:
        if word.text not in kind.words:
            raise Refusal.at(word, f"{node.kind.text} are not said to be `{word.text}`")
    if "gauge" in found and "thick" in found:
        raise Refusal.at(node.kind, "the gauge says how thick they are: leave one of the two out")
    return found


def _read_otherwise(value: Expression, most: Fraction) -> str:
    """The unit in which a bare number is a thickness that such fasteners have."""
    if not isinstance(value, Number) or value.unit is not None:
        return ": check its unit"
    fit = ((value.value * INCH_PER_UNIT[unit], unit) for unit in ("mm", "in"))
    return next((f": is `{length(size, u)}` meant?" for size, u in fit if THINNEST <= size <= most), "")


def _as_written(node: FastenersLine, unit: str) -> str | None:
    """A thickness in the unit in which such are sold, where that is not the plan's: ``5 mm``."""
    for value, word, _ in node.sizes:
        if word.text == "thick" and isinstance(value, Number) and value.unit is not None:
            metric = not in_inches(value.unit)
            if metric is in_inches(unit):
                return length(value.value, "mm" if metric else "in")
    return None


def _gauge(node: FastenersLine, scope: Scope) -> int:
    value = next(each.value for each in node.sizes if each.word.text == "gauge")
    gauge = whole_number(value, scope, "the gauge of a screw")
    if gauge not in GAUGES:
        says = f"screws are made in gauges {GAUGES.start} to {GAUGES.stop - 1}, not {gauge}"
        raise Refusal.at(value, says)
    return gauge


def _thread(node: FastenersLine) -> str | None:
    """``M6`` of a bolt, ``8d`` of a nail."""
    thread = node.thread
    if thread is None:
        return None
    metric = thread.text[0] == "M"
    if metric and (node.kind.text not in {"bolts", "screws"} or int(thread.text[1:]) not in METRIC_SIZES):
        says = f"{node.kind.text} are not made as {thread.text}: a bolt is `M5`, `M6`, `M8` …"
        raise Refusal.at(thread, says)
    if not metric and (node.kind.text != "nails" or int(thread.text[:-1]) not in NAILS):
        sold = in_words((f"{penny}d" for penny in NAILS), "or")
        raise Refusal.at(thread, f"nails are sold as {sold}; else say `2 long`")
    if any(each.word.text in ({"thick", "gauge"} if metric else {"long", "thick"}) for each in node.sizes):
        raise Refusal.at(thread, f"{thread.text} says that already: leave one of the two out")
    return thread.text


def loose_places(
    workings: Workings,
    statement: Statement,
    item: TraditionItem,
    row: RowOf,
    scope: Scope,
    part: Part,
    side: Side,
    measures: dict[str, Fraction],
) -> Fastening:
    """Where the dowels or biscuits of a joint lie, along side ``side`` of part A; raises ``Refusal``."""
    what, count = item.kind.text, row.count
    if isinstance(count, Number) and (count.unit or count.value.denominator > 1):
        size = length(count.inches(workings.unit), workings.unit)
        says = f"that is no number of {what}: how thick they are is said behind a comma, `{size} thick`"
        raise Refusal.at(count, says)
    laid = _row(workings, statement, row, (what, _LOOSE[what]), scope, part, side, in_b=False)
    sizes = measures.get("thick"), measures.get("long"), None, None, None, Fraction(0), None, frozenset[str]()
    return Fastening(what, laid, *sizes, laid.span)


def _row(
    workings: Workings,
    statement: Statement,
    row: RowOf,
    called: tuple[str, str],
    scope: Scope,
    part: Part,
    side: Side,
    *,
    in_b: bool,
) -> PocketRow:
    """How many and where; which way the row runs is found from the joint, or from the side that it is measured from."""
    what, one = called
    reach = max(size for axis, size in zip(Axis, part.size, strict=True) if axis is not side.axis)

    def place(each: Expression) -> Fraction:
        at = distance(each, scope, f"the place of a {one}", "measure inward from the side named")
        if at > reach:
            says = f"this {one} lies {workings.length(at)} along, and {part.name} is only {workings.length(reach)} long"
            raise Refusal.at(each, says)
        return at

    origin = None
    if row.origin is not None:
        origin = side_of_word(row.origin)
        if origin.axis is side.axis:
            beside = in_words((each.value for each in Side if each.axis is not side.axis), "or")
            says = f"{origin.value} lies across the joint: measure along it, from {beside}"
            raise Refusal.at(row.origin, says)
    made = PocketRow(side.opposite, in_b, statement.span, origin=origin)
    if row.at is not None:
        return replace(made, at=tuple([place(each) for each in row.at]))
    first = place(row.first) if row.first is not None else None
    last = place(row.last) if row.last is not None else None
    if row.every is not None:
        every = positive_length(row.every, scope, f"the spacing of the {what}")
        if reach > every * MOST_POCKETS or every < NEAREST:
            raise Refusal.at(row.every, f"that is too many {what} in one row: check the spacing")
        return replace(made, every=every, first=first, last=last)
    count = 1
    if row.count is not None:
        count = whole_number(row.count, scope, f"the number of {what}")
        if not 1 <= count <= MOST_POCKETS:
            says = f"a row has 1 to {MOST_POCKETS} {what}, not {count}"
            raise Refusal.at(row.count, says)
        if last is not None and count < 2:
            says = f"a row that keeps both ends has a {one} at each: say 2 or more"
            raise Refusal.at(row.count, says)
    return replace(made, count=count, first=first, last=last)


def _line(node: FastenersLine, scope: Scope, part: Part, side: Side) -> tuple[Side, Fraction] | None:
    if node.line is None:
        return None
    value, word = node.line
    from_side = side_of_word(word)
    inside = distance(value, scope, "how far in the row runs", "measure inward from the side named")
    if from_side.axis is side.axis or inside > part.size[from_side.axis]:
        says = f"a row runs so far from a side along the joint, within {part.name}"
        raise Refusal.at(value, says, last=word)
    return from_side, inside
