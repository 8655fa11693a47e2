"""What the product gives for some pieces is what it gave when somebody last read it: the kept record.

    python -m tests.test_kept_record --write      # writes the record anew

What each piece comes to (sizes, places, contacts, bores, findings and their facts, repairs, converted text, steps,
sheet, reports) stands in ``tests/kept``. A change of it is read like code: each line that differs is meant, or it is a
defect. The pieces are those that together run most of the code.
"""

from __future__ import annotations

import difflib
import sys
from itertools import islice
from pathlib import Path

import pytest

from planlint.findings.rulebook import rule_book
from tests.recorded_facts import facts_of, findings_of

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
PIECES = (KEPT / "pieces.txt").read_text("utf-8").split()
"""``FOLDER/NAME`` of each."""
RULES = [f"rule/{name}" for name in rule_book()]
SHOWN = 40
"""Lines of a difference that are shown."""


def given(name: str) -> list[str]:
    """What the product gives for a piece, or for the cases of a rule."""
    kind, _, stem = name.partition("/")
    if kind == "rule":
        cases = rule_book()[stem].cases
        return [line for case in cases for line in (f"# {case.title}", *findings_of("case.plan", case.plan))]
    text = (ROOT / FOLDERS[kind] / f"{stem}.plan").read_text("utf-8")
    return facts_of(f"{stem}.plan", text, forms=name in FORMS)


def record_of(name: str) -> Path:
    return KEPT / f"{name.replace('/', '-')}.txt"


@pytest.mark.parametrize("name", [*PIECES, *RULES])
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
    assert kept == {record_of(name).name for name in (*PIECES, *RULES)}


def write() -> None:
    for each in KEPT.glob("*-*.txt"):
        each.unlink()
    for name in (*PIECES, *RULES):
        record_of(name).write_text("".join(f"{line}\n" for line in given(name)), "utf-8")


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit("python -m tests.test_kept_record --write")
    write()
