"""What the product gives for some pieces is what it gave when somebody last read it: the kept record.

    python -m tests.test_kept_record --write [KIND/NAME …]      # writes the record anew, all of it or of these

What each piece comes to (sizes, places, contacts, bores, findings and their facts, repairs, converted text, steps,
sheet, reports) stands in ``tests/kept``. A change of it is read like code: each line that differs is meant, or it is a
defect. The pieces are those that together run most of the code.
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
from tests.recorded_facts import facts_of, figures, findings_of
from tests.recorded_tables import tables

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


def short(name: str) -> str:
    """A name as a file may have it."""
    return re.sub(r"\W+", "-", name)[:60].strip("-")


def record_of(name: str) -> Path:
    return KEPT / f"{short(name)}.txt"


@pytest.mark.parametrize("name", EVERY)
def test_what_is_given_is_what_was_read(name: str) -> None:
    kept = record_of(name).read_text("utf-8").splitlines()
    differs = list(islice(difflib.unified_diff(kept, given(name), "kept", "now", n=0, lineterm=""), SHOWN))
    assert not differs, "\n".join(
        [
            f"{name} gives something else than what is kept. Where that is meant, write the record anew by",
            "    python -m tests.test_kept_record --write",
            "and read what `git diff tests/kept` shows, line by line.",
            *differs,
        ]
    )


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


if __name__ == "__main__":
    if sys.argv[1:2] != ["--write"]:
        sys.exit("python -m tests.test_kept_record --write [KIND/NAME …]")
    write(*sys.argv[2:])
