"""What a builder may say in other words than the plan language has: one wish, told once, with the line that says it."""

from __future__ import annotations

from planlint.language.join_wishes import WISHES_OF_JOINS
from planlint.language.part_wishes import WISHES_OF_PARTS
from planlint.language.phrases import wish_for

_WISHES = (
    *WISHES_OF_JOINS,
    *WISHES_OF_PARTS,
    wish_for(
        "plan",
        r"screws? (?:are |in |of )?\w+(?: steel)?",
        "screws may be said to be `screws stainless`, `galvanized`, `coated` or `bronze`; plain steel is not said",
    ),
    wish_for(
        "plan",
        r"(?:for )?(?:outdoors?|outside|exterior)(?: use)?",
        "what stands outdoors is said of the part: `exterior`",
    ),
    wish_for(
        "plan",
        r"(?:scale|by|author|date|drawn|designed|version|title|name|note)(?: .*)?",
        "what is no part of the language stands behind `#`, as a remark",
    ),
    wish_for(
        "",
        r"(?:note|comment|remark|rem)(?::? .*)?|(?://|--|;).*",
        "a remark stands behind `#`",
    ),
    wish_for(
        "",
        r"(?:part )?(?:[0-9]+ \w+|\w+ ?\([0-9]+\)|\w+ ?[x*] ?[0-9]+|[0-9]+ ?[x*] ?\w+) of .*",
        "each part has a name of its own: `part leg_1, leg_2 of …`, or a loop makes them: `for n in 1 to 4`, and `part "
        "leg_{{n}} of …` under it",
    ),
    wish_for(
        "",
        r"place [0-9]+ (\w+)(?: .*)?",
        "each unit has a name of its own: `place {1} as first_one`, or a loop places them: `for n in 1 to 2`, and "
        "`place {1} as unit_{{n}}` under it",
    ),
    wish_for(
        "",
        r"(drawer|door|box|cabinet|carcass|unit) (\w+)(?:[, ].*)?",
        "a unit is built once, `assembly {1}(wide, deep, high)` … `end`, and then placed: `place {1} as {2}, wide 12, "
        "deep 18, high 4`",
    ),
    wish_for(
        "",
        r"(?:board|piece|panel|component|cut) (\w+)(?: .*)?",
        "each board is a part: `part {1} of STOCK, 34 long, upright, facing front`",
    ),
    wish_for(
        "",
        r"(?:wood|material|lumber|timber|sheet) (\w+)(?: .*)?",
        "what parts are made of is stock: `stock {1} of white oak, 3/4 x 5-1/2`",
    ),
    wish_for(
        "",
        r"(?:connect|attach|fasten|screw|glue|fix|joint) (\w+)(?:\.\w+)? (?:to|with|and|onto) (\w+)(?:\.\w+)?(?: .*)?",
        "parts are joined side to side: `join {1}.left to {2}.right`, with what holds them indented under it",
    ),
    wish_for(
        "",
        r"join (\S+ to [\w.{}]+)(?::|,? with|,? using|) (?:[0-9]+ )?(?:pockets?|pocket (?:holes?|screws?)|screws?|"
        r"flush|set back|proud|centred|glued?|nails?|bolts?|hinges?)(?: .*)?",
        "what holds a join, and where it sits, stands on lines of their own, indented under `join {1}`: `flush top`, "
        "`pockets 2 in back`",
    ),
    wish_for(
        "",
        r"join (\w+) (?:and|with) (\w+)(?: .*)?",
        "parts are joined side to side: `join {1}.left to {2}.right`, with the two sides that meet",
    ),
    wish_for(
        "",
        r"let (\w+) = .*\b(\w+)(?:\.| )(?:long|wide|thick|length|width|thickness|height)\b.*",
        "a part is not asked for its size: give that a name, `let {2}_size = 30`, and use the name for both",
    ),
    wish_for(
        "",
        r"repeat ([0-9]+)(?: times)?:?",
        "lines that are repeated stand under a loop: `for n in 1 to {1}`",
    ),
)


def wish(line: str, place: str) -> str | None:
    """What to say of a line that means one thing, but in words of another's; ``None`` where it is not known."""
    words = " ".join(line.split())
    for each in _WISHES:
        if each.place == place or (not each.place and place in {"for", "assembly"}):
            found = each.written.match(words)
            if found is not None:
                return each.says.format("", *((part or each.otherwise).rstrip() for part in found.groups()))
    return None
