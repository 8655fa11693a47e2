"""What a plan says of itself in other words: from where it is seen."""

from __future__ import annotations

from planlint.language.any_order import Offer, Said

_ROUND = ("front", "left", "right", "back")


def seen_told(line: str) -> Offer | None:
    """From which sides people look at the piece."""
    said = Said(line)
    looked = said.cut(r"\b(?:seen|visible|viewed|shown|shows)\b") is not None
    if said.cut(r"\bagainst (?:a )?walls?\b"):
        said.every(r"\b(?:back|stands?|standing)\b")
        return said.offer("seen from front, left, right")
    if said.cut(r"\bfree[- ]?standing\b"):
        return said.offer("seen from all round")
    if not looked:
        return said.offer("seen from nowhere") if said.cut(r"\b(?:hidden|painted shut|built in)\b") else None
    every = said.cut(r"\b(?:all|every(?:where| side)?|4)(?: (?:round|around|over|sides))?\b") is not None
    but = said.cut(r"\b(?:but|except|not)(?: for)?\b") is not None
    only_sides = not every and said.cut(r"\bboth sides\b|(?<=and )sides\b|(?<=, )sides\b") is not None
    counted = said.cut(r"\b(?:3|2)(?: sides)?\b")
    said.every(r"\bonly\b")
    named = said.sides()
    if every and (not named or but):
        kept = [side for side in _ROUND if side not in named]
        return said.offer(f"seen from {', '.join(kept)}" if named else "seen from all round")
    if counted is not None and not named:
        named = [said.or_else("", "front"), "left", "right"][: int(counted[0][0])]
    named += [side for side in ("left", "right") if only_sides and side not in named]
    return said.offer(f"seen from {', '.join(named)}") if named else None
