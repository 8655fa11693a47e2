"""What is told of a line, in the names of its place: the parts and stock of its plan, the sides of the part that it is
said of, and ways in which nothing lies yet."""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from planlint.language.any_order import MOST_NAMED, SIDE, called, filled_in, opposite, singular
from planlint.language.indentation import Indented
from planlint.language.line_repair import Say
from planlint.language.syntax_tree import JoinLine, PartLine, PlacingLine
from planlint.language.vocabulary import RESERVED, SIDE_WORDS, SPANS, first_word
from planlint.text.measures import in_words

Met = tuple[str, str, str, str]
"""A part and its side, and another and its own that these meet."""
_ENDS = frozenset({"left", "right", "top"})
"""Sides at which a rail or a post ends, so that no screw goes through all of it, where nothing is known of how it lies.
Basis: own judgement."""
_SIDE, _END = rf"\b{SIDE}\b", rf"(\w+)\.({SIDE})"
_MIDDLE = re.compile(rf"\b24(?=(?:[^`,/]|/(?! 2 ))*/ 2 from ({SIDE}))")
_TOLD = re.compile(
    r"(?m)^(?P<in>[ \t]*)(?P<first>part|stock|let|join) (?P<names>.{0,200}?) ?(?P<how>\bof|\blike|\bmirrors|=|\bto) "
    r"(?P<says>.{0,200}?)[ \t]*(?:#.*)?$(?P<under>(?:\n(?P=in)[ \t]+.{0,200}$){0,40})"
)
"""A line that names parts, stock or a length, or joins parts, and the lines under it."""
_MOST_UNDER = 2_000
"""Characters of what stands under a line that are looked at. Basis: own judgement."""


class Known(NamedTuple):
    """What a plan's lines tell of its parts, by name, of its stocks, of its lengths with a name, and of its joins."""

    parts: dict[str, str]
    stocks: dict[str, str]
    lets: dict[str, str]
    joins: list[tuple[str, list[Met], str]]
    """Each as it stands, what meets there, and what stands under it."""

    def sides_of(self, name: str) -> dict[str, list[str]]:
        """The ends, edges and faces of a part, and its faces with the one shown first; nothing if that is not told."""
        called_so = re.compile(re.sub(r"\{[^{}]*\}", r"[\\w{}]+", name))
        said = next((says for each, says in self.parts.items() if called_so.fullmatch(each)), "")
        lies = re.search(r"(?m)(?:, |^)(upright|crosswise|deep)(?=,|$)", said)
        looks = re.search(r"\bfacing (\w+)", said)
        its = called("sides").get(f"{lies[1]} {looks[1]}") if lies and looks else ""
        end, edge, face = map(str.split, its.split(", ")) if its else ([], [], [])
        return {"end": end, "edge": edge, "face": face, "shown": face[::-1]} if its else {}

    def size(self, name: str, side: str) -> str:
        """How large a part is between a side and the one across, as the plan says it; an example where it does not."""
        said = self.parts.get(name, "")
        what = "long" if side in self.sides_of(name).get("end", ()) else "wide"
        size = re.search(rf"(?m)(?:, |^)(?!groove|dado|notch|hole)([^,\n]+) {what}\b", said)
        wide = re.search(r", \S+ x ([^,\n]+)", self.stocks.get(said.split(",")[0], ""))
        told = size[1] if size else wide[1] if wide and what == "wide" else "24"
        return f"({told})" if " " in told else told

    def joined(self, *names: str) -> tuple[str, list[Met], str] | None:
        """The first line that joins these parts, or joins this one to any."""
        return next((each for each in self.joins if any({*names} <= {*met[::2]} for met in each[1])), None)


@lru_cache(maxsize=4)
def known_of(text: str) -> Known:
    """What the lines of a plan's text tell, with the lines under them; of a part like another what that tells, too."""
    known = Known({}, {}, {}, [])
    for _, first, names, how, says, under in _TOLD.findall(text):
        if first == "join":
            pairs = zip(re.findall(_END, names), re.findall(_END, says) * MOST_NAMED, strict=False)
            known.joins.append((f"join {names} to {says}", [(*a, *b) for a, b in pairs], under))
            continue
        own = says + re.sub(r"\n[ \t]+", "\n", under)
        if how in {"like", "mirrors"}:
            other = known.parts.get(re.split(r"\W", says)[0], "")
            own = f"{other.split(',')[0]}, {own.partition(',')[2].strip()}\n{other.partition(',')[2].strip()}"
        of_kind = {"part": known.parts, "stock": known.stocks, "let": known.lets}
        of_kind[first] |= dict.fromkeys(re.findall(r"[\w{}]+", names), own)
    return known


def in_its_place(says: str, line: str, above: Indented, text: str) -> str:
    """What is said of a line that stands under another one in a plan's text."""
    node, plan = above.node, known_of(text)
    says = says if isinstance(node, JoinLine) else _with_ways(says, SPANS)
    if above.kind == "plan":
        return _said_once(says, line, text[above.span.end : above.span.end + _MOST_UNDER])
    stocks = [*plan.stocks, "STOCK"]
    stock = next((each for each in stocks if re.search(rf"\b{each}\b", line)), stocks[0])
    if isinstance(node, PartLine):
        stock = stock if node.like or "of STOCK" not in says or stock in line else node.stock.text
        name = node.names[0].text
        says = _fitting(says.replace("NAME", name), line, plan.sides_of(name))
        says = _MIDDLE.sub(lambda its: plan.size(name, its[1]), says)
    elif isinstance(node, JoinLine):
        says = _in_its_join(says, line, above, node, plan)
    elif met := re.search(r"join (\w+)\.(\w+) to (\w+)\.(\w+)", f"{line.partition(' with ')[0]}\n{says}"):
        says = held(says, line, (met[1], met[2], met[3], met[4]), plan)
    says = _as_called(_of_its_stock(says.replace("STOCK", stock), line, plan), plan)
    panels = "|".join(name for name, its in plan.stocks.items() if re.search(r" thick(?!.* wide)", its))
    says = re.sub(rf"`part [^`]* of (?:{panels}), [^`,]* long(?=,(?![^`]* wide))", r"\g<0>, WIDTH wide", says)
    flat = [each for each in plan.parts if plan.sides_of(each).get("shown", [""])[0] == "top"]
    if one := min(flat, key=lambda each: "shelf" not in each, default=""):
        says = re.sub(r"(?<= on )shelf(?:_1)?(?=`)", one, says)
        says = says.replace(" on shelf_{n}`", f" on {re.sub('[0-9]+$', '{n}', one)}`")
    return _with_its_parts(says, [each for each in plan.parts if "{" not in each])


def _of_its_stock(says: str, line: str, plan: Known) -> str:
    """A board cut from a stock of the plan, where one of its wood and thickness is there."""
    found = re.search(r"`stock (\w+_wood) of ([^`,]+), ([0-9./-]+)[^`]*`, (?=`)", says)
    if found is None:
        return says
    told, named, wood, thick = found.group(0, 1, 2, 3)
    for name, its in plan.stocks.items():
        of_wood = wood not in line or any(each in its for each in wood.split())
        if of_wood and (thick not in line or re.search(rf", {re.escape(thick)}(?![\w/-])", its)):
            return says.replace(told, "").replace(named, name)
    return says


def about(above: Indented) -> tuple[str, str, str]:
    """What a line stands under: a part, a join or the margin; the part that it is about, and its joined side."""
    node = above.node
    if isinstance(node, PartLine):
        return "part", node.names[0].text, ""
    if isinstance(node, JoinLine):
        return "join", node.a.part.text if node.a.part is not None else "", node.a.side.text
    return "margin", "", ""


def in_terms_of_its_plan(line: str, plan: Known, kind: str, part: str = "", joined: str = "") -> str:
    """A line with what only its plan can tell in the plan's words: which side is inside, which are the ends, and names
    of lengths in brackets."""
    sides = plan.sides_of(part)
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
    names = {"<PART>": plan.parts, "<STOCK>": plan.stocks, "<LET>": plan.lets.keys() - RESERVED}
    for pattern, ours in called(f"{kind} terms").items():
        theirs = filled_in(pattern).replace("<LET>", "(?<![0-9] )(?:<LET>)")  # `3/4 wide` is no let
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


def _in_its_join(says: str, line: str, above: Indented, join: JoinLine, plan: Known) -> str:
    for stands, end in (("NAME", join.a), ("OTHER", join.b)):
        says = says.replace(stands, end.part.text) if end.part is not None else says
    if join.a.part is not None and join.b.part is not None:
        met = (join.a.part.text, join.a.side.text, join.b.part.text, join.b.side.text)
        says = held(says, line, met, plan)
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


def held(says: str, line: str, met: Met, plan: Known) -> str:
    """With what holds a join where it can: driven through what has its face there, drilled where a pocket comes out."""
    joined, side, other, far = met
    faces = {name: plan.sides_of(name).get("face", []) for name in (joined, other)}
    at_faces = [name for name, its in ((other, far), (joined, side)) if its in faces[name]]
    driven = [other if side in plan.sides_of(joined).get("end", _ENDS) else joined, *at_faces][-1]
    if "side" not in (other, joined) or "side" not in line:
        says = says.replace("through side", f"through {driven}")
    if len(at_faces) == len(faces):  # A pocket needs an end or an edge at the joint.
        inside = re.search(r"\b(?:inside|behind|back)\b", line) is not None
        screws = rf"`screws \1 through {other if inside else driven}, gauge 8, "
        both = r"(?:each of these [^`]*)?`pockets ([^`]*) in [\w.]+`, `screws coarse ([^`]+)`"
        says = re.sub(both, rf"say such as {screws}\2 long`", says)
        return re.sub(r"`pockets ([^`]*) in [\w.]+`(?! or, through)", rf"{screws}2 long`", says)
    drilled = other if at_faces == [joined] else joined
    face = min(faces[drilled], key=lambda each: not lies_at(drilled, opposite(each)), default="")

    def where(told: re.Match[str]) -> str:
        out = told[3] not in {side, opposite(side)} and (told[2] or drilled is joined)
        return told[0] if out or not face else f"{told[1]}{f'{other}.' * (drilled is other)}{face}"

    says = re.sub(rf"(`pockets [^`]* in )(\w+\.)?({SIDE})", where, says)
    known = plan.joined(joined, other)
    rows = re.findall(r"(?m)^[ \t]+(pockets .* in [\w.]+)[ \t]*(?:#.*)?$", known[2]) if known else []
    return re.sub(r"(?<=`)pockets 2 in \w+(?=, plugged)", lambda told: [*rows, told[0]][0], says)


def _as_called(says: str, plan: Known) -> str:
    """With parts that are offered called as the joins of the plan call them, where it tells no such parts."""
    named = dict.fromkeys(name for _, met, _ in plan.joins for each in met for name in each[::2])
    wanted = [name for name in named if name not in plan.parts and "{" not in name]

    def own(told: re.Match[str]) -> str:
        names, words = told[0].split(", "), {*re.findall("[a-z]+", told[0])}
        like = [each for each in wanted if words & {*each.split("_")}]
        return ", ".join(like) if len(like) == len(names) and not {*names} & {*wanted} else told[0]

    return re.sub(r"(?<=`part )\w+(?:, \w+)*(?= of )", own, says)
