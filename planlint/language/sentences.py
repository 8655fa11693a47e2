"""A sentence about parts of the plan, and the lines that say it: composed of the parts, sides and details it names."""

import re

from planlint.language.any_order import MOST_SAID, SIDE, called, put, singular
from planlint.language.broken_line import Mended, mended_line, understood
from planlint.language.grammar_cache import Tools
from planlint.language.in_its_place import lies_at, sides_of, statements, with_sides
from planlint.language.indentation import HOLDS_STATEMENTS, Indented
from planlint.language.line_repair import Say, Wrong, say
from planlint.language.vocabulary import SIDE_WORDS

_PAIRS = {"x": ("left", "right"), "y": ("front", "back"), "z": ("top", "bottom")}
_AXIS = {side: axis for axis, sides in _PAIRS.items() for side in sides}


def mended(line: str, above: Indented, text: str, tools: Tools) -> Mended:
    """What came of a broken line of a plan's text: of a statement not surely understood, of parts of no huge plan."""
    made = mended_line(line, above, tools)
    told = [each.says for each in made.wrongs if isinstance(each.says, Say)]
    known = made.node is not None or any(each.sure for each in told) or re.search(rf"\w\.{SIDE}\b", line)
    if known or above.kind not in HOLDS_STATEMENTS or len(line) > MOST_SAID or len(text) > 1_000 * MOST_SAID:
        return made
    says = _composed(line, text, tools, joins_only=bool(told))
    return Mended(None, [Wrong(0, len(line), says)]) if says else made


def _composed(line: str, text: str, tools: Tools, *, joins_only: bool) -> Say | None:
    """The join that a line tells, or what it says of one part, aside from what is for or goes through another."""
    names = [name for given, _ in statements("part", text) for name in given if "{" not in name]
    pieces = {piece for name in names for piece in name.split("_") if len(piece) > 2}
    words = {each for piece in pieces for each in (piece, f"{piece}s", f"{piece}es", f"{piece[:-1]}ves")}
    sides, pattern = {*SIDE_WORDS}, called("sentence")["parts"]
    for what, its in (("PART", ({*names} | words) - sides), ("SIDED", {*names} & sides), ("SIDE", sides)):
        pattern = pattern.replace(f"<{what}>", "|".join(sorted(its, key=len, reverse=True)) or "(?!)")
    parts = [each for each in re.finditer(pattern, line) if each["how"] != "through"]
    told = [each for each in parts if each["how"] != "for"]
    one = next((each for each in told if not each["how"] and not each["side"]), None)
    other = next((each for each in told if each is not one and each["how"] != "from"), None)
    aside = [each for each in parts if each in {one, other} or each["how"] == "for"]
    if one is not None and other is not None:
        met = _met(_named(one[0], names)[0], _named(other["names"], names), other, text)
        return _joined(_without(line, aside), met, text, tools) if met else None
    says = understood(
        re.sub(called("sentence")["makes"], "", _without(line, parts, sided=True)), "part", tools
    )
    if len(told) != 1 or says is None or joins_only:
        return None
    which = _named(told[0]["names"], names)
    lines = (with_sides(each, line, sides_of(which[0], text)) for each in says.lines)
    return say(*lines, sure=False, lead=f"under `part {', '.join(which)}`, say such as ")


def _named(told: str, names: list[str]) -> list[str]:
    """The parts that words name, or call by what several are called: `front legs`."""
    found: list[str] = []
    for at, word in re.findall(rf"(?:\b({SIDE}) )?(\w+)", told):
        alike = [each for each in names if singular(word.lower()) in each.split("_")]
        found += [word] if word in names else [each for each in alike if not at or lies_at(each, at)]
    return found


def _without(line: str, parts: list[re.Match[str]], *, sided: bool = False) -> str:
    """A line but for parts that it names; ``sided``: with the sides of them that it names."""
    for each in reversed(parts):
        line = f"{line[: each.end('side') if sided and each['side'] else each.start()]}, {line[each.end() :]}"
    return re.sub(r"(?:\s*,)+", ",", line).strip(" ,")


def _joined(rest: str, met: list[tuple[str, str, str, str]], text: str, tools: Tools) -> Say | None:
    """The join that a line tells, and what the rest of it says of that."""
    rest = put("sentence words", rest)
    told = understood(rest.strip(" ,"), "join", tools)
    if told is None and re.sub(called("nouns")["empty"], "", rest).strip():
        return None
    ends = [(f"{a}.{end}", f"{b}.{far}") for a, end, b, far in met]
    if len({end for end, _ in ends}) == len(ends):
        ends = [(", ".join(end for end, _ in ends), ", ".join(far for _, far in ends))]
    joins = [f"join {end} to {far}" for end, far in ends]
    if told is None:
        return say(*joins, sure=False)
    a, side, b, _ = met[0]
    driven = b if side in (sides := sides_of(a, text))["end"] else a
    lines = [each.replace("through side", f"through {driven}") for each in told.lines]
    lead = called("beside")["join"].format(", ".join(f"`{each}`" for each in joins), "such as ")
    return say(*(with_sides(each, rest, sides) for each in lines), sure=False, lead=lead)


def _met(a: str, others: list[str], told: re.Match[str], text: str) -> list[tuple[str, str, str, str]]:
    """Where a part meets others, by how they lie, what they are called and how it is told."""
    near = [each for each in others if any(lies_at(a, at) and lies_at(each, at) for at in SIDE_WORDS)]
    many = (near or others)[:2] if len(others) > 2 else others
    ours, theirs = sides_of(a, text), sides_of(many[0], text)
    if not ours or not theirs:
        return []
    lie = ["".join(_AXIS[sides[kind][0]] for kind in ("end", "face")) for sides in (ours, theirs)]
    panel = any(many[0] in names and " wide" in says for names, says in statements("part", text))
    key = " ".join([told["side"] or "-", (told["how"] or "-").replace(" ", "_"), *lie]) + " panel" * panel
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
