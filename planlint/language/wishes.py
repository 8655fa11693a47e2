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
        rf"(?:pocket holes?|pocket screws?|screws|screwed with) ([0-9]+){_FACE}",
        "screws are told by their pockets: `pockets {1} in {2}`, and `screws to suit` under it",
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
        r"(?:glued? (?:and|\+|&) (?:screwed|screws?|pocketed)|(?:screwed|screws?) (?:and|\+|&) glued?)",
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
        rf"{_ALL_BUT_SAID}(?:hinged?|hinges|butt hinges?)(?: .*)?",
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
        rf"(?:aligned|align|level|even|lined up|in line)(?: (?:with|at|on|to))?(?: the)? ({_SIDE})s?",
        "sides that lie in one plane are flush: `flush {1}`",
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
        r"(?:(?:in )?the (?:middle|cent(?:re|er))|middle|cent(?:er|re|ered|red)|halfway)",
        "say which way the middles meet: `centred left to right`, `centred front to back` or `centred top to bottom`",
    ),
    _wish(
        "join",
        rf"({_JOINT})((?:,| ).+)?",
        "a joint of another kind stands behind `as`: `as {1}{2}`",
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
        r"(?:cam[- ]?locks?|cams?|knock-?down\w*|corner braces?|brackets?|angles?|straps?|dowel pins?)(?: .*)?",
        "such a fitting cannot be said: what holds a joint is `pockets`, a line such as "
        "`screws 3 through side, gauge 8, 2 long`, `bolts`, `nails`, `glued`, or a joint such as `as dowels`",
    ),
    _wish(
        "part",
        r"(?:stands?|standing|sits|rests|is)? ?on (?:the )?(?:floor|ground)",
        "a part whose bottom is on the floor says `stands on floor`",
    ),
    _wish(
        "part",
        rf"(?:(?:a )?({_LENGTH}) (?:gap|space|away)|(?:space|spaced|away)(?: by)? ({_LENGTH}))(?: (?:to|from) (\S+))?",
        "how far a part stands off another is said so: `gap {1}{2} to {3}`",
    ),
    _wish(
        "part",
        rf"(?:flush|level|even|aligned|lined up|in line)(?: with)? (\w+)(?:[. ]({_SIDE}))?",
        "a part that does not touch the other says `in line with {1}.front`, with the side that lies in one plane; "
        "one that does is joined to it, with `flush front` under the join",
    ),
    _wish(
        "part",
        r"taper(?:ed|ing)?(?: .*)?",
        "a taper names the sides, how wide it leaves the part at which end, and where it starts: "
        "`taper left, front to 7/8 at bottom, 5 from top`",
    ),
    _wish(
        "part",
        r"(?:round(?:ed)?|radius|radiused|chamfer(?:ed)?|ease[ds]?)(?: .*)?",
        "a corner is told by the two sides that meet there: `rounded 1/2 at front left` or `chamfer 1/4 at front "
        "left`; a whole end is `left end rounded 2`",
    ),
    _wish(
        "part",
        r"(?:curved?|arch(?:ed)?|arc|bow(?:ed)?)(?: .*)?",
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
        rf"(?:length|len|l)(?: ?[:=] ?| )({_LENGTH})",
        "how long a part is stands before the word: `{1} long`",
    ),
    _wish(
        "part",
        rf"(?:width|wide|w|depth)(?: ?[:=] ?| )({_LENGTH})",
        "how wide a part is stands before the word: `{1} wide`",
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
        r"(?:(?:round )?holes?|drill(?:ed)?|bore|counterbore|slot|mortise|recess|cut-?out)(?: .*)?",
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
                said = [part.strip() if part and part[0] != "," else part for part in found.groups()]
                if each.written.groups == 2 and "as {1}" in each.says:
                    rest = said[1] or ""
                    said[1] = rest if not rest or rest.startswith(",") else f", {rest}"
                    return each.says.format("", *said)
                return each.says.format("", *(part or each.otherwise for part in said))
    return None
