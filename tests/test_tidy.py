"""One layout for all plans, comments kept, meaning unchanged, and a second run changes nothing."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.command import tidy_command as command
from planlint.command.demo_command import DEMO
from planlint.command.main import main
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.tidy_layout import spaced, tidied
from planlint.model.join_details import Fastening, Placing, PocketRow
from planlint.model.plan import EndCut, Join, Part, Plan, Removal, Trim
from planlint.model.plan_comparison import AS_WRITTEN, comparable
from planlint.model.provenance import Provenance
from planlint.model.stock import Stock
from planlint.model.workshop import Settings
from planlint.text.source import PlanText, Span

UNTIDY = """\
# A frame,  drawn in a hurry


plan   "A  frame # of two"   # the first
  unit inch
  seen from front,left

let wide=12
let stile_wide = 2.5   # ripped
stock board of red oak,0.75 x 2"
stock narrow_board of red oak, 3/4 x 1 1/2    # for later

part rail of board , facing front,crosswise, wide * 1  + 0.50 long
part stile of board, 24 long, upright, facing front
join rail.left to stile.right
  screws to suit # of the shop
  pockets 2 in back
  flush top , front



"""
TIDY = """\
# A frame,  drawn in a hurry

plan "A  frame # of two"  # the first
    unit inch
    seen from front, left

let wide       = 12
let stile_wide = 2-1/2  # ripped
stock board        of red oak, 3/4 x 2 in
stock narrow_board of red oak, 3/4 x 1-1/2  # for later

part rail of board, wide * 1 + 1/2 long, crosswise, facing front
part stile of board, 24 long, upright, facing front
join rail.left to stile.right
    flush top, front
    pockets 2 in back
    screws to suit  # of the shop
"""


def tidy(text: str) -> str:
    return tidied(PlanText("frame.plan", text))


def test_layout() -> None:
    assert tidy(UNTIDY) == TIDY
    assert tidy(TIDY) == TIDY


def test_line_ends_are_kept() -> None:
    assert tidy(UNTIDY.replace("\n", "\r\n")) == TIDY.replace("\n", "\r\n")


def test_broken_plan_stays() -> None:
    assert tidy(UNTIDY + "join\n") == UNTIDY + "join\n"


def test_headings_keep_the_order_of_details() -> None:
    """Where a builder parted the details by a comment, nothing is moved past it."""
    text = TIDY.replace("    pockets", "    # held from behind\n    pockets").replace(
        "    flush top, front\n", ""
    )
    text += "    flush top, front\n"
    assert tidy(text) == text


UNITS = """\
plan "Two frames"
    seen from nowhere

stock post of douglas fir, 4x4
assembly frame
    part leg of post, 20 long, upright, facing front
    # nothing else
end  # of the frame
place frame as one
place frame as two
join one_leg.left to two_leg.right as resting
    flush bottom, front
"""


def test_assemblies() -> None:
    """`end` lines up with its `assembly`."""
    assert tidy(UNITS) == UNITS
    assert tidy(UNITS.replace("    ", "  ")) == UNITS


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("let a=1+2 *3", "let a = 1+2 * 3"),
        ("let a = ( 1 + 2 )", "let a = (1 + 2)"),
        ("let a = -1/8", "let a = -1/8"),
        ("part a ,b of c", "part a, b of c"),
        ('plan "a ,b  c"', 'plan "a ,b  c"'),
        ('stock a of pine, 3/4" x 2"', 'stock a of pine, 3/4" x 2"'),
        ("part a of b, 1 1/2 long", "part a of b, 1-1/2 long"),
        ("pockets at 1, 2 1/2 from top in back", "pockets at 1, 2-1/2 from top in back"),
        ("join own :a.left to b.right", "join own: a.left to b.right"),
    ],
)
def test_spacing(words: str, told: str) -> None:
    assert spaced(words) == told


PLANS = sorted(DEMO.glob("*.plan"))


@pytest.mark.parametrize("plan", PLANS, ids=lambda path: path.stem)
def test_demo_plans_say_the_same(plan: Path) -> None:
    source = PlanText(plan.name, plan.read_text("utf-8"))
    text = tidied(source)
    assert tidy(text) == text
    assert _comments(text) == _comments(source.text)
    before, after = (inspect_text(PlanText("", each)) for each in (source.text, text))
    assert command._meaning(before) == command._meaning(after)


def _comments(text: str) -> list[str]:
    return sorted(line.partition("#")[2].strip() for line in text.splitlines() if "#" in line)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(PLANS), st.randoms(use_true_random=False))
def test_disordered_plans(plan: Path, random: object) -> None:
    """White space strewn into a plan makes no difference to what it is tidied to, but for blank lines."""
    from random import Random  # noqa: PLC0415

    assert isinstance(random, Random)
    text = plan.read_text("utf-8")
    strewn = []
    for line in text.split("\n"):
        words = line
        if "#" not in line and '"' not in line:
            words = line.replace(", ", random.choice([",", " , ", ",   "]))
            words += random.choice(["", " ", "   "])
        strewn.append(words)
    assert tidy("\n".join(strewn)) == tidy(text)


# ---------------------------------------------------------------- what a plan says


OF_THE_TEXT = (Span, PlanText, Provenance)


def things(found: Any) -> Iterator[Any]:
    """Whatever a plan is told of, and all that this is told of in its turn."""
    if isinstance(found, tuple):
        for each in found:
            yield from things(each)
    elif is_dataclass(found) and not isinstance(found, OF_THE_TEXT):
        yield found
        for each in fields(found):
            yield from things(getattr(found, each.name))


def test_every_field_counts_where_two_texts_are_held_against_one_another() -> None:
    plans = [understand(PlanText("", path.read_text("utf-8")), Settings())[0] for path in DEMO.glob("*.plan")]
    kinds = {type(one): one for plan in plans for one in things(plan)}
    assert {Plan, Part, Join, EndCut, Removal, Trim, Stock, Placing, PocketRow, Fastening} <= kinds.keys()
    for one in kinds.values():
        for each in fields(one):
            if not isinstance(getattr(one, each.name), OF_THE_TEXT) and each.name not in AS_WRITTEN:
                assert comparable(replace(one, **{each.name: ("another",)})) != comparable(one), (
                    type(one),
                    each.name,
                )


# ---------------------------------------------------------------- the command


@pytest.fixture
def untidy(tmp_path: Path) -> Path:
    file = tmp_path / "frame.plan"
    file.write_bytes(b"\xef\xbb\xbf" + UNTIDY.encode())
    return file


def test_written(untidy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tidy", str(untidy)]) == 0
    assert untidy.read_bytes() == b"\xef\xbb\xbf" + TIDY.encode()
    assert capsys.readouterr().out == f"{untidy} is tidy now\n"
    assert main(["tidy", str(untidy.parent)]) == 0
    assert not capsys.readouterr().out


def test_check(untidy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    was = untidy.read_bytes()
    assert main(["tidy", "--check", str(untidy)]) == 1
    told = capsys.readouterr().out
    assert "is not tidy" in told
    assert "    Line " in told
    assert untidy.read_bytes() == was
    untidy.write_text(TIDY)
    assert main(["tidy", "--check", str(untidy)]) == 0


def test_plan_that_cannot_be_read(untidy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    untidy.write_text(UNTIDY + "join\n")
    assert main(["tidy", str(untidy)]) == 2
    assert untidy.read_text() == UNTIDY + "join\n"
    assert "cannot be read" in capsys.readouterr().err


def test_refuses_what_would_say_something_else(
    untidy: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the layout ever change a plan's meaning, nothing is written."""
    monkeypatch.setattr(command, "tidied", lambda source: source.text.replace("wide=12", "wide=13"))
    was = untidy.read_bytes()
    assert main(["tidy", str(untidy)]) == 2
    assert untidy.read_bytes() == was
    assert "would not say the same" in capsys.readouterr().err


def test_standard_input() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "planlint", "tidy", "-"],
        input=UNTIDY.encode(), capture_output=True, check=False, cwd=DEMO.parent.parent,
    )  # fmt: skip
    assert done.returncode == 0
    assert done.stdout == TIDY.encode()
