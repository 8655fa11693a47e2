"""What a builder may wish of a join in other words than the plan language has."""

from __future__ import annotations

from planlint.language.joint_table import JOINTS
from planlint.language.phrases import LENGTH, SIDES, wish_for
from planlint.language.vocabulary import FASTENERS

_FACE = rf"(?: (?:in|on|from|into|through) (?:the )?({SIDES}))?"
_JOINT = "|".join(sorted(JOINTS, key=len, reverse=True))
_ALL_BUT_SAID = rf"(?!(?:screws|{'|'.join(FASTENERS)}) (?:[0-9]|at\b|every\b))"
"""Not one of the lines that the language has, but for a mistake further on: that is told at its place."""

WISHES_OF_JOINS = (
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:screwed|screws?)(?: \S+)*? (?:through|thru)(?: (?:the )?(\w+))?(?: face)?"
        rf" every ({LENGTH})",
        "screws through a face: `screws every {2} from 2 to 2 through {1}, gauge 8, 2 long`; pocket screws: "
        "`pockets every {2} from 2 in back`",
        "side",
    ),
    wish_for(
        "join",
        rf"(?:screwed|screws?|pocket screws?|pocket holes?|pocketed|pockets?)(?: \S+)*? every ({LENGTH}){_FACE}",
        "a row of screws is told by its pockets: `pockets every {1} from 2 in {2}`, and `screws to suit` under it",
        "back",
    ),
    wish_for(
        "join",
        rf"(?:pocket (?:holes?|screws?)(?: [0-9]+)?|(?:screws|screwed with|pockets) [0-9]+){_FACE}(?: inside| hidden)?",
        "screws are told by their pockets: `pockets 2 in {1}`, and `screws to suit` under it",
        "back",
    ),
    wish_for(
        "join",
        rf"(?:with )?([0-9]+) (?:pockets?|pocket holes?|pocket screws?|screws?){_FACE}",
        "screws are told by their pockets: `pockets {1} in {2}`, and `screws to suit` under it",
        "back",
    ),
    wish_for(
        "join",
        rf"(pockets|screws|bolts|nails|buttons|clips|hinges|pins) every ({LENGTH})(?! from)( .*)?",
        "a row says how far from the ends it starts and stops: `{1} every {2} from 2 to 2{3}`",
    ),
    wish_for(
        "join",
        rf"(?:as )?(biscuits|dowels) every ({LENGTH})(?! from)(,? .*)?",
        "a row says how far from the ends it starts and stops: `as {1} every {2} from 2 to 2{3}`",
    ),
    wish_for(
        "join",
        rf"(?:pocket )?screws? ({LENGTH})(?: long)?",
        "screws are told with their thread: `screws coarse {1}` in softwood and panels, `screws fine {1}` in hardwood, "
        "or `screws to suit`",
    ),
    wish_for(
        "join",
        rf"({LENGTH})(?: long)? (?:pocket )?screws?",
        "screws are told with their thread: `screws coarse {1}` in softwood and panels, `screws fine {1}` in hardwood, "
        "or `screws to suit`",
    ),
    wish_for(
        "join",
        rf"({LENGTH}) (?:above|off|from|up from) (?:the )?(?:floor|ground)",
        "a join measures from the other part's sides: `{1} from bottom` is from the bottom of that part",
    ),
    wish_for(
        "join",
        rf"({LENGTH}) (?:reveal|setback|inset)",
        "what lies inside the other part's side is set back: `set back {1} from front`",
    ),
    wish_for(
        "join",
        r"(?:no glue|dry|unglued|not glued|without glue)",
        "a joint is glued only where `glued` is said: this line can go, where pockets or other fasteners hold it",
    ),
    wish_for(
        "join",
        r"(?:as )?(?:mortise and tenon|tenon),? .*\bx\b.*",
        "each measure of a tenon has its word: `as mortise and tenon, tenon 1 long, 3/8 thick, 2 wide`",
    ),
    wish_for(
        "join",
        r"(?:as )?(?:[0-9]+ )?dowels?\b.* x .*",
        "dowels are told by how many, or where, and their size: `as dowels 2, 3/8 thick, 2 long`",
    ),
    wish_for(
        "join",
        r"(?:glued?,? (?:and |\+ |& )?(?:screwed|screws?|pocketed|nailed)|"
        r"(?:screwed|screws?|nailed),? (?:and |\+ |& )?glued?)",
        "glue and screws are two lines: `glued`, and `pockets 2 in back` with `screws to suit`",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:[0-9]+ )?(?:nail(?:ed|s)?|brads?|pinned|stapled?)(?: .*?)?(?: every ({LENGTH}))?(?: .*)?",
        "nails are told by where they are and what they go through: `nails every {1} from 1 to 1 through back, 8d`, or "
        "`nails 4 through back, 1-1/2 long`",
        "6",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:bolt(?:ed|s)?|(?:[\w/-]+ )*(?:carriage|lag|machine|hex) (?:bolts?|screws?)|"
        r"threaded inserts?|inserts?)(?: .*)?",
        "bolts are told by what they go through and their size: `bolts 2 through leg, 5/16 thick, 4 long`, or with "
        "`, into inserts` behind it",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:\w+ )?(?:hinged?|hinges)(?: .*)?",
        "hinges are told by how many, or where: `hinges 2`, or `hinges at 3, 21 from bottom`",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:drawer |ball[- ]bearing |undermount |side[- ]mount )?(?:slides?|runners?|glides?))"
        rf"(?:.*?({LENGTH}))?(?: .*)?",
        "drawer slides are told by how long and how thick they are: `slides {1} long, 1/2 thick`",
        "18",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:shelf[- ](?:pins?|pegs?|supports?)|pegs?|(?:on )?(?:[0-9]+ )?(?:shelf )?pins?)(?: .*)?",
        "pins that a shelf rests on are told by how many, or where: `pins 2`, or `pins at 2, 9 from front, 5 mm thick`",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:table ?top |top )?(?:fasteners?|buttons?|clips?)|figure[- ]8s?|z[- ]clips?|clipped|"
        r"buttoned)(?: .*)?",
        "what holds a top and lets it move is told by how many, or where: `buttons 4`, `clips every 10 from 3`",
    ),
    wish_for(
        "join",
        rf"{_ALL_BUT_SAID}(?:(?:([0-9]+) )?(?:plain |wood )?screws?|screwed)(?: [0-9]+)?(?: \S+)*? "
        r"(?:through|thru|into) (?:the )?(\w+)(?: face)?(?:,? .*)?",
        "screws through a face are told with what they go through and their size: "
        "`screws {1} through {2}, gauge 8, 2 long`",
        "3",
    ),
    wish_for(
        "join",
        rf"(?:overhang(?:s|ing)?|projects?|projecting|sticks? out|stands? out|past|beyond) (?:by )?({LENGTH})"
        rf"(?: (?:at|from|past|on|beyond|over) (?:the )?({SIDES}))?",
        "what stands out past the other part is proud: `proud {1} at {2}`",
        "front",
    ),
    wish_for(
        "join",
        rf"(?:inset|offset|recessed|recess|stepped back|in|reveal|setback) (?:by )?({LENGTH})"
        rf"(?: (?:from|at|on) (?:the )?({SIDES}))?",
        "what lies inside the other part's side is set back: `set back {1} from {2}`",
        "front",
    ),
    wish_for(
        "join",
        r"(?:(?:in )?the (?:middle|cent(?:re|er))|middle|halfway|"
        r"cent(?:er|re|ered|red)(?: (?:on|in|at) .*| across| along)?)",
        "say which way the middles meet: `centred left to right`, `centred front to back` or `centred top to bottom`",
    ),
    wish_for(
        "join",
        rf"({_JOINT})(?:(?:,| ).+)?",
        "a joint of another kind stands behind `as`, with its measures: `as {1}`, or such as `as dado, 3/8 deep`",
    ),
    wish_for(
        "join",
        r"lap(?:ped)?(?: joint)?(?:,? .*)?",
        "which lap? `as half lap`, where both faces come flush, or `as cross lap, 3/4 deep`",
    ),
    wish_for(
        "join",
        r"dovetail(?:ed|s)?(?: joints?)?(?: .*)?",
        "which dovetail? `as through dovetail`, `as half-blind dovetail`, or `as sliding dovetail, 3/8 deep`",
    ),
    wish_for(
        "join",
        rf"flush (?:all .*|both .*|outside|inside|everywhere)|(?:set back|proud) {LENGTH}",
        "it takes a side of the part, such as `flush top`, `set back 1/4 from front` or `proud 1/8 at front`",
    ),
    wish_for(
        "join",
        r"(?:like|same as|as)(?: join)? (\w+\.\w+)",
        "a join that is told as another is says so on its own line: `join … to … like {1}`",
    ),
    wish_for(
        "join",
        rf"(?:with )?(?:a )?(?:gap|space)(?: of)? ({LENGTH})(?: (?:to|from) (\S+))?",
        "what a part stands off another is told under the part: `gap {1} to {2}`",
        "slat_1.right",
    ),
    wish_for(
        "join",
        r"(?:confirmat\w*|dominos?|cam[- ]?locks?|cams?|knock-?down\w*|corner braces?|brackets?|angles?|straps?|"
        r"dowel pins?)(?: .*)?",
        "such a fitting cannot be said: what holds a joint is `pockets`, a line such as "
        "`screws 3 through side, gauge 8, 2 long`, `bolts`, `nails`, `glued`, or a joint such as `as dowels`",
    ),
)
