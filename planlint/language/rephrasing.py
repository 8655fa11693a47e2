"""What builders say in words that are near those of the plan language, put into its words where the line then reads.

Nothing is guessed: a line so put must be one that can be read as a whole, and it is told, not taken over in silence.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from planlint.language.line_repair import Edit, LineRepair, Wrong
from planlint.language.vocabulary import JOINTS, SIDE_WORDS, first_word

MOST_TIMES = 6
"""Times that one phrase is put right in a line: as many as there are sides."""

LONGEST = 200
"""Characters of a line that is looked at: what is longer was not said by a builder. Basis: our own judgement."""

_LENGTH = r"[0-9]+(?:[-. ][0-9]+)?(?:/[0-9]+)?(?: ?(?:inch|in|mm|cm|ft|\"|'))?(?![\w/])"
_SIDE = f"(?:{'|'.join(SIDE_WORDS)})"
_NUMBERS = ("one", "two", "three", "four", "five", "six")
_JOINT = f"(?:{'|'.join(sorted(JOINTS.keys() - {'glued'}, key=len, reverse=True))})"
_FACING = [(SIDE_WORDS[at], SIDE_WORDS[at ^ 1]) for at in range(len(SIDE_WORDS))]


class _Phrase(NamedTuple):
    """Words of another's, where they may stand (the kinds of line, or the first word of one), and the plan's."""

    places: frozenset[str]
    theirs: re.Pattern[str]
    ours: str


def _phrases(places: str, *pairs: tuple[str, str]) -> list[_Phrase]:
    """``<L>`` and ``<S>`` stand for a length and a side that is taken over, ``<SIDE>`` for one that is not."""
    among = frozenset(places.split())
    made = []
    for theirs, ours in pairs:
        pattern = theirs.replace("<L>", f"({_LENGTH})").replace("<S>", f"({_SIDE})").replace("<SIDE>", _SIDE)
        made.append(_Phrase(among, re.compile(pattern, re.IGNORECASE), ours))
    return made


_PHRASES = [
    *_phrases(
        "plan",
        (
            r"^(?:all )?(?:units?|dimensions|measure(?:ment)?s|lengths|sizes)(?: are)?(?: in|:| is)? (\w+)$",
            r"unit \1",
        ),
        (r"^plan ?[:=] ?(?=\")", "plan "),
        (r"^(?:visible|viewed|seen)(?: from)? (?!from)", "seen from "),
        (r"^(?:stands? |standing )?against (?:a|the) wall$", "seen from front, left, right"),
        (r"^eyes?(?: level| height)?(?: at| of|:)? (?=[0-9])", "eye height "),
        (r"^for (?:kids|small children|toddlers)$", "for children"),
    ),
    *_phrases(
        "any",
        (r"(?<!towards )\bthe (?!middle third)(?![^\"]*\"$)", ""),
        (r"\b(?:center|centre)(?= (?:left|front|top) to)", "centred"),
        (r"\bleft[- ]to[- ]right\b|\bleft[-/]right\b", "left to right"),
        (r"\bfront[- ]to[- ]back\b|\bfront[-/]back\b", "front to back"),
        (r"\btop[- ]to[- ]bottom\b|\btop[-/]bottom\b", "top to bottom"),
    ),
    *_phrases("top", (r"^(\w+) ?= ?(?=[0-9(])", r"let \1 = ")),
    *_phrases("let", (r"^let (\w+) (?:be |is |: ?)(?=[0-9(])", r"let \1 = ")),
    *_phrases(
        "stock",
        (r"^stock (\w+) ?(?:[:=]|is) ?", r"stock \1 of "),
        (r"^(stock \w+ of )([0-9][0-9/-]*x[0-9][0-9/-]*) ([a-z][^,]*)", r"\1\3, \2"),
        (r"^(stock \w+ of )<L> ?(?:thick )?([a-z][^,]*)", r"\1\3, \2 thick"),
        (
            r"^(stock \w+ of )([^,]+)((?:,[^,]*)*?), ?(?:grade ([\w/-]+)|(BB/BB|[A-D]-?[1-4A-D])(?: grade)?)(?=,|$)",
            r"\1\4\5 \2\3",
        ),
    ),
    *_phrases(
        "part",
        (r"^(part [^,]*(?:, [^,]*)*?),? and (\w+ (?:of|like|mirrors) )", r"\1, \2"),
        (r"^(part \w+)(?: is)?(?: a| an)? (?:same as|copy of|identical to|duplicate of|as) ", r"\1 like "),
        (
            r"^(part \w+)(?: is)?(?: a)? (?:mirror(?:ed)?(?: image)?(?: of)?|mirrors? of|flipped) ",
            r"\1 mirrors ",
        ),
        (r"^(part .*like \w+),? (?:but|only|except|with) (?!its)", r"\1, "),
        (r",? (?:flipped|mirrored) (?=(?:left|front|top) to)", " "),
        (r"\blength(?: of|:| ?=)? <L>(?=,|$)", r"\1 long"),
        (r"\bwidth(?: of|:| ?=)? <L>(?=,|$)", r"\1 wide"),
        (r"\bthickness(?: of|:| ?=)? <L>(?=,|$)", r"\1 thick"),
        (r"\bstanding(?: up)?(?=,|$)", "upright"),
        (r"\bfaces? (?=(?:front|back|left|right|up|down)\b)", "facing "),
        (r"\b(?:rotated?|swung|tilted|turn) (?=[0-9-])", "turned "),
        (r"\bboth (?=ends|edges)", ""),
        (
            r"\b(end|ends|edge|edges)(?: are)? (?:mitred|mitered|bevelled|beveled|cut)(?: at| to)? (?=[0-9])",
            r"\1 cut ",
        ),
        (r"\b(?:bevel|cut) <S> (end|edge)(?: at)? ([0-9.]+)", r"\1 \2 cut \3"),
        (r",? long (?:point|side|edge) (?:at|on) ", ", long at "),
        *[(rf",? short(?: point| side)? at {one}\b", f", long at {other}") for one, other in _FACING],
        (r"\b(?:cut-?outs?|cut out|opening|window)\b", "cutout"),
        (r"\b(?:round|grommet|finger|cable|drill(?:ed)?|bored?)(?: a)? hole\b", "hole"),
        (r"^(?:drill|bore)(?: a)? (?=[0-9])", "hole "),
        (r"^<L>(?: wide| dia(?:meter)?| round)? hole\b", r"hole \1 wide"),
        (
            r"\bhole(?: of)? <L>(?: in)?(?: dia(?:meter)?\.?| across| round)?(?= (?:in|[0-9]))",
            r"hole \1 wide",
        ),
        (r"\b(?:handle|hand|finger) slot\b", "slot"),
        (r"\brebate\b", "rabbet"),
        (r"\b(?:plough|plow)\b", "groove"),
        (r"\bhousing\b", "dado"),
        (r"(?<=[0-9]) by (?=[0-9])", " x "),
        (r"\b(groove|dado) <L> x <L>", r"\1 \2 wide \3 deep"),
        (r"\b(groove|dado) <L> deep,? <L> wide", r"\1 \3 wide \2 deep"),
        (r"\b(groove|dado) (along|across|in) <S>,? <L> wide,? <L> deep", r"\1 \4 wide \5 deep \2 \3"),
        (r"\bgroove (.* deep) (?:in|across) ", r"groove \1 along "),
        (r"\bdado (.* deep) (?:in|along) ", r"dado \1 across "),
        (r"\bnotch (<SIDE>(?: <SIDE>)+),? ([0-9].*)$", r"notch \2 at \1"),
        (r"\b(notch [^,]*) (?:in|from|out of|on) ", r"\1 at "),
        (r"\b(?:arc|curve)\b", "arch"),
        (r"\b(arch|bow) along <S>,? <L> (deep|high|radius)", r"\1 \3 \4 along \2"),
        (r"\b(arch|bow) <L> (?:high|tall)", r"\1 \2 deep"),
        (r"\bgap of ", "gap "),
        (r"^(?:an? )?<L> (?:gap|space|away)(?: to| from) ", r"gap \1 to "),
        (r"^spaced?(?: by)? <L>(?: to| from| off) ", r"gap \1 to "),
        (r"^<L> (?:from|off) (?!<SIDE>$)", r"gap \1 to "),
        (
            r"^(?:edge[- ]?band(?:ing|ed)?|(?:veneer |edge )?tape|iron-on edging|edging|banded)(?: on| at| along)? ",
            "taped ",
        ),
        (r"\b(taped <S>)(?:,| and|, and) (?=<SIDE>\b)", r"\1, taped "),
        (
            r"\bfinish(?:ed)? (?:all(?: round| over| sides| faces)?|both sides|everywhere)\b",
            "finish both faces",
        ),
        (r"^(?:painted|oiled|varnished|lacquered|waxed|finished)$", "finish both faces"),
        (r"\b(?:for )?(?:outdoors?|outside)(?: use)?(?=,|$)", "exterior"),
        (r"\b(?:fixed|screwed|fastened|attached|mounted|anchored) (?:to|on) (?:a )?wall", "fixed to wall"),
        (r"\b(?:hung|hangs|hanging)(?: with(?: its)? bottom)? at ", "hung with bottom at "),
        (r"\bon floor$", "stands on floor"),
    ),
    *_phrases(
        "join",
        (r"^(join .* to \S+),? (?:with|as) ([0-9]+) (dowels|biscuits)\b", r"\1 as \3 \2"),
        (r"^(join (?:(?! to ).)*?) (?:with|and|onto|on|against|into|at) (?!its)", r"\1 to "),
        (r"^(?:aligned|align|level|even|lined up|in line|flush)(?: with| at| on| to)? (?=<SIDE>)", "flush "),
        (
            r"^(?:inset|offset|recessed|stepped back|setback|set in)(?: by)? <L>(?: from| at| on)? ",
            r"set back \1 from ",
        ),
        (
            r"^(?:overhang(?:s|ing)?|project(?:s|ing)|s(?:tick|tand)s out)(?: by)? <L>(?: at| from| past| on| over)? ",
            r"proud \1 at ",
        ),
        (r"^(flush .*) and ", r"\1, "),
        (r"^(?:pocket holes|pocket screws) ", "pockets "),
        (r"^(pockets .*?),? (?:on|from|through) ((?:\w+\.)?<SIDE>)$", r"\1 in \2"),
        (r"^pockets <L> from (?:each|both) ends? ", r"pockets 2 from \1 to \1 "),
        (r"\bevery <L>,? starting(?: at)? ", r"every \1 from "),
        (r"^(<SIDE>(?:(?:,| and|, and) <SIDE>)*) flush$", r"flush \1"),
        (r"^(?:stands? )?proud(?: of)? <S> by <L>$", r"proud \2 at \1"),
        (r"^stands? proud ", "proud "),
        (r"^<L> (?:back|in|set back|reveal|inset|setback)(?: from| at) ", r"set back \1 from "),
        (r"^<L> (?:down|up|over|along) from ", r"\1 from "),
        (r"^<L> (?:below|under|above) (?=top$|bottom$)", r"\1 from "),
        (r"^cent(?:red|ered|re|er) vertically$", "centred top to bottom"),
        (r"^cent(?:red|ered|re|er) horizontally$", "centred left to right"),
        *[(rf"^((?:pockets |screws |bolts )?){word}\b", rf"\g<1>{n}") for n, word in enumerate(_NUMBERS, 1)],
        (r"^([0-9]+) (pockets|screws|bolts|nails|hinges|buttons|clips|pins)\b", r"\2 \1"),
        (r"\b(at [0-9].*?),? and (?=[0-9])", r"\1, "),
        (r"^<L>(?: inch| long)? (coarse|fine)(?: thread| pocket)* screws?$", r"screws \2 \1"),
        (r"^(coarse|fine)(?: thread| pocket)* screws?,? <L>(?: long)?$", r"screws \1 \2"),
        (r"^(?:pocket )?screws? <L>(?: inch)?(?: long)?,? (coarse|fine)(?: thread)?$", r"screws \2 \1"),
        (r"\b(?:no\. ?|number )([0-9]+)\b", r"gauge \1"),
        (r"\b([0-9]+)[ -]gauge\b", r"gauge \1"),
        (r", <L> ?x <L>", r", \1 thick, \2 long"),
        (r"\b<L> dia(?:meter)?\b", r"\1 thick"),
        (r"^(?:carriage|machine|hex) bolts", "bolts"),
        (r"^([0-9]+d) nails (.*)$", r"nails \2, \1"),
        (r"^<L>(?: long)? slides\b", r"slides \1 long"),
        (r"^(?:full[- ]extension|ball[- ]bearing|undermount|side[- ]mount|drawer) slides", "slides"),
        (r"^(?:euro|butt|cup|concealed|strap) hinges", "hinges"),
        (r"^(?:figure[- ]?(?:eights?|8s?)|z[- ]clips?|table ?top fasteners?|top clips?)\b", "clips"),
        (r"^shelf (?:pins|pegs)\b", "pins"),
        (r" & ", " and "),
        (r"^(?:as )?([0-9]+) dowels?,? <L> ?x ?<L>(?: long)?$", r"as dowels \1, \2 thick, \3 long"),
        (r"^(?:as )?([0-9]+) dowels?,? <L>(?: thick)?$", r"as dowels \1, \2 thick"),
        (r"^(?:as )?dowels?,? <L> ?x ?<L>", r"as dowels, \1 thick, \2 long"),
        (r"^(?:as )?(dowels|biscuits) [0-9]+,? (?=at )", r"as \1 "),
        (r"^(?:as |with )?([0-9]+) (dowels|biscuits)\b", r"as \2 \1"),
        (r"^(?:dowel joint|dowell?ed|dowel)\b", "as dowels"),
        (r"^as (?:dowel joint|dowell?ed|dowel(?!s))\b", "as dowels"),
        (r"^(?:as )?(?:biscuited|biscuit joint)\b", "as biscuits"),
        (r"^(?:as )?(?:mortised?|tenoned|mortised and tenoned)\b(?! and)", "as mortise and tenon"),
        (r"^tenon (?=[0-9])", "as mortise and tenon, tenon "),
        (r"^(?:as )?half[- ]lapp?(?:ed|s)?(?: joint)?\b", "as half lap"),
        (r"^(?:as )?(?:finger|box)[- ]joint(?:ed|s)?\b", "as box joint"),
        (r"^(?:as )?(?:housing|housed|dadoed)(?: joint)?\b", "as dado"),
        (r"^(?:as )?(?:rebate|rebated|rabbeted)\b", "as rabbet"),
        (r"^(?:as )?(?:mitred|mitered)\b", "as mitre"),
        (r"^(?:as )?(?:butted|butt joint)\b", "as butt"),
        (r"^(?:splined?|loose tongue)\b", "as loose spline"),
        (r"^(?:as )?bread ?board(?:ed)?(?: ends?)?\b", "as breadboard end"),
        (rf"^({_JOINT})\b", r"as \1"),
        (rf"\b(as {_JOINT}) (?=<L> (?:long|wide|thick|deep)\b)", r"\1, "),
        (r"^(?:(?:sits?|lies|lying|left|just) )*(?:loose|rests?|resting)(?: on .*)?$", "as resting"),
        (r"^(?:wood |with |and )?glued?(?: up| on| together| with .*)?$|^epoxied$", "glued"),
        (r"^(?:slots|(?:slotted|elongated) holes)$", "slotted"),
        (r"^with ", ""),
    ),
    *_phrases(
        "load",
        (r"^load of ", "load "),
        (r"^load (?:on )?([a-z]\w*),? (?:of |with )?([0-9].*)$", r"load \2 on \1"),
        (r"\b(?:lbs?|pounds?) ?(?:/|per |a )(?:ft|foot|feet)\b", "lb per foot"),
    ),
    *_phrases(
        "for",
        (
            r"^for (?:each |every )?(\w+) ?(?:=|in|from) ?(\w+) ?(?:\.\.+|to|-|through|until) ?",
            r"for \1 in \2 to ",
        ),
    ),
    *_phrases("ignore allow waive suppress", (r"^\w+ (?=\S+ (?:on|here)\b)", "accept ")),
    *_phrases(
        "accept",
        (r"^accept ([a-z-]+) (?!on |here|at |for |in )([a-z]+) ", r"accept \1-\2 "),
        (r"^accept ([a-z-]+) (?:at|for|in) ", r"accept \1 on "),
    ),
    *_phrases("include import", (r"^\w+ (?=\")", "use ")),
]


def rephrased(repair: LineRepair) -> Any:
    """The node of a line once it is put into the plan's words, which is told then; ``None`` where none comes of it."""
    if len(repair.text) > LONGEST:
        return None
    first = first_word(repair.text).lower()
    places = {"any", repair.place} if repair.place in {"plan", "part", "join"} else {"any", "top", first}
    whole = len(repair.text)
    for phrase in _PHRASES:
        for _ in range(MOST_TIMES if phrase.places & places else 0):
            found = phrase.theirs.search(repair.text)
            instead = found and found.expand(phrase.ours)
            if found is None or instead is None or instead == found[0]:
                break
            repair.apply(Edit(found.start(), found.end(), instead, "", (0, 0)))
            node, _trouble = repair.attempt(repair.text)
            if node is not None and not repair.tools.builder.problems:
                repair.wrongs.append(Wrong(0, whole, f"say `{repair.text}`"))
                return repair.move(node)
    return None
