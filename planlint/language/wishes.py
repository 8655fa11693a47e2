"""What a builder may say in other words than the plan language has: one wish, told once, with the line that says it."""

from __future__ import annotations

import re
from typing import NamedTuple

from planlint.language.vocabulary import FASTENERS, JOINTS, SIDE_WORDS


class _Wish(NamedTuple):
    """How a wish is written, and what to say of it; ``{1}`` is the first stretch in brackets, or what stands for it."""

    place: str
    written: re.Pattern[str]
    says: str
    otherwise: str = ""
    """What stands for a stretch that is not there."""


_LENGTH = r"[0-9][0-9/. -]*(?:\"|'| ?(?:in|inch|inches|ft|mm|cm))?"
_SIDE = "|".join(SIDE_WORDS)
_FACE = rf"(?: (?:in|on|from|into|through) (?:the )?({_SIDE}))?"
_JOINT = "|".join(sorted(JOINTS, key=len, reverse=True))


def _wish(place: str, written: str, says: str, otherwise: str = "") -> _Wish:
    return _Wish(place, re.compile(rf"{written}[.!]?$", re.IGNORECASE), says, otherwise)


_ALL_BUT_SAID = rf"(?!(?:screws|{'|'.join(FASTENERS)}) (?:[0-9]|at\b|every\b))"
"""Not one of the lines that the language has, but for a mistake further on: that is told at its place."""

_WISHES = (
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:screwed|screws?)(?: \S+)*? (?:through|thru)(?: (?:the )?(\w+))?(?: face)?"
        rf" every ({_LENGTH})",
        "screws through a face: `screws every {2} from 2 to 2 through {1}, gauge 8, 2 long`; pocket screws: "
        "`pockets every {2} from 2 in back`",
        "side",
    ),
    _wish(
        "join",
        rf"(?:screwed|screws?|pocket screws?|pocket holes?|pocketed|pockets?)(?: \S+)*? every ({_LENGTH}){_FACE}",
        "a row of screws is told by its pockets: `pockets every {1} from 2 in {2}`, and `screws to suit` under it",
        "back",
    ),
    _wish(
        "join",
        rf"(?:pocket (?:holes?|screws?)(?: [0-9]+)?|(?:screws|screwed with|pockets) [0-9]+){_FACE}(?: inside| hidden)?",
        "screws are told by their pockets: `pockets 2 in {1}`, and `screws to suit` under it",
        "back",
    ),
    _wish(
        "join",
        rf"(?:with )?([0-9]+) (?:pockets?|pocket holes?|pocket screws?|screws?){_FACE}",
        "screws are told by their pockets: `pockets {1} in {2}`, and `screws to suit` under it",
        "back",
    ),
    _wish(
        "join",
        rf"screw ({_LENGTH})(?: long)?",
        "screws are told with their thread: `screws coarse {1}` in softwood and panels, `screws fine {1}` in hardwood, "
        "or `screws to suit`",
    ),
    _wish(
        "join",
        r"(?:glued? (?:and|\+|&) (?:screwed|screws?|pocketed|nailed)|(?:screwed|screws?|nailed) (?:and|\+|&) glued?)",
        "glue and screws are two lines: `glued`, and `pockets 2 in back` with `screws to suit`",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:[0-9]+ )?(?:nail(?:ed|s)?|brads?|pinned|stapled?)(?: .*?)?(?: every ({_LENGTH}))?(?: .*)?",
        "nails are told by where they are and what they go through: `nails every {1} from 1 to 1 through back, 8d`, or "
        "`nails 4 through back, 1-1/2 long`",
        "6",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:bolt(?:ed|s)?|carriage bolts?|threaded inserts?|inserts?)(?: .*)?",
        "bolts are told by what they go through and their size: `bolts 2 through leg, 5/16 thick, 4 long`, or with "
        "`, into inserts` behind it",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:\w+ )?(?:hinged?|hinges)(?: .*)?",
        "hinges are told by how many, or where: `hinges 2`, or `hinges at 3, 21 from bottom`",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:drawer |ball[- ]bearing |undermount |side[- ]mount )?(?:slides?|runners?|glides?))"
        rf"(?:.*?({_LENGTH}))?(?: .*)?",
        "drawer slides are told by how long and how thick they are: `slides {1} long, 1/2 thick`",
        "18",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:shelf[- ](?:pins?|pegs?|supports?)|pegs?|(?:on )?(?:[0-9]+ )?(?:shelf )?pins?)(?: .*)?",
        "pins that a shelf rests on are told by how many, or where: `pins 2`, or `pins at 2, 9 from front, 5 mm thick`",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:table ?top |top )?(?:fasteners?|buttons?|clips?)|figure[- ]8s?|z[- ]clips?|clipped|"
        r"buttoned)(?: .*)?",
        "what holds a top and lets it move is told by how many, or where: `buttons 4`, `clips every 10 from 3`",
    ),
    _wish(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:([0-9]+) )?(?:plain |wood )?screws?|screwed)(?: [0-9]+)?(?: \S+)*? "
        r"(?:through|thru|into) (?:the )?(\w+)(?: face)?(?:,? .*)?",
        "screws through a face are told with what they go through and their size: "
        "`screws {1} through {2}, gauge 8, 2 long`",
        "3",
    ),
    _wish(
        "join",
        rf"(?:overhang(?:s|ing)?|projects?|projecting|sticks? out|stands? out|past|beyond) (?:by )?({_LENGTH})"
        rf"(?: (?:at|from|past|on|beyond|over) (?:the )?({_SIDE}))?",
        "what stands out past the other part is proud: `proud {1} at {2}`",
        "front",
    ),
    _wish(
        "join",
        rf"(?:inset|offset|recessed|recess|stepped back|in|reveal|setback) (?:by )?({_LENGTH})"
        rf"(?: (?:from|at|on) (?:the )?({_SIDE}))?",
        "what lies inside the other part's side is set back: `set back {1} from {2}`",
        "front",
    ),
    _wish(
        "join",
        r"(?:(?:in )?the (?:middle|cent(?:re|er))|middle|halfway|"
        r"cent(?:er|re|ered|red)(?: (?:on|in|at) .*| across| along)?)",
        "say which way the middles meet: `centred left to right`, `centred front to back` or `centred top to bottom`",
    ),
    _wish(
        "join",
        rf"({_JOINT})(?:(?:,| ).+)?",
        "a joint of another kind stands behind `as`, with its measures: `as {1}`, or such as `as dado, 3/8 deep`",
    ),
    _wish(
        "join",
        r"dovetail(?:ed|s)?(?: joints?)?(?: .*)?",
        "which dovetail? `as through dovetail`, `as half-blind dovetail`, or `as sliding dovetail, 3/8 deep`",
    ),
    _wish(
        "join",
        rf"flush (?:all .*|both .*|outside|inside|everywhere)|(?:set back|proud) {_LENGTH}",
        "it takes a side of the part, such as `flush top`, `set back 1/4 from front` or `proud 1/8 at front`",
    ),
    _wish(
        "join",
        r"(?:like|same as|as)(?: join)? (\w+\.\w+)",
        "a join that is told as another is says so on its own line: `join … to … like {1}`",
    ),
    _wish(
        "join",
        rf"(?:with )?(?:a )?(?:gap|space)(?: of)? ({_LENGTH})(?: (?:to|from) (\S+))?",
        "what a part stands off another is told under the part: `gap {1} to {2}`",
        "slat_1.right",
    ),
    _wish(
        "join",
        r"(?:confirmat\w*|dominos?|cam[- ]?locks?|cams?|knock-?down\w*|corner braces?|brackets?|angles?|straps?|"
        r"dowel pins?)(?: .*)?",
        "such a fitting cannot be said: what holds a joint is `pockets`, a line such as "
        "`screws 3 through side, gauge 8, 2 long`, `bolts`, `nails`, `glued`, or a joint such as `as dowels`",
    ),
    _wish(
        "part",
        r"(?:(?:stands?|standing|sits|rests|is)? ?(?:on|at) )?(?:the )?(?:floor|ground)(?: level)?",
        "a part whose bottom is on the floor says `stands on floor`",
    ),
    _wish(
        "part",
        rf"(?:flush|level|even|aligned|lined up|in line)(?: with)? (\w+)(?:[. ]({_SIDE}))?",
        "a part that does not touch the other says `in line with {1}.front`, with the side that lies in one plane; "
        "one that does is joined to it, with `flush front` under the join",
    ),
    _wish(
        "part",
        r"taper(?:ed|ing|s)?(?: .*)?",
        "a taper names the sides, how wide it leaves the part at which end, and where it starts: "
        "`taper left, front to 7/8 at bottom, 5 from top`",
    ),
    _wish(
        "part",
        r"(?:round(?:ed)?(?! hole)|round-?over|half[- ]round|bullnosed?|radius|radiused|chamfer(?:ed)?|ease[ds]?)"
        r"(?: .*)?",
        "a corner is told by the two sides that meet there: `rounded 1/2 at front left` or `chamfer 1/4 at front "
        "left`; a whole end is `left end rounded 2`",
    ),
    _wish(
        "part",
        r"(?:curved?|arch(?:ed)?|arc|bow(?:ed)?|scallop(?:ed)?|cloud lift)(?: .*)?",
        "a hollow curve is `arch 2 deep along bottom`, also `from 3 to 30`; one that swells is `bow 2 deep along "
        "front`; both take a `radius` instead, or three points of an arc: `arch through 0 at 4, 2 at 14, "
        "1 at 30 along bottom`",
    ),
    _wish(
        "part",
        rf"(?:(?:{_SIDE} )?edges? (?:cut|bevel(?:led|ed)?)|bevel(?:led|ed)?)(?: .*)?",
        "a long edge that is not square names its angle from square and its long point: `left edge cut 30, long at "
        "front`; an end is `left end cut 45, long at top`",
    ),
    _wish(
        "part",
        rf"(?:edge[- ]?band(?:ed|ing)?|edge tape|veneer tape|banded|taped?|lipped|edged)(?: (?:on|at|along))?"
        rf"(?: the)?(?: ({_SIDE}))?(?: .*)?",
        "an edge that gets veneer tape says `taped {1}`; a strip of wood along it is a part of its own, joined with "
        "`glued`",
        "front",
    ),
    _wish(
        "part",
        r"(?:counter-?s[iu]nk|counterbored?)(?: .*)?",
        "screws are told under their join, and so is how their heads lie: `screws 3 through side, gauge 8, 2 long, "
        "countersunk`, or `sunk 3/8` instead",
    ),
    _wish(
        "part",
        rf"({_LENGTH}) (?:high|tall)",
        "the length of a part runs along its grain: `{1} long` where it stands upright, else `{1} wide`",
    ),
    _wish(
        "part",
        rf"({_LENGTH}) deep",
        "a part has a length along its grain and a width across it: `{1} long` with `deep`, or `{1} wide`",
    ),
    _wish(
        "part",
        r"(?:(?:\w+ )?(?:holes?|slots?)|grommet|window|opening|drill(?:ed)?|bore|counterbore|mortise|recess|cut-?out)"
        r"(?: .*)?",
        "a round hole is told by its middle: `hole 2 wide in front, 3 from left, 2 from bottom`, or `2 wide 1/2 "
        "deep`; one with square corners is `cutout 6 x 4 in front, 3 from left, 2 from bottom`, one with round ends a "
        "`slot`; at an edge it is a `notch`, `groove` or `dado`",
    ),
    _wish(
        "part",
        r"(?:mitred?|mitered?)(?: (?:both )?ends?)?(?: (?:at )?([0-9.]+))?(?: .*)?",
        "a mitre is told by its angle from square and its long point: `ends cut {1}, long at top`",
        "45",
    ),
    _wish(
        "plan",
        r"(?:scale|by|author|date|drawn|designed|version|title|name|note)(?: .*)?",
        "what is no part of the language stands behind `#`, as a remark",
    ),
    _wish(
        "",
        r"(?:note|comment|remark|rem)(?::? .*)?|(?://|--|;).*",
        "a remark stands behind `#`",
    ),
    _wish(
        "",
        r"part (?:[0-9]+ \w+|\w+ ?[x*] ?[0-9]+|[0-9]+ ?[x*] ?\w+) of .*",
        "each part has a name of its own: `part leg_1, leg_2 of …`, or a loop makes them: `for n in 1 to 4`, and `part "
        "leg_{{n}} of …` under it",
    ),
    _wish(
        "part",
        r"(?:quantity|qty|count|pieces|pcs|x) ?:? ?[0-9]+|[0-9]+ ?(?:x|off|pcs|pieces)",
        "each part has a name of its own: `part leg_1, leg_2 of …`, or a loop makes them: `for n in 1 to 4`, and `part "
        "leg_{{n}} of …` under it",
    ),
    _wish(
        "",
        r"place [0-9]+ (\w+)(?: .*)?",
        "each unit has a name of its own: `place {1} as first_one`, or a loop places them: `for n in 1 to 2`, and "
        "`place {1} as unit_{{n}}` under it",
    ),
    _wish(
        "",
        r"(drawer|door|box|cabinet|carcass|unit) (\w+)(?:,.*)?",
        "a unit is built once, `assembly {1}(wide, deep, high)` … `end`, and then placed: `place {1} as {2}, wide 12, "
        "deep 18, high 4`",
    ),
    _wish(
        "part",
        r"(?:lean(?:s|ing)?|splay(?:ed)?|angled|tilted|canted|raked|turned [0-9.-]+(?: degrees)? "
        r"(?:(?:anti|counter)-?)?clockwise)(?: .*)?",
        "a part that leans is turned: `turned 5 about crosswise` brings its top to the front, `turned 5 about deep` to "
        "the right, a minus the other way",
    ),
    _wish(
        "part",
        r"(?:raised|lifted|off the floor|bottom)(?: .*)?",
        "where a part lies is told by its joins; of a piece that hangs, `hung with bottom at 54 in`",
    ),
    _wish(
        "part",
        r"grain(?: .*)?",
        "the length runs along the grain: say `upright`, `crosswise` (left to right) or `deep` (front to back)",
    ),
    _wish(
        "part",
        r"(?:lying|laid|lies)(?: .*)?|flat",
        "a part that lies flat says `facing up`, and `crosswise` (left to right) or `deep` (front to back)",
    ),
    _wish(
        "part",
        rf"(?:both )?(?:({_SIDE}) )?ends? (?:are )?(?:cut|mitred|mitered)(?: at| to)? ([0-9.]+)(?: ?degrees| ?°)?",
        "an end that is not square says at which side its long point lies: `{1} end cut {2}, long at top`, or "
        "`ends cut {2}, long at top`",
        "left",
    ),
    _wish(
        "",
        r"(?:board|piece|panel|component|cut) (\w+)(?: .*)?",
        "each board is a part: `part {1} of STOCK, 34 long, upright, facing front`",
    ),
    _wish(
        "",
        r"(?:wood|material|lumber|timber|sheet) (\w+)(?: .*)?",
        "what parts are made of is stock: `stock {1} of white oak, 3/4 x 5-1/2`",
    ),
    _wish(
        "",
        r"(?:connect|attach|fasten|screw|glue|fix|joint) (\w+)(?:\.\w+)? (?:to|with|and|onto) (\w+)(?:\.\w+)?(?: .*)?",
        "parts are joined side to side: `join {1}.left to {2}.right`, with what holds them indented under it",
    ),
    _wish(
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
                return each.says.format("", *((part or each.otherwise).strip() for part in found.groups()))
    return None
