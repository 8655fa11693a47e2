"""What a builder may wish of a part in other words than the plan language has."""

from __future__ import annotations

from planlint.language.phrases import LENGTH, SIDES, wish_for

WISHES_OF_PARTS = (
    wish_for(
        "part",
        r"(?:(?:stands?|standing|sits|rests|is)? ?(?:on|at) )?(?:the )?(?:floor|ground)(?: level)?",
        "a part whose bottom is on the floor says `stands on floor`",
    ),
    wish_for(
        "part",
        rf"(?:flush|level|even|aligned|lined up|in line)(?: with)? (\w+)(?:[. ]({SIDES}))?",
        "a part that does not touch the other says `in line with {1}.front`, with the side that lies in one plane; "
        "one that does is joined to it, with `flush front` under the join",
    ),
    wish_for(
        "part",
        r"taper(?:ed|ing|s)?(?: .*)?",
        "a taper names the sides, how wide it leaves the part at which end, and where it starts: "
        "`taper left, front to 7/8 at bottom, 5 from top`",
    ),
    wish_for(
        "part",
        rf"(?:(?:(?:all|both|{SIDES}) )*(?:edges?|corners?|ends?) "
        r"(?:rounded|eased|chamfered|radiused|round(?:ed)? over)|"
        r"round(?:ed)?(?! hole)|round-?over|half[- ]round|bullnosed?|radius|radiused|chamfer(?:ed)?|ease[ds]?)"
        r"(?: .*)?",
        "a corner is told by the two sides that meet there: `rounded 1/2 at front left` or `chamfer 1/4 at front "
        "left`; a whole end is `left end rounded 2`",
    ),
    wish_for(
        "part",
        r"(?:curved?|arch(?:ed)?|arc|bow(?:ed)?|scallop(?:ed)?|cloud lift)(?: .*)?",
        "a hollow curve is `arch 2 deep along bottom`, also `from 3 to 30`; one that swells is `bow 2 deep along "
        "front`; both take a `radius` instead, or three points of an arc: `arch through 0 at 4, 2 at 14, "
        "1 at 30 along bottom`",
    ),
    wish_for(
        "part",
        rf"(?:(?:(?:{SIDES}) )?edges? (?:cut|bevel(?:led|ed)?)|bevel(?:led|ed)?)(?: .*)?",
        "a long edge that is not square names its angle from square and its long point: `left edge cut 30, long at "
        "front`; an end is `left end cut 45, long at top`",
    ),
    wish_for(
        "part",
        rf"(?:edge[- ]?band(?:ed|ing)?|edge tape|veneer tape|banded|taped?|lipped|edged)(?: (?:on|at|along))?"
        rf"(?: the)?(?: ({SIDES}))?(?: .*)?",
        "an edge that gets veneer tape says `taped {1}`; a strip of wood along it is a part of its own, joined with "
        "`glued`",
        "front",
    ),
    wish_for(
        "part",
        r"(?:counter-?s[iu]nk|counterbored?)(?: .*)?",
        "screws are told under their join, and so is how their heads lie: `screws 3 through side, gauge 8, 2 long, "
        "countersunk`, or `sunk 3/8` instead",
    ),
    wish_for(
        "part",
        r"([0-9.]+)(?: ?degrees?| ?deg| ?°) (?:mit(?:re|er)s?|bevels?)(?: .*)?",
        "a mitre is told by its angle from square and its long point: `ends cut {1}, long at top`",
    ),
    wish_for(
        "part",
        rf"({LENGTH}) (?:high|tall)",
        "the length of a part runs along its grain: `{1} long` where it stands upright, else `{1} wide`",
    ),
    wish_for(
        "part",
        rf"({LENGTH}) deep",
        "a part has a length along its grain and a width across it: `{1} long` with `deep`, or `{1} wide`",
    ),
    wish_for(
        "part",
        r"(?:\w+ )?(?:holes(?: .*)?|hole .* every .*)",
        "each hole has a line of its own: `hole 1/4 wide 3/8 deep in front, 2 from left, 3 from bottom`; what a shelf "
        "rests on is `pins` under its join",
    ),
    wish_for(
        "part",
        r"(?:\w+ )?(hole|slot|cutout) .*\bcent(?:red|ered|re|er)\b.*",
        "a {1} is told by how far from two sides it lies, in a sum if need be: `24 / 2 from left, 3 from bottom`",
    ),
    wish_for(
        "part",
        rf"(cutout|slot)(?: ({LENGTH}))?(?: .*)?",
        "a {1} is told by its two sizes, its face, and how far from two sides it lies: `{1} 6 x 2 in front, 3 from "
        "left, 2 from bottom`; the first size runs away from the first of the two sides",
    ),
    wish_for(
        "part",
        r"(?:(?:\w+ )?(?:holes?|slots?)|grommet|window|opening|drill(?:ed)?|bore|counterbore|mortise|recess|cut-?out)"
        r"(?: .*)?",
        "a round hole is told by its middle: `hole 2 wide in front, 3 from left, 2 from bottom`, or `2 wide 1/2 "
        "deep`; one with square corners is `cutout 6 x 4 in front, 3 from left, 2 from bottom`, one with round ends a "
        "`slot`; at an edge it is a `notch`, `groove` or `dado`",
    ),
    wish_for(
        "part",
        r"(?:rabbet|rebate)(?:ed)?(?: .*)?(?:wide|deep)(?: .*)?",
        "a rabbet is told by how far it goes in from each of its two sides: `rabbet 3/8 x 1/4 along back bottom` goes "
        "3/8 in from the back and 1/4 in from the bottom",
    ),
    wish_for(
        "part",
        rf"(groove|dado) ({LENGTH}) wide,? ({LENGTH}) deep (along|across) ({SIDES})",
        "say how far its near wall lies from which side: `{1} {2} wide {3} deep {4} {5}, 1/2 from back`",
    ),
    wish_for(
        "part",
        r"(?!(?:groove|dado) [0-9].*(?:along|across))(?:\S+ )*(?:groove[ds]?|dado(?:e[sd]|s)?|housings?|kerf)(?: .*)?|"
        r"groove .*\bstop(?:s|ped)\b.*",
        "a groove along the grain, or a dado across it, is told by its width, its depth, its side, and how far its "
        "near wall lies from another: `groove 1/4 wide 3/8 deep along bottom, 1/2 from back`; where it stops, "
        "`, from 2 to 28` behind it",
    ),
    wish_for(
        "part",
        r"turned? (-?[0-9.]+)(?: ?degrees| ?deg| ?°)?",
        "a turn names what it is about: `turned {1} about vertical`, or `crosswise` (left to right), or `deep`",
    ),
    wish_for(
        "part",
        r"(?:(?:paint|stain|oil|varnish|lacquer|wax)(?:ed)?|shellac|polyurethane)(?: .*)?",
        "a finish is told by the faces that get it, `finish both faces` or `finish front only`; which, behind a `#`",
    ),
    wish_for(
        "part",
        r"(?:mitred?|mitered?)(?: (?:both )?ends?)?(?: (?:at )?([0-9.]+))?(?: .*)?",
        "a mitre is told by its angle from square and its long point: `ends cut {1}, long at top`",
        "45",
    ),
    wish_for(
        "part",
        r"(?:quantity|qty|count|pieces|pcs|x) ?:? ?[0-9]+|[0-9]+ ?(?:x|off|pcs|pieces)",
        "each part has a name of its own: `part leg_1, leg_2 of …`, or a loop makes them: `for n in 1 to 4`, and `part "
        "leg_{{n}} of …` under it",
    ),
    wish_for(
        "part",
        r"(?:lean(?:s|ing)?|splay(?:ed)?|angled|tilted|canted|raked|turned [0-9.-]+(?: degrees)? "
        r"(?:(?:anti|counter)-?)?clockwise)(?: .*)?",
        "a part that leans is turned: `turned 5 about crosswise` brings its top to the front, `turned 5 about deep` to "
        "the right, a minus the other way",
    ),
    wish_for(
        "part",
        r"(?:raised|lifted|off the floor|bottom)(?: .*)?",
        "where a part lies is told by its joins; of a piece that hangs, `hung with bottom at 54 in`",
    ),
    wish_for(
        "part",
        r"grain(?: .*)?",
        "the length runs along the grain: say `upright`, `crosswise` (left to right) or `deep` (front to back)",
    ),
    wish_for(
        "part",
        r"(?:lying|laid|lies)(?: .*)?|flat",
        "a part that lies flat says `facing up`, and `crosswise` (left to right) or `deep` (front to back)",
    ),
    wish_for(
        "part",
        rf"(?:both )?(?:({SIDES}) )?ends? (?:are )?(?:cut|mitred|mitered)(?: at| to)? ([0-9.]+)(?: ?degrees| ?°)?",
        "an end that is not square says at which side its long point lies: `{1} end cut {2}, long at top`, or "
        "`ends cut {2}, long at top`",
        "left",
    ),
)
