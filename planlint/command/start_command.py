"""``planlint start KIND``: a plan to begin with, sound at its size, its measures as lets on top."""

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path

from planlint.command.usage_error import CallWrong, one_of
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import why_shut
from planlint.language.reader import read
from planlint.language.syntax_tree import Let
from planlint.language.tidy_layout import tidied
from planlint.reports.safe_words import visible
from planlint.text.edits import TextEdit, apply
from planlint.text.source import PlanText, Span

STARTS = Path(__file__).parent.parent / "starts"
"""The plans to start from: each is whole, and its lets ``wide``, ``deep`` and ``high`` are the outside measures."""

MEASURES = ("wide", "deep", "high")


class NoSuchPiece(Exception):  # noqa: N818 - nothing is wrong with the program
    """No sound plan of this kind and size can be written; says why."""


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    names = kinds_to_start()
    parser.add_argument("kind", metavar="KIND", type=one_of(*names), help=", ".join(names))
    helps = {"wide": "left to right", "deep": "front to back", "high": "bottom to top"}
    for name in MEASURES:
        parser.add_argument(
            f"--{name}", metavar="LENGTH", help=f"how {name} it is, {helps[name]}: `60`, `1500 mm`"
        )
    parser.add_argument(
        "--to", metavar="FILE.plan", help="write the plan to a new file; else to standard output"
    )
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """Write the plan; 2 where there is no sound one of that size."""
    sizes = {name: size for name in MEASURES if (size := getattr(call, name)) is not None}
    try:
        text = started(call.kind, sizes)
    except NoSuchPiece as problem:
        raise CallWrong(str(problem)) from problem
    if call.to is None:
        sys.stdout.write(text)
        return 0
    try:
        with Path(call.to).open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as problem:
        raise CallWrong(
            f"{visible(call.to)} is there already, and is left as it is: say another file"
        ) from problem
    except OSError as problem:
        raise CallWrong(f"{visible(call.to)} cannot be written: {why_shut(problem)}") from problem
    print(f"{visible(call.to)} is written; inspect it with: planlint inspect {visible(call.to)}")
    return 0


def kinds_to_start() -> list[str]:
    """What can be started, by name."""
    return sorted(path.stem for path in STARTS.glob("*.plan"))


def takes(kind: str) -> list[str]:
    """The outside measures that a kind has."""
    return [name for name in MEASURES if name in _lets(_template(kind))]


def started(kind: str, sizes: Mapping[str, str]) -> str:
    """The plan of a kind at its outside measures, each written as in a plan (``60``, ``1.5 m``), where it is not as
    usual. Raises ``NoSuchPiece`` where a measure makes no sense for it, or where the plan would not be sound."""
    source = _template(kind)
    lets = _lets(source)
    unknown = [name for name in sizes if name not in lets]
    if unknown:
        raise NoSuchPiece(f"a {kind} has no measure `{unknown[0]}`; it has {' and '.join(takes(kind))}")
    edits = []
    for name, size in sizes.items():
        tree, mistakes = read(PlanText("", f"let {name} = {size}"))
        if mistakes or len(tree.statements) != 1:
            says = mistakes[0].says if mistakes else "it is no length"
            raise NoSuchPiece(f"`{size}` cannot be how {name} it is: {says}")
        edits.append(TextEdit(Span(*lets[name]), size))
    text = tidied(PlanText(source.path, apply(source.text, edits)))
    why = _why_not(inspect_text(PlanText(source.path, text)))
    if why:
        asked = ", ".join(f"{size} {name}" for name, size in sizes.items())
        raise NoSuchPiece(f"a {kind}{f' {asked}' if asked else ''} would not be sound: {why}")
    return text


def _template(kind: str) -> PlanText:
    return PlanText(f"{kind}.plan", (STARTS / f"{kind}.plan").read_text(encoding="utf-8"))


def _lets(source: PlanText) -> dict[str, tuple[int, int]]:
    """Where the value of each let stands."""
    found = {}
    for statement in read(source)[0].statements:
        if isinstance(statement.node, Let):
            value = statement.node.value
            found[statement.node.name.text] = tuple(statement.at(value.start, value.end))
    return found  # type: ignore[return-value]


def _why_not(inspection: Inspection) -> str:
    """What stands in the way of a plan, first things first; nothing where it is sound."""
    if inspection.unread:
        mistake = inspection.unread[0]
        line = inspection.source.line(inspection.position(mistake.span.start).line).strip()
        return f"{mistake.says} (`{line}`)"
    told = sorted(inspection.findings, key=lambda each: -each.grade)
    if not told:
        return inspection.crashed[0].says if inspection.crashed else ""
    repairs = "; ".join(repair.says.rstrip(".") for repair in told[0].repairs[:1])
    return f"{told[0].says}{f' ({repairs})' if repairs else ''}"
