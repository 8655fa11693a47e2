"""The words of the plan language: which are reserved, which mean the same, and which may start a line where."""

import json

from planlint.language.joint_table import JOINTS
from planlint.text.resources import resource

UNIT_BY_WORD: dict[str, str] = {
    '"': "in", "in": "in", "inch": "in", "inches": "in",
    "'": "ft", "ft": "ft", "foot": "ft", "feet": "ft",
    "mm": "mm", "cm": "cm", "m": "m",
}  # fmt: skip
"""Every way to write a unit, to its key in ``INCH_PER_UNIT``."""

SIDE_WORDS = ("left", "right", "front", "back", "top", "bottom")

SPANS = ("left to right", "front to back", "top to bottom")
USUAL_MIRROR = SPANS[0]

COUNTED = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip
"""Numbers as they are spoken, from one up."""

LONG_WIDE = ("long", "wide", "thick", "deep")
"""The measures that a word names."""

FASTENERS = ("bolts", "nails", "buttons", "clips", "hinges", "slides", "pins")
"""Fasteners that a line under a join can start with, beside `screws`; `pins` carry a shelf, `slides` a drawer."""

_FIRST = json.loads(resource("grammar", "first_words.json").read_text(encoding="utf-8"))
FIRST_WORDS: dict[str, tuple[str, ...]] = {place: tuple(words) for place, words in _FIRST.items()}
"""What may start a line under each kind of line; under ``""`` nothing stands above it. Written from the grammar."""

STARTS_OF_SEVERAL = ("in line with", "stands on floor", "eye height", "set back", "seen from")
"""Starts of details that their first word alone does not tell."""


RESERVED = frozenset(
    {
        *(word for words in FIRST_WORDS.values() for word in words),
        *("at", "every", "gauge", "through", "stub", "haunched", "min", "max"),
        *("of", "to", "from", "in", "on"),
    }
)
"""Words that cannot be names: those that can stand where a name can, and the smallest words, which as names would
make a line unreadable."""

_ALONE = ("gap", "hole", "arch", "bow", "taper", "chamfer", "rounded", "edges", "taped")
NAMES_TOO = frozenset({*SIDE_WORDS, *FASTENERS, *_ALONE, "deep", "cutout", "slot"})
"""Reserved words that are names all the same where nothing else could be meant: builders call a part `top`, and a
drawer is so `deep`. A length or the number of a loop is never called by a side."""

AFTER_A_LENGTH = (
    *LONG_WIDE, "from", "at", "of", "in", "about", "to", "x", "along", "across", "gauge",
)  # fmt: skip
"""Words that follow a length: before one of them ``in`` is the inch, as in `2 in from`; else the small word."""

WORDS_OF_TERMINAL: dict[str, tuple[str, ...]] = {
    **{word.upper().replace(" ", "_"): (word,) for word in (*_ALONE, "in line with", "stands on floor")},
    "LIES_DEEP": ("deep",),
    "SIDE": SIDE_WORDS,
    "LOOK": ("front", "back", "left", "right", "up", "down"),
    "SPAN_WORDS": SPANS,
    "FUNCTION": ("sin", "cos", "tan", "sqrt", "hypot"),
    "UNIT": tuple(word for word in UNIT_BY_WORD if word.isalpha()),
    "LOAD_UNIT": ("lb", "kg", "N"),
    "TRADITION": tuple(JOINTS),
    "FASTENER": FASTENERS,
    "CUTOUT": ("cutout", "slot"),
    "FACE_SCREWS": ("screws",),
    "FASTENER_SIZE": ("gauge", "clearance", "pilot", "sunk"),
    "FASTENER_WORD": ("countersunk", "plugged", "into inserts"),
    "COVER": ("cushion", "mattress", "worktop", "filling", "upholstery", "panel"),
    "PURPOSE": ("crib", "bunk bed", "loft bed", "guard", "stair guard"),
    "METAL": ("stainless", "galvanized", "galvanised", "coated", "bronze"),
    "CHILDREN": ("children",),
    "NOUN": (
        "tenon", "tongue", "spline", "dado", "groove", "lap", "dowel", "dowels", "biscuit", "biscuits", "socket",
        "mortise", "rabbet", "stub", "tail", "tails",
    ),
}  # fmt: skip
"""The words of the terminals that stand for a list of them."""

CONNECTING = frozenset({"of", "to", "from", "in", "on", "at", "as"})
"""Small words that stand between two things: where one is met too early, the thing before it is missing."""

NOT_OFFERED = frozenset(
    {
        "$END", "LPAR", "SIGN", "NAME_OPEN", "NAME_MIDDLE", "PLUS", "MINUS", "STAR", "SLASH", "MIN",
        "MAX", "NOUN", "LIKE", "MIRRORS",
    }
)  # fmt: skip
"""Left out of what could stand somewhere: arithmetic could stand after any length."""


class NameFault(str):
    """What is wrong with a name that cannot be one: it is told once, however often the name is used."""

    __slots__ = ()


def first_word(line: str) -> str:
    """A line's first word: all up to the first space or tab."""
    return line.split(" ", 1)[0].split("\t", 1)[0]
