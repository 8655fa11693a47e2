"""A board told at the margin as a cut list tells it, in whatever order: how many, its name, how large, of what wood."""

import re

from planlint.language.any_order import NUMBER, SEVERAL, Offer, Said, apart, called, singular
from planlint.language.part_any_order import attributes
from planlint.language.stock_in_order import stock_in_order
from planlint.language.vocabulary import NAMES_TOO, RESERVED
from planlint.language.written_amounts import amount_of

_BETWEEN = r"(?<=[0-9\"'m]) ?(?:,|;|\||\t|x|by|×|\*) ?(?=[0-9])"
_FOUR = re.compile(rf"{NUMBER}(?: x {NUMBER}){{3}}")
_NO_SIZE = r"\b(?!(?:x|thick|wide|long|in|mm|cm|ft|feet)\b)[a-z_]+|[.:;,](?![0-9])"
MOST_WIDE = 16
"""So many times as wide as thick, a part is cut from a panel, told by its thickness. Basis: own judgement."""


def _counted(sizes: re.Match[str]) -> str:
    """Four numbers are three sizes and a count, which stands first or last: the largest, the length, tells which."""
    four = sizes[0].split(" x ")
    amounts = [amount_of(size)[0] for size in four]
    many = four.pop(0 if amounts.index(max(amounts)) in {1, 3} else -1)
    return f"{' x '.join(four)} ({many})"


def board_told(line: str) -> Offer | None:
    """The stock that a board is cut from, and beside it the part; or the stock alone, where only that is told."""
    words = called("board")
    line = re.sub(words["numbered"], "", line.lower())
    line = re.sub(r" ?[|\t] ?|(?<=[\w\"]) {2,}", ", ", line)
    line = re.sub(rf"({NUMBER}) (?:square|sq)\b(?! f)", r"\1 x \1", line)
    of_panel = re.search(words["panel"], line)
    nominal = None if of_panel else re.search(words["nominal"], line)
    said = Said(line.replace(nominal[0], " ; ", 1) if nominal else line)
    said.left = _FOUR.sub(_counted, re.sub(_BETWEEN, " x ", said.left))
    said.every(words["work"])
    said.left = said.left.strip(" ,")
    woods = [each[1] for each in said.every(rf"\b({called('stock')['wood']})\b")]
    wood = " ".join(sorted(woods, key=lambda each: bool(re.search(words["panel"], each)))) or "pine"
    many = said.one(*called("many").values())
    said.every(words["bought"])
    sizes = (re.sub("s$|(?<=[0-9])$", ", ", nominal[0]) if nominal else "") + re.sub(
        _NO_SIZE, "", said.left
    ).strip()
    told = (each.rpartition(" ") for each in attributes(said))
    of = {word: size for size, _, word in told if re.fullmatch(NUMBER, size)}
    noun = rf"(?!(?:{words['no_name']})\b)[a-z][a-z_]+"
    name = singular(said.one(rf"\b({noun}(?: {noun})?)\b").replace(" ", "_"))
    lone = "long" if nominal else "thick"
    of[lone] = of.get(lone) or said.one("<N>")
    if name in RESERVED - NAMES_TOO or re.search(words["no_board"], line):
        return None
    long, wide, thick = of.get("long", ""), of.get("wide", ""), of.get("thick") or "3/4"
    if (woods or nominal or (not name and re.search(words["bought"], line))) and (not name or not long):
        stocks = stock_in_order(f"stock {name or 'board'} of {wood}, {sizes}")
        return next((Offer(each.text, sure=False) for each in stocks), None)
    if not name or not long or not (nominal or wide):
        return None
    sheet = not nominal and (of_panel or amount_of(wide)[0] > MOST_WIDE * amount_of(thick)[0])
    size = nominal[1] if nominal else f"{thick} thick" if sheet else f"{thick} x {wide}"
    names, loop = apart(name, int(many or 1))
    lies = next(its for each, its in called("lies_often").items() if re.search(each, name))
    loop += SEVERAL * bool(loop)
    part = f"{loop}part {names} of {name}_wood, {long} long{f', {wide} wide' * bool(sheet)}, {lies}"
    said.filled = True
    return said.offer(f"stock {name}_wood of {wood}, {size}")._replace(beside=part)
