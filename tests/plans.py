"""Realistic plans of any size, for tests and the benchmark: tables and bookcases side by side, joined in a row."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, pairwise

from planlint.language.syntax_tree import Tree
from planlint.language.tree_text import statements_of

SOUND = """\
plan "Frame"
    unit inch
    seen from front

stock board of red oak, 3/4 x 2

part rail of board, 12 long, crosswise, facing front
part stile of board, 24 long, upright, facing front

join rail.left to stile.right
    flush top, front
    pockets 2 in back
    screws to suit
"""
"""A sound plan."""
FAULTY = SOUND.replace("pockets 2", "pockets 1")
"""The same with one lone screw, on line 12."""

PARTS_PER_TABLE = 9
PARTS_PER_BOOKCASE = 7

HEAD = """\
plan "A row of furniture"
    unit inch
    seen from front
    eye height 63 in

let apron_long = 40
let apron_deep = 17

stock post of douglas fir, 4x4
stock rail of douglas fir, 1x4
stock sheet of birch plywood, 3/4 thick, 48 x 96
"""


def row_of_furniture(parts: int) -> str:
    """A plan of at least ``parts`` parts, every line written out; whole pieces, so a few more than asked for."""
    lines = [HEAD]
    made, last = 0, ""
    for number in count(1):
        if made >= parts:
            return "\n".join(lines)
        if number % 2:
            lines.extend(table(f"t{number}", last))
            made, last = made + PARTS_PER_TABLE, f"t{number}_leg_fr"
        else:
            lines.extend(bookcase(f"b{number}", last))
            made, last = made + PARTS_PER_BOOKCASE, f"b{number}_side_r"
    raise AssertionError("unreachable")


def slats(parts: int) -> str:
    """A plan of so many parts: slats screwed across two bearers."""
    lines = [
        'plan "Slats"',
        "    unit inch",
        "stock rail of white oak, 1-1/2 x 4",
        "stock slat of white oak, 1 x 2-3/4",
    ]
    lines += [f"part bearer_l, bearer_r of rail, {3 * (parts - 2)} long, deep, facing left"]
    lines += ["part slat_1 of slat, 48 long, crosswise, facing up"]
    for side, where in (("l", "left"), ("r", "right")):
        lines += [f"join slat_1.bottom to bearer_{side}.top", f"    proud 6 at {where}", "    1/8 from front"]
        lines += ["    screws 2 from 5/8 to 5/8 through slat_1, gauge 8, 2 long, countersunk"]
    lines += [
        f"for n in 2 to {parts - 2}",
        "    part slat_{n} like slat_1",
        "        gap 1/4 to slat_{n - 1}.back",
    ]
    for side in "lr":
        lines += [f"    join slat_{{n}}.bottom to bearer_{side}.top like slat_1.bottom/bearer_{side}.top"]
    return "\n".join(lines) + "\n"


def pigeonholes(parts: int) -> str:
    """A plan of about so many parts: shelves in dadoes between the dividers of a wide case, a back screwed on."""
    bays = 9
    rows = (parts - bays - 4) // bays
    walls = ["side_l", *(f"mid_{n}" for n in range(1, bays)), "side_r"]
    lines = [
        'plan "Pigeonholes"',
        "    unit inch",
        "    seen from front",
        "stock ply of birch plywood, 3/4 thick",
        "stock thin of birch plywood, 1/4 thick",
        f"let high = {6 * rows + 8}",
        f"let wide = {12 * bays}",
        "part side_l, side_r of ply, high long, 12 wide, upright, facing left",
        "part lid, floor of ply, wide - 1 long, 12 wide, crosswise, facing up",
        f"part {', '.join(walls[1:-1])} of ply, high - 1 long, 12 wide, upright, facing left",
        "part skin of thin, high long, wide wide, upright, facing front",
    ]
    for board, edge in (("lid", "top"), ("floor", "bottom")):
        lines += [f"join {board}.left, {board}.right to side_l.right, side_r.left as rabbet, 1/4 deep"]
        lines += [f"    flush {edge}, front", "    glued"]
    for n, wall in enumerate(walls[1:-1], 1):
        lines += [f"join {wall}.top, {wall}.bottom to lid.bottom, floor.top as dado, 1/4 deep"]
        lines += [f"    {12 * n} - 7/8 from left", "    flush front", "    glued"]
    for bay, (left, right) in enumerate(pairwise(walls)):
        for row in range(rows):
            shelf = f"shelf_{bay}_{row}"
            long = "11-3/8" if bay in {0, bays - 1} else "11-3/4"
            lines += [f"part {shelf} of ply, {long} long, 12 wide, crosswise, facing up"]
            lines += [f"join {shelf}.left to {left}.right as dado, 1/4 deep"]
            lines += [f"    {6 * row + 6} from bottom", "    flush front", "    glued"]
            lines += [f"join {shelf}.right to {right}.left as dado, 1/4 deep", "    glued"]
    lines += ["join skin.front to side_l.back", "    flush left, top"]
    lines += ["    screws every 6 from 2 to 2 through skin, gauge 6, 1 long"]
    lines += [
        "join skin.front to side_r.back",
        "    screws every 6 from 2 to 2 through skin, gauge 6, 1 long",
    ]
    return "\n".join(lines) + "\n"


def wainscot(parts: int) -> str:
    """A plan of about so many parts: two rows of panels in grooves, between rails and muntins tenoned together."""
    bays = (parts - 3) // 4
    tenoned = "as mortise and tenon, tenon {} long, 3/8 thick, 2 wide"
    grooved = "as tongue and groove, 3/8 deep"
    lines = [
        'plan "Wainscot"',
        "    unit inch",
        "    seen from front",
        "stock rail of cherry, 3/4 x 3",
        "stock pan of birch plywood, 1/4 thick",
        f"part top, foot of rail, {10 * bays + 3} long, crosswise, facing front",
    ]
    for n in range(bays + 1):
        lines += [f"part stile_{n} of rail, 40 long, upright, facing front"]
        lines += [f"join stile_{n}.bottom, stile_{n}.top to foot.top, top.bottom {tenoned.format('1-1/2')}"]
        lines += [f"    {10 * n} from left", "    centred front to back", "    glued"]
    for n in range(bays):
        left, right = f"stile_{n}.right", f"stile_{n + 1}.left"
        lines += [f"part mid_{n} of rail, 8-1/2 long, crosswise, facing front"]
        lines += [f"join mid_{n}.left to {left} {tenoned.format('3/4')}", "    19-1/2 from bottom"]
        lines += ["    centred front to back", "    glued"]
        lines += [f"join mid_{n}.right to {right} {tenoned.format('3/4')}", "    glued"]
        for panel, high, under, over in (
            (f"low_{n}", "18-3/4", "foot", f"mid_{n}"),
            (f"up_{n}", "16-3/4", f"mid_{n}", "top"),
        ):
            lines += [f"part {panel} of pan, 7-3/4 long, {high} wide, crosswise, facing front"]
            lines += [f"join {panel}.left to {left} {grooved}", "    centred front to back"]
            lines += [f"join {panel}.right to {right} {grooved}"]
            lines += [f"join {panel}.bottom, {panel}.top to {under}.top, {over}.bottom {grooved}"]
    return "\n".join(lines) + "\n"


def table(name: str, beside: str) -> Iterator[str]:
    """Legs, aprons and a top; its left front leg stands against the part ``beside``, where one is given."""
    yield f"# Table {name}"
    legs = ", ".join(f"{name}_leg_{corner}" for corner in ("fl", "fr", "bl", "br"))
    yield f"part {legs} of post, 29-1/4 long, upright, facing front"
    yield f"part {name}_apron_f, {name}_apron_b of rail, apron_long long, crosswise, facing front"
    yield f"part {name}_apron_l, {name}_apron_r of rail, apron_deep long, deep, facing left"
    yield f"part {name}_top of sheet, 47 long, 24 wide, crosswise, facing up"
    for apron, inner, sides in (
        ("f", "back", (("left", "fl", "right"), ("right", "fr", "left"))),
        ("b", "front", (("left", "bl", "right"), ("right", "br", "left"))),
        ("l", "right", (("front", "fl", "back"), ("back", "bl", "front"))),
        ("r", "left", (("front", "fr", "back"), ("back", "br", "front"))),
    ):
        for side, leg, against in sides:
            yield f"join {name}_apron_{apron}.{side} to {name}_leg_{leg}.{against}"
            yield f"    set back 1/4 from {OPPOSITE[inner]}"
            yield "    flush top"
            yield f"    pockets 2 in {inner}"
            yield "    screws coarse 1-1/4"
    for apron, inner, first in (("f", "back", True), ("b", "front", False)):
        yield f"join {name}_apron_{apron}.top to {name}_top.bottom"
        if first:
            yield "    centred left to right"
            yield "    1/4 from front"
        yield f"    pockets every 7 from 2-1/2 in {inner}"
        yield "    screws coarse 1-1/4"
    if beside:
        yield f"join {name}_leg_fl.left to {beside}.right as resting"
        yield "    flush bottom, front"


def bookcase(name: str, beside: str) -> Iterator[str]:
    """Two sides, four shelves and a top; its left side stands against the part ``beside``, where one is given."""
    yield f"# Bookcase {name}"
    yield f"part {name}_side_l, {name}_side_r of sheet, 72 long, 11-1/4 wide, upright, facing left"
    shelves = [f"{name}_shelf_{number}" for number in range(1, 6)]
    yield f"part {', '.join(shelves)} of sheet, 30 long, 11-1/4 wide, crosswise, facing up"
    for height, shelf in zip((3, 17, 31, 45, 71), shelves, strict=True):
        for side, against in (("left", "right"), ("right", "left")):
            yield f"join {shelf}.{side} to {name}_side_{side[0]}.{against}"
            yield f"    {height} from bottom"
            yield "    flush front"
            yield f"    pockets 2 in {'top' if height > 60 else 'bottom'}"
            yield "    screws coarse 1-1/4"
    if beside:
        yield f"join {name}_side_l.left to {beside}.right as resting"
        yield "    flush bottom, front"


OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left"}


def print_tree(tree: Tree) -> str:
    """The text of a plan, put together from its statements and the gaps (white space, comments) between them.

    Raises ``ValueError`` if two statements overlap or are out of order: then the tree has lost its text.
    """
    text = tree.source.text
    pieces: list[str] = []
    written = 0
    for statement in statements_of(tree):
        start, end = statement.span
        if start < written or end < start:
            raise ValueError(f"the statement on line {statement.line} overlaps the one before it")
        pieces += (text[written:start], text[start:end])
        written = end
    pieces.append(text[written:])
    return "".join(pieces)
