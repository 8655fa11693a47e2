"""What builders say of a join in words that are near those of the plan language."""

from __future__ import annotations

import re

from planlint.language.joint_table import JOINTS
from planlint.language.phrases import phrases

_NUMBERS = ("one", "two", "three", "four", "five", "six")
_JOINT = f"(?:{'|'.join(sorted(JOINTS.keys() - {'glued'}, key=len, reverse=True))})"


def _thread(found: re.Match[str]) -> str:
    """An inch thread told with its pitch, by how thick it is."""
    return f", {found[1].partition('-')[0]} thick"


NUMBERED = [
    *phrases(
        "join",
        (r"^(.*\bbiscuits?\b.*?),? ?#(?:0|10|20)\b", r"\1"),
        (r"^(.*?)#(?:0|10|20) (?=biscuits?\b)", r"\1"),
        (
            r"^#?([0-9]+) ?#([0-9]+) ?x ?<L>(?: long)? screws (through \S+)$",
            r"screws \1 \3, gauge \2, \4 long",
        ),
        (r"^([0-9]+) screws #([0-9]+) ?x ?<L>(?: long)? (through \S+)$", r"screws \1 \4, gauge \2, \3 long"),
        (r"^(screws .*)#([0-9]+),? ?x ?<L>$", r"\1gauge \2, \3 long"),
        (r"^(screws) #([0-9]+) ?x ?<L> (coarse|fine)$", r"\1 \4 \3 gauge \2"),
        (r"^(screws .*?),? ?#([0-9]+)\b", r"\1, gauge \2"),
        (r"(gauge [0-9]+, <L>)$", r"\1 long"),
    ),
]
"""With numbers behind `#`, as screws, biscuits and grades are called: it starts a remark here."""

OF_JOINS = [
    *phrases(
        "join",
        (r"^(join [\w.]+) ?(?:->|=>|-|&|\+) ?(?=\w)", r"\1 to "),
        (r"^(join [\w.]+),? and ([\w.]+ to )", r"\1, \2"),
        (r"\b(\w+)\.<S>/<S>", r"\1.\2, \1.\3"),
        (r"^(join \S+ to \S+),? (?:same as|as) (?=\w+\.<SIDE>)", r"\1 like "),
        (r"^(join .* to [\w.]+),? and (?=[\w.]+$)", r"\1, "),
        (r"^(join (?:.* to )?)<S>(?: end| edge| side| face)? of (\w+)", r"\1\3.\2"),
        (rf"^(join \S+ to \S+?),? (?:using |with |by |with )?({_JOINT})s?\b", r"\1 as \2"),
        (r"\b(?:as|with) m ?& ?t\b", "as mortise and tenon"),
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
        (r"^(?:flush|even|level) (?:with |to )?(?:\w+[ .])?<S>(?: of \w+)?$", r"flush \1"),
        (r"^<S>s? (?:flush|even|level)(?: with .*)?$", r"flush \1"),
        (r"^(flush <SIDE>) ?(?:&|/| ) ?(?=<SIDE>)", r"\1, "),
        (r"^<L> proud(?: at| of| from)? ", r"proud \1 at "),
        (r"^set-?back <L> (?:on |at |of )?(?=<SIDE>$)", r"set back \1 from "),
        (r"^set back <L> (?:on |at |of )?(?=<SIDE>$)", r"set back \1 from "),
        (r"^(?:down|up|over|in) <L> from ", r"\1 from "),
        (r"^(<L> from <SIDE>) (?:edge|end|face|side)$", r"\1"),
        (r"^countersunk (screws .*)$", r"\1, countersunk"),
        (r"\bthrough (?:face|side|edge|front|back) of (\w+)", r"through \1"),
        (r"^(?:[a-z-]+ )*slides,? <L>(?: long)?$", r"slides \1 long"),
        (rf"^(?:as )?({_JOINT}) joint\b", r"as \1"),
        (r"^<L> (?:(?:down|up|below|above|under|in) )?(?:from )?<S> of \w+$", r"\1 from \2"),
        (r"^proud <L> (?:of|from|past|on|over) ", r"proud \1 at "),
        (r"^(?:pocket holes|pocket screws) ", "pockets "),
        (r"^([0-9]+) (pockets|screws|bolts|nails|hinges|buttons|clips|pins)\b", r"\2 \1"),
        (r"^(screw|bolt|nail|hinge|button|clip|pin|slide|pocket) (?=[0-9]|at |every )", r"\1s "),
        (r"^(pockets|screws|hinges|bolts|nails|pins|buttons|clips),? [0-9]+,? (?=at )", r"\1 "),
        (r"^pockets in <S>,? ([0-9]+)$", r"pockets \2 in \1"),
        (r"^(pockets|screws|bolts|nails) <L> (?:o\.?c\.?|on cent(?:er|re)s?|apart)(?= )", r"\1 every \2"),
        (r" (?:o\.?c\.?|on cent(?:er|re)s?|apart)(?= |$)", ""),
        (r"^(pockets .*<SIDE>) (?:face|side)$", r"\1"),
        (r"^(pockets .*?)(?<! in),?(?: on| from| through)? ((?:\w+\.)?<SIDE>)$", r"\1 in \2"),
        (r"^((?:screws|bolts|nails) [^,]*), (.*), through (\S+)$", r"\1 through \3, \2"),
        (r"^((?:screws|bolts|nails) .* through [\w.]+) (?=[0-9]|gauge|M[0-9])", r"\1, "),
        (r"\b(gauge [0-9]+|long|wide|thick|deep) (?=[0-9]|gauge)", r"\1, "),
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
        (r"\b(at [0-9].*?),? and (?=[0-9])", r"\1, "),
        (r"^<L>(?: inch| long)? (coarse|fine)(?: thread| pocket)* screws?$", r"screws \2 \1"),
        (r"^(coarse|fine)(?: thread| pocket)* screws?,? <L>(?: long)?$", r"screws \1 \2"),
        (r"^(?:pocket )?screws? <L>(?: inch)?(?: long)?,? (coarse|fine)(?: thread)?$", r"screws \2 \1"),
        (r"\b(?:no\. ?|number )([0-9]+)\b", r"gauge \1"),
        (r"\b([0-9]+)[ -]gauge\b", r"gauge \1"),
        (r", <L> ?x <L>", r", \1 thick, \2 long"),
        (r"\b<L> dia(?:meter)?\b", r"\1 thick"),
        (r"^(?:carriage|machine|hex) bolts", "bolts"),
        (r"^lag (?:bolts|screws)", "screws"),
        (r", (1/4-20|5/16-18|3/8-16|1/2-13)\b", _thread),
        (r"\b(M[0-9]+) ?x ?([0-9]+)(?: ?mm)?(?: long)?$", r"\1, \2 mm long"),
        (r"^(M[0-9]+) bolts ([^,]*)", r"bolts \2, \1"),
        (r"^([0-9]+d) nails (.*)$", r"nails \2, \1"),
        (r"^<L>(?: long)? (?:[\w-]+ )*slides\b", r"slides \1 long"),
        (r"^(?:full[- ]extension|ball[- ]bearing|undermount|side[- ]mount|drawer) slides", "slides"),
        (r"^(?:euro|butt|cup|concealed|strap) hinges", "hinges"),
        (
            r"^(?:figure[- ]?(?:eights?|8s?)|z[- ]clips?|table ?top (?:fasteners?|clips?)|top clips?)\b",
            "clips",
        ),
        (r"^<L> (?:shelf )?pins ([0-9]+)$", r"pins \2, \1 thick"),
        (r"^shelf (?:pins|pegs)\b", "pins"),
        (r"^(hinges|buttons|clips|pins|pockets), ([0-9]+)$", r"\1 \2"),
        (r"^((?:hinges|slides|buttons|clips)\b.*?),? <L>(?: long)?$", r"\1, \2 long"),
        (r" & ", " and "),
        (r"^(?:as )?([0-9]+) <L>(?: thick)? dowels?$", r"as dowels \1, \2 thick"),
        (r"^(?:as )?([0-9]+/[0-9]+\"?|[0-9]+ ?mm)(?: thick)? dowels?$", r"as dowels, \1 thick"),
        (r"^(?:as )?([0-9]+) dowels?,? <L> ?x ?<L>(?: long)?$", r"as dowels \1, \2 thick, \3 long"),
        (r"^(?:as )?([0-9]+) dowels?,? <L>(?: thick)?$", r"as dowels \1, \2 thick"),
        (r"^(?:as )?dowels?,? ([0-9]+/[0-9]+\"?|[0-9]+ ?mm) ?x ?<L>", r"as dowels, \1 thick, \2 long"),
        (r"^m ?(?:&|and) ?t\b", "as mortise and tenon"),
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
]
