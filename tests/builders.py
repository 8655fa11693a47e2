"""Short ways to write a plan's parts and joins in a test, without the reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from planlint.model.directions import SIDE_BY_WORD, Axis, Side
from planlint.model.join_details import Placing, Tradition
from planlint.model.plan import EndCut, Join, Part, Plan, Turn
from planlint.model.stock import Stock
from planlint.model.timber import find_material
from planlint.text.source import PlanText, Span

NOWHERE = Span(0, 0)
GRAIN = {"crosswise": Axis.X, "deep": Axis.Y, "upright": Axis.Z}
AXES = {axis.words: axis for axis in Axis}

Number = Fraction | int | str


def exactly(value: Number) -> Fraction:
    """``"3-1/2"``, ``"3/4"``, ``17`` as a fraction."""
    if isinstance(value, str) and "-" in value[1:]:
        whole, _, rest = value.partition("-")
        return Fraction(whole) + Fraction(rest)
    return Fraction(value)


def stock(thickness: Number = "3/4", width: Number | None = None, species: str = "douglas fir") -> Stock:
    material = find_material(species)
    assert material is not None
    return Stock(
        "stock",
        material,
        exactly(thickness),
        None if width is None else exactly(width),
        length=None,
        nominal=None,
        sheet=False,
        span=NOWHERE,
    )


def part(
    name: str,
    size: str,
    lies: str,
    *cuts: str,
    turned: tuple[Number, Axis] | None = None,
    hung: Number | None = None,
) -> Part:
    """A part: ``part("rail", "17 x 3-1/2 x 3/4", "crosswise front", "left 45 top")``.

    The size is length, width, thickness; then how it runs and where its face looks; each cut is end, angle,
    long side.
    """
    length, width, thickness = (exactly(measure.strip()) for measure in size.split(" x "))
    runs, looks = lies.split()
    return Part(
        name,
        index=0,
        stock=stock(thickness, width),
        length=length,
        width=width,
        thickness=thickness,
        grain=GRAIN[runs],
        facing=SIDE_BY_WORD[{"up": "top", "down": "bottom"}.get(looks, looks)],
        span=NOWHERE,
        name_span=NOWHERE,
        turn=None if turned is None else Turn(exactly(turned[0]), turned[1]),
        cuts=tuple(_cut(words) for words in cuts),
        bottom_height=None if hung is None else exactly(hung),
    )


def _cut(words: str) -> EndCut:
    end, angle, long_at = words.split()
    return EndCut(SIDE_BY_WORD[end], exactly(angle), SIDE_BY_WORD[long_at], NOWHERE)


def placings(words: str) -> tuple[Placing, ...]:
    """``"flush top, 1/4 from front, proud 1/8 right, centred left to right"``."""
    return tuple(_placing(each.split()) for each in words.split(", ")) if words else ()


def _placing(words: list[str]) -> Placing:
    match words:
        case ["flush", side]:
            return Placing(NOWHERE, side=SIDE_BY_WORD[side], flush=True)
        case ["proud", distance, side]:
            return Placing(NOWHERE, side=SIDE_BY_WORD[side], inset=-exactly(distance))
        case [distance, "from", side]:
            return Placing(NOWHERE, side=SIDE_BY_WORD[side], inset=exactly(distance))
        case ["centred", *axis]:
            return Placing(NOWHERE, centred=AXES[" ".join(axis)])
    raise ValueError(words)


def tradition(kind: str, inset: Number) -> Tradition:
    """A joint that lets A's side into B's by ``inset``."""
    return Tradition(kind, {}, frozenset(), NOWHERE, exactly(inset))


class Builder:
    """Collects parts and joins, then gives the plan."""

    def __init__(self, parts: Iterable[Part] = ()) -> None:
        self.parts: dict[str, Part] = {}
        self.joins: list[Join] = []
        for each in parts:
            self.add(each)

    def add(self, each: Part) -> Part:
        numbered = replace(each, index=len(self.parts))
        self.parts[each.name] = numbered
        return numbered

    def join(self, sides: str, words: str = "", by: Tradition | None = None) -> Join:
        """``join("rail.left to stile.right", "flush top")``; its name is the words before the comma."""
        first, _, second = sides.partition(" to ")
        part_a, side_a = self._side(first)
        part_b, side_b = self._side(second)
        made = Join(
            sides,
            len(self.joins),
            part_a,
            side_a,
            part_b,
            side_b,
            NOWHERE,
            placings=placings(words),
            tradition=by,
        )
        self.joins.append(made)
        return made

    def _side(self, words: str) -> tuple[Part, Side]:
        name, _, side = words.partition(".")
        return self.parts[name], SIDE_BY_WORD[side]

    def plan(self) -> Plan:
        return plan(self.parts.values(), self.joins)


def plan(parts: Iterable[Part], joins: Iterable[Join]) -> Plan:
    """A plan of parts and joins in the order given."""
    return Plan(
        source=PlanText("test.plan", ""),
        title="Test",
        unit="in",
        seen_from=(),
        eye_height=None,
        stocks=(),
        parts=tuple(parts),
        joins=tuple(joins),
    )
