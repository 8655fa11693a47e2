"""A detail of a join in whatever order, with other words or marks: what holds it, and where it sits."""

import re
from typing import NamedTuple

from planlint.language.any_order import NUMBER, SEVERAL, SIDE, Offer, Said, called, facing, opposite, put
from planlint.language.joint_in_words import joint_told
from planlint.language.vocabulary import RESERVED, SIDE_WORDS
from planlint.language.written_amounts import amount_of

_DRIVEN = frozenset({"screws", "bolts", "nails"})
_USUAL = {"screws": "gauge 8, 2 long", "bolts": "5/16 thick, 4 long", "nails": "1-1/2 long"}
_BARE_THICK = frozenset({"dowels", "pins", "bolts"})
"""Of which a size without a word is first how thick they are."""
_THIN = frozenset({"hinges", "buttons", "clips"})
"""Of which nobody says how thick they are."""
_GAUGE = r"[4-9]|1[0-4]"
_LONGEST_IN_INCHES, _THICKEST_IN_INCHES = 6, 2
"""Of a screw: what is more is in millimetres. Basis: common practice."""
_COUNT = called("line")["count"].replace("<SIDE>", SIDE)


class _Sizes(NamedTuple):
    """Of what lies in a row: its measures, and what it is called by."""

    of: dict[str, str]
    sold: str
    through: str
    aside: re.Match[str] | None
    words: list[str]


def row_told(line: str) -> Offer | None:
    """What lies in a row; nothing of one that is told by what it keeps off."""
    return None if re.search(called("row_kept")["off"], line, re.IGNORECASE) else _row_told(line)


def _row_told(line: str) -> Offer | None:
    """Pockets, fasteners, dowels or biscuits in a row; or the screws of pockets."""
    said = Said(line)
    kind = said.which("rows", every=True)
    if kind == "pockets":
        said.left = re.sub(rf"^([ ,]*[1-9]) from (?={SIDE}(?: face| side)?$)", r"\1 in ", said.left)
    said.left = re.sub(r"^(\D*)\bx ([1-9])\b(?!\D*\d)", r"\1\2", said.left)  # `dowels x 3` are three
    thread = said.one(r"\b(coarse|fine)(?:s|[ -]thread)?\b")
    words = [word for word, pattern in called("row_words").items() if said.cut(pattern)]
    kind = kind or ("bolts" if "into inserts" in words else "")
    if not kind and not thread:
        return None
    sold = said.cut(r"\b(M[0-9]+)(?: ?x ?([0-9]+)(?: ?mm)?)?", r"\b([0-9]+d)\b()")
    gauge = said.own("gauge")
    said.left, unnamed = re.subn(r"\bthrough (?:faces?|it|both)\b(?! of)", "through side", said.left)
    said.filled = bool(unnamed)
    through = said.own("through")
    counted = re.search(rf"(?:[0-9],?|^[ ,]*) {NUMBER} x [0-9]", said.left)  # eight of 4 x 50
    faced = counted or re.search(called("ways")["face screws"], line, re.IGNORECASE)
    if kind == "screws" and not (through or thread) and (said.has(r"\bthrough\b") or faced):
        through, said.filled = "side", True
    if thread or kind == "pockets" or (kind == "screws" and not (through or sold or gauge or "lag" in line)):
        return _of_pockets(said, thread, gauge) or _pockets(said, through, words, thread)
    sizes = {"gauge": gauge}
    sizes["thick"] = said.own("thick")
    sizes["long"] = said.one(r"<N> long\b", r"\b(?:length|long) <N>")
    sizes["sunk"], sizes["deep"] = said.one(r"\bsunk <N>"), said.one(r"<N> deep\b")
    where = _places(said, counted=kind != "slides")
    aside = said.cut(r"<N> (?:up |down |in )?from <S>") if kind in {*_DRIVEN, "slides"} else None
    if not where:
        said.left = re.sub(r"(?<![\w/.])([2-9]) (?=[1357]/[0-9]+ x )", r"\1 , ", said.left)  # two of 3/8 x 4
        where = _places(said, counted=kind != "slides")
    by = said.cut(r"<N> x <N>", r"() x <N>")
    bare = [*filter(None, by.groups() if by else ()), *(each[1] for each in said.every(r"<N>"))]
    if kind in _BARE_THICK and by and not where and _counts(bare):
        where = bare.pop(0)  # `4 x 1/4`
    if by and len(bare) > 2 and not where and bare[2].isdigit():
        where = bare.pop(2)  # `8 mm x 40 mm x 3`
    if by and len(bare) > 1 and sizes["long"] and not where:
        where = re.split(r"[^0-9]", bare.pop(0))[0]  # `3 x 10 mm dowels, 40 long`
    bare = bare[:1] if kind in _THIN else bare
    bare.sort(key=lambda size: amount_of(size)[0] if kind == "slides" else 0)  # `18 in, 1/2` between
    by_gauge = kind == "screws" and len(bare) > 1 and re.fullmatch(_GAUGE, bare[0])
    if by_gauge and amount_of(bare[1])[0] <= _LONGEST_IN_INCHES:
        sizes["gauge"] = gauge = bare.pop(0)  # `8 x 2`, beside `4 x 40` in millimetres
    bare += [f"{sold[2]} mm"] if sold is not None and sold[2] else []
    if sold is not None and sold[1][0] == "M":  # `M6 bolts 60`
        bare = [f"{size} mm" if size.isdigit() else size for size in bare]
    for size in bare:
        thick_first = kind in _BARE_THICK or len(bare) > 1
        taken = "thick" if thick_first and not (sizes["thick"] or sold or gauge) else "long"
        sizes[taken] = size
    if kind in _BARE_THICK and sizes["thick"].isdigit() and int(sizes["thick"]) > _THICKEST_IN_INCHES:
        sizes = {
            what: f"{size} mm" if size.isdigit() and what != "gauge" else size for what, size in sizes.items()
        }
    return _in_order(said, kind, where, _Sizes(sizes, sold[1] if sold else "", through, aside, words))


def _counts(bare: list[str]) -> bool:
    """Whether the first of some sizes is a count."""
    return bare[0].isdigit() and amount_of(bare[0])[0] > amount_of(bare[-1])[0]


def _in_order(said: Said, kind: str, where: str, sizes: _Sizes) -> Offer:
    of, driven = sizes.of, kind in _DRIVEN
    told = [f"gauge {of['gauge']}"] if of["gauge"] and kind == "screws" else []
    told += [sizes.sold] if sizes.sold else []
    told += [f"{of[each]} {each}" for each in ("thick", "long") if of[each]]
    if kind in {"dowels", "biscuits"}:
        told += [f"{of['deep']} deep"] if of["deep"] else []
        return said.offer(", ".join([f"as {kind}{f' {where}' * bool(where)}", *told]))
    if driven and not of["long"] and not sizes.sold.endswith("d"):
        told = [said.or_else("", f"{told[0]}, 2 long" if told else _USUAL[kind])]
    told += [f"sunk {of['sunk']}"] if of["sunk"] else []
    told += [f"{sizes.aside[1]} from {sizes.aside[2].lower()}"] if sizes.aside else []
    if kind == "slides":
        said.cut(r"\b(?:gap|clearance|space)\b")
        told = [each for each in told if not each.endswith(" long")]
        return said.offer(", ".join([f"slides {said.or_else(of['long'], '18')} long", *told]))
    head = f"{kind} {said.or_else(where, '2')}"
    through = f" through {said.or_else(sizes.through, 'side')}" if driven else ""
    return said.offer(", ".join([f"{head}{through}", *told, *sizes.words]))


def _of_pockets(said: Said, thread: str, gauge: str) -> Offer | None:
    """The screws of pockets: their thread and length; ``None`` where pockets are told."""
    if re.search(rf"{_COUNT}(?! ?x)|\b(?:every|each|per|{SIDE})\b|\bat [0-9]", said.left, re.IGNORECASE):
        return None
    said.filled = said.its("across first") is not None or said.filled  # `4 x 30`
    long = said.one(r"<N>(?: long)?", r"\blong <N>")
    if not thread:
        return None if not long else said.offer("")
    return said.offer(f"screws {thread}{f' {long}' * bool(long)}{f' gauge {gauge}' * bool(gauge)}")


def _pockets(said: Said, through: str, words: list[str], thread: str) -> Offer:
    said.left = put("faces", said.left)
    both = said.its("both faces")
    if both is not None:
        said.every(_COUNT)
        front, back = (", ".join([f"pockets {both[1]} in {face}", *words]) for face in ("front", "back"))
        return said.offer(front)._replace(sure=False, beside=back)
    where = _places(said)
    face = said.one(rf"\b((?:\w+\.)?{SIDE})\b(?: (?:face|side)\b)?") or (through if "." in through else "")
    said.filled = said.filled or bool(through)
    face = said.or_else(face, "back")
    long = said.one(r"(?=[0-9 -]*(?:/|\.| ?(?:in|inch|mm)\b|\"))<N>(?: long)?")
    offer = said.offer(", ".join([f"pockets {said.or_else(where, '2')} in {face}", *words]))
    beside = f"screws {thread or 'coarse'} {long}".strip()
    return offer._replace(sure=False, beside=beside) if long or thread else offer


def _places(said: Said, *, counted: bool = True) -> str:
    """How many, or where along the joint, as the plan says it; nothing where it is not told."""
    at = said.its("at")
    if at is not None:
        said.cut(_COUNT)
        places = re.findall(NUMBER, at[1])
        unit = re.search(r" ?[cm]m$", places[-1])  # `at 25 and 75 mm`
        shared = [f"{each}{unit[0]}" if unit and each.isdigit() else each for each in places]
        return f"at {', '.join(shared)} from {at[2].lower()}"
    listed = said.one(rf"\bat ({NUMBER}(?:(?:, and|,| and| &) ?{NUMBER})+)")
    if listed:
        said.cut(_COUNT)
        side = "left" if re.search(r"\bin (?:top|bottom)\b", said.left) else "top"
        return f"at {', '.join(re.findall(NUMBER, listed))} from {said.or_else('', side)}"
    every = said.own("every")
    first, last, origin = _ends(said)
    count = said.one(_COUNT) if counted else ""
    of = f" of {origin}" * bool(origin)
    if every:
        said.filled = said.filled or bool(count)
        return f"every {every} from {said.or_else(first, '2')}{f' to {last}' if last else ' to 2' * (not first)}{of}"
    if not first:
        return count
    if origin and not last:
        return f"at {first} from {origin}"
    return f"{count or '2'} from {first} to {last or first}{of}"


def _ends(said: Said) -> tuple[str, str, str]:
    """How far the first and the last lie from the ends, and which end is the first; nothing of what is not told."""
    both = said.its("both ends")
    if both is not None:
        return both[1], both[1], ""
    two = said.cut(r"<N> from <S>(?:,? and |, )<N> from <S>")
    if two is not None and facing(two[2], two[4]):
        return two[1], two[3], two[2].lower()
    two = said.cut(r"<N> from <S> (?:and|&) <S>")
    if two is not None and facing(two[2], two[3]):
        return two[1], two[1], two[2].lower()
    run = said.its("run")
    return (run[1], run[3] or "", (run[2] or run[4] or "").lower()) if run is not None else ("", "", "")


# ---------------------------------------------------------------- where it sits


def sits(line: str) -> Offer | None:
    """Where one part sits on the other: flush, set back, proud, centred, or so far from a side."""
    said = Said(line)
    said.left = re.sub(rf"\b\w+\.(?={SIDE}\b)", "", said.left)
    how = said.which("sits")
    if how == "centred":
        span = said.which("spans")
        said.cut(r"\b(?:of|on|in|with) \w+$")
        return said.offer(f"centred {span}") if span else None
    said.left, floor = re.subn(r"\b(?:floor|ground)\b", "bottom", said.left)
    said.filled = bool(floor)
    far = said.one(r"<N>")
    if not how:
        way = said.cut(r"\b(?:from|below|above|under|over|down|up|off)\b")
        if not far or way is None:
            return None
        said.every(r"\b(?:from|below|above|under|over|down|up|off)\b")
    both = said.cut(r"(?:\band|&|,|\bboth) sides\b")
    sides = list(dict.fromkeys([*said.sides(), *(("left", "right") if both else ())]))
    said.cut(r"\b(?:of|on|with|from|to|past) \w+$", r"\b(?:of|on|with|from|to|past) \w+(?= *,)")
    if how == "flush" and not far:
        return said.offer(f"flush {', '.join(sides)}") if sides else None
    if not far or how == "flush":
        return None
    word = "at" if how == "proud" else "from"
    told = [f"{how} {far} {word} {side}".strip() for side in sides or [said.or_else("", "front")]]
    offer = said.offer(told[0])
    return offer if len(told) == 1 else offer._replace(sure=False, beside=SEVERAL.join(told[1:]))


OF_JOINS = (row_told, sits, joint_told)
"""What a detail of a join may be, the likeliest first."""


# ---------------------------------------------------------------- the line of a join

_NO_NAME = "|".join(RESERVED - {*SIDE_WORDS})
_END = re.compile(
    called("line")["end"].replace("<SIDE>", SIDE).replace("<RESERVED>", _NO_NAME), re.IGNORECASE
)
_BETWEEN = (r"\b(?:to|onto|against|into)\b", r"<?->|<?=>|\bwith\b", r"\b(?:and|on|at)\b|&|\+| -+ |[—–]", ",")


def join_told(line: str) -> Offer | None:
    """A whole ``join`` line: the sides that meet, and the joint or the join that it is like."""
    head = re.match(called("line")["join"], line := Said(line).left, re.IGNORECASE)
    if head is None:
        return None
    rest = line[head.end() :]
    if re.search(rf"\.{SIDE} to .*\.{SIDE} to ", rest):  # two joins
        return None
    for between in _BETWEEN:
        halves = re.split(between, rest, maxsplit=1, flags=re.IGNORECASE)
        if (
            len(halves) == 2
            and between is _BETWEEN[0]
            and len(met := [*_END.finditer(halves[0])]) > 1
            and re.fullmatch(r" [a-z_]\w*", halves[1])
        ):
            halves[1] += f".{opposite((met[0]['at'] or met[0]['sides']).split('/')[0])}"
        if len(halves) == 2 and all(map(_END.search, halves)):
            break
        if len(halves) == 2 and between is _BETWEEN[0]:
            return None
    else:
        return None
    theirs, left = [], Said("")
    for half in halves:
        ends = ((each["of"] or each["part"], each["at"] or each["sides"]) for each in _END.finditer(half))
        theirs.append([f"{part}.{side}" for part, its in ends for side in its.lower().split("/")])
        left.left += " " + _END.sub(" ", half)
    a, b = theirs
    if len(a) == 2 and len(b) == 1:
        (one, side), (other, far) = (each.split(".") for each in a)
        if one == other and facing(side, far):  # Two ends of one part do not meet one side.
            b.append(left.or_else("", f"other.{opposite(far)}"))
    told = f"join {head['name']}: " if head["name"] else "join "
    told += f"{', '.join(a)} to {', '.join(b)}"
    made = joint_told(left.left) if left.left.strip() else None
    if made is not None:
        return Offer(f"{told} {made.text}", made.sure and not left.filled, made.left)
    offer = left.offer(told)
    if offer.left:  # A detail stands behind it.
        detail = halves[1][[*_END.finditer(halves[1])][-1].end() :]
        detail, glued = re.subn(r"\b(?:with )?glued?\b", "", detail)
        pieces = [detail] if _under(detail) else [each for each in detail.split(",") if each.strip()]
        rows = ["glued"] * bool(glued) + [_under(each) for each in pieces]
        return offer._replace(left=0, sure=False, beside=SEVERAL.join(rows)) if rows and all(rows) else None
    return offer


def _under(detail: str) -> str:
    """The first line that a detail behind a join may be, or nothing."""
    offers = filter(None, (each(detail.strip()) for each in OF_JOINS))
    return next((each.text for each in offers if not each.left), "")
