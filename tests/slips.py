"""Slips of the pen in plans: a line that is changed, left out or put in, with what the product then gives, in short.

``kept_slips.txt`` has them, a slip after the other; ``test_kept_record.py`` compares and writes them anew:

    @ piece/NAME 14
    -    flush front
    +    flush back
    > what is found or not understood, in short
    = floor by floor, a number that is another one where any fact of that floor is another

Of a number that changed nobody reads what changed: ``python -m tests.test_kept_record --slip piece/NAME 14`` tells all
facts of a slip, to be laid beside what another checkout tells.

They were drawn at random: a number a little or much off, a word of a few that mean the like, a line less, or one more
from another piece; and of those drawn the quick ones are kept that run most of what the others run least.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from zlib import crc32

from tests.recorded_facts import floors_of

ROOT = Path(__file__).parent.parent
KEPT_SLIPS = ROOT / "tests" / "kept_slips.txt"
SLIP = "slip.plan"
WIDTH = 100
MOST = 6
"""Findings that are told of a slip; of more the numbers tell."""


class Slip(NamedTuple):
    piece: str
    line: int
    """The line that is changed or left out, or after which one is put in."""
    old: str | None
    new: str | None

    def fits(self, text: str) -> bool:
        """Whether the plan still has the line."""
        return self.old is None or text.splitlines()[self.line - 1 : self.line] == [self.old]

    def put(self, text: str) -> str:
        lines = text.splitlines()
        first = self.line if self.old is None else self.line - 1
        lines[first : self.line] = [] if self.new is None else [self.new]
        return "\n".join(lines) + "\n"

    def told(self) -> list[str]:
        changed = [
            f"{sign}{words}" for sign, words in (("-", self.old), ("+", self.new)) if words is not None
        ]
        return [f"@ {self.piece} {self.line}", *changed]


def kept_slips() -> Iterator[tuple[Slip, list[str]]]:
    """The slips that are kept, with the lines that are kept of each."""
    for lines in re.split(r"^@ ", KEPT_SLIPS.read_text("utf-8"), flags=re.MULTILINE)[1:]:
        head, *rest = lines.splitlines()
        piece, line = head.split()
        changed = {each[0]: each[1:] for each in rest if each[0] in "-+"}
        slip = Slip(piece, int(line), changed.get("-"), changed.get("+"))
        yield slip, [f"@ {head}", *rest]


def given_of(slip: Slip, text: str) -> list[str]:
    """What is kept of a slip."""
    inspection, floors = floors_of(SLIP, slip.put(text))
    if inspection.piece is None:
        return [*slip.told(), *(f"> unread: {each.says}"[:WIDTH] for each in inspection.unread[:1])]
    found = ["/".join(each.identity).strip("/") for each in inspection.told]
    more = [f"and {len(found) - MOST} more"] if len(found) > MOST else []
    numbers = [f"{name} {crc32(chr(10).join(lines).encode()) & 0xFFFF:04x}" for name, lines in floors.items()]
    told = ", ".join([*found[:MOST], *more]) or "nothing is found"
    return [*slip.told(), f"> {told}", f"= {' '.join(numbers)}"]
