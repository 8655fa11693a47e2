"""What a builder may say that needs more than a line put in order: one wish, told once, with the line that says it."""

import re

from planlint.language.guesses import any_of
from planlint.language.line_repair import Wrong
from planlint.language.vocabulary import SIDE_WORDS, SPANS

_L = r"([0-9][0-9/. -]*(?:\"|'| ?(?:in|inch|inches|ft|mm|cm))?)"
_S = f"({'|'.join(SIDE_WORDS)})"
_SIDE = f"(?:{'|'.join(SIDE_WORDS)})"

_EACH = (
    "each part has a name of its own: `part leg_1, leg_2 of …`, or a loop makes them: `for n in 1 to 4`, and \
`part leg_{{n}} of …` under it"
)

EVERY_WAY = any_of([f"`centred {way}`" for way in SPANS])
# fmt: off
_SAID = (
    ("join", rf"(?:[a-z]+ )*screws? {_L}(?: long)?|{_L}(?: long)? (?:[a-z]+ )*screws?",
     "screws are told with their thread: `screws coarse {1}{2}` in softwood, `screws fine {1}{2}` in hardwood"),
    ("join", r"(?:no glue|dry|unglued|not glued|without glue)",
     "a joint is glued only where `glued` is said: this line can go, where pockets or other fasteners hold it"),
    ("join", r"(?:(?:in|at|on) )?(?:the )?(?:mid(?:dle|way)?|halfway|cent(?:er|re|ered|red))"
     r"(?: (?:of|on|in|at|both|each) .*| across| it)?",
     f"say which way the middles meet: {EVERY_WAY}"),
    ("join", r"(?:as )?(?:lap(?:ped)?|overlap(?:s|ped|ping)?)(?: joint)?(?:,? .*)?",
     "which lap? `as half lap`, both faces flush, or `as cross lap, 3/4 deep`; a board on another joins by its face"),
    ("join", r"(?:as )?dovetail(?:ed|s)?(?: joints?)?(?: .*)?",
     "which dovetail? `as through dovetail`, `as half-blind dovetail`, or `as sliding dovetail, 3/8 deep`"),
    ("join", r"flush (?:(?:on|at|to|with) )?(?:the )?(?:all|both|outside|inside|everywhere)(?: .*)?",
     "it takes a side of the part, such as `flush top`, `set back 1/4 from front` or `proud 1/8 at front`"),
    ("join", r"glued? .*\b(?:only|first|front|back|half|third|middle|in|inch(?:es)?)\b.*",
     "a joint is `glued` all over, or `glued along the middle third`; a wide part held at one side is `slotted`"),
    ("join part", rf"(?:(?:with|leave|keep) )?(?:an? )?(?:{_L} )?(?:gap|space|clearance)(?: of)?(?: {_L})? between "
     r"(?:the )?(\w+)(?:\.\w+)? and (?:the )?(\w+)(?:\.\w+)?",
     "what a part stands off another is told under the part: under `part {3}`, `gap {1}{2} to {4}`"),
    ("join", rf"(?=\D*{_L})(?:with )?(?:a )?(?:[0-9]\S* )?(?:gap|space)(?: of)?(?: [0-9]\S*)?"
     r"(?: (?:to|from) (\S+)| at .*)?",
     "what a part stands off another is told under the part: `gap {1} to {2}`", "slat_1.right"),
    ("join", r"(?:confirmat\w*|dominos?|cam[- ]?locks?|cams?|knock-?down\w*|corner braces?|brackets?|angles?|straps?)"
     r"(?: .*)?", "such a fitting cannot be said: what holds a joint is `pockets`, a line such as `screws 3 through "
     "side, gauge 8, 2 long`, `bolts`, `nails`, `glued`, or a joint such as `as dowels`"),
    ("part", r"(?:but |with )?(?:without|no|not)\b.*",
     "a part has only what is said of it: what it lacks is left out, and one that lacks what another has is told by "
     "itself, not as `like` it"),
    ("part", rf"(?:(?:gap|spaced?)(?: of)? {_L}|{_L} (?:gap|space))(?: apart| (?:between|to) .*)?",
     "a gap is to another part, or to its side: `gap {1}{2} to OTHER`"),
    ("part", rf"(?:flush|level|even|aligned|lined up|in[- ]line)(?: with| to)? (\w+)(?:[. ]{_S})?",
     "a part that does not touch the other says `in line with {1}.front`, with the side that lies in one plane; "
     "one that does is joined to it, with `flush front` under the join"),
    ("join part", r"(?:counter-?s[iu]nk|counterbored?)(?: .*)?",
     "screws and their heads are told under their join: `screws 3 through side, gauge 8, 2 long, countersunk`"),
    ("part", r"(?:\w+ ){0,3}holes(?: .*)?",
     "each hole has a line of its own, `hole 1/4 wide in front, 2 from left, 3 from bottom`; a shelf rests on `pins`"),
    ("part", rf"{_L} (?:high|tall|deep)",
     "the length of a part runs along its grain: `{1} long` where it stands upright (or lies `deep`), else `{1} wide`"),
    ("part", r"(?:lean(?:s|ing)?|splay(?:ed)?|angled|tilt(?:s|ed)?|canted|raked?|(?:turned?|rotated?|at) -?[0-9.]+ ?"
     r"(?:deg\w*|°|(?:anti-?|counter-?)?clockwise|$))(?: .*)?",
     "a turn names what it is about: `turned 5 about crosswise` brings the top to the front, `turned 5 about deep` "
     "to the right, a minus the other way; `turned 5 about vertical` turns it where it stands"),
    ("part", r"(?:(?:paint|stain|oil|varnish|lacquer|wax)(?:ed)?|shellac|polyurethane|(?:\w+ )?coats?|"
     r"finish(?:ed)? (?:with|in)|sanded|colou?r)(?: .*)?",
     "a finish is told by the faces that get it, `finish both faces` or `finish front only`; which, behind a `#`"),
    ("part", r"(?:quantity|qty|count|pieces|pcs|x) ?:? ?[0-9]+|[0-9]+ ?(?:x|off|pcs|pieces)", _EACH),
    ("part", r"(?:made (?:of|from)|material|wood|stock) .*",
     "what a part is made of stands on its own line: `part leg of STOCK`, and `stock STOCK of white oak, 3/4 x 4`"),
    ("part", r"(?:(?:good|show|best) )?(?:side|fac(?:e[sd]?|ing))(?: (?:in|out)(?:side|wards?)?|: ?\w+)",
     "a face looks front, back, left, right, up or down: say which, as for a left side that looks out `facing left`"),
    ("part", rf"(?:raised|lifted|off the floor|bottom)(?: .*)?|"
     rf"{_L} (?:above|off|from|up from) (?:the )?(?:floor|ground)",
     "where a part lies is told by its joins; of a piece that hangs, `hung with bottom at 54 in`"),
    ("part", r"(?:stands? )?(?:against|at|along) (?:the |an? )?wall",
     "a piece at a wall says so in its plan, `seen from front, left, right`; what is screwed to it, `fixed to wall`"),
    ("part", r"(?:grain|l(?:ay|aid|y)\w*|lies|flat|horizontal(?:ly)?|on (?:its |the )?(?:flat|face|edge|side))(?: .*)?",
     "a part that lies flat says `facing up`, one on edge `facing front` or `facing left`; its length runs along the "
     "grain, `crosswise` (left to right) or `deep` (front to back), or else `upright`"),
    ("part", r"(?:(?:an? )?mirror(?:ed|s)?|like|same as|copy|image)(?: image)?(?: of| from)?"
     r"(?: (?!(?:left|front|top)\b)(\w+))?(?:,? .*)?",
     "a copy or image says so on its first line: `part NAME like {1}` or `part NAME mirrors {1}`", "OTHER"),
    ("part", rf"{_L} (?:dia(?:meter|\.)?|round|[ØO])", "a part is as square as its stock: a round rod is told as one, "
     "`stock rod of birch, {1} x {1}`; what is round in it is a `hole`, or `rounded` at a corner"),
    ("part", r"(?:opens?|opening|swings?|hinged?|handed|hung (?:left|right|on))(?: .*)?",
     "which way a door turns is told by its hinges, in the join that holds it: `hinges 2, 2-1/2 long` under "
     "`join door.left to stile.right`"),
    ("join part", r"(?:on|for|to|in) (?:all|both|each|every)(?: .*)?",
     "what is alike is told once: parts as `part shelf_1, shelf_2 of STOCK`, or another one as "
     "`part shelf_3 like shelf_1`; joins as `join rail_t.left, rail_b.left to stile.right`"),
    ("", r"part (\w+).* (?:like|as) (\w+)\b.*\b(?:long|short|wid|narrow|thick|thinn)er\b.*",
     "what differs from the other part is told as it is, not by how much: `part {1} like {2}, 34 long`"),
    ("plan", r"(?:for )?(?:outdoors?|outside|exterior|garden|patio)\b.*|finish(?:ed)?(?: ?:)?(?: .*)?|"
     r"(?:.* )?(?:hangs?|hung|mounted|fixed|screwed)\b.*",
     "this is said of the part: `exterior`, `finish both faces`, `fixed to wall` or `hung with bottom at 54 in`"),
    ("plan", r"(?:for|used by) (?:adults?|grown-?ups?|everyone|all|elderly|seniors?|teens?|people)\b.*",
     "only `for children` makes a difference: this line can go"),
    ("plan", r"(?:all |use )?(?:screws )?(?:are )?(?:zinc|plain|steel|black|yellow|brass|bright|coarse|standard)\b.*",
     "screws are plain steel, zinc-plated at most, where nothing is said; or `screws stainless`, `screws galvanized`, "
     "`screws coated` or `screws bronze`"),
    ("plan", rf"(?:(?:overall|total|outside|finished|size|dimensions|measures)\b[ :]*)*(?:{_L},? ?"
     rf"(?:wide|deep|high|long|tall|[WDHL]\b|x\b|by\b).*|(?:height|width|depth|length|[hwdl])[ :=]*{_L})",
     "a piece is as large as its parts make it: a measure gets a name at the margin, such as `let overall = {1}{2}`"),
    ("plan", r"(?:dimensions|overall|scale|by|author|date|drawn|designed|version|title|name|note)(?: .*)?",
     "what is no part of the language stands behind `#`, as a remark"),
    ("", r"(?:note|comment|remark|rem|author|date|scale)(?::? .*)?|(?://|--|;).*", "a remark stands behind `#`"),
    ("", r"part (\w+) of (?:([a-z][a-z -]*), )?([0-9][0-9/-]*x[0-9]\S*?)(?:[, ].*)?",
     "wood and its size are told once, as stock, `stock board of {2}, {3}`, and its parts by it: "
     "`part {1} of board, 34 long, upright, facing front`", "pine"),
    ("", r"part (\w+) of ([0-9][0-9/.-]*(?:\"| ?(?:in|inch|mm))?),? (?:thick )?([a-z][a-z ]*)(?:,.*)?",
     "wood and its thickness are told once, as stock, `stock board of {3}, {2} thick`, and its parts by it: "
     "`part {1} of board, 30 long, 12 wide`"),
    ("", r"part ([a-z]\w*) (?!x? ?[0-9])(\w+) of .*",
     "is this one part or two? A name is one word, `part {1}_{2} of STOCK`, and several have a comma between: "
     "`part {1}, {2} of STOCK`"),
    ("", r"part \w+ (?:of|like|mirrors) ([a-z]\w*) ([a-z]\w*)(?:,.*)?|"
     rf"join (?:\S+ to )?([a-z]\w*) ([a-z]\w*)\.{_SIDE} ?.*", "a name is one word, such as `{1}{3}_{2}{4}`"),
    ("", r"(?:part )?(?:[0-9]+ (?:parts? )?\w+|\w+ ?\((?:x ?)?[0-9]+\)|\w+ ?[x*] ?[0-9]+|\w+s [0-9]+|[0-9]+ ?[x*] ?\w+|"
     r"\w+_[0-9]+ ?(?:\.\.+|-|to|through|thru) ?(?:\w+_)?[0-9]+|\w+_{{?\w+}}? "
     r"for .*) of .*|[*+-] \w+ [0-9]+ (?:pcs|off|pieces).*", _EACH),
    ("", r"(?:if|while|when|unless|else)\b.*",
     "a plan has no conditions: `max` and `min` choose between lengths, `let wide = max(30, room - 2)`, and what "
     "differs otherwise is a plan of its own"),
    ("", r"place (?:[0-9]+|two|three|four) (\w+)(?:[ ,].*)?|place (\w+),? (?:[0-9]+ ?(?:x|times)?|x ?[0-9]+|twice)|"
     r"place (\w+),? and \w+",
     "each unit has a name of its own: `place {1}{2}{3} as first_one`, or a loop places them: `for n in 1 to 2`, and "
     "`place {1}{2}{3} as unit_{{n}}` under it"),
    ("", r"place (?:an? |the )?(\w+)(?: (?:as )?\w+)??(?: (?:at|on|in|left|right)\b.*| ?\(.*\)(?: as \w+)?|, ?[0-9].*)",
     "a unit is placed under a name, with its measures by name, `place {1} as left_one, wide 12, deep 18`; "
     "where it lies, its joins say"),
    ("", r"(drawer|door|box|cabinet|carcass|unit) (\w+)(?:[, ].*)?",
     "a unit is built once, `assembly {1}(wide, deep, high)` … `end`, and then placed: `place {1} as {2}, wide 9`"),
    ("", r"part (\w+)[:,]? (?!.*\b(?:of|like|mirrors)\b).*[0-9].*",
     "a part names its stock: `part {1} of STOCK, 34 long, upright`, and `stock STOCK of birch plywood, 1/4 thick`"),
    ("", r"(?:board|piece|panel|component|cut) (\w+)(?: .*)?",
     "each board is a part: `part {1} of STOCK, 34 long, upright, facing front`"),
    ("", r"stock (?:[a-z]\w*,? )?(?:([0-9]\S* ?x ?[0-9]\S*)|[0-9](?!\S*x[0-9]\S* (?:of )?[a-z]).*)",
     "stock has a name of its own, and says its wood: `stock board of pine, {1}`", "3/4 thick"),
    ("", r"stock (\w+),? of ([0-9][^ ,]*) ?(?:x|by) ?([0-9][^ ,]*)",
     "stock says its wood, and then its size: `stock {1} of pine, {2}x{3}`"),
    ("", r"(?:wood|material|lumber|timber|sheet) (\w+)(?: .*)?",
     "what parts are made of is stock: `stock {1} of white oak, 3/4 x 5-1/2`"),
    ("", r"(?:connect|attach|fasten|screw|glue|fix|joint) (\w+)(?:\.\w+)? (?:to|with|and|onto) (\w+)(?:\.\w+)?(?: .*)?|"
     r"join (?:both |all |each )?(\w+)(?:, \w+)* (?:and|with|to|onto) (?:both |all |each )?(\w+)(?:,? .*)?",
     "parts are joined side to side: `join {1}{3}.left to {2}{4}.right`, with the two sides that meet, and what "
     "holds them indented under it"),
    ("", r"join (\S+\.\w+ to \S+\.\w+),? (?:and )?(?:join )?(\S+\.\w+ to \S+\.\w+)(?: .*)?",
     "each join has a line of its own: `join {1}` and `join {2}`"),
    ("", r"join (?:both|the two|each|2) ends? of (\w+) (?:to|with|and) (\w+)(?: .*)?",
     "both ends stand on one line, each with the side that it meets: `join {1}.left, {1}.right to {2}_l.right, "
     "{2}_r.left`"),
    ("", rf"join (?:{_SIDE}|ends?|edge|face) (?:\w+ )?of (\w+) .*|join (?!{_SIDE}\b)(\w+)[. ]"
     r"(?:ends?|edge|face|side)\b.*|join (?:all|each|every) (\w+)(?: .*)?",
     "a join names the two sides that meet, left, right, front, back, top or bottom: `join {1}{2}{3}.left to "
     "rail.top`; several stand in a loop, `for n in 1 to 4`, as `{1}{2}{3}_{{n}}.left`"),
    ("", r"load ([0-9.]+) ?(?:psf|lbs? ?(?:/|per) ?(?:sq\.? ?ft|square f\w+|ft2))(?: on (\w+))?",
     "a load is told in all, or per foot of its part's length: on a shelf 1 foot deep, {1} to the square foot are "
     "`load {1} lb per foot on {2}`", "shelf"),
    ("", r"load .*\b(?:each|every|all|both)\b.*|load .* on \w+(?:,| and) .*",
     "a load is told of one part: `load 30 lb per foot on shelf_1`, or in the loop that makes the "
     "parts `load 30 lb per foot on shelf_{{n}}`"),
    ("", r"load (?:an? |[0-9]+ (?=people|person|adult|kid|child|m[ae]n|book))?[a-z]+(?: on (\w+))?|"
     r"load ([0-9.]+ ?(?:lb|kg)s?)",
     "a load is a weight on a part: `load 200 lb on {1}`, or `load 30 lb per foot on shelf`"),
    ("", r"let \w+ = .*\b(?:length|width|thickness|height) of (\w+).*|"
     r"let \w+ = .*\b(\w+)(?:\.| )(?:long|wide|thick|length|width|thickness|height)\b.*|"
     r"part .*\b(?:same|equal) (?:length|width|size|thickness|height) (?:as|to) (\w+)\b.*",
     "a part is not asked for its size: give that a name, `let {1}{2}{3}_size = 30`, and use the name for both; all of "
     "it is taken over by `part NAME like {1}{2}{3}`"),
    ("", r".*?(?P<slip>\b(?:a(?:rc)?(?:tan2?|sin|cos)|round|floor|ceil|int) ?\([^()]*\)?\)?|"
     r"\b(?:rounded(?: (?:up|down))? to|to nearest)\b.*).*",
     "no angle is worked out from lengths, and no sum is rounded: write what comes out; a slope is `hypot(a, b)` long"),
    ("", r"let (\w+), ?(\w+) = ([^,;]+)", "each length has a line of its own: `let {1} = {3}` and `let {2} = {3}`"),
    ("", r"let (\w+)(?: ?= ?| )([^,;=]+?)(?:[,;]| and) ?(?:let )?(\w+)(?: ?= ?| )([^,;=]+)",
     "each length has a line of its own: `let {1} = {2}` and `let {3} = {4}`"),
    ("", r"let (\w+) = ([0-9]+) (?!in|mm|cm|m|f|y|deg|lb|kg|po)[a-z]{2,}s",
     "what is counted is a number alone: `let {1} = {2}`"),
    ("", r"let (\w+) (\w+) ?= ?(.+)", "a name is one word: `let {1}_{2} = {3}`"),
    ("", r"mirror (?:the )?(?:joins|joints) of (\w+)",
     "a mirror image brings the joins along: `part NAME mirrors {1}, with its joins`"),
    ("", r"(?:repeat|for|do) ([0-9]+)(?: times)?:?", "lines that are repeated stand under a loop: `for n in 1 to {1}`"),
    ("", r"for (\w+) in (?:[a-z]+(?:,.*)?|[0-9]+(?: ?,.*)?)|for (\w+) .*(?:\b(?:step|by|down|downto)\b|<).*|"
     r"for (?:each|every|all) \w+",
     "a loop counts one by one: `for n in 1 to 3`, and sums make the rest, as `2 * n - 1`; what differs "
     "otherwise is told part by part"),
    ("", r"(?:ignore|accept|allow|suppress|disable) (?:(?:all|every\w*|any\w*|[A-Z]+-?[0-9]+|[0-9]+)(?: .*)?|"
     r"(?P<rule>[a-z]+-[a-z-]+)(?: (?:everywhere|all|globally|always|(?:for|in|on) (?:all|every\w*|any\w*|this plan)\b"
     r".*))?)",
     "what is accepted is a rule at a join or a part: `accept {1} on rail.left because \"glued as well\"`",
     "wide-spacing"),
)
# fmt: on
"""Under which line it stands, how it is written, as a whole, and what to say; ``{1}`` is the first stretch in brackets,
or what stands fourth for one that is not there."""

_WISHES: list[tuple[str, re.Pattern[str], str, str]] = [
    (one[0], re.compile(rf"(?:{one[1]})[.!]?$", re.IGNORECASE), one[2], one[3] if len(one) > 3 else "")
    for one in _SAID
]


def wish(line: str, place: str) -> Wrong | None:
    """What to say of a line that means one thing, but in words of another's; ``None`` where it is not known. All of it
    is marked, but for a slip in a sum."""
    words = " ".join(line.split())
    if place in {"part", "join"}:
        words = re.sub(r"^(?:(?:with |w/ ?|use |using |add |install )(?:an? )?)+", "", words)
    for of, written, says, stands in _WISHES:
        if place in (of, *of.split()) or (not of and place in {"for", "assembly"}):
            found = written.match(words)
            if found is not None:
                slip = found.groupdict().get("slip") if words == line else None
                start, end = found.span("slip") if slip else (0, len(line))
                return Wrong(
                    start, end, says.format("", *((part or stands).rstrip() for part in found.groups()))
                )
    behind = re.match(r"join \S+ to \S+?(?:,? as|,? with|,)? (.+)", words)
    wished = wish(behind[1], "join") if behind is not None else None
    return wished and Wrong(0, len(line), wished.says)
