"""Joints of traditional plans: the measures each takes, and how deep it lets A into B.

How such joints are made is common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from planlint.language.syntax_tree import PlacingLine, Statement, TraditionItem
from planlint.language.vocabulary import JOINTS
from planlint.model.directions import SIDE_BY_WORD, Side
from planlint.model.elaboration_state import Workings, in_words
from planlint.model.expressions import length_of, positive_length
from planlint.model.fastener_statements import loose_places
from planlint.model.join_details import Tradition
from planlint.model.mistake_log import Refusal
from planlint.model.nearest_name import nearest
from planlint.model.plan import Part, Removal
from planlint.model.scope import Scope


class Custom(NamedTuple):
    """How a traditional joint is told."""

    inset_from: tuple[str, ...]
    """The measures that say how deep A goes into B, the first given one counts; empty for a joint on the surface."""
    silent: str
    """Without such a measure: ``"needed"``, ``"groove"`` (the depth cut in B there, else needed), ``"across"`` (B's
    whole size that way) or ``"surface"`` (0)."""
    measures: dict[str, str]
    """Each measure it takes, in a line of words."""


_TONGUE = {
    "deep": "how far A goes into B",
    "long": "how far A goes into B",
    "thick": "thickness of the tongue",
    "wide": "width of the tongue",
}
_LAP = {
    "long": "how far A lies over B",
    "deep": "how far A lies over B",
    "thick": "thickness left of A in the lap",
    "wide": "width of the lap",
}
_SPLINE = {
    "long": "length of the spline",
    "wide": "width of the spline, across the joint",
    "thick": "thickness of the spline",
    "deep": "depth of its slot in each part",
}

TRADITIONS: dict[str, Custom] = {
    "mortise and tenon": Custom(
        ("long",),
        "needed",
        {
            "long": "length of the tenon, so how far A goes into B",
            "thick": "thickness of the tenon",
            "wide": "width of the tenon",
            "deep": "depth of the mortise, where it is cut deeper than the tenon is long",
        },
    ),
    "bridle": Custom(("long", "deep"), "across", _LAP),
    "half lap": Custom(("long", "deep"), "across", _LAP),
    "cross lap": Custom(
        ("deep",), "needed", {"deep": "how deep A is let into B", "wide": "width of the lap"}
    ),
    "dado": Custom(("deep", "long"), "groove", _TONGUE),
    "rabbet": Custom(("deep", "long"), "groove", _TONGUE),
    "tongue and groove": Custom(("deep", "long"), "groove", _TONGUE),
    "sliding dovetail": Custom(("deep", "long"), "groove", _TONGUE),
    "cope and stick": Custom(("deep", "long"), "groove", _TONGUE),
    "half-blind dovetail": Custom(
        ("deep", "long"), "needed", {"deep": "length of the tails in B", "long": "length of the tails in B"}
    ),
    "through dovetail": Custom(
        ("deep", "long"), "across", {"deep": "length of the tails in B", "long": "length of the tails in B"}
    ),
    "box joint": Custom(
        ("deep", "long"),
        "across",
        {
            "deep": "length of the fingers in B",
            "long": "length of the fingers in B",
            "wide": "width of a finger",
        },
    ),
    "breadboard end": Custom(
        ("long", "deep"),
        "surface",
        {**_TONGUE, "long": "length of the tongue in the end"},
    ),
    "dowels": Custom(
        (),
        "surface",
        {"thick": "diameter of the dowels", "long": "their length", "deep": "depth in each part"},
    ),
    "biscuits": Custom((), "surface", {"deep": "depth of the slots", "long": "length of a biscuit"}),
    "loose spline": Custom((), "surface", _SPLINE),
    "splined mitre": Custom((), "surface", _SPLINE),
    "mitre": Custom((), "surface", {}),
    "butt": Custom((), "surface", {}),
    "resting": Custom((), "surface", {}),
    "glued": Custom((), "surface", {}),
}

SPLINES = frozenset({"loose spline", "splined mitre"})
_CHANNELS = (("dado", "groove"),)
_CUT_KINDS = {
    "rabbet": (("rabbet", "notch"),),
    "dado": (("dado",), ("dado", "groove")),
    "sliding dovetail": (("dado",), ("dado", "groove")),
    "tongue and groove": (("groove",), ("dado", "groove")),
    "cope and stick": (("groove",), ("dado", "groove")),
}
"""The cuts whose depth a joint takes over, where they are all equally deep; those of its own name before others: a side
with dados for shelves has a groove for the back besides."""


def tradition_of(
    workings: Workings,
    statement: Statement,
    item: TraditionItem,
    scope: Scope,
    sides: tuple[Part, Side, Part, Side],
    lines: Iterable[Statement],
) -> Tradition:
    """A joint ``as …`` with its measures, and with how deep A's side lies in B; raises ``Refusal``. ``lines`` are all
    that stand under the join."""
    part_a, side_a, part_b, side_b = sides
    kind = item.kind.text
    custom = TRADITIONS.get(kind)
    if custom is None:
        near = nearest(kind, TRADITIONS)
        offer = f"; the nearest is {near}" if near else ""
        raise Refusal(item.kind.start, item.kind.end, f"{kind} is not a joint known here{offer}")
    measures: dict[str, Fraction] = {}
    for measure in item.measures:
        word = measure.word
        name = word.text
        if name not in custom.measures:
            takes = f"it takes {in_words(custom.measures)}" if custom.measures else "it takes no measures"
            raise Refusal(measure.value.start, word.end, f"{_a(kind)} is not so much {name}: {takes}")
        if name in measures:
            raise Refusal(
                measure.value.start, word.end, f"how {name} it is has been said already: keep one of the two"
            )
        measures[name] = positive_length(measure.value, scope, custom.measures[name])
    words = frozenset(word.text for word in item.words)
    takes_words = JOINTS[kind].words
    for said in item.words:
        if said.text not in takes_words:
            takes = f"; it may be {in_words(sorted(takes_words), 'or')}" if takes_words else ""
            raise Refusal(said.start, said.end, f"{said.text} says nothing about {_a(kind)}{takes}")
    span = statement.at(item.kind.start, item.end)
    inset = _inset(workings, item, custom, measures, words, part_b, side_b, lines, scope)
    places = None
    if item.row is not None:
        if not JOINTS[kind].rows:
            many = in_words((each for each, takes in JOINTS.items() if takes.rows), "and")
            says = f"how many and where is said of {many}, not of {_a(kind)}"
            raise Refusal(item.kind.start, item.end, says)
        places = loose_places(workings, statement, item, item.row, scope, part_a, side_a, measures)
    return Tradition(kind, measures, words, span, inset, places)


def _inset(
    workings: Workings,
    item: TraditionItem,
    custom: Custom,
    measures: dict[str, Fraction],
    words: frozenset[str],
    part_b: Part,
    side_b: Side,
    lines: Iterable[Statement],
    scope: Scope,
) -> Fraction:
    whole = part_b.size[side_b.axis]
    takes_words = JOINTS[item.kind.text].words
    for name in custom.inset_from:
        if name in measures:
            inset = measures[name]
            if inset > whole and not ("through" in words and "through" in takes_words):
                at = next(measure for measure in item.measures if measure.word.text == name)
                says = (
                    f"this goes {workings.length(inset)} into {part_b.name}, which is only {workings.length(whole)} "
                    f"{side_b.axis.words}: it would come out of the far side"
                )
                hint = "; say `through` if it is meant to" if "through" in takes_words else ""
                raise Refusal(at.value.start, at.word.end, says + hint)
            return inset
    kind = item.kind.text
    if custom.silent == "surface":
        return Fraction(0)
    if custom.silent == "across" or "through" in words:
        return whole
    if custom.silent == "groove":
        for kinds in _CUT_KINDS.get(kind, _CHANNELS):
            cuts = [
                (removal, depth)
                for removal in part_b.removals
                if removal.kind in kinds
                if (depth := _depth(removal.low, removal.high, part_b, side_b)) is not None
            ]
            depths = {depth for _, depth in cuts}
            if len(depths) > 1:
                sides = list(_placed(lines, scope))
                depths = {depth for removal, depth in cuts if _lies_at(removal, part_b, sides)}
            if len(depths) == 1:
                return depths.pop()
    first = custom.inset_from[0]
    noun = {"mortise and tenon": "tenon ", "half-blind dovetail": "tails "}.get(kind, "")
    says = (
        f"{_a(kind)} needs {custom.measures[first]}: "
        f"say it after the joint's name, such as `as {kind}, {noun}3/8 {first}`"
    )
    raise Refusal(item.kind.start, item.kind.end, says)


def _placed(lines: Iterable[Statement], scope: Scope) -> Iterator[tuple[Side, Fraction]]:
    """How far inside B's sides those of A lie, as far as the plan says it; what cannot be worked out is told later."""
    for line in lines:
        node = line.node
        if isinstance(node, PlacingLine) and node.axis is None:
            try:
                far = Fraction(0) if node.distance is None else length_of(node.distance, scope)
            except Refusal:
                continue
            for word in node.sides:
                if word.text in SIDE_BY_WORD:
                    yield SIDE_BY_WORD[word.text], -far if node.verb == "proud" else far


def _lies_at(removal: Removal, part: Part, at: Iterable[tuple[Side, Fraction]]) -> bool:
    """Whether a cut begins where one of the sides lies of what is let in."""
    return any(
        inside == part.inside(side, removal.low, removal.high)
        for side, inside in at
        if removal.low[side.axis] > 0 or removal.high[side.axis] < part.size[side.axis]
    )


def _depth(low: tuple[Fraction, ...], high: tuple[Fraction, ...], part: Part, side: Side) -> Fraction | None:
    """How deep wood is taken away in from a side; ``None`` where the cut does not open on that side."""
    axis = side.axis
    whole = part.size[axis]
    if low[axis] == 0 and high[axis] == whole:
        return None
    if side.sign < 0:
        return high[axis] if low[axis] == 0 else None
    return whole - low[axis] if high[axis] == whole else None


def _a(kind: str) -> str:
    return kind if kind.endswith("s") else f"a {kind}"
