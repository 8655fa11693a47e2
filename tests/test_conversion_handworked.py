"""Pieces converted on paper first: what the tool makes of them must be what the paper says, and the same piece.

python -m tests.test_conversion_handworked --write      # keeps anew what it makes of them, to be read line by line
"""

from __future__ import annotations

import re
import sys
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from planlint.conversion.conversion_result import Conversion
from planlint.conversion.same_piece import parts_moved
from planlint.conversion.size_changes import Change
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from tests.conversions import ROUNDING, all_told, check_solids, converted, parent_of, piece_of

PIECES = tomllib.loads((Path(__file__).parent / "handworked_conversions.toml").read_text(encoding="utf-8"))[
    "piece"
]
KEPT = Path(__file__).parent / "handworked_conversions.txt"


def tape(words: str) -> Fraction:
    """``10-3/4`` inches, or millimetres where they are said."""
    number, _, unit = words.strip().partition(" ")
    whole, _, rest = number.partition("-")
    value = Fraction(whole) + (Fraction(rest) if rest else 0)
    return value * Fraction(10, 254) if unit == "mm" else value


def cut(words: str) -> tuple[str, tuple[tuple[Fraction, Fraction], ...]]:
    """A cut as the paper has it: kind, and from where to where along x, y and z."""
    kind, _, rest = words.partition(" ")
    reach = re.findall(r"(\S+(?: mm)?)\.\.(\S+(?: mm)?)", rest)
    assert len(reach) == 3, words
    return kind, tuple((tape(low), tape(high)) for low, high in reach)


def cuts_in(piece: Piece, name: str) -> list[tuple[str, tuple[tuple[Fraction, Fraction], ...]]]:
    removals = piece.plan.part_by_name[name].removals
    return sorted((each.kind, tuple(zip(each.low, each.high, strict=True))) for each in removals)


@pytest.fixture(name="piece", scope="module", params=PIECES, ids=[piece["name"] for piece in PIECES])
def every_piece(request: pytest.FixtureRequest) -> dict[str, Any]:
    """All that is asked of one piece is asked before the next, so that it is converted once."""
    piece: dict[str, Any] = request.param
    return piece


@pytest.fixture(name="conversion", scope="module")
def conversion_of_piece(piece: dict[str, Any]) -> Conversion:
    return made(piece)


def made(piece: dict[str, Any]) -> Conversion:
    conversion = converted(piece["plan"], *piece.get("only", ()))
    assert not conversion.unread, [mistake.says for mistake in conversion.unread]
    assert not conversion.troubles, [trouble.says for trouble in conversion.troubles]
    return conversion


def test_sizes_cuts_and_refusals_are_those_of_the_paper(
    piece: dict[str, Any], conversion: Conversion
) -> None:
    before, after = piece_of(conversion)
    refused = {joint.joint: joint.refused for joint in conversion.joints if joint.refused}
    stays = piece.get("stays", {})
    for name, why in stays.items():
        assert why in refused.get(name, "not refused"), refused
    if not piece.get("some"):
        unasked = {
            name: why for name, why in refused.items() if name not in stays and not _likewise(name, stays)
        }
        assert not unasked
    for words, size in piece.get("sizes", {}).items():
        name, _, which = words.partition(" ")
        part = after.plan.part_by_name[name]
        now = {"": part.length, "long": part.length, "wide": part.width, "thick": part.thickness}[which]
        assert now == tape(size), (words, str(now))
    for name, told in piece.get("cuts", {}).items():
        assert cuts_in(after, name) == sorted(map(cut, told)), name
    for part in after.plan.parts:
        old = parent_of(before, part.name)
        if part.name not in piece.get("cuts", {}) and part.size == old.size:
            assert cuts_in(after, part.name) == cuts_in(before, old.name), part.name


def _likewise(name: str, stays: dict[str, str]) -> bool:
    """Joints of the same parts as one that stays: the paper names only some of them."""
    return any(
        name.split(".", maxsplit=1)[0].rstrip("0123456789") == each.split(".")[0].rstrip("0123456789")
        for each in stays
    )


def test_words_pockets_and_loads_are_those_of_the_paper(
    piece: dict[str, Any], conversion: Conversion
) -> None:
    _, after = piece_of(conversion)
    text = conversion.result.text
    for line in piece.get("says", ()):
        assert line in text, text
    for line in piece.get("gone", ()):
        assert line not in text, text
    for name, words in piece.get("drilled", {}).items():
        count, _, where = words.partition(" in ")
        pockets = after.pockets(after.plan.join_by_name[name])
        assert len(pockets) >= int(count), (name, len(pockets))
        for pocket in pockets:
            assert not where or f"{pocket.part.name}.{pocket.face.value}" == where
    if "loads" in piece:
        assert sum(load.pounds for load in after.plan.loads) == tape(piece["loads"])
    if piece.get("clean"):
        assert conversion.after is not None and not conversion.after.findings
    for group in piece.get("alike", ()):
        rows = {
            tuple((p.face.axis, p.plugged) for p in after.pockets(after.plan.join_by_name[name]))
            for name in group
        }
        assert len(rows) == 1, rows
    report = " ".join(
        " ".join((*(each.says for each in joint.changes), *joint.outside, joint.refused))
        for joint in conversion.joints
    )
    for words in piece.get("told", ()):
        assert words in report, report


def test_all_that_is_told_is_what_was_read_last(piece: dict[str, Any], conversion: Conversion) -> None:
    """What is kept in ``handworked_conversions.txt``: a change of it is read like code."""
    kept = KEPT.read_text("utf-8").split(f"\n# {piece['name']}\n")[1].partition("\n# ")[0].splitlines()
    assert list(all_told(conversion)) == kept


def write() -> None:
    lines = ["", *(line for piece in PIECES for line in (f"# {piece['name']}", *all_told(made(piece))))]
    KEPT.write_text("".join(f"{line}\n" for line in lines), "utf-8")


def test_it_is_the_same_wood(conversion: Conversion) -> None:
    check_solids(conversion)


def test_converting_again_changes_no_byte(piece: dict[str, Any], conversion: Conversion) -> None:
    assert converted(conversion.result.text, *piece.get("only", ())).result.text == conversion.result.text


_JOINT = re.compile(r"^join (\w+\.\w+)(?:, [\w., ]+)? to [^\n]*?(?: as ([a-z -]+))?(?:,|$)", re.MULTILINE)


def _halves(plan: str) -> list[str]:
    """One joint of each kind in a piece: the others are left as they are just the same."""
    return sorted({kind: joint for joint, kind in _JOINT.findall(plan)}.values())


HALVES = [(piece["name"], joint) for piece in PIECES for joint in _halves(piece["plan"])]


@pytest.mark.parametrize(("name", "joint"), HALVES, ids=[f"{name}: {joint}" for name, joint in HALVES])
def test_half_a_conversion_is_a_valid_plan(name: str, joint: str) -> None:
    piece = next(each for each in PIECES if each["name"] == name)
    conversion = converted(piece["plan"], joint)
    assert not conversion.troubles and not conversion.unread
    check_solids(conversion)


def test_a_rabbet_on_the_wrong_side_is_not_the_same_piece() -> None:
    """Both proofs see it: that of the program, by each part's cuts, and that of solids of another kernel."""
    door = next(piece for piece in PIECES if piece["name"].startswith("glazed door"))
    conversion = made(door)
    check_solids(conversion)
    text = conversion.result.text.replace("along right back", "along left back")
    assert text != conversion.result.text
    wrong = replace(conversion, result=replace(conversion.result, text=text))
    with pytest.raises(AssertionError):
        check_solids(wrong)
    (_, right), (_, other) = piece_of(conversion), piece_of(wrong)
    assert not list(parts_moved(right, right, Change()))
    assert list(parts_moved(right, other, Change())) == ["stile_l"]


def test_axes_are_read_as_they_are_written() -> None:
    assert cut("groove 1-3/4..2 1/4..1/2 0..27") == (
        "groove",
        ((Fraction(7, 4), Fraction(2)), (Fraction(1, 4), Fraction(1, 2)), (Fraction(0), Fraction(27))),
    )
    assert [axis.name for axis in Axis] == ["X", "Y", "Z"] and ROUNDING < 1e-3


if __name__ == "__main__" and "--write" in sys.argv:
    write()
