"""A load in whatever order: how heavy, on which part, and whether it pushes sideways."""

import re
from fractions import Fraction

from planlint.language.any_order import Offer, Said, called, opposite
from planlint.text.measures import INCH_PER_UNIT

_SPOT = r"\b(?:(?:at|in|on|over) )?(?:an? )?(?:middle|cent(?:er|re)|ends?|edges?|whole)(?: point)?\b(?: of)?(?! *$)"


def load_told(line: str) -> Offer | None:
    """A load: how heavy, on which part, and whether it pushes sideways."""
    said = Said(line)
    loaded = said.every(r"\bload(?:ed|s|ing)?\b|\b(?:holds?|carr(?:y|ies)|bears?|supports?)\b")
    no_load, found = said.its("no load"), said.its("load")
    if no_load or found is None or not (loaded or re.search(r"\b(?:on|push|pull) ", said.left)):
        return None
    many, unit = called("weights")[found[4].lower()].split()
    amount = float(Fraction(found[2]) * int(many) * int(found[1] or 1))
    said.filled = found[4].startswith("pe")
    per = said.cut(r"(?:/|\b(?:per|an?|every)) ?(?:(?:linear|running) )?(?:(foot|ft|feet)|m(?:et\w+)?)\b")
    if per is not None and not per[1]:
        amount *= float(INCH_PER_UNIT["ft"] / INCH_PER_UNIT["m"])
    way = said.cut(r"\b(towards?|to|from|push\w*|pull\w*) <S>", r"\b(sideways) <S>")
    said.filled = said.cut(_SPOT) is not None or said.filled
    said.every(called("load")["filling"])
    on = said.own("load on")
    if not on:
        return None
    to = "" if way is None else f" towards the {opposite(way[2]) if way[1] == 'from' else way[2].lower()}"
    told = f"{amount:.1f}".removesuffix(".0")
    return said.offer(f"load {told} {unit}{' per foot' * (per is not None)} on {on}{to}")
