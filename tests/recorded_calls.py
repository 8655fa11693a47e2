"""What functions of plain values give: part of the kept record.

Each function whose annotations ask for numbers, places, boxes, sides and words alone is called often, with some that
lie at one another's limits and beside. Kept is a line for each: a number made of all it gives, and what it gave first.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from importlib import import_module
from inspect import isfunction, signature
from itertools import islice
from pathlib import Path
from pkgutil import walk_packages
from typing import Any
from zlib import crc32

import planlint
from planlint.geometry.shapes.body import Box, Plane
from planlint.geometry.shapes.convex import point
from planlint.model.directions import Axis, Side
from planlint.text.source import PlanText
from tests.recorded_facts import Facts

KEPT_CALLS = Path(__file__).parent / "kept_calls.txt"
FLOORS = ("placement", "model", "geometry", "checks", "conversion", "settings", "reports", "statics", "text")
CALLS = 240
MANY = 40
"""Of what is given one by one, so many are looked at."""
SHOWN = 40
FLOATS = [0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.5, 12.0, 0.015625, -1.0]
WORDS = [
    "in",
    "mm",
    "red oak",
    "pine",
    "leg_1",
    "leg_10",
    "front",
    "top",
    "3/4",
    "2x4",
    "a b",
    "",
    "screws-meet",
]


def drawn(kind: str, luck: random.Random) -> Any:
    """Something of a kind that an annotation names; ``LookupError`` where it is none of the plain ones."""
    if kind.endswith(" | None"):
        return None if luck.random() < 0.25 else drawn(kind.removesuffix(" | None"), luck)
    if many := re.fullmatch(r"(?:Sequence|list|Iterable|Collection)\[(.+)\]|tuple\[(.+), \.\.\.\]", kind):
        return [drawn(many[1] or many[2], luck) for _ in range(luck.randrange(5))]
    if few := re.fullmatch(r"tuple\[([\w, ]+)\]", kind):
        return tuple([drawn(each, luck) for each in few[1].split(", ")])
    return PLAIN[kind](luck)


def _three(luck: random.Random) -> tuple[float, float, float]:
    x, y, z = luck.choices(FLOATS[:9], k=3)
    return x, y, z


def _box(luck: random.Random) -> Box:
    low, wide = _three(luck), _three(luck)
    x, y, z = [one + more + 0.25 for one, more in zip(low, wide, strict=True)]
    return Box(low, (x, y, z))


def _plane(luck: random.Random) -> Plane:
    return Plane(luck.choice([(1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.6, 0.0, 0.8)]), luck.choice(FLOATS))


PLAIN: dict[str, Callable[[random.Random], Any]] = {
    "float": lambda luck: luck.choice(FLOATS),
    "Scalar": lambda luck: luck.choice(FLOATS),
    "Fraction": lambda luck: Fraction(luck.choice(FLOATS)),
    "Fraction | float": lambda luck: Fraction(luck.choice(FLOATS)),
    "int": lambda luck: luck.randrange(5),
    "bool": lambda luck: luck.random() < 0.5,
    "str": lambda luck: luck.choice(WORDS),
    "Axis": lambda luck: luck.choice(list(Axis)),
    "Side": lambda luck: luck.choice(list(Side)),
    "Vector": _three,
    "Triple": lambda luck: tuple(map(Fraction, _three(luck))),
    "Size": lambda luck: tuple(map(Fraction, _three(luck))),
    "Box": _box,
    "Plane": _plane,
    "Hull": lambda luck: [each for _ in range(3) for each in point(_three(luck))],
    "Flips": lambda luck: frozenset(luck.choices(list(Axis), k=2)),
}


def modules() -> list[str]:
    found = [each.name for each in walk_packages(planlint.__path__, "planlint.") if not each.ispkg]
    return [name for name in found if name.split(".")[1] in FLOORS]


def calls_of(name: str) -> list[str]:
    """A line for each function of a module that can be called so."""
    found = sorted(vars(import_module(name)).items())
    own = [(called, each) for called, each in found if isfunction(each) and each.__module__ == name]
    return [
        line for called, each in own for line in _line(f"{name.removeprefix('planlint.')}.{called}", each)
    ]


def _line(name: str, function: Callable[..., Any]) -> Iterator[str]:
    asked = signature(function)
    kinds = {each.name: _kind(each.annotation) for each in asked.parameters.values()}
    luck = random.Random(name)
    try:
        calls = [{each: drawn(kind, luck) for each, kind in kinds.items()} for _ in range(CALLS)]
    except LookupError:
        return
    if kinds and _kind(asked.return_annotation) != "None":
        given = [_given(function, args) for args in calls]
        number = crc32("\n".join(given).encode()) & 0xFFFFFF
        first = "".join(each if each.isprintable() else "?" for each in given[0])
        yield f"{name} {number:06x} {first[:SHOWN]}".rstrip()


def _given(function: Callable[..., Any], args: dict[str, Any]) -> str:
    try:
        found = function(**args)
        return Facts(PlanText("", "")).told(
            list(islice(found, MANY)) if isinstance(found, Iterator) else found
        )
    except Exception as problem:
        return type(problem).__name__


def _kind(annotation: Any) -> str:
    """An annotation as it is written, without the modules of its names."""
    words = annotation.__name__ if type(annotation) is type else str(annotation)
    return re.sub(r"\b[a-z_]+\.(?=\w)", "", words)
