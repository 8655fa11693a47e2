"""What builders say of a part in words that are near those of the plan language."""

from __future__ import annotations

import re

from planlint.language.phrases import FACING, phrases
from planlint.language.written_amounts import amount_of

_ROUND = "left, right, front, back"
_LOOKS = {"f": "front", "b": "back", "u": "up", "d": "down"}


def _long_and_wide(found: re.Match[str]) -> str:
    """Of its sizes the largest runs along the grain, and the least is how thick it is."""
    sizes = sorted(filter(None, found.groups()[1:]), key=lambda size: amount_of(size)[0], reverse=True)
    told = zip(sizes, ("long", "wide", "thick"), strict=False)
    return ", ".join([found[1], *(f"{size} {word}" for size, word in told)])


def _looking(found: re.Match[str]) -> str:
    return f"facing {_LOOKS[next(filter(None, found.groups())).lower()]}"


OF_PARTS = [
    *phrases(
        "part",
        (r"^(part [^,]*(?:, [^,]*)*?)(?:,? and |/)(\w+ (?:of|like|mirrors) )", r"\1, \2"),
        (r"^(part \w+(?:, \w+)*), ([0-9].*), (of \w+)", r"\1 \3, \2"),
        (r"(?<=[0-9'\"])x(?=[0-9])", " x "),
        (r"^(part [^,]+ of \w+),? <L> x <L>(?: x <L>)?(?=[, ]|$)", _long_and_wide),
        (r"^part ([a-z]+) ([0-9]+) of ", r"part \1_\2 of "),
        (r"^(part \w+) ?= ?(?=\w+$)", r"\1 like "),
        (r"\bL <L>(?=,|$)", r"\1 long"),
        (r"\bW <L>(?=,|$)", r"\1 wide"),
        (r"\b<L> ?(?:L|lg|len)(?=[ ,]|$)", r"\1 long"),
        (r"\b<L> ?W(?=[ ,]|$)", r"\1 wide"),
        (r"\b<L> ?(?:T|thk)(?=[ ,]|$)", r"\1 thick"),
        (r",? (?:with|and)(?: all)?(?: its| of its)? join(?:t)?s$", ", with its joins"),
        (r"\bcross wise\b", "crosswise"),
        (r"\b(?:runs|running|going|lying|laid|grain(?: running)?) left to right\b", "crosswise"),
        (r"\b(?:runs|running|going|lying|laid|grain(?: running)?) front to back\b", "deep"),
        (
            r"\b(?:runs|running|going|grain(?: running)?) (?:top to bottom|up and down|vertically)\b",
            "upright",
        ),
        (r"\bfac(?:es|ing) (?:(f)orwards?|(b)ackwards?|(u)pwards?|(d)ownwards?)\b", _looking),
        (r"^(part [^,]+ of \w+) (?=[0-9]|upright|crosswise|deep|facing)", r"\1, "),
        (r"^(part .*[a-z]) (?=(?:upright|crosswise|deep|facing)\b)", r"\1, "),
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
        (r"\bfac(?:es?|ing)(?: to| towards)? (?=(?:front|back|left|right|up|down)\b)", "facing "),
        (r"\b(?:rotated?|swung|tilted|turn) (?=[0-9-])", "turned "),
        (r"\bboth (?=ends|edges)", ""),
        (
            r"\b(end|ends|edge|edges)(?: are)? (?:mitred|mitered|bevelled|beveled|cut)(?: at| to)? (?=[0-9])",
            r"\1 cut ",
        ),
        (r"^(<SIDE> end|ends|<SIDE> edge|edges) (?=[0-9])", r"\1 cut "),
        (r"\b(?:bevel|cut|mit(?:re|er)) <S> (end|edge)(?: at)? ([0-9.]+)", r"\1 \2 cut \3"),
        (r",? long(?: point| side| edge)?(?: at| on)? (?=<SIDE>)", ", long at "),
        *[(rf",? short(?: point| side)? at {one}\b", f", long at {other}") for one, other in FACING],
        (r"^(rounded|chamfer) <L> (?=<SIDE> <SIDE>$)", r"\1 \2 at "),
        (r"^taper(?:ed|s)?(?: on)? (?=<SIDE>)", "taper "),
        (
            r"^taper(?:ed|s)?(?: on)? (?:all|all 4|4|all four|four|both)(?: sides| ways)?(?= to)",
            f"taper {_ROUND}",
        ),
        (r"^(taper(?: <SIDE>,)* <S>)(?:,? and | )(?=<SIDE>)", r"\1, "),
        (r"^(taper .*?),? (?:starting|beginning|start|begin)(?:ning)?(?: at)? (?=[0-9])", r"\1, "),
        (r"\b(?:cut-?outs?|cut out|opening|window)\b", "cutout"),
        (r"\b(?:round|grommet|finger|cable|drill(?:ed)?|bored?)(?: a)? hole\b", "hole"),
        (r"^(?:drill|bore)(?: a)? (?=[0-9])", "hole "),
        (r"^<L>(?: wide| dia(?:meter)?| round)? hole\b", r"hole \1 wide"),
        (
            r"\bhole(?: of)? <L>(?: in)?(?: dia(?:meter)?\.?| across| round)?(?= (?:in|[0-9]))",
            r"hole \1 wide",
        ),
        (r"[∅⌀Øø] ?([0-9][0-9./-]*(?: ?mm)?)", r"\1 wide"),
        (r"\b(?:handle|hand|finger) slot\b", "slot"),
        (r"^(cutout|slot) <L> (?:wide|long),?(?: x| by)? <L> (?:high|tall|wide|deep) ", r"\1 \2 x \3 "),
        (r"\brebate\b", "rabbet"),
        (r"^(?:stopped|blind|through) (?=groove|dado|rabbet)", ""),
        (r"\b(?:plough|plow)\b", "groove"),
        (r"\bhousing\b", "dado"),
        (r"(?<=[0-9]) by (?=[0-9])", " x "),
        (r"\b(groove|dado) <L> x <L>", r"\1 \2 wide \3 deep"),
        (r"\b(groove|dado) <L> deep,? <L> wide", r"\1 \3 wide \2 deep"),
        (r"\b(groove|dado) (along|across|in) <S>,? <L> wide,? <L> deep", r"\1 \4 wide \5 deep \2 \3"),
        (r"\b(groove|dado|notch) <L> wide, <L> deep", r"\1 \2 wide \3 deep"),
        (
            r"^(groove|dado)(.* deep),? (?:at )?(<L> from <SIDE>),? (?:along|across|on|in) <S>$",
            r"\1\2 across \5, \3",
        ),
        (r"^((?:dado|groove|notch|hole|slot|cutout) .*<SIDE>)(?:,? at)? (?=<L> from )", r"\1, "),
        (r"^((?:dado|groove|notch|hole|slot|cutout) .*),? at (?=<L> from )", r"\1, "),
        (r"^rabbet (?:along|on|at|in) (<SIDE> <SIDE>),? <L> x <L>$", r"rabbet \2 x \3 along \1"),
        (r"^<L> x <L> (rabbet|notch) ", r"\3 \1 x \2 "),
        (r"^(rabbet .*) (?:on|at|in) (?=<SIDE>)", r"\1 along "),
        (r"\bgroove (.* deep) (?:in|across) ", r"groove \1 along "),
        (r"^(notch .* deep) (?:in|on) ", r"\1 along "),
        (r"\bdado (.* deep) (?:in|along) ", r"dado \1 across "),
        (r"\bnotch (<SIDE>(?: <SIDE>)+),? ([0-9].*)$", r"notch \2 at \1"),
        (r"\b(notch [^,]*) (?:in|from|out of|on) ", r"\1 at "),
        (r"\b(?:arc|curve)\b", "arch"),
        (r"\b(arch|bow) along <S>,? <L> (deep|high|radius)", r"\1 \3 \4 along \2"),
        (r"\b(arch|bow) <L> (?:high|tall)", r"\1 \2 deep"),
        (r"^(arch|bow) <L> along ", r"\1 \2 deep along "),
        (r"^arched <S>,? <L>(?: deep| high)?$", r"arch \2 deep along \1"),
        (r"^(arch .* along <S>) from ", r"\1, from "),
        (r"^(turned [0-9.]+(?: degrees)?) (?:anti|counter)-?clockwise ", r"\1 "),
        (r"^turned ([0-9.]+)(?: degrees)? clockwise (?=about vertical)", r"turned -\1 "),
        (r"^gap <L> (?:from|off) ", r"gap \1 to "),
        (r"^in line with <S> of (\w+)$", r"in line with \2.\1"),
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
        (
            r"^(?:hung|hangs|hanging)(?: with(?: its)? bottom)?(?: at)? <L>(?: (?:from|off|above) floor)?$",
            r"hung with bottom at \1",
        ),
        (
            r"^(?:fixed|screwed|fastened) (?:to|into) (?:studs?|brick\w*|masonry)$|^wall[- ]mounted$",
            "fixed to wall",
        ),
        (r"\bon floor$", "stands on floor"),
    ),
]
