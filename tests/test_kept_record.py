"""What the product gives for some pieces is what it gave when somebody last read it: the kept record.

    python -m tests.test_kept_record --write [KIND/NAME …] [slips] [calls]  # writes the record anew, all or these
    python -m tests.test_kept_record --slip KIND/NAME LINE        # tells all facts of a slip that is kept in short

What each piece comes to (sizes, places, contacts, bores, findings and their facts, repairs, converted text, steps,
sheet, reports) stands in ``tests/kept``. A change of it is read like code: each line that differs is meant, or it is a
defect. The pieces are those that together run most of the code; slips of the pen in more of them are kept in short.
"""

from __future__ import annotations

import difflib
import re
import sys
import tomllib
from itertools import islice
from pathlib import Path

import pytest

from planlint.findings.rules_in_force import rule_book
from tests.recorded_calls import KEPT_CALLS, calls_of, modules
from tests.recorded_facts import facts_of, figures, findings_of, floors_of
from tests.recorded_tables import tables
from tests.slips import KEPT_SLIPS, SLIP, Slip, given_of, kept_slips

ROOT = Path(__file__).parent.parent
KEPT = ROOT / "tests" / "kept"
FOLDERS = {
    "demo": "planlint/demo",
    "piece": "tests/pieces",
    "order": "tests/orders",
    "start": "planlint/starts",
}
FORMS = frozenset({"demo/drawer-repair", "piece/f_accept_bare"})
"""Pieces of which what programs are told is kept too."""
PIECES = (KEPT / "pieces.txt").read_text("utf-8").splitlines()
"""``FOLDER/NAME`` of each; ``hand/NAME`` is one of the conversions worked by hand, ``page/NAME-N`` an example."""
RULES = [f"rule/{name}" for name in rule_book()]
FIGURES, TABLES = "figures/all", "tables/all"
EVERY = [*PIECES, *RULES, FIGURES, TABLES]
SHOWN = 40
"""Lines of a difference that are shown."""


def given(name: str) -> list[str]:
    """What the product gives for a piece, or for the cases of a rule."""
    if name == FIGURES:
        return figures()
    if name == TABLES:
        return tables()
    kind, _, stem = name.partition("/")
    if kind == "rule":
        cases = rule_book()[stem].cases
        return [line for case in cases for line in (f"# {case.title}", *findings_of("case.plan", case.plan))]
    return facts_of(f"{short(stem)}.plan", text_of(kind, stem), forms=name in FORMS)


def text_of(kind: str, stem: str) -> str:
    """The plan of a case."""
    if kind == "hand":
        worked = tomllib.loads((ROOT / "tests" / "handworked_conversions.toml").read_text("utf-8"))["piece"]
        return next(str(each["plan"]) for each in worked if each["name"] == stem)
    if kind == "page":
        page, _, number = stem.partition("-")
        blocks = (ROOT / "grammar" / f"{page}.md").read_text("utf-8").split("```plan\n")[1:]
        return blocks[int(number)].partition("```")[0]
    return (ROOT / FOLDERS[kind] / f"{stem}.plan").read_text("utf-8")


def text_at(name: str) -> str:
    kind, _, stem = name.partition("/")
    return text_of(kind, stem)


def short(name: str) -> str:
    """A name as a file may have it."""
    return re.sub(r"\W+", "-", name)[:60].strip("-")


def record_of(name: str) -> Path:
    return KEPT / f"{short(name)}.txt"


@pytest.mark.parametrize("name", EVERY)
def test_what_is_given_is_what_was_read(name: str) -> None:
    alike(name, record_of(name).read_text("utf-8").splitlines(), given(name), around=0)


def alike(name: str, kept: list[str], now: list[str], *, around: int) -> None:
    """Whether all that is kept is given now; ``around`` so many lines beside what differs are shown."""
    differs = list(islice(difflib.unified_diff(kept, now, "kept", "now", n=around, lineterm=""), SHOWN))
    assert not differs, "\n".join(
        [
            f"{name} gives something else than what is kept. Where that is meant, write the record anew by",
            "    python -m tests.test_kept_record --write",
            "and read what `git diff tests/kept` shows, line by line.",
            *differs,
        ]
    )


SLIPS: dict[str, list[tuple[Slip, list[str]]]] = {}
for each in kept_slips():
    SLIPS.setdefault(each[0].piece, []).append(each)


@pytest.mark.parametrize("name", SLIPS)
def test_what_is_given_of_slips_is_what_was_read(name: str) -> None:
    kept = [line for _, lines in SLIPS[name] for line in lines]
    alike(name, kept, [line for slip, _ in SLIPS[name] for line in given_of(slip, text_at(name))], around=4)


CALLED: dict[str, list[str]] = {}
for line in KEPT_CALLS.read_text("utf-8").splitlines():
    CALLED.setdefault(line.partition(" ")[0].rpartition(".")[0], []).append(line)


@pytest.mark.parametrize("name", CALLED)
def test_what_functions_give_is_what_was_read(name: str) -> None:
    alike(name, CALLED[name], calls_of(f"planlint.{name}"), around=0)


def test_nothing_is_kept_that_nobody_compares() -> None:
    kept = {each.name for each in KEPT.glob("*.txt")} - {"pieces.txt"}
    assert kept == {record_of(name).name for name in EVERY}


def write(*asked: str) -> None:
    """The record anew; only of those pieces whose names begin so, where any are asked for."""
    for each in KEPT.glob("*-*.txt"):
        if each not in map(record_of, EVERY):
            each.unlink()
    for name in EVERY:
        if name.startswith(asked or ("",)):
            record_of(name).write_text("".join(f"{line}\n" for line in given(name)), "utf-8")
    if not asked or "calls" in asked:
        KEPT_CALLS.write_text("".join(f"{line}\n" for name in modules() for line in calls_of(name)), "utf-8")
    if not asked or "slips" in asked:
        fit = [slip for slip, _ in kept_slips() if slip.fits(text_at(slip.piece))]
        lines = [line for slip in fit for line in given_of(slip, text_at(slip.piece))]
        KEPT_SLIPS.write_text("".join(f"{line}\n" for line in lines), "utf-8")


def tell_slip(name: str, line: str) -> None:
    """All facts of a slip, floor by floor."""
    for slip, _ in SLIPS[name]:
        if slip.line == int(line):
            for floor, facts in floors_of(SLIP, slip.put(text_at(name)))[1].items():
                print(f"== {floor}", *facts, sep="\n")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--slip"] and len(sys.argv) == 4:
        tell_slip(*sys.argv[2:])
    elif sys.argv[1:2] == ["--write"]:
        write(*sys.argv[2:])
    else:
        sys.exit(__doc__)
