"""A joint of another kind in whatever order, with other words: its kind, its measures and how it is made."""

from planlint.language.any_order import Offer, Said, called
from planlint.language.joint_table import JOINTS, Silent
from planlint.language.vocabulary import LONG_WIDE, WORDS_OF_TERMINAL
from planlint.language.written_amounts import amount_of


def joint_told(line: str) -> Offer | None:
    """A joint of another kind, with its measures."""
    said = Said(line)
    loose = said.has(r"\b(?:loose|floating) tenons?\b")
    kind = "loose spline" if loose else said.which("joints")
    if not kind:
        return None
    if kind == "resting":
        said.cut(r"\b(?:on|in|at) \w+$")
    takes = JOINTS[kind]
    said.filled = bool(said.every(r"\b(?:stops? )?<N> from <S>", r"\b[0-9]+ (?:tails|fingers|pins)\b"))
    said.every(rf"\b(?:{'|'.join(WORDS_OF_TERMINAL['NOUN'])})s?\b(?= [0-9])")
    measures = {each: said.one(rf"<N> {each}\b", rf"\b{each} <N>") for each in LONG_WIDE}
    by = said.cut(r"<N> x <N>(?: x <N>)?")
    bare = [*filter(None, by.groups() if by else ()), *(each[1] for each in said.every("<N>"))]
    order: tuple[str, ...] = tuple(takes.measures)
    if by and kind in {"dado", "rabbet"}:
        order = ("deep", "wide")
    elif by and len(bare) > 2 and amount_of(bare[0])[0] > amount_of(bare[1])[0]:
        order = ("long", "thick", "wide")
    elif by and len(bare) > 1 and ("tenon" in kind or loose):
        order = ("long", "thick") if amount_of(bare[0])[0] > amount_of(bare[1])[0] else ("thick", "long")
    elif by or "lap" in kind:
        order = ("thick", "wide", "long")
    for size, word in zip(bare, (each for each in order if not measures[each]), strict=False):
        measures[word], said.filled = size, True
    if loose and len(bare) == 1:
        measures["thick"], measures["long"], measures["wide"] = bare[0], "", ""
    elif loose:
        # It lies along itself in both parts, as a spline does across itself.
        measures["wide"], measures["long"], said.filled = measures["long"], measures["wide"], True
    if "tenon" in kind and measures["deep"] and not measures["long"]:  # So far it goes in.
        measures["long"], measures["deep"], said.filled = measures["deep"], "", True
    if takes.silent in {Silent.NEEDED, Silent.GROOVE} and not (measures["long"] or measures["deep"]):
        size, word = ("1", "long") if "tenon" in kind else ("3/8", "deep")
        measures[word] = said.or_else("", size)
    words = [
        word for word, pattern in called("joint_words").items() if said.cut(pattern) and word in takes.words
    ]
    told = [f"{measures[each]} {each}" for each in takes.measures if measures[each]]
    return said.offer(", ".join([f"as {kind}", *told, *words]))
