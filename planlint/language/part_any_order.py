"""A part and its details in whatever order, with other words or marks: how large it is, how it lies, what is cut."""

import re
from collections.abc import Callable
from typing import NamedTuple

from planlint.language.any_order import Offer, Said, opposite
from planlint.language.vocabulary import RESERVED
from planlint.language.written_amounts import amount_of

_MEASURES = {"long": "long|length|lg|len|cut to|L", "wide": "wide|width|W", "thick": "thick|thickness|thk|T"}
_HIGH, _DEEP = r"high|tall|height|H", r"depth|D"
_LIES = {
    "upright": r"\b(?:grain |runs |running |going |stand(?:s|ing) |stood |lies |lying )*(?:upright|vertical(?:ly)?|"
    r"standing|stands|on end|top to bottom|up and down)(?: up)?\b",
    "crosswise": r"\b(?:grain |runs |running |going |lies |lying |laid |horizontal(?:ly)?,? )*(?:crosswise|cross wise|"
    r"left(?: to |[-/])right|side to side|across)\b",
    "deep": r"\b(?:grain |runs |running |going |lies |lying |laid |horizontal(?:ly)?,? )*(?:deep(?=,|$| facing)|"
    r"front(?: to |[-/])back)\b",
}
_LOOKS = {
    "front": "front|forwards?", "back": "back|backwards?|rear", "left": "left", "right": "right",
    "up": "up|upwards?|top", "down": "down|downwards?|bottom",
}  # fmt: skip
_FLAGS = {
    "stands on floor": r"\b(?:stands?|standing|sits|rests|is)? ?(?:on|at) (?:floor|ground)(?: level)?\b",
    "fixed to wall": r"\b(?:fixed|screwed|fastened|attached|mounted|anchored) (?:to|on|into) (?:a )?"
    r"(?:wall(?: studs?)?|studs?|brick\w*|masonry)\b|\bwall[- ]mounted\b",
    "exterior": r"\b(?:for )?(?:outdoors?|outside|exterior)(?: use)?\b",
    "finish both faces": r"\b(?:(?:clear )?finish(?:ed)?|painted|oiled|varnished|lacquered|waxed)"
    r"(?: (?:all(?: round| over| sides| faces)?|both (?:sides|faces)|everywhere))?(?=,|$)",
    "surfaced four sides": r"\b(?:planed|surfaced|s4s|dressed)(?: (?:all round|4 sides|smooth|both sides))?\b",
    "rough": r"\brough(?:[- ]sawn)?\b",
}


def attributes(said: Said) -> list[str]:
    """How large a part is, how it lies and where it looks, in the order in which a plan says it."""
    told: dict[str, str] = {}
    high = said.one(rf"<N> ?(?:{_HIGH})\b", rf"\b(?:{_HIGH})\b ?[=:]? ?<N>")
    for word, pattern in _MEASURES.items():
        found = said.one(
            rf"<N> ?(?:{pattern})\b",
            rf"(?<![\w.])(?:{pattern}) ?[=:]? ?(?:of )?<N>",
        )
        if found:
            told[word] = f"{found} {word}"
    by = said.cut(r"<N> x <N>(?: x <N>)?")
    if by is not None:
        sizes = sorted(filter(None, by.groups()), key=lambda size: amount_of(size)[0], reverse=True)
        told.update(
            (word, f"{size} {word}") for size, word in zip(sizes, ("long", "wide", "thick"), strict=False)
        )
    flags = [each for each, its in _FLAGS.items() if said.cut(its)]
    looks = next((each for each, its in _LOOKS.items() if said.cut(_facing(its))), "")
    lies = next((each for each, its in _LIES.items() if said.cut(its)), "")
    if told and not looks and said.cut(r"\b(?:(?:lying|laid|lay|lies) )?flat\b"):
        looks, lies = "up", said.or_else(lies, "crosswise")
    if high:
        said.filled = said.filled or not lies or "long" in told
        word = "long" if lies in {"", "upright"} else "wide"
        told[word] = f"{high} {word}"
    listed = [told[each] for each in _MEASURES if each in told]
    listed += [each for each in (lies, f"facing {looks}" if looks else "") if each]
    return [*listed, *flags]


def _facing(looks: str) -> str:
    return (
        rf"\b(?:fac(?:es?|ing)|looks?|looking)(?: to(?:wards?)?)? (?:{looks})\b|\b(?:{looks}) fac(?:e|ing)\b"
    )


def details_told(line: str) -> Offer | None:
    """Measures, lie, look and flags of a part on a line of their own."""
    said = Said(line)
    found = attributes(said)
    unsure = len(found) == 1 and said.filled  # `30 high`: which of its measures?
    offer = said.offer(", ".join(found))
    return offer if found and not unsure and not offer.left else None


_HEAD = re.compile(
    r"part (?P<names>[a-z_][\w{}]*(?: ?(?:,|\band\b|&) ?[a-z_][\w{}]*)*)"
    r"(?: ?(?:\b(?:of|from|using|is|in|out of|made of)\b|:) ?| )"
    r"(?P<stock>[a-z_]\w*)\b(?P<rest>[, ](?!.*\b[1-8]x(?:[2-468]|1[02])\b.*\blong\b).*)$",  # no size of stock
    re.IGNORECASE,
)


def part_told(line: str) -> Offer | None:
    """A whole ``part`` line: its names, its stock, and its attributes."""
    found = _HEAD.match(" ".join(line.split()))
    if found is None or found["stock"] in RESERVED:
        return None
    said = Said(found["rest"])
    told = attributes(said)
    names = re.split(r" ?(?:,|\band\b|&) ?", found["names"])
    offer = said.offer(", ".join([f"part {', '.join(names)} of {found['stock']}", *told]))
    return offer if told and not offer.left else None


# ---------------------------------------------------------------- what is cut

_UP = r"(?:up|down|in|over|back)? ?(?:from|of)"


class _CutInWords(NamedTuple):
    """What a line says of a cut: its sizes by word and in order, places from sides, and the sides that are left."""

    of: dict[str, str]
    by: list[str]
    places: list[tuple[str, str]]
    run: str
    sides: list[str]


def _read(said: Said) -> _CutInWords:
    run = said.cut(r",? \bfrom <N> to <N>")
    of = {
        "wide": said.one(
            r"<N>[ -](?:wide|dia(?:meter)?\.?|in diameter|across|round)(?=\W|$)", r"[∅⌀Øø] ?<N>"
        ),
        "deep": said.one(r"<N>[ -](?:deep|high|tall)\b", r"\b(?:deep|depth) <N>"),
        "radius": said.one(r"<N> radius\b", r"\bradius <N>"),
    }
    places = [(each[1], each[2].lower()) for each in said.every(rf"<N> {_UP} <S>")]
    by = said.cut(r"<N> x <N>(?: x <N>)?")
    sides = said.sides()
    sizes = [*filter(None, by.groups())] if by else [each[1] for each in said.every("<N>")]
    return _CutInWords(of, sizes, places, f", from {run[1]} to {run[2]}" if run else "", sides)


def _places(cut: _CutInWords) -> str:
    return "".join(f", {far} from {side}" for far, side in cut.places)


def _from_two(said: Said, cut: _CutInWords) -> str:
    """How far a hole lies from two sides; where one is told, the other is filled in."""
    told = {side for _, side in cut.places} | {cut.sides[0]}
    told |= {opposite(side) for side in told}
    other = next((side for side in ("left", "bottom", "front") if side not in told), "")
    return _places(cut) + (said.or_else("", f", 3 from {other}") if len(cut.places) == 1 else "")


def _channel(kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    """A groove or a dado, or a notch in the middle of an edge."""
    wide, deep = cut.of["wide"], cut.of["deep"]
    bare = list(cut.by)
    wide = wide or (bare.pop(0) if bare else "")
    deep = deep or (bare.pop(0) if bare else "")
    lone = len(cut.sides) == 1 and not any(cut.sides[0] in each for each in cut.places)
    if not wide or not deep or not lone or len(bare) > 1:
        return None
    along = "across" if kind == "dado" else "along"
    from_side = "back" if cut.sides[0] not in {"front", "back"} else "bottom"
    far = _places(cut) or said.or_else("", f", {bare[0] if bare else '1/2'} from {from_side}")
    return said.offer(f"{kind} {wide} wide {deep} deep {along} {cut.sides[0]}{far}{cut.run}")


def _rabbet(_kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    sizes = [*cut.by, *filter(None, (cut.of["wide"], cut.of["deep"]))]
    if len(sizes) != 2 or len(cut.sides) != 2 or cut.places:
        return None
    said.filled = said.filled or bool(cut.of["wide"] or cut.of["deep"])
    return said.offer(f"rabbet {' x '.join(sizes)} along {' '.join(cut.sides)}{cut.run}")


def _notch(kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    if len(cut.sides) in {2, 3} and len(cut.by) == len(cut.sides):
        return said.offer(f"notch {' x '.join(cut.by)} at {' '.join(cut.sides)}")
    return _channel(kind, said, cut) if cut.places else None


def _hole(_kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    wide = cut.of["wide"] or (cut.by[0] if len(cut.by) == 1 else "")
    if len(cut.by) > 1:
        return _opening("cutout", said, cut)
    if not wide or len(cut.sides) != 1 or not 0 < len(cut.places) <= 2:
        return None
    deep = f" {cut.of['deep']} deep" if cut.of["deep"] else ""
    return said.offer(f"hole {wide} wide{deep} in {cut.sides[0]}{_from_two(said, cut)}")


def _opening(kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    sizes = cut.by or [each for each in (cut.of["wide"], cut.of["deep"]) if each]
    if len(cut.sides) == 2 and not cut.places:
        return _notch("notch", said, cut)
    if len(sizes) not in {2, 3} or len(cut.sides) != 1 or not 0 < len(cut.places) <= 2:
        return None
    return said.offer(f"{kind} {' x '.join(sizes)} in {cut.sides[0]}{_from_two(said, cut)}")


def _arc(kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    size = cut.of["deep"] or (cut.by[0] if len(cut.by) == 1 else "")
    word = "radius" if cut.of["radius"] else "deep"
    size = cut.of["radius"] or size
    if not size or len(cut.sides) != 1 or cut.places:
        return None
    return said.offer(f"{kind} {size} {word} along {cut.sides[0]}{cut.run}")


def _corner(kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    sizes = [cut.of["radius"]] if cut.of["radius"] else cut.by
    if not sizes or len(sizes) > (1 if kind == "rounded" else 2) or len(cut.sides) != 2 or cut.places:
        return None
    return said.offer(f"{kind} {' x '.join(sizes)} at {' '.join(cut.sides)}")


def _tape(_kind: str, said: Said, cut: _CutInWords) -> Offer | None:
    return said.offer(", ".join(f"taped {side}" for side in cut.sides)) if cut.sides and not cut.by else None


_CUTS: dict[str, tuple[str, Callable[[str, Said, _CutInWords], Offer | None]]] = {
    "rabbet": (r"\b(?:(?:stopped|through) )?(?:rabbet|rebate)(?:ed|d)?\b", _rabbet),
    "groove": (r"\b(?:(?:stopped|blind|through) )?(?:groove[ds]?|plough|plow)\b", _channel),
    "dado": (r"\b(?:(?:stopped|blind|through) )?(?:dado|housing|trench)(?:e?d)?\b", _channel),
    "notch": (r"\bnotch(?:ed)?\b", _notch),
    "slot": (r"\b(?:(?:handle|hand|finger) (?:slot|hole)|slot)\b", _opening),
    "cutout": (r"\b(?:cut-?outs?|cut out|opening|window)\b", _opening),
    "hole": (r"\b(?:(?:drill|bore)(?:ed|d)?(?: an?)? )?(?:(?:round|grommet|cable|finger) )?hole\b|\b(?:drill|bore)d?\b",
             _hole),
    "arch": (r"\b(?:arch(?:ed)?|arc|curved?)\b", _arc),
    "bow": (r"\b(?:bow(?:ed)?|swell(?:s|ed)?)\b", _arc),
    "chamfer": (r"\bchamfer(?:ed)?\b", _corner),
    "rounded": (r"\b(?:rounded|round(?:ed)?[ -]?over|radiused|corner radius|round|(?=radius))", _corner),
    "taped": (r"\b(?:edge[- ]?band(?:ing|ed)?|(?:veneer |edge )?tap(?:e|ed)|veneer(?:ed)?|edging|band(?:ed)?|"
              r"iron[- ]?on \w+)\b", _tape),
}  # fmt: skip


def cut_told(line: str) -> Offer | None:
    """Wood that is cut away, or a tape."""
    said = Said(line)
    for kind, (pattern, made) in _CUTS.items():
        if said.every(pattern):
            return made(kind, said, _read(said))
    return None


_PARALLEL = (("top", "back"), ("bottom", "front"))
"""Of a part that leans: its ends, and where each has its long point."""


def end_told(line: str) -> Offer | None:
    """Ends and edges that are not square."""
    said = Said(line)
    how = said.one(r"\b(mit(?:re|er)(?:ed|d|s)?|bevel(?:led|ed|s)?|cut|angled?)\b")
    said.filled = not how
    point = said.cut(r"\b(long|short)(?: (?:point|side|edge))?(?: (?:at|on|to))? <S>")
    said.cut(r"\blong (?:point|side)\b")
    angle = said.one(r"(?<![\w/.])([0-9]+(?:-[0-9]+/[0-9]+|\.[0-9]+)?)(?: ?degrees?| ?deg\b| ?°|)(?![\w/.])")
    where = said.cut(r"<S> (end|edge)\b", r"\b(?:both )?(ends|edges)\b()", r"\b(?:at|on) <S>(?! end)()")
    if where is None or not (angle or how.startswith("mit")):
        return None
    angle = angle or said.or_else("", "45")
    which = " ".join(filter(None, where.groups())).lower()
    which += (" edge" if how.startswith("bevel") else " end") * (" " not in which and which[-1] != "s")
    front_on = which.startswith(("top", "bottom")) or which in {"left edge", "right edge", "edges"}
    to = point[2].lower() if point is not None else said.or_else("", "front" if front_on else "top")
    if which == "ends" and said.cut(r"\bparallel\b"):
        return said.offer(", ".join(f"{end} end cut {angle}, long at {to}" for end, to in _PARALLEL))
    if point is not None and point[1].lower() == "short":
        to = opposite(to)
    return said.offer(f"{which} cut {angle}, long at {to}")


def taper_told(line: str) -> Offer | None:
    said = Said(line)
    if not said.cut(r"\btaper(?:s|ed|ing)?\b"):
        return None
    start = said.cut(
        rf"\b(?:start(?:s|ing)?|begin(?:s|ning)?)(?: at)? <N>(?: {_UP} <S>| down)?", rf"<N> {_UP} <S>"
    )
    end = said.cut(r"\bto <N>(?: (?:at|on) <S>)?")
    if end is None:
        return None
    at = (end[2] or said.or_else("", "bottom")).lower()
    sides = said.sides()
    if said.cut(r"\b(?:all|4)(?: (?:4 )?(?:sides|faces|ways))?\b") or not sides:
        sides = sides or ["left", "right", "front", "back"]
    far = start[1] if start is not None else said.or_else("", "0")
    return said.offer(f"taper {', '.join(sides)} to {end[1]} at {at}, {far} from {opposite(at)}")


OF_PARTS = (cut_told, end_told, taper_told, details_told)
"""What a detail of a part may be, the likeliest first."""
