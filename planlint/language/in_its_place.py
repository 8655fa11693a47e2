"""What is told of a line, in the names of its place: the parts and stock of its plan, the sides of the part that it is
said of, and ways in which nothing lies yet."""

import re
from collections.abc import Iterable
from functools import lru_cache

from planlint.language.any_order import MOST_SAID, SIDE, called, filled_in, opposite, singular
from planlint.language.indentation import Indented
from planlint.language.line_repair import Say
from planlint.language.syntax_tree import JoinLine, PartLine, PlacingLine
from planlint.language.vocabulary import RESERVED, SIDE_WORDS, SPANS, first_word
from planlint.text.measures import in_words

_ENDS = frozenset({"left", "right", "top"})
"""Sides at which a rail or a post ends, so that no screw goes through all of it, where nothing is known of how it lies.
Basis: own judgement."""
_SIDE = rf"\b{SIDE}\b"
_MOST_UNDER = 2_000
"""Characters of what stands under a line that are looked at. Basis: own judgement."""


def in_its_place(says: str, line: str, above: Indented, text: str) -> str:
    """What is said of a line that stands under another one in a plan's text."""
    node = above.node
    says = says if isinstance(node, JoinLine) else _with_ways(says, SPANS)
    if above.kind == "plan":
        return _said_once(says, line, text[above.span.end : above.span.end + _MOST_UNDER])
    stocks = [name for told, _ in statements("stock", text) for name in told]
    stock = next((each for each in stocks if re.search(rf"\b{each}\b", line)), (stocks or ["STOCK"])[0])
    if isinstance(node, PartLine):
        stock = stock if node.like or "of STOCK" not in says or stock in line else node.stock.text
        name = node.names[0].text
        says = _fitting(says.replace("NAME", name), line, sides_of(name, text))
        says = re.sub(rf"\b24(?=[^`,/]*/ 2 from ({SIDE}))", lambda side: _size(name, side[1], text), says)
    elif isinstance(node, JoinLine):
        says = _in_its_join(says, line, above, node, text)
    parts = [name for told, _ in statements("part", text) for name in told if "{" not in name]
    says = _of_its_stock(says.replace("STOCK", stock), line, text)
    if " on shelf`" in says and "shelf" not in parts:
        flat = [each for each in parts if sides_of(each, text).get("face", [""])[-1] == "top"]
        says = says.replace(" on shelf`", f" on {(flat or ['shelf'])[0]}`")
    return _with_its_parts(says, [] if above.kind == "assembly" else parts)


def _size(name: str, side: str, text: str) -> str:
    """How large a part is between a side and the one across, as its plan says it; an example where it does not."""
    told = next((says for names, says in statements("part", text) if name in names), "")
    what = "long" if side in sides_of(name, text).get("end", ()) else "wide"
    size = re.search(rf"(?m)(?:, |^)([^,\n]+) {what}\b", told)
    return (f"({size[1]})" if " " in size[1] else size[1]) if size else "24"


def _of_its_stock(says: str, line: str, text: str) -> str:
    """A board cut from a stock of the plan, where one of its wood and thickness is there."""
    found = re.search(r"`stock (\w+_wood) of ([^`,]+), ([0-9./-]+)[^`]*`, (?=`)", says)
    if found is None:
        return says
    told, named, wood, thick = found.group(0, 1, 2, 3)
    for names, its in statements("stock", text):
        of_wood = wood not in line or any(each in its for each in wood.split())
        if of_wood and (thick not in line or re.search(rf", {re.escape(thick)}(?![\w/-])", its)):
            return says.replace(told, "").replace(named, names[0])
    return says


def about(above: Indented) -> tuple[str, str, str]:
    """What a line stands under: a part, a join or the margin; the part that it is about, and its joined side."""
    node = above.node
    if isinstance(node, PartLine):
        return "part", node.names[0].text, ""
    if isinstance(node, JoinLine):
        return "join", node.a.part.text if node.a.part is not None else "", node.a.side.text
    return "margin", "", ""


def in_terms_of_its_plan(line: str, text: str, kind: str, part: str = "", joined: str = "") -> str:
    """A line with what only its plan can tell in the plan's words: which side is inside, which are the ends, and names
    of lengths in brackets."""
    sides = sides_of(part, text)
    outer = [each for each in SIDE_WORDS if lies_at(part, each)]
    inner = [opposite(each) for each in outer]
    if "taper" not in line:
        inner = [each for each in inner if each in sides.get("face", ())] or inner * ("pocket" not in line)
    loop = re.search(r"\{(\w+)", part)
    spaced = [*sides.get("edge", ()), *(sides.get("face", ()) if joined in sides.get("end", ()) else ())]
    slots = {
        "inner": ", ".join(inner),
        "outer": ", ".join(outer),
        "ends": ", ".join(sides.get("end", ())),
        "face": sides.get("face", [""])[-1],
        "n": loop[1] if loop else "",
        "low": next((each for each in ("bottom", "front", "left") if each in spaced), ""),
    }
    names = {
        "<PART>": [name for told, _ in statements("part", text) for name in told],
        "<STOCK>": [name for told, _ in statements("stock", text) for name in told],
        "<LET>": [each for each in re.findall(r"(?m)^[ \t]*let (\w+)", text) if each not in RESERVED],
    }
    for pattern, ours in called(f"{kind} terms").items():
        theirs = filled_in(pattern)
        for slot, its in names.items():
            theirs = theirs.replace(slot, "|".join(map(re.escape, its)) or "(?!)")
        if all(slots[each] for each in re.findall(r"\{(\w+)\}", ours)):
            line = re.sub(theirs, ours.format(**slots), line, flags=re.IGNORECASE)
    return line


def _said_once(says: str, line: str, under: str) -> str:
    """What is said of a line under ``plan`` that says again, or otherwise, what another one there says."""
    ours = says.lines[0] if isinstance(says, Say) and says.sure else ""
    under = re.split(r"\n(?=[^\s#])", under)[0]
    others = re.findall(rf"(?m)^[ \t]+({first_word(ours)} [^#\n]{{,99}})$", under) if ours else []
    theirs = next((each for each in others if each != line), None)
    if theirs is None:
        return says
    again = f"`{theirs}` says so already: this line can go"
    return again if theirs == ours else f"{says} in place of `{theirs}`, which is said already"


@lru_cache(maxsize=4)
def statements(first: str, text: str) -> list[tuple[list[str], str]]:
    """The names that lines with one first word give, and what they and the lines under them say."""
    told: list[tuple[list[str], str]] = []
    under = None
    for raw in text.split("\n"):
        line = raw.strip(" \t\r")
        indent = len(raw) - len(raw.lstrip(" \t"))
        if first_word(line) == first and len(line) <= MOST_SAID:
            names, _, says = re.sub(" (of|like|mirrors) ", "\0", line[len(first) :], count=1).partition("\0")
            told.append((re.findall(r"[\w{}]+", names), says))
            under = indent
        elif under is not None and indent > under and len(told[-1][1]) < _MOST_UNDER:
            told[-1] = (told[-1][0], f"{told[-1][1]}\n{line}")
        elif line:
            under = None
    return told


def sides_of(name: str, text: str) -> dict[str, list[str]]:
    """The ends, edges and faces of a part that its plan tells how it lies; nothing of any other."""
    called_so = re.compile(re.sub(r"\{[^{}]*\}", r"[\\w{}]+", name))
    told = statements("part", text)
    said = next((says for names, says in told if any(map(called_so.fullmatch, names))), "")
    lies = re.search(r"(?m)(?:, |^)(upright|crosswise|deep)(?=,|$)", said)
    looks = re.search(r"\bfacing (\w+)", said)
    its = called("sides").get(f"{lies[1]} {looks[1]}") if lies and looks else None
    return dict(zip(("end", "edge", "face"), map(str.split, its.split(", ")), strict=True)) if its else {}


def _with_its_parts(says: str, parts: list[str]) -> str:
    """With parts of the plan for the words that they are called by: of several, one that lies there, not told yet."""
    told: dict[str, str] = {}
    last = ""

    def meant(found: re.Match[str]) -> str:
        nonlocal last
        word, side = found.groups()
        stem = last.partition("_")[0] if word == "other" and last else singular(word.lower())
        alike = [each for each in parts if len(stem) > 2 and stem in each]
        if word in parts or not alike:
            return found[0]
        alike.sort(key=lambda each: (each in told.values(), not lies_at(each, opposite(side))))
        last = told.setdefault(f"{word}.{side}", alike[0])
        return f"{last}.{side}"

    return re.sub(rf"\b([a-z]\w*)\.({SIDE})\b", meant, says)


def lies_at(name: str, side: str) -> bool:
    """Whether a part's name says that it lies at a side: `leg_fl` at the front and the left."""
    name = re.sub(r"_?(?:\{.*|[0-9]+$)", "", name)
    return side in name or re.search(rf"(?:^|_)(?:{side[0]}\w?|\w{side[0]})$", name) is not None


def _fitting(says: str, line: str, sides: dict[str, list[str]]) -> str:
    """With sides of which the part has an end, an edge or a face in the examples that need one."""
    told = re.sub("`([^`]+)`", lambda code: f"`{with_sides(code[1], line, sides)}`", says)
    apart = len({*told.split("`")}) == len({*says.split("`")})
    return told if apart else says


def with_sides(code: str, line: str, sides: dict[str, list[str]]) -> str:
    """A line with sides of which the part has an end, an edge or a face where it needs one; those told stay."""
    own = {*re.findall(_SIDE, line)}
    needs = (its.split() for start, its in called("needs").items() if re.match(start, f"{code}; {line}"))
    taken = own.intersection(re.findall(_SIDE, code))
    kinds = [need for need in next(needs, []) if taken.isdisjoint(sides.get(need, own))]

    def side(found: re.Match[str]) -> str:
        free = sides[kinds.pop(0)] if kinds and found[0] not in own else [found[0]]
        return found[0] if found[0] in free else free[0]

    return re.sub(_SIDE, side, code) if sides else code


def _in_its_join(says: str, line: str, above: Indented, join: JoinLine, text: str) -> str:
    for stands, end in (("NAME", join.a), ("OTHER", join.b)):
        says = says.replace(stands, end.part.text) if end.part is not None else says
    named = "side" in line and any(end.part and end.part.text == "side" for end in (join.a, join.b))
    if join.a.part is not None and join.b.part is not None and not named:
        driven = join.b.part if join.a.side.text in _ENDS else join.a.part
        for part, side in ((join.b.part, join.b.side), (join.a.part, join.a.side)):
            driven = part if side.text in sides_of(part.text, text).get("face", ()) else driven
        says = says.replace("through side", f"through {driven.text}")
    if "sides" in line and join.a.side.text in {"left", "right"}:
        says = says.replace("flush left, right", "flush front, back")
    placings = [each.node for each in above.children if isinstance(each.node, PlacingLine)]
    known = {join.a.side.text, *(side.text for each in placings for side in each.sides)}
    known.update(*(each.axis.text.split(" to ") for each in placings if each.axis))
    ways = [way for way in SPANS if known.isdisjoint(way.split(" to "))]
    if "WAYS" in says and not ways:
        return "the lines above say already where it lies in every way: this line can go"
    return _with_ways(says, ways)


def _with_ways(says: str, ways: Iterable[str]) -> str:
    """What is said with the ways in which the middles of two parts may meet."""
    return (
        says.replace("WAYS", in_words([f"`centred {way}`" for way in ways], "or")) if "WAYS" in says else says
    )
