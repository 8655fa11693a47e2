"""Characters that no word of the language starts with, and what a builder most likely meant by them."""

import re

_IN_A_NAME = re.compile(r"[\[<(%$@&!]+\{?\s*([a-z]\w*)\s*[\])>}%]*", re.IGNORECASE)
"""What other notations write about the number of a repeat, in a name."""

_INSTEAD = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⁄": "/",
    "×": "x", "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "“": '"', "”": '"', "„": '"', "″": '"', "‘": "'",
    "’": "'", "′": "'", ";": ",",
}  # fmt: skip
_FRACTIONS = "½¼¾⅛⅜⅝⅞"
_ODD = re.compile(
    rf"(?<!\d)\"[^\"]*\"|(?:([0-9]+) ?)?([{_FRACTIONS}])|[{''.join(_INSTEAD)}]|[^\S \t]|[\u200b-\u200f\u2060\ufeff]"
)
"""A text, in which all may stand, or a character of another keyboard."""


def odd_in(line: str) -> list[tuple[int, int, str]]:
    """Where a line has characters of other keyboards, outside its texts, and the plan's own for each."""
    found = []
    for odd in _ODD.finditer(line):
        if not odd[0].startswith('"'):
            plain = _INSTEAD.get(odd[2] or odd[0], " " if odd[0].isspace() else "")
            found.append((*odd.span(), f"{odd[1]}-{plain}" if odd[1] else plain))
    return found


def numbered_otherwise(line: str, at: int) -> tuple[int, int, str] | None:
    """Where a name goes on at a character as with the number of a repeat, but not in braces: ``slat_[n]``."""
    name, number = re.search(r"[^\W\d]\w*$", line[:at]), _IN_A_NAME.match(line, at)
    if name is None or number is None:
        return None
    says = f"the number of a repeat stands in braces in a name: `{name[0].rstrip('_')}_{{{number[1]}}}`"
    return name.start(), number.end(), says


def odd_character(line: str, at: int) -> tuple[int, int, str]:
    """Start, end and message for a character at which the line cannot be read on."""
    character = line[at]
    if character == '"':
        return at, len(line), "this quote is not closed on its line"
    if numbered := numbered_otherwise(line, at):
        return numbered
    if character in "[]":
        return at, at + 1, "sums stand in round brackets, ( and )"
    if character in "{}":
        return at, at + 1, f"`{character}` stands only in a name such as slat_{{n}}, written tight"
    if character == " ":
        return at, at + 1 + len(line[at + 1 :].partition(" ")[0]), "what follows this space cannot stand here"
    mixed = re.search(r"[0-9]+\s*$", line[:at]) if character in _FRACTIONS else None
    if instead := _INSTEAD.get(character):
        instead = f"{mixed[0].strip()}-{instead}" if mixed else instead
        says = f"`{character}` is not a character of the plan language: write `{instead}`"
        return mixed.start() if mixed else at, at + 1, says
    if character.isprintable() and not character.isspace():
        return at, at + 1, f"`{character}` is not a character of the plan language"
    import unicodedata  # noqa: PLC0415 - a large table, and rarely needed

    name = unicodedata.name(character, "unnamed")
    hint = ": write a plain space" if character.isspace() else ": take it out"
    return at, at + 1, f"a character that cannot be seen, {name} (U+{ord(character):04X}), stands here{hint}"
