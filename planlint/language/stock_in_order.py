"""A stock line told in another order, or with other marks, than the plan language has: its wood and sizes in order."""

import re
from collections.abc import Iterator

from planlint.language.any_order import Offer, called, put
from planlint.language.misspelt_words import spelt_out
from planlint.language.vocabulary import COUNTED

_SIZE = r"[0-9]+(?:[- ][0-9]+/[0-9]+|/[0-9]+|\.[0-9]+)?(?: ?(?:inches|inch|in|mm|cm|m|ft|feet|foot|\"|'))?(?![\w/])"
_START = re.compile(r"stock (?:([^\W\d]\w*) ?(?:of\b|from\b|[:=,]|is\b)?|(?=[0-9])) ?(.+)$", re.IGNORECASE)
_BY = re.compile(r"(?<=[0-9\"'m]) ?(?:x|-?by-?|×|\*) ?(?=[0-9])|(?<=[0-9]) by (?=[0-9])", re.IGNORECASE)
_IN_FEET = re.compile(r"(?:1|2|4|6) x (?:2|3|4|6|8|10|12) x (?:6|8|10|12|14|16|20)")
"""A nominal size and the feet that it is sold in: `2 x 4 x 8`. Basis: common practice."""
_PANEL = re.compile(r"\bply|wood\b|mdf|board", re.IGNORECASE)
_SOLD_BY_FEET = re.compile(r"(4|5) x (8|5|4|10)")
"""Sheets are called by their feet. Basis: common practice."""


MOST_FEET = 24
"""A third number behind a nominal size is feet up to here, and inches above. Basis: common practice."""


def stock_in_order(line: str) -> Iterator[Offer]:
    """What may be meant by a stock line, the likeliest first: ``stock NAME of WOOD, SIZE, LENGTH``."""
    found = _START.match(line)
    if found is None or re.match(r"stock \w+(?:, ?| and |/)\w+ of ", line):
        return
    name, terms = found[1], called("stock")
    tells = name and re.fullmatch(terms["wood"], name, re.IGNORECASE)
    if tells and (board := re.match(r"[a-z]\w*(?= [0-9])", found[2])):  # `pine board 3/4 x 4`
        name, found = board[0], re.match(r"()(.*)", f"{name}{found[2][board.end() :]}") or found
    rest = found[2]
    for number, word in enumerate(COUNTED, 1):
        rest = re.sub(rf"\b{word}\b", str(number), rest)
    rest = put("stock_words", rest)
    rest = rest if name else rest.replace(" of ", " ")
    if re.search(r"[0-9] ?mm\b", rest):  # `18 mm, 2440x1220`
        rest = re.sub(r"(?<![\w/.-])([1-9][0-9]{2,3})(?= ?x ?[0-9]|,|$)", r"\1 mm", _BY.sub(" x ", rest))
    nominal = re.search(terms["nominal"], rest) or re.search(r"([0-9]+) x ([0-9]+)()(?=.*\bnominal\b)", rest)
    taken: dict[str, str] = {}
    rest = re.sub(rf"({_SIZE}) ?(?:square|sq|dia(?:meter)?|round)\b", r"\1 x \1", rest)
    rest = re.sub(rf"(?<![0-9\"'mn] )\b(thick|wid|leng|long)(?:ness|th|e)? ?[:=]? ?({_SIZE})", r"\2 \1", rest)
    rest = _cut(rest, rf"({_SIZE}) ?(?:thick|thk|T\b)", taken, "thick")
    rest = _cut(rest, rf"({_SIZE}) ?(?:wide?|W\b)", taken, "wide")
    rest = _cut(rest, rf"({_SIZE}) ?(?:long|L\b|leng(?:ths?)?)", taken, "long")
    grade = re.search(terms["grade"], rest)
    if grade is not None:
        rest = rest[: grade.start()] + rest[grade.end() :]
    rest = _BY.sub(" x ", rest)
    by = re.search(rf"({_SIZE}) x ({_SIZE})(?: x ({_SIZE}))?", rest)
    if by is not None:
        rest = f"{rest[: by.start()]},{rest[by.end() :]}"
        if by[3] and by[3].endswith(("ft", "feet", "foot", "'")):
            taken.setdefault("long", by[3])
    lone = re.findall(_SIZE, rest)
    rest = re.sub(f"{terms['milled']}|(?P<size>{_SIZE})", lambda each: "," * bool(each["size"]), rest)
    pieces = [" ".join(each.split()) for each in rest.split(",")]
    wood, *more = [*filter(None, [spelt_out(each, "stock") for each in pieces]), ""]
    lost = " ".join(filter(None, more))
    if grade is not None:
        wood = f"No. {grade[1]} {wood}" if grade[1] else f"{grade[2] or grade[3]} {wood}"
    rod = re.search(r"[0-9\"] ?(?:dia|round)", found[2])  # `3/8 dia, 36"`
    lengths = [each for each in lone if rod or each.endswith(("ft", "feet", "foot", "'"))]
    taken.setdefault("long", lengths[0] if lengths else "")
    taken.setdefault("thick", next((each for each in lone if each not in lengths), ""))
    if tells and name and " of " not in line and not re.search(terms["wood"], wood):
        wood, lost = name.replace("_", " "), wood  # `stock melamine 16 mm white`
    if name and "ply" in name and not _PANEL.search(wood):  # `stock ply 3/4 baltic birch`
        wood += " plywood"
    named = name or ("sheet" if _PANEL.search(wood) else "board")
    for size in _in_order(nominal, by, taken, wood):
        yield Offer(f"stock {named} of {wood}, {size}", bool(name) and not lost, len(lost.split()), lost=lost)


def _in_order(
    nominal: re.Match[str] | None, by: re.Match[str] | None, taken: dict[str, str], wood: str
) -> Iterator[str]:
    """What may stand behind the wood: ``nominal`` and ``by`` are two sizes with an x between, tight or not."""
    thick, sold = taken["thick"], f", {taken['long']}" if taken["long"] else ""
    sheet = nominal is not None and thick and _PANEL.search(wood)
    if nominal is not None and sheet and _SOLD_BY_FEET.fullmatch(f"{nominal[1]} x {nominal[2]}"):
        yield f"{thick} thick, {nominal[1]} ft x {nominal[2]} ft"
    if nominal is not None and not thick:
        feet = nominal[3] and f", {nominal[3]} {'ft' if int(nominal[3]) <= MOST_FEET else 'in'}"
        yield f"{nominal[1]}x{nominal[2]}{feet or sold}"
    if by is not None:
        if by[3] and _IN_FEET.fullmatch(by[0]):
            yield f"{by[1]}x{by[2]}, {by[3]} ft"
        if thick and (not thick.endswith("/4") or _PANEL.search(wood)):
            yield f"{thick} thick, {f'{by[1]} ft x {by[2]} ft' if _SOLD_BY_FEET.fullmatch(by[0]) else by[0]}"
        yield f"{by[1]} x {by[2]}{f', {by[3]}' if by[3] else sold}"
    elif thick:
        wide = taken.get("wide")
        yield f"{thick} thick{f', {wide} wide' if wide else ''}{f'{sold} long' if wide and sold else ''}"


def _cut(text: str, pattern: str, taken: dict[str, str], what: str) -> str:
    """The text without a size that is told with its word, which is noted."""
    found = re.search(pattern, text)
    if found is None:
        return text
    taken[what] = found[1]
    return f"{text[: found.start()]},{text[found.end() :]}"
