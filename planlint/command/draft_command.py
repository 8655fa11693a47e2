"""``planlint draft FILE.csv``: the start of a plan from a cut list, and what of the list was not understood."""

import argparse
import os
import sys
from pathlib import Path

from planlint.command.output_files import put
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, one_of
from planlint.draft.cut_list_table import read_cut_list
from planlint.draft.drafted_plan import Draft, draft_plan
from planlint.draft.listed_parts import CutListRead
from planlint.draft.listed_rows import Unreadable
from planlint.inspection.plan_files import STANDARD_INPUT, why_shut
from planlint.reports.safe_words import count, visible
from planlint.text.grouping import grouped
from planlint.text.measures import listed

_MOST_BYTES = 4_000_000
"""A cut list is well under this. Basis: own judgement."""


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    parser.add_argument(
        "list", metavar="FILE", help="a cut list as a spreadsheet writes it, or - for standard input"
    )
    parser.add_argument(
        "--to", metavar="FILE.plan", help="write the plan to a new file; else to standard output"
    )
    parser.add_argument(
        "--unit",
        metavar="UNIT",
        type=one_of("inch", "mm", "cm"),
        help="of numbers that say none: inch, mm or cm",
    )
    parser.add_argument("--of", metavar="MATERIAL", help="the wood or panel of lines that name none")
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """Write the plan; 1 where lines of the list are not in it, 2 where nothing can be read."""
    if call.to is not None and os.path.lexists(call.to):
        raise CallWrong(f"{visible(call.to)} is there already, and is left as it is: say another file")
    text = _text(call.list)
    try:
        read = read_cut_list(text, "in" if call.unit == "inch" else call.unit, call.of)
    except Unreadable as problem:
        raise CallWrong(f"{visible(call.list)}: {problem}") from problem
    title = Path(call.list).stem if call.list != STANDARD_INPUT else "Cut list"
    draft = draft_plan(read, title)
    if not draft.parts:
        first = draft.problems[0] if draft.problems else None
        for each in draft.problems[1:]:
            tell(f"line {each.line}: {visible(each.says)}")
        says = f"line {first.line}: {first.says}" if first else "there is no line under its heads"
        raise CallWrong(f"{visible(call.list)} has no part that is understood; {says}")
    if call.to is None:
        sys.stdout.write(draft.text)
    else:
        put(draft.text, call.to)
    _tell(read, draft, call.to)
    return 1 if draft.problems else 0


def _text(path: str) -> str:
    try:
        data = sys.stdin.buffer.read(_MOST_BYTES + 1) if path == STANDARD_INPUT else Path(path).read_bytes()
    except (OSError, ValueError) as problem:
        raise CallWrong(f"{visible(path)}: {why_shut(problem)}") from problem
    if len(data) > _MOST_BYTES:
        raise CallWrong(f"{visible(path)} is over {_MOST_BYTES // 1_000_000} MB: that is no cut list")
    # Of text in two bytes a letter, without a mark that says so, every other byte is nought.
    wide = "utf-16" if data[:2] in {b"\xff\xfe", b"\xfe\xff"} else ""
    wide = wide or (
        "utf-16-le" if data[1:8:2] == bytes(4) else "utf-16-be" if data[0:7:2] == bytes(4) else ""
    )
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(wide or encoding)
        except UnicodeDecodeError:
            continue
    raise CallWrong(f"{visible(path)} is no text: save the spreadsheet as CSV")


def _tell(read: CutListRead, draft: Draft, to: str | None) -> None:
    """What was understood, on standard error: the plan itself may go down a pipe."""
    told = [
        f"{count(draft.parts, 'part')}; taken for "
        + ", ".join(f"{what}: {visible(head)}" for head, what in read.columns)
    ]
    if read.language != "English":
        told[0] += f"; the heads are read as {read.language}"
    if read.unit_told:
        told.append(read.unit_told)
    if read.remarked:
        told.append(f"kept as remarks: {visible(', '.join(read.remarked))}")
    if read.unused:
        told.append(f"not used: {visible(', '.join(read.unused))}")
    if not any(what == "count" for _, what in read.columns):
        told.append(
            "no column was taken for how many: each line is one part; name its head `count` where it is not"
        )
    alike = grouped((each.says, str(each.line)) for each in (*read.passed_over, *draft.renamed))
    told += [
        f"line{'' if len(lines) == 1 else 's'} {listed(lines)}: {visible(says)}"
        for says, lines in alike.items()
    ]
    told += [f"line {each.line} is not in the plan: {visible(each.says)}" for each in draft.problems]
    told.append(
        f"next: say how each part lies, write the joins, then planlint inspect {visible(to) if to else 'PLAN'}"
    )
    for line in told:
        tell(line)
