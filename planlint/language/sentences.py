"""A sentence about parts of the plan, and the lines that say it: composed of the parts, sides and details it names."""

import re

from planlint.language.any_order import MOST_NAMED, MOST_SAID, SIDE, called, opposite, put, singular
from planlint.language.broken_line import Mended, mended_line, understood
from planlint.language.grammar_cache import Tools
from planlint.language.in_its_place import (
    Known,
    Met,
    about,
    held,
    in_terms_of_its_plan,
    known_of,
    lies_at,
    with_sides,
)
from planlint.language.indentation import HOLDS_STATEMENTS, Indented
from planlint.language.line_repair import LineRepair, Say, Wrong, say
from planlint.language.vocabulary import SIDE_WORDS

_PAIRS = {"x": ("left", "right"), "y": ("front", "back"), "z": ("top", "bottom")}
_AXIS = {side: axis for axis, sides in _PAIRS.items() for side in sides}
MOST_LOST = 3
"""Words of a sentence about a join that may be left over. Basis: own judgement."""


def mended(line: str, above: Indented, text: str, tools: Tools) -> Mended:
    """What came of a broken line of a plan's text: of a statement not surely understood, of parts of no huge plan."""
    made = mended_line(line, above, tools)
    if len(line) > MOST_SAID or len(text) > 1_000 * MOST_SAID:
        return made
    plan = known_of(text)
    terms = in_terms_of_its_plan(line, plan, *about(above))
    if terms != line:
        sound = LineRepair(terms, above.kind, tools).reads(terms)
        otherwise = Mended(None, [Wrong(0, 0, say(terms))]) if sound else mended_line(terms, above, tools)
        if _worth(otherwise, terms) >= max(1, _worth(made, line)):
            made = Mended(None, [Wrong(0, len(line), otherwise.wrongs[0].says)], terms)
    told = [each.says for each in made.wrongs if isinstance(each.says, Say)]
    known = made.node is not None or any(each.sure for each in told) or re.search(rf"\w\.{SIDE}\b", line)
    if known or above.kind not in HOLDS_STATEMENTS:
        return made
    says = _composed(terms, plan, tools, joins_only=bool(told))
    return Mended(None, [Wrong(0, len(line), says)]) if says else made


def _worth(made: Mended, line: str) -> int:
    """How far a line was understood by what is told of it: with a line that says it, all of it, and surely."""
    says = made.wrongs[0].says if len(made.wrongs) == 1 else ""
    return 1 + (not says.more) + says.sure if isinstance(says, Say) else 2 * (f"`{line}`" in says)


def _composed(line: str, plan: Known, tools: Tools, *, joins_only: bool) -> Say | None:
    """The join that a line tells, or what it says of one part, aside from what is for or goes through another."""
    names = [name for name in plan.parts if "{" not in name]
    pieces = {piece for name in names for piece in name.split("_") if len(piece) > 2}
    rows = (each.split() for each in called("alike").values())
    alike = {its for row in rows if pieces.intersection(row) for its in row}
    sides, pattern = {*SIDE_WORDS}, called("sentence")["parts"]
    of_one = (pieces | alike) - sides
    words = {each for one in of_one for each in (one, f"{one}s", f"{one}es", f"{one[:-1]}ves")}
    whole = (("PART", {*names, *words} - sides), ("SIDED", {*names} & sides), ("CALLED", sides & alike))
    for what, its in (*whole, ("SIDE", sides)):
        pattern = pattern.replace(f"<{what}>", "|".join(sorted(its, key=len, reverse=True)) or "(?!)")
    found = [*re.finditer(pattern, line)]
    through = next((each for each in found if each["how"] == "through"), None)
    parts = [each for each in found if each["how"] != "through"]
    told = [each for each in parts if each["how"] != "for"]
    one = next((each for each in told if not each["how"] and not each["side"]), None)
    other = next((each for each in told if each is not one and each["how"] != "from"), None)
    one = one or through  # `screws through the top into the rails`
    aside = [each for each in found if each in {one, other} or each["how"] == "for"]
    if one is not None and other is not None:
        named, others = (_named(each["names"], names) for each in (one, other))
        pairs = ((a, b) for a in named for b in others if one is through or len(named + others) == 2)
        known = next(filter(None, (plan.joined(*pair) for pair in pairs)), None)
        met = known[1] if known else [each for a in named for each in _met(a, others, other, plan)]
        rest = _without(line, aside) + (f" through {named[0]}" if named and one is through else "")
        return _joined(rest, met[:MOST_NAMED], plan, tools, known[0] if known else "") if met else None
    which = _named(told[0]["names"], names) if len(told) == 1 and not joins_only else []
    rest = re.sub(called("sentence")["makes"], "", _without(line, parts, sided=True))
    terms = in_terms_of_its_plan(rest, plan, "part", which[0] if which else "")
    says = understood(terms, "part", tools) if which else None
    if says is None and which:
        says = understood(put("sentence words", rest).strip(" ,"), "join", tools)
        end = plan.sides_of(which[0]).get("end", ["left"])[0]
        own = plan.joined(which[0])
        join = own[0] if own else f"join {which[0]}.{end} to OTHER.{opposite(end)}"
        under = says.lines if says else ()
        if own and own[1][0][2] == which[0]:  # What it is joined to lies as far inside it as it stands out.
            under = tuple([re.sub("^proud (.*) at ", r"set back \1 from ", each) for each in under])
        return say(*under, sure=False, lead=f"under a join of it, `{join}`, say such as ") if says else None
    if says is None:
        return None
    which = which[: 1 if terms != rest else None]  # What is inside of one is not of the next.
    lines = (with_sides(each, line, plan.sides_of(which[0])) for each in says.lines)
    return say(*lines, sure=False, lead=f"under `part {', '.join(which)}`, say such as ")


def _named(told: str, names: list[str]) -> list[str]:
    """The parts that words name, or call by what several are called, or by what else such a part is: `front legs`."""
    found: list[str] = []
    for at, word in re.findall(rf"(?:\b({SIDE}) )?(\w+)", told):
        one = singular(word.lower())
        also = " ".join(each for each in called("alike").values() if one in each.split()).split()
        alike = [each for each in names if one in each.split("_")]
        alike = alike or [each for each in names if not {*also}.isdisjoint(each.split("_"))]
        found += [word] if word in names else [each for each in alike if not at or lies_at(each, at)]
    return found


def _without(line: str, parts: list[re.Match[str]], *, sided: bool = False) -> str:
    """A line but for parts that it names; ``sided``: with the sides of them that it names."""
    for each in reversed(parts):
        line = f"{line[: each.end('side') if sided and each['side'] else each.start()]}, {line[each.end() :]}"
    return re.sub(r"(?:\s*,)+", ",", line).strip(" ,")


def _joined(rest: str, met: list[Met], plan: Known, tools: Tools, known: str) -> Say | None:
    """The join that a line tells, or speaks of as ``known``, and what the rest of it says of that."""
    rest = in_terms_of_its_plan(put("sentence words", rest), plan, "join", *met[0][:2])
    told = understood(rest.strip(" ,"), "join", tools) or understood(rest.replace(",", " "), "join", tools)
    rest = re.sub(called("sentence")["goes on"], " ", rest)
    pieces = [] if told else [each for each in re.split(called("line")["between"], rest) if each.strip(" ,")]
    meant = {each: understood(each.strip(" ,"), "join", tools) for each in pieces}
    empty = called("nouns")["empty"]
    lost = [each.strip() for each, its in meant.items() if not its and re.sub(empty, "", each).strip()]
    if len(" ".join(lost).split()) > MOST_LOST:
        return None
    under = [line for each in (told, *meant.values()) if each for line in each.lines]
    more = f"; `{', '.join(lost)}` has no place in it" if lost else ""
    ends = [(f"{a}.{end}", f"{b}.{far}") for a, end, b, far in met]
    if len({end for end, _ in ends}) == len(ends):
        one = len({far for _, far in ends}) == 1
        ends = [(", ".join(end for end, _ in ends), ", ".join(far for _, far in ends[: 1 if one else None]))]
    joins = [known] if known else [f"join {end} to {far}" for end, far in ends]
    if not under:
        return say(*joins, sure=False, more=more)
    a, side = met[0][:2]
    lines = [held(f"`{each}`", rest, met[0], plan).strip("`") for each in under]
    across = "front to back" if side in _PAIRS["x"] else "left to right"
    lines = [re.sub("^centred left to right$", f"centred {across}", each) for each in lines]
    lead = called("beside")["join"].format(", ".join(f"`{each}`" for each in joins), "such as ")
    lines = [with_sides(each, rest, plan.sides_of(a)) for each in lines]
    return say(*lines, sure=False, lead=lead, more=more)


def _met(a: str, others: list[str], told: re.Match[str], plan: Known) -> list[Met]:
    """Where a part meets others, by how they lie, what they are called and how it is told."""
    near = [each for each in others if any(lies_at(a, at) and lies_at(each, at) for at in SIDE_WORDS)]
    many = (near or others)[:2] if len(others) > 2 else others
    ours, theirs = plan.sides_of(a), plan.sides_of(many[0])
    if not ours or not theirs:
        return []
    lie = ["".join(_AXIS[sides[kind][0]] for kind in ("end", "face")) for sides in (ours, theirs)]
    cut_wide = {name for name, part in plan.parts.items() if " wide" in part}
    wide = [f" {what}" for what, its in (("panel", many[0]), ("board", a)) if its in cut_wide]
    low = " low" * bool(re.search(called("sentence")["low"], many[0]))
    key = " ".join([told["side"] or "-", (told["how"] or "-").replace(" ", "_"), *lie]) + "".join(wide) + low
    ways = ((re.search(pattern, key), its) for pattern, its in called("meets").items())
    its = next(found.expand(its) for found, its in ways if found is not None).split()
    if len(its) > 1:
        return [(a, its[0], each, its[1]) for each in many]
    pair = _PAIRS[its[0]]
    at = [number ^ end for number, each in enumerate(many) for end in (0, 1) if lies_at(each, pair[end])]
    first = at[0] if at else int(its == ["y"] and len(many) == 1 and not lies_at(a, "back"))
    first = 1 - first if told["side"] == "outside" else first
    last = 1 - first if its[0] == lie[0][0] or told["how"] == "between" else first
    return [(a, pair[at], each, pair[1 - at]) for each, at in zip(many, (first, last), strict=False)]
