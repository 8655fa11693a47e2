"""Random plans for the second oracle, and the same plans written another way: turned, mirrored, reordered, in mm."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import permutations, product
from random import Random

from tests.oracle_reader import LIES, RUNS, SIDES

SOLID = ["red oak", "poplar", "pine", "hard maple"]
SHEETS = ["birch plywood", "mdf"]
SCREWS = ["1", "1-1/4", "1-1/2", "2", "2-1/2"]
NAMES = {(0, -1): "left", (0, 1): "right", (1, -1): "front", (1, 1): "back", (2, -1): "bottom", (2, 1): "top"}


def words(length: Fraction) -> str:
    """A length as it is written: ``1-1/2``."""
    whole, rest = divmod(length, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


class Draw:
    """Lengths and words at random."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance

    def size(self, low: float, high: float, marks: int = 16) -> Fraction:
        return Fraction(self.chance.randint(round(low * marks), round(high * marks)), marks)

    def one(self, *of: str) -> str:
        return self.chance.choice(of)

    def maybe(self, share: float) -> bool:
        return self.chance.random() < share

    def wood(self) -> str:
        return self.one(*SOLID, *SHEETS)

    def thick(self) -> Fraction:
        return Fraction(self.one("1/2", "5/8", "3/4", "3/4", "7/8", "1", "1-1/2").replace("1-1/2", "3/2"))

    def pockets(self, side: str, wide: Fraction, face: str) -> list[str]:
        count = self.chance.randint(1, 3)
        places = sorted({self.size(0, float(wide), 64) for _ in range(count)} - {Fraction(0)}) or [wide / 2]
        thread = self.one("coarse", "fine")
        screw = f"    screws {thread} {self.one(*SCREWS)}"
        if self.maybe(0.2):
            screw += f" gauge {self.one('6', '7', '8', '9', '10')}"
        return [f"    pockets at {', '.join(map(words, places))} from {side} in {face}", screw]

    def cut(self, size: dict[str, Fraction]) -> str | None:
        """A rabbet, groove, dado or notch in a part of this size left to right, front to back, bottom to top."""
        kind = self.chance.randrange(4)
        ways = self.chance.sample(["x", "y", "z"], 3)
        one, other, third = (self.one(*_ENDS[way]) for way in ways)
        deep, wide, far = (
            self.size(1 / 64, max(1 / 16, float(size[way]) * share), 64)
            for way, share in zip(ways, (0.7, 0.5, 0.5), strict=True)
        )
        if deep >= size[ways[0]] or wide >= size[ways[1]]:
            return None
        if kind == 0:
            return f"    rabbet {words(deep)} x {words(wide)} along {one} {other}"
        if kind == 1:
            return f"    notch {words(deep)} x {words(wide)} at {one} {other}"
        if kind == 2:
            return f"    notch {words(deep)} x {words(wide)} x {words(far)} at {one} {other} {third}"
        off = self.size(0, float(size[ways[1]] - wide), 64)
        channel = self.one("groove", "dado")
        along = "along" if channel == "groove" else "across"
        return f"    {channel} {words(wide)} wide {words(deep)} deep {along} {one}, {words(off)} from {other}"


_ENDS = {"x": ("left", "right"), "y": ("front", "back"), "z": ("bottom", "top")}


def _stock(name: str, wood: str, thick: Fraction) -> str:
    return f"stock {name} of {wood}, {words(thick)} thick"


def frame(draw: Draw) -> list[str]:
    """A rail against a stile, whole or cut, drilled in a face or an edge."""
    thick = draw.thick()
    thick_r = thick if draw.maybe(0.5) else draw.thick()
    wide, wide_r = draw.size(1.5, 5), draw.size(1.5, 5)
    long, long_r = draw.size(8, 24), draw.size(5, 16)
    lines = [
        _stock("s1", draw.wood(), thick),
        f"part stile of s1, {words(long)} long, {words(wide)} wide, upright, facing front",
    ]
    if draw.maybe(0.3) and (cut := draw.cut({"x": wide, "y": thick, "z": long})):
        lines.append(cut)
    lines += [
        _stock("s2", draw.wood(), thick_r),
        f"part rail of s2, {words(long_r)} long, {words(wide_r)} wide, crosswise, facing front",
    ]
    if draw.maybe(0.3) and (cut := draw.cut({"x": long_r, "y": thick_r, "z": wide_r})):
        lines.append(cut)
    lines += ["join j1: rail.left to stile.right"]
    lines.append(
        f"    {draw.one('flush front', 'flush back', 'centred front to back', 'set back 1/8 from front')}"
    )
    lines.append(
        draw.one(
            "    flush top",
            "    centred top to bottom",
            f"    {words(draw.size(0.1, float(long) - 1))} from bottom",
        )
    )
    face = draw.one("front", "back", "back", "front", "top", "bottom")
    along = wide_r if face in {"front", "back"} else thick_r
    side = draw.one("top", "bottom") if face in {"front", "back"} else draw.one("front", "back")
    return lines + draw.pockets(side, along, face)


def shelf(draw: Draw) -> list[str]:
    """A shelf against a side, or let into a dado of it."""
    deep, thick = draw.size(4, 12), draw.thick()
    thick_s, high, long = draw.size(0.5, 3.5), draw.size(12, 30), draw.size(8, 24)
    at = draw.size(1, float(high) - 2)
    housed = draw.maybe(0.5)
    into = draw.size(1 / 8, float(thick_s) * 0.7, 8) if housed else Fraction(0)
    lines = [
        _stock("s1", draw.wood(), thick_s),
        f"part side of s1, {words(high)} long, {words(deep)} wide, upright, facing left",
    ]
    if housed:
        lines.append(f"    dado {words(thick)} wide {words(into)} deep across right, {words(at)} from bottom")
    if draw.maybe(0.4) and (cut := draw.cut({"x": thick_s, "y": deep, "z": high})):
        lines.append(cut)
    lines += [
        _stock("s2", draw.wood(), thick),
        f"part shelf of s2, {words(long)} long, {words(deep)} wide, crosswise, facing up",
    ]
    if not housed and draw.maybe(0.3) and (cut := draw.cut({"x": long, "y": deep, "z": thick})):
        lines.append(cut)
    lines += [
        f"join j1: shelf.left to side.right{f' as dado, {words(into)} deep' if housed else ''}",
        "    flush front",
        f"    {words(at)} from bottom",
    ]
    return lines + draw.pockets(draw.one("front", "back"), deep, draw.one("top", "bottom"))


def mitre(draw: Draw) -> list[str]:
    """The corner of a mitred frame."""
    thick, wide = draw.thick(), draw.size(1.5, 5)
    lines = [
        _stock("s1", draw.wood(), thick),
        f"part rail of s1, {words(draw.size(14, 24))} long, {words(wide)} wide, crosswise, facing front",
        "    left end cut 45, long at top",
    ]
    if draw.maybe(0.3):
        lines.append(f"    rabbet 3/8 x {words(draw.size(1 / 8, float(thick) / 2))} along bottom back")
    lines += [
        f"part stile of s1, {words(draw.size(14, 24))} long, {words(wide)} wide, upright, facing front",
        "    top end cut 45, long at left",
    ]
    if draw.maybe(0.3):
        lines.append(f"    rabbet 3/8 x {words(draw.size(1 / 8, float(thick) / 2))} along right back")
    lines += ["join j1: rail.left to stile.top", "    flush front, top"]
    return lines + draw.pockets(draw.one("top", "bottom"), wide * 7 / 5, draw.one("front", "back"))


def bevel(draw: Draw) -> list[str]:
    """Two facets that meet at bevelled ends, the second one turned."""
    half = Fraction(draw.chance.randint(10, 60), 2)
    thick, wide = draw.thick(), draw.size(3, 10)
    long_at, sign = draw.one("front", "back"), 1
    sign = 1 if long_at == "front" else -1
    lines = [
        _stock("s1", draw.wood(), thick),
        f"part one of s1, {words(draw.size(8, 16))} long, {words(wide)} wide, crosswise, facing front",
        f"    right end cut {words(half)}, long at {long_at}",
        f"part two of s1, {words(draw.size(8, 16))} long, {words(wide)} wide, crosswise, facing front",
        f"    left end cut {words(half)}, long at {long_at}",
        f"    turned {'-' if sign < 0 else ''}{words(2 * half)} about vertical",
        "join j1: one.right to two.left",
        "    flush top",
        f"    flush {long_at}",
    ]
    return lines + draw.pockets(draw.one("top", "bottom"), wide, draw.one("front", "back"))


def brace(draw: Draw) -> list[str]:
    """A leaning brace whose slanted end meets an upright post, drilled in a face or an edge."""
    angle = Fraction(draw.chance.randint(20, 120), 2)
    thick, wide = draw.thick(), draw.size(1.5, 3.5)
    post, long = draw.size(1, 3.5), draw.size(24, 40)
    # Turned about the line of sight its right end goes down; cut so that its left end is upright again.
    lines = [
        _stock("s1", draw.wood(), post),
        f"part post of s1, {words(long)} long, {words(post + draw.size(0, 2))} wide, upright, facing front",
        _stock("s2", draw.wood(), thick),
        f"part brace of s2, {words(draw.size(10, 20))} long, {words(wide)} wide, crosswise, "
        f"facing {'front' if draw.maybe(0.6) else 'up'}",
        f"    turned {words(angle)} about deep",
        f"    left end cut {words(angle)}, long at top",
        "join j1: brace.left to post.right",
        f"    {draw.one('flush front', 'centred front to back', 'set back 1/4 from front')}",
        f"    {words(draw.size(2, 12))} from top",
    ]
    lies_flat = "facing up" in lines[3]
    high = thick if lies_flat else wide
    face = draw.one("front", "back", "top", "bottom")
    along = high if face in {"front", "back"} else (wide if lies_flat else thick)
    side = draw.one("top", "bottom") if face in {"front", "back"} else draw.one("front", "back")
    return lines + draw.pockets(side, along, face)


def leg(draw: Draw) -> list[str]:
    """Two rails into neighbouring sides of a leg, near one height."""
    thick, square = draw.thick(), draw.size(1.5, 3.5)
    wide = draw.size(1.5, 4)
    return [
        _stock("s1", draw.one(*SOLID), square),
        f"part leg of s1, 30 long, {words(square)} wide, upright, facing front",
        _stock("s2", draw.wood(), thick),
        f"part rail of s2, {words(draw.size(8, 16))} long, {words(wide)} wide, crosswise, facing front",
        f"part side of s2, {words(draw.size(8, 16))} long, {words(wide)} wide, deep, facing left",
        "join j1: rail.left to leg.right",
        f"    {draw.one('flush front', 'flush back', 'centred front to back')}",
        "    2 from top",
        *draw.pockets(draw.one("top", "bottom"), wide, draw.one("front", "back")),
        "join j2: side.front to leg.back",
        f"    {draw.one('flush left', 'flush right', 'centred left to right')}",
        f"    {words(2 + draw.size(0, 2))} from top",
        *draw.pockets(draw.one("top", "bottom"), wide, draw.one("left", "right")),
    ]


def crossing(draw: Draw) -> list[str]:
    """Parts that hang on one another in a row, so that the last may run into the first."""
    thick = draw.thick()
    lines = [
        _stock("s1", draw.wood(), draw.size(0.5, 2)),
        f"part stile of s1, {words(draw.size(6, 20))} long, {words(draw.size(2, 3))} wide, upright, facing front",
        _stock("s2", draw.wood(), thick),
        f"part cross of s2, {words(draw.size(1, 5))} long, {words(draw.size(1.5, 3))} wide, deep, facing up",
    ]
    cross_at = len(lines)
    lines += [
        f"part plank of s2, {words(draw.size(2, 12))} long, {words(draw.size(1.5, 4))} wide, crosswise, facing up",
    ]
    if draw.maybe(0.5):
        lines.insert(cross_at, f"    rabbet {words(draw.size(1 / 64, 0.9, 64))} x {words(draw.size(1 / 64, 0.3, 64))} "
                     "along back bottom")  # fmt: skip
    lines += [
        "join j1: cross.front to stile.back",
        f"    {words(draw.size(0, 1.5))} from left",
        f"    {words(draw.size(0, 3))} from bottom",
        "    glued",
        "join j2: plank.bottom to cross.top",
        f"    proud {words(draw.size(0, 3, 32))} at left",
        f"    proud {words(draw.size(0, 3, 32))} at front",
        "    glued",
    ]
    return lines


def ring(draw: Draw) -> list[str]:
    """A frame of four whose last rail may be too long or too short."""
    wide, long = draw.size(1.5, 3), draw.size(8, 20)
    off = draw.chance.choice([Fraction(0), Fraction(0), draw.size(1 / 16, 1)]) * draw.chance.choice([1, -1])
    lines = [
        _stock("s1", draw.wood(), draw.thick()),
        f"part stile, other of s1, {words(draw.size(12, 20))} long, {words(wide)} wide, upright, facing front",
        f"part upper of s1, {words(long)} long, {words(wide)} wide, crosswise, facing front",
        f"part lower of s1, {words(long + off)} long, {words(wide)} wide, crosswise, facing front",
    ]
    for name, where in (("upper", "top"), ("lower", "bottom")):
        for side, to in (("left", "stile.right"), ("right", "other.left")):
            lines += [
                f"join {name}_{side[0]}: {name}.{side} to {to}",
                f"    flush front, {where}",
                "    glued",
            ]
    return lines


SCENES = [(frame, 30), (shelf, 22), (mitre, 10), (bevel, 6), (brace, 12), (leg, 10), (crossing, 7), (ring, 3)]


def plan(chance: Random) -> tuple[str, str]:
    """A plan at random, and what kind it is."""
    make = chance.choices([each for each, _ in SCENES], [share for _, share in SCENES])[0]
    lines = ['plan "case"', "    unit in", "    seen from nowhere", *make(Draw(chance))]
    return make.__name__, "\n".join(lines) + "\n"


# ---------------------------------------------------------------- the same written another way

Turning = tuple[tuple[int, int, int], tuple[int, int, int]]
"""Where the axes go, and with which sign."""


def _even(axes: tuple[int, ...]) -> int:
    return 1 if axes in {(0, 1, 2), (1, 2, 0), (2, 0, 1)} else -1


TURNINGS: list[Turning] = [
    (axes, signs)  # type: ignore[misc]
    for axes in permutations(range(3))
    for signs in product((1, -1), repeat=3)
]


def hand(turning: Turning) -> int:
    """1 where the piece stays itself, -1 where it is mirrored."""
    axes, (x, y, z) = turning
    return _even(axes) * x * y * z


def turned(text: str, turning: Turning) -> str:
    """The whole piece turned, and mirrored where the turning is left-handed, by its words alone."""
    axes, signs = turning

    def side(word: str) -> str:
        axis, sign = SIDES[word]
        return NAMES[axes[axis], sign * signs[axis]]

    def one(match: re.Match[str]) -> str:
        word = match[0]
        if word == "set back":
            return word
        if word.startswith("facing"):
            name = side(word.split()[1])
            return f"facing {({'top': 'up', 'bottom': 'down'}).get(name, name)}"
        if word.startswith("turned"):
            _, angle, _, about = word.split()
            axis = LIES[about]
            way = signs[axis] * hand(turning) * (-1 if angle.startswith("-") else 1)
            new = {0: "crosswise", 1: "deep", 2: "vertical"}[axes[axis]]
            return f"turned {'-' if way < 0 else ''}{angle.lstrip('-')} about {new}"
        if word in RUNS:
            return next(run for run, axis in RUNS.items() if axis == axes[RUNS[word]])
        if word.startswith(", "):
            return f", {({0: 'crosswise', 1: 'deep', 2: 'upright'})[axes[LIES[word[2:]]]]}"
        return side(word)

    # `set back` is no side.
    runs = "left to right|front to back|top to bottom"
    pattern = rf"set back|facing \w+|turned \S+ about \w+|{runs}|, (?:upright|crosswise|deep)\b"
    return re.sub(rf"{pattern}|\b(?:left|right|front|back|top|bottom)\b", one, text)


def reordered(text: str, chance: Random) -> str:
    """The statements in another order, each with its details."""
    head, *blocks = re.split(r"\n(?=\S)", text.rstrip())
    chance.shuffle(blocks)
    return "\n".join([head, *blocks]) + "\n"


def in_millimetres(text: str) -> str:
    """All lengths in millimetres, exact."""

    def length(match: re.Match[str]) -> str:
        whole, dash, part = match[0].partition("-")
        inches = Fraction(whole) + Fraction(part) if dash else Fraction(match[0])
        exact = inches * Fraction(127, 5)
        return f"{float(exact):.10f}".rstrip("0").rstrip(".")

    lines = []
    for line in text.replace("    unit in\n", "    unit mm\n").splitlines():
        if re.match(r"plan|\s+unit|\s+turned", line):
            lines.append(line)
            continue
        keep = re.search(r" gauge \d+$| end cut \S+|^join \w+: |^part [\w, ]+ of \w+, |^stock \w+ of ", line)
        if keep:
            before, after = line[: keep.start()], line[keep.end() :]
            lines.append(_sized(before, length) + keep[0] + _sized(after, length))
        else:
            lines.append(_sized(line, length))
    return "\n".join(lines) + "\n"


def _sized(words_: str, length: object) -> str:
    return re.sub(r"(?<![\w./-])\d+(?:-\d+/\d+|/\d+)?(?![\w./])", length, words_)  # type: ignore[call-overload, no-any-return]
