"""What a piece is for, by what its plan says of it, and where people lie in it."""

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.layers import round_all
from planlint.model.directions import Axis
from planlint.model.plan import Part, Plan

_WORDS = ("bunk", "bed", "crib", "cot", "sleeper", "rail", "guard", "balustrade", "banister")
"""One of these stands in every title that is looked for: most plans are asked for no more."""
_TITLES = (
    (r"bunk(?: ?beds?|s)?$", "bunk bed"),
    (r"(?:loft bed|\b(?:high|mid) ?sleeper|cabin bed)$", "loft bed"),
    (r"(?:crib|cot bed|\b(?:baby|nursery) cot)$", "crib"),
    (r"(?:stair(?:s|case|way)? (?:rails?|railings?|guard|balustrade)|\bbanisters?)$", "stair guard"),
    (
        r"(?:balcony|deck|landing|gallery|porch|veranda|terrace|mezzanine|loft) "
        r"(?:rails?|railings?|guard|guardrails?|balustrade)$",
        "guard",
    ),
    (r"balustrade$", "guard"),
)
_BEARS_WORDS = ("chair", "rocker", "stool", "bed", "crib", "bunk", "ladder")
_BEARS = (
    (r"\b(?:(?:step ?)?ladder|step ?stool)$", "stand"),
    (r"(?:chair|\brocker|(?<!foot)(?<!foot )stool)$", "sit"),
    (r"(?<!raised )(?<!garden )(?<!flower )\b(?:(?:day|bunk)?beds?|crib|bunks)$", "lie"),
)
_NO_SUCH = (
    r"\b(?:dolls?|doll's|dolls'|toy|model|miniature|corn|nativity|manger|dog|cat|pet|feed|"
    r"blankets?|quilts?|towels?|plants?|shoes?)\b"
)
_BEFORE = r"\b(?:twin|full|queen|king|single|double)(?: size)? over "
"""What stands before a bed that is made of several: ``twin over full bunk bed``."""
_BEHIND = r"\s*(?:[,:;(/]|\s(?:with|for|in|of|from|over|by|and)\s).*$"

LONG, WIDE = 40.0, 20.0
"""Inches: a place to lie on is at least so large; no mattress sold is smaller. Basis: our own judgement."""
_STEP = 14.0
"""Inches from slat to slat at most: no mattress lies on slats further apart. Basis: our own judgement."""


class Deck(NamedTuple):
    """What a mattress lies on: slats, or a panel."""

    parts: tuple[Part, ...]
    box: Box

    @property
    def underside(self) -> float:
        return self.box.low[2]

    @property
    def top(self) -> float:
        return self.box.high[2]

    @property
    def along(self) -> Axis:
        """The level axis that it is long on."""
        wide, deep = (self.box.high[i] - self.box.low[i] for i in (0, 1))
        return Axis.X if wide >= deep else Axis.Y


def purpose(plan: Plan) -> str | None:
    """What a piece is: as its plan says, or as its title ends."""
    return plan.purpose or _by_title(plan, _WORDS, _TITLES)


def borne_by(plan: Plan) -> str | None:
    """What people do on a piece that bears them on legs, ``sit``, ``lie`` or ``stand``; as its title ends."""
    return _by_title(plan, _BEARS_WORDS, _BEARS)


def _by_title(plan: Plan, words: Iterable[str], titles: Iterable[tuple[str, str]]) -> str | None:
    title = plan.title.lower().replace("-", " ").replace("’", "'")
    if not any(word in title for word in words):
        return None
    title = (
        re.sub(_BEHIND, "", re.sub(_BEFORE, "", title)).strip().removesuffix(" plan").removesuffix(" plans")
    )
    if re.search(_NO_SUCH, title):
        return None
    return next((what for ending, what in titles if re.search(ending, title)), None)


def bodies_together(piece: Piece) -> list[Body]:
    """The bodies of the parts that lie fixed to the most others; none where a joint leaves open where some of them lie:
    a rail that is not placed yet is not missing."""
    if not all(piece.trusted(join) for join in piece.plan.joins):
        return []
    parts = piece.plan.parts
    fixed = piece.placement.fixed_together
    left, best = list(parts), list[Part]()
    while len(left) > len(best):
        group = [part for part in left if fixed(left[0], part)]
        best = max(best, group, key=len)
        left = [part for part in left if part not in group]
    return [piece.body(part) for part in best]


def decks(bodies: Sequence[Body]) -> Iterator[Deck]:
    """The places to lie on, the lowest first: flat parts at one height, close enough together and large enough."""
    flat: dict[tuple[int, Axis], list[Body]] = {}
    for body in bodies:
        if (
            body.part.facing.axis is Axis.Z
            and body.part.turn is None
            and body.part.thickness < body.part.width
        ):
            height = round(body.bounds.high[2] * 8)
            flat.setdefault((height, body.part.grain), []).append(body)
    for (_, grain), slats in sorted(flat.items()):
        across = Axis.Y if grain is Axis.X else Axis.X
        slats.sort(key=lambda body: body.bounds.low[across])
        run = [slats[0]]
        for before, body in pairwise(slats):
            if body.bounds.low[across] - before.bounds.high[across] > _STEP:
                yield from _deck(run)
                run = []
            run.append(body)
        yield from _deck(run)


def _deck(slats: Sequence[Body]) -> Iterator[Deck]:
    box = round_all(slats)
    sides = sorted(box.high[i] - box.low[i] for i in (0, 1))
    if sides[0] >= WIDE and sides[1] >= LONG:
        yield Deck(tuple(body.part for body in slats), box)
