"""A part and its details in whatever order, with other words or marks: how large it is, how it lies, what is cut."""

import re
from typing import NamedTuple

from planlint.language.any_order import MANY_LEFT, NUMBER, SEVERAL, SIDE, Offer, Said, apart, called, opposite
from planlint.language.vocabulary import COUNTED, RESERVED
from planlint.language.written_amounts import amount_of

_HIGH, _DEEP = r"high|tall|height|H", r"depth|D"


def attributes(said: Said) -> list[str]:
    """How large a part is, how it lies and where it looks, in the order in which a plan says it."""
    told: dict[str, str] = {}
    ahead = re.match(r"[a-z]+ ?[=:]? ?[0-9]", said.left, re.IGNORECASE)
    high = said.one(rf"<N> ?(?:{_HIGH})\b", rf"\b(?:{_HIGH})\b ?[=:]? ?<N>")
    for word, pattern in called("measures").items():
        ways = (rf"<N> ?(?:{pattern})\b", rf"(?<![\w.])(?:{pattern}) ?[=:]? ?(?:of )?<N>")
        found = said.one(*ways[:: -1 if ahead else 1], rf"(?<![\w.])(?:{pattern}) ?[=:] ?([a-z_]\w*)")
        if found:
            told[word] = f"{found} {word}"
    by = said.cut(r"<N> x <N>(?: x <N>)?")
    if by is not None:
        sizes = sorted(filter(None, by.groups()), key=lambda size: amount_of(size)[0], reverse=True)
        free = (word for word in ("long", "wide", "thick") if word not in told)
        told.update((word, f"{size} {word}") for size, word in zip(sizes, free, strict=False))
    for word, its in called("worked").items():
        found = said.one(rf"\b(?:{its})(?: down)?(?: to| at)? <N>")
        told.update({word: f"{found} {word}"} if found else {})
    said.every(r"\b(?:rip(?:ped)?|cut|planed|sawn|trimmed|milled|dressed|resawn)(?: down)? (?=(?:to|at) )")
    deep = said.one(rf"<N> ?(?:deep|{_DEEP})\b", rf"\b(?:deep|{_DEEP})\b ?[=:]? ?<N>") if told or high else ""
    flags = [each for each, its in called("flags").items() if said.cut(its)]
    looks = said.which("looks")
    lies = said.which("lies")
    if told and not looks and said.cut(r"\b(?:(?:lying|laid|lay|lies) )?flat\b"):
        looks, lies = "up", said.or_else(lies, "crosswise")
    if told and looks and said.its("flat"):
        lies = lies or said.or_else("", "crosswise")
    if high:
        said.filled = said.filled or not lies or "long" in told
        if "wide" in told and "long" not in told and lies == "crosswise":  # As furniture is measured.
            told["long"] = told.pop("wide").replace("wide", "long")
        word = "long" if lies in {"", "upright"} and "long" not in told else "wide"
        told[word] = f"{high} {word}"
        if deep and word == "long" and not lies:  # A side: its grain goes up.
            lies, looks = "upright", looks or "left"
    if deep:
        said.filled = said.filled or not lies
        if not lies and "long" not in told and "wide" in told:  # A top: as wide as its grain is long.
            told["long"], lies = told["wide"].replace("wide", "long"), "crosswise"
            looks = looks or "up"
        told["wide" if "long" in told else "long"] = f"{deep} {'wide' if 'long' in told else 'long'}"
    if told and lies and not looks:
        looks = said.one(r"(?<=[, ])(front|back|left|right|up|down)(?=[ ,]*$)").lower()
    listed = [told[each] for each in called("measures") if each in told]
    listed += [each for each in (lies, f"facing {looks}" if looks else "") if each]
    return [*listed, *flags]


def details_told(line: str) -> Offer | None:
    """Measures, lie, look and flags of a part on a line of their own."""
    said = Said(line)
    found = attributes(said)
    unsure = len(found) == 1 and said.filled  # `30 high`: which of its measures?
    offer = said.offer(", ".join(found))
    words = re.sub(called("nouns")["pieces"], "", offer.lost).split()
    return offer if found and not unsure and len(words) < len(found) and offer.left <= MANY_LEFT else None


MOST_BARE = 2
"""Numbers of a line without a stock that tells a part, its count among them. Basis: own judgement."""
_COUNTED = rf"(?:{'|'.join(COUNTED)}|[2-9]|[1-9][0-9])x? "
_HEAD, _NO_STOCK, _BEHIND = (
    re.compile(called("line")[each].replace("<COUNT>", _COUNTED), re.IGNORECASE)
    for each in ("part", "no stock", "count behind")
)


def part_told(line: str) -> Offer | None:
    """A whole ``part`` line: its names, its stock, and its attributes; `three shelves of ply, 30 long`, too."""
    line = re.sub(called("board")["there"], "", " ".join(line.split()), flags=re.IGNORECASE)
    line = _BEHIND.sub(r"\2\1 ", line)
    if " of " not in line and len(re.findall(NUMBER, line)) <= MOST_BARE:
        line = _NO_STOCK.sub(lambda its: f"{its[1] or 'one '}{its[2]} of STOCK, ", line)
    found = _HEAD.match(line)
    counted = found and (found["ahead"] or found["behind"])
    if found is None or found["stock"] in RESERVED or not (counted or line.startswith("part ")):
        return None
    told, offer = _described(found["rest"], bare=bool(counted))
    if offer.left >= len(told):  # What says nothing of its size or how it lies is left aside.
        items = [each for each in found["rest"].split(",") if attributes(Said(each))]
        told, offer = _described(", ".join(items), bare=False)
        lost = [each.strip() for each in found["rest"].split(",") if each.strip() and each not in items]
        offer = offer._replace(sure=False, left=max(offer.left, 1), lost=", ".join(lost))
    split = re.split(r" ?(?:,|\band\b|&) ?", found["names"])
    names = split[0].split() if len(split) == 1 and "_" in split[0] else split  # `leg_l leg_r` lacks a comma
    loop, called_so = "", ", ".join(name.replace(" ", "_") for name in names)
    if counted and len(names) == 1:
        many = int(re.sub("[^0-9]", "", Said(f"{counted} ").left) or 1)
        called_so, loop = apart(called_so, many)
    lies = {each for each in told if each in called("lies") or each.startswith("facing ")}
    often = next(its for each, its in called("lies_often").items() if re.search(each, called_so))
    ways = (often, *(each.replace(" ", ", facing ") for each in called("sides")))
    way = next((its for each in ways if lies <= {*(its := each.split(", "))}), [])
    filled = [each for each in way if each not in lies]
    text = ", ".join([f"part {called_so} of {found['stock']}", *told, *filled])
    sure = offer.sure and not (counted or filled) and called_so == ", ".join(split)
    named = offer.lost and found["rest"].lstrip(" ").startswith(offer.lost.split()[0])  # `of pine board`
    if not told or offer.left >= len(told) or named:
        return None
    return offer._replace(sure=sure, text=loop or text, beside=text * bool(loop))


def _described(rest: str, *, bare: bool) -> tuple[list[str], Offer]:
    """What is said of a part behind its stock; ``bare``: a lone number is its length."""
    said = Said(rest)
    told = attributes(said)
    if bare and len(re.findall(NUMBER, said.left)) == 1 and not any(each.endswith(" long") for each in told):
        told.insert(0, f"{said.or_else('', said.one('<N>'))} long")
    return told, said.offer("")


# ---------------------------------------------------------------- what is cut

_UP = r"(?:up|down|in|over|back)? ?(?:from|of|below|above)"


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
        "wide": said.own("across"),
        "deep": said.one(r"<N>[ -](?:deep|high|tall|rise)\b", r"\brise (?:of )?<N>", r"\b(?:deep|depth) <N>"),
        "radius": said.one(r"<N> radius\b", r"\bradius <N>"),
    }
    places = [(each[1], each[2].lower()) for each in said.every(rf"<N> {_UP} <S>")]
    by = said.cut(r"<N> x <N>(?: x <N>)?")
    sides = said.sides()
    sizes = [*filter(None, by.groups())] if by else [each[1] for each in said.every("<N>")]
    return _CutInWords(of, sizes, places, f", from {run[1]} to {run[2]}" if run else "", sides)


_CHANNEL = "{wide} wide {deep} deep"
MOST_FILLED = 2
"""What may be filled in of a cut, or be left over. Basis: own judgement."""
_WHOLE = "24"
"""How large a part is of which a middle is told, which the line does not know."""
_USUAL = {"wide": "3/4", "deep": "3/8", "radius": "30", "size": "1/2"}


def _filled(form: str, cut: _CutInWords) -> tuple[int, int, str, str]:
    """A form with what a line says of a cut in it: how much has no place there, how much is filled in, the line, and
    the places that it has no room for."""
    of, by, places, sides = dict(cut.of), [*cut.by], [*cut.places], [*cut.sides]
    filled = 0
    used: list[str] = []

    def slot(found: re.Match[str]) -> str:
        nonlocal filled
        what = found[1]
        if what == "side" and sides:
            used.append(sides.pop(0))
            return used[-1]
        if what == "from" and places and places[0][1] not in {used[0], opposite(used[0])}:
            far, side = places.pop(0)
            used.append(side)
            return f"{far} from {side}"
        if of.get(what):
            return of.pop(what)
        if what not in {"side", "from"} and by:
            return by.pop(0)
        named = next((each for each in ("wide", "deep", "radius") if what == "size" and of.get(each)), "")
        filled += not named or form.startswith("rabbet")
        if what not in {"side", "from"}:
            return of.pop(named) if named else _USUAL[what]
        taken = {*used, *(side for _, side in places)}
        upper = "top" if form.startswith(("rounded", "chamfer")) else "bottom"
        ahead = upper if used and used[0] in {"front", "back"} else "back" if _CHANNEL in form else "front"
        free = (side for side in (ahead, "left", "front", upper) if not taken & {side, opposite(side)})
        used.append(next(free, "left"))
        return used[-1] if what == "side" else f"{by.pop(0) if by else len(used)} from {used[-1]}"

    text = re.sub(r"\{(\w+)\}", slot, form) + cut.run
    lost = len(by) + 3 * len(places) + len(sides) + sum(map(bool, of.values()))
    return lost, filled, text, ", ".join(f"{far} from {side}" for far, side in places)


def cut_told(line: str) -> Offer | None:
    """Wood that is cut away, or a tape: the form that has room for most of what is said of it."""
    said = Said(line)
    kind = said.which("cuts", every=True)
    if not kind:
        return None
    centred = kind in {*_CHANNELS, "hole", "slot", "cutout", "notch"} and said.its("centred") is not None
    said.every(r"\b45 ?(?:degrees?|deg\b|°)", *([r"\b45\b"] if kind == "chamfer" else []))
    said.every(r"(?<![0-9\"m] )\bup\b(?! from)")
    said.every(called("board")["cut_for"])
    said.left = re.sub(rf"\bfrom ({SIDE})(?:,| and)? ({SIDE})\b", r"at \1 \2", said.left)
    several = rf"\bat ({NUMBER}(?:,? ?(?:and|&|,) ?{NUMBER})+) {_UP} <S>"
    more = said.cut(several) if kind in _CHANNELS else None
    first, *others = re.findall(NUMBER, more[1]) if more else [""]
    cut = _read(said)
    if more:
        cut.places.insert(0, (first, more[2].lower()))
    if centred and kind not in _CHANNELS:
        wide = f"({_WHOLE} - {cut.of['wide'] or (cut.by or ['4'])[0]})" if kind != "hole" else _WHOLE
        cut.places.insert(0, (f"{wide} / 2", "front" if cut.sides[:1] in (["left"], ["right"]) else "left"))
    of_ends = kind == "rounded" and re.search(r"\bends\b", line)
    forms = ["ends rounded {size}"] if of_ends else called("forms")[kind].split("; ")
    lost, filled, text, nowhere = min(
        (_filled(form, cut) for form in forms),
        key=lambda each: 3 * each[0] + each[1] + 2 * (not each[2].startswith(kind)),
    )
    said.filled = said.filled or centred or bool(filled or lost)
    offer = said.offer(text)
    left = offer.left + lost + MANY_LEFT * (filled + lost > MOST_FILLED)
    beside = SEVERAL.join(text.replace(f"{first} from", f"{other} from") for other in others)
    offer = offer._replace(sure=offer.sure and not beside, beside=beside)
    return offer._replace(left=left, lost=", ".join(filter(None, (offer.lost, nowhere))))


_CHANNELS = frozenset({"dado", "groove"})
"""What a part has several of, each so far from the same side."""
_PARALLEL = (("top", "back"), ("bottom", "front"))
"""Of a part that leans: its ends, and where each has its long point."""


LEAST_BARE = 5
"""A number at an end is an angle from here up. Basis: own judgement; ends lean less only to fit a wall."""


def end_told(line: str) -> Offer | None:
    """Ends and edges that are not square."""
    said = Said(line)
    said.left = re.sub(rf"^(end|edge)\b([^,]*?)\b({SIDE})\b(?! (?:end|edge)s?\b)", r"\3 \1\2", said.left)
    how = said.one(r"\b(mit(?:re|er)(?:ed|d|s)?|bevel(?:led|ed|s)?|cut|angled?)\b")
    said.filled = not how
    point = said.cut(r"\b(long|short)(?:er|est)?(?: (?:point|side|edge))?(?: (?:at|on|to))? <S>")
    said.cut(r"\blong (?:point|side)\b")
    angle = said.own("angle")
    where = said.its("end")
    bare = not how and (
        re.search(r"\b(?:from|off|above|below|up)\b", line) or (angle.isdigit() and int(angle) < LEAST_BARE)
    )
    nowhere = "corner" in line or (how[:5] in {"", "angle"} and not where)
    if bare or nowhere or not (angle or how.startswith(("mit", "bevel"))):
        return None
    angle = angle or said.or_else("", "45")
    which = " ".join(filter(None, where.groups())).lower() if where else said.or_else("", "ends")
    which += (" edge" if how.startswith("bevel") else " end") * (" " not in which and which[-1] != "s")
    lone = said.sides() if point is None else []
    front_on = which.startswith(("top", "bottom")) or which in {"left edge", "right edge", "edges"}
    to = point[2].lower() if point else said.or_else("".join(lone[:1]), "front" if front_on else "top")
    if which == "ends" and said.cut(r"\bparallel\b"):
        return said.offer(", ".join(f"{end} end cut {angle}, long at {to}" for end, to in _PARALLEL))
    if point is not None and point[1].lower() == "short":
        to = opposite(to)
    return said.offer(f"{which} cut {angle}, long at {to}")


def taper_told(line: str) -> Offer | None:
    said = Said(line)
    if not said.cut(r"\btaper(?:s|ed|ing)?\b"):
        return None
    start = said.its("taper from")
    said.filled = said.has(r"\bfrom <N>(?= , )", r"\bfrom <N>(?=(?: down)? to)")  # how wide it is anyway
    end = said.cut(r"\b(?:down )?to <N>(?: (?:wide )?(?:at|on) <S>)?")
    at = ((end and end[2]) or said.or_else("", "bottom")).lower()
    sides = said.sides()
    said.every(r"\b(?:taper(?:s|ed)?|down|up)\b")
    if said.cut(r"\b(?:all|4)(?: (?:4 )?(?:sides|faces|ways))?\b") or not sides:
        sides = sides or ["left", "right", "front", "back"]
    far = start[1] or start[2] if start is not None else said.or_else("", "0")
    wide = end[1] if end else said.or_else("", "7/8")
    return said.offer(f"taper {', '.join(sides)} to {wide} at {at}, {far} from {opposite(at)}")


OF_PARTS = (cut_told, end_told, taper_told, details_told)
"""What a detail of a part may be, the likeliest first."""
