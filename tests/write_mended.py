"""Write the mended text of every worked case into the rule files: ``python -m tests.write_mended``.

Look at what changed before you keep it: the tests hold the cases to what stands there.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

from planlint.repairs.mending import mend
from planlint.rulebook.rule_files import rules_folder
from planlint.text.source import PlanText

_START = "mended = '''\n"


def mended_text(plan: str) -> str | None:
    """A plan as mending leaves it; ``None`` where it changes nothing."""
    text = mend(PlanText("case.plan", plan)).source.text
    return None if text == plan else text


def write(file: Path) -> None:
    head, *blocks = file.read_text("utf-8").split("[[case]]\n")
    cases = tomllib.loads(file.read_text("utf-8")).get("case", [])
    out = [head]
    for block, case in zip(blocks, cases, strict=True):
        kept = block.partition(_START)[0].rstrip("\n")
        text = mended_text(case["plan"])
        told = "" if text is None else f"\n{_START}{text}'''"
        out.append(f"{kept}{told}\n\n")
    file.write_text("[[case]]\n".join(out).rstrip("\n") + "\n", "utf-8")


if __name__ == "__main__":
    for rule_file in sorted(rules_folder().glob("*.toml")):
        write(rule_file)
