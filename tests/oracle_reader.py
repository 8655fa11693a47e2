"""The second oracle's own reader: the lines that its random plans use, read from the reference alone.

Nothing of ``planlint`` is used. Lengths come out in inches, exact. Axes: x left to right, y front to back, z up.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

Side = tuple[int, int]
"""Axis and sign."""
SIDES: dict[str, Side] = {
    "left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1),
    "down": (2, -1), "up": (2, 1),
}  # fmt: skip
LIES = {"crosswise": 0, "deep": 1, "upright": 2, "vertical": 2}
RUNS = {"left to right": 0, "front to back": 1, "top to bottom": 2}
WEAK = {"mdf", "particleboard"}
PANELS = {*WEAK, "birch plywood"}
IN_MM = Fraction(5, 127)
Box = tuple[list[Fraction], list[Fraction]]


@dataclass
class Board:
    name: str
    wood: str
    size: list[Fraction]
    grain: int
    facing: Side
    turn: tuple[int, float] | None = None
    """The axis it is turned about, and by how many degrees."""
    cuts: list[tuple[Side, float, Side]] = field(default_factory=list)
    """The end, degrees off square, where the long point is."""
    gone: list[Box] = field(default_factory=list)

    @property
    def solid(self) -> bool:
        return self.wood not in PANELS

    @property
    def across(self) -> int:
        return 3 - self.grain - self.facing[0]

    def cut_at(self, side: Side) -> tuple[float, Side] | None:
        return next(((angle, long_at) for end, angle, long_at in self.cuts if end == side and angle), None)

    def mitred(self, side: Side) -> bool:
        """Cut across the width, as a frame is; a cut through the thickness is a bevel."""
        cut = self.cut_at(side)
        return cut is not None and cut[1][0] == self.across


@dataclass
class Row:
    in_b: bool
    face: Side
    places: list[Fraction]
    origin: Side


@dataclass
class Joint:
    name: str
    a: str
    side_a: Side
    b: str
    side_b: Side
    sides: list[tuple[Side, Fraction]] = field(default_factory=list)
    """A's side lies so far inside B's side of the same name."""
    centred: list[int] = field(default_factory=list)
    inset: Fraction = Fraction(0)
    rows: list[Row] = field(default_factory=list)
    thread: str = "coarse"
    screw: Fraction = Fraction(0)
    gauge: int = 0


@dataclass
class Scene:
    boards: dict[str, Board]
    joints: list[Joint]


def number(words: str, unit: Fraction) -> Fraction:
    """``1-1/2``, ``3/4``, ``12`` or ``19.05``, in inches."""
    whole, dash, part = words.strip().partition("-")
    total = Fraction(whole) + Fraction(part) if dash else Fraction(words.strip())
    return total * unit


def read(text: str) -> Scene:
    """A plan of the second oracle; raises ``ValueError`` for a line that it does not know."""
    unit = IN_MM if re.search(r"^\s+unit mm$", text, re.M) else Fraction(1)
    stock: dict[str, tuple[str, Fraction, Fraction | None]] = {}
    waiting: list[tuple[str, list[str]]] = []
    for written in text.splitlines():
        line = written.split("#")[0].rstrip()
        if not line:
            continue
        if line[0] == " ":
            waiting[-1][1].append(line.strip())
        else:
            waiting.append((line, []))
    for line, _ in waiting:
        if found := re.fullmatch(r"stock (\w+) of ([a-z ]+), (\S+) (thick|x (\S+))", line):
            name, wood, thick, _, wide = found.groups()
            stock[name] = wood, number(thick, unit), number(wide, unit) if wide else None
    boards = {
        board.name: board
        for line, details in waiting
        if line.startswith("part ")
        for board in _boards(line, details, stock, unit)
    }
    joints = [_joint(line, details, unit) for line, details in waiting if line.startswith("join ")]
    return Scene(boards, joints)


def _boards(
    line: str, details: list[str], stock: dict[str, tuple[str, Fraction, Fraction | None]], unit: Fraction
) -> list[Board]:
    head, *said = line.removeprefix("part ").split(", ")
    names = [head]
    while " of " not in names[-1]:
        names.append(said.pop(0))
    names[-1], of = names[-1].split(" of ")
    wood, thick, wide = stock[of]
    long, grain, facing = Fraction(0), 0, (1, -1)
    for each in said:
        last = each.split()[-1]
        if last == "long":
            long = number(each.split()[0], unit)
        elif last == "wide":
            wide = number(each.split()[0], unit)
        elif each in LIES:
            grain = LIES[each]
        elif each.startswith("facing "):
            facing = SIDES[last]
        else:
            raise ValueError(each)
    assert wide is not None
    found = []
    for name in names:
        size = [wide, wide, wide]
        size[grain], size[facing[0]] = long, thick
        board = Board(name, wood, size, grain, facing)
        for each in details:
            _detail(board, each, unit)
        found.append(board)
    return found


def _detail(board: Board, words: str, unit: Fraction) -> None:
    if found := re.fullmatch(r"turned (\S+) about (\w+)", words):
        board.turn = (
            LIES[found[2]],
            float(number(found[1].lstrip("-"), Fraction(1))) * (-1 if found[1].startswith("-") else 1),
        )
    elif found := re.fullmatch(r"(\w+) end cut (\S+), long at (\w+)", words):
        board.cuts.append((SIDES[found[1]], float(number(found[2], Fraction(1))), SIDES[found[3]]))
    elif found := re.fullmatch(
        r"(?:groove|dado) (\S+) wide (\S+) deep (?:along|across) (\w+), (\S+) from (\w+)", words
    ):
        wide, deep, off = (number(found[n], unit) for n in (1, 2, 4))
        _take(board, [(SIDES[found[3]], Fraction(0), deep), (SIDES[found[5]], off, off + wide)])
    elif found := re.fullmatch(r"(?:rabbet|notch) ([^a-z]+(?:x [^a-z]+)+)(?:along|at) ([a-z ]+)", words):
        depths = [number(each, unit) for each in found[1].split("x")]
        sides = [SIDES[each] for each in found[2].split()]
        _take(board, [(side, Fraction(0), deep) for side, deep in zip(sides, depths, strict=True)])
    else:
        raise ValueError(words)


def _take(board: Board, bounds: list[tuple[Side, Fraction, Fraction]]) -> None:
    low, high = [Fraction(0)] * 3, list(board.size)
    for (axis, sign), near, far in bounds:
        size = board.size[axis]
        low[axis], high[axis] = (near, far) if sign < 0 else (size - far, size - near)
    board.gone.append((low, high))


def _joint(line: str, details: list[str], unit: Fraction) -> Joint:
    found = re.fullmatch(r"join (\w+): (\w+)\.(\w+) to (\w+)\.(\w+)(?: as (.*))?", line)
    if found is None:
        raise ValueError(line)
    name, a, side_a, b, side_b, kind = found.groups()
    joint = Joint(name, a, SIDES[side_a], b, SIDES[side_b])
    if kind and (deep := re.fullmatch(r"\w[\w ]*, (?:tenon )?(\S+) (?:deep|long)", kind)):
        joint.inset = number(deep[1], unit)
    for words in details:
        if words == "glued":
            continue
        if found := re.fullmatch(r"flush (.*)", words):
            joint.sides += [(SIDES[each], Fraction(0)) for each in found[1].split(", ")]
        elif found := re.fullmatch(r"(?:set back )?(\S+) from (\w+)", words):
            joint.sides.append((SIDES[found[2]], number(found[1], unit)))
        elif found := re.fullmatch(r"proud (\S+) at (\w+)", words):
            joint.sides.append((SIDES[found[2]], -number(found[1], unit)))
        elif found := re.fullmatch(r"centred (.*)", words):
            joint.centred.append(RUNS[found[1]])
        elif found := re.fullmatch(r"pockets at (.*) from (\w+) in (?:(\w+)\.)?(\w+)", words):
            places = [number(each, unit) for each in found[1].split(", ")]
            joint.rows.append(Row(found[3] == b, SIDES[found[4]], places, SIDES[found[2]]))
        elif found := re.fullmatch(r"screws (\w+) (\S+)(?: gauge (\d+))?", words):
            joint.thread, joint.screw = found[1], number(found[2], unit)
            joint.gauge = int(found[3] or 0)
        else:
            raise ValueError(words)
    return joint
