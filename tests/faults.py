"""Faults put into sound plans: one of each kind, everywhere it can be put."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import islice
from pathlib import Path

from planlint.checks.row_view import rows
from planlint.command.demo_command import DEMO
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.language.expression_tree import Number
from planlint.language.reader import read
from planlint.language.syntax_tree import (
    AcceptLine,
    JoinLine,
    PartLine,
    PlacingLine,
    PocketsLine,
    ScrewsLine,
    SizeItem,
    Statement,
    StockLine,
)
from planlint.language.tree_text import statements_of
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import INCH_PER_UNIT
from planlint.text.source import PlanText, Span

OPPOSITE = {
    "left": "right", "right": "left", "front": "back", "back": "front", "top": "bottom", "bottom": "top",
}  # fmt: skip


class Ground:
    """A sound plan and its lines."""

    def __init__(self, inspection: Inspection) -> None:
        assert inspection.piece is not None
        self.piece = inspection.piece
        self.source = inspection.source
        self.unit = inspection.piece.plan.unit
        self.lines = list(statements_of(read(inspection.source)[0]))
        self.joins = [each for each in self.lines if isinstance(each.node, JoinLine)]

    def inches(self, inches: Fraction) -> str:
        """A length in the plan's unit."""
        value = inches / INCH_PER_UNIT[self.unit]
        if self.unit == "mm":
            return str(round(value))
        whole, rest = divmod(value, 1)
        return f"{whole}-{rest}" if whole and rest else str(whole or rest)


Fault = Callable[[Ground], Iterator[TextEdit]]


def _pockets(ground: Ground) -> Iterator[tuple[Statement, PocketsLine, int, int]]:
    """Each row's line, with where the words on how many and where start and end in it."""
    for line in ground.lines:
        if isinstance(line.node, PocketsLine):
            words = ground.source.text[line.span.start : line.span.start + line.node.face.start]
            yield line, line.node, len("pockets "), len(words.rstrip().removesuffix("in").rstrip())


def one_screw(ground: Ground) -> Iterator[TextEdit]:
    for line, _, start, end in _pockets(ground):
        yield TextEdit(line.at(start, end), "1")


def twice_as_far(ground: Ground) -> Iterator[TextEdit]:
    for line, node, _, _ in _pockets(ground):
        if isinstance(node.every, Number):
            yield TextEdit(line.at(node.every.start, node.every.end), ground.inches(node.every.value * 2))


def far_from_the_end(ground: Ground) -> Iterator[TextEdit]:
    for line, node, _, _ in _pockets(ground):
        if isinstance(node.first, Number) and node.first.unit is None:
            inches = node.first.value * INCH_PER_UNIT[ground.unit]
            yield TextEdit(line.at(node.first.start, node.first.end), ground.inches(inches + 6))


def two_at(ground: Ground, places: Callable[[Fraction], tuple[Fraction, ...]]) -> Iterator[TextEdit]:
    """Rows told place by place, where the joint is straight enough to measure."""
    by_span = {row.asked.span: row for row in rows(ground.piece)}
    for line, _, start, end in _pockets(ground):
        row = by_span.get(line.span)
        if row is None:
            continue
        first = row.from_side(0.0, row.origin)
        if not -1e-6 < first < row.width + 1e-6:
            continue
        told = ", ".join(ground.inches(each) for each in places(Fraction(round(row.width * 4), 4)))
        yield TextEdit(line.at(start, end), f"at {told} from {row.origin.value}")


def close_together(ground: Ground) -> Iterator[TextEdit]:
    yield from two_at(ground, lambda width: (width / 2 - Fraction(1, 4), width / 2 + Fraction(1, 4)))


def at_the_edge(ground: Ground) -> Iterator[TextEdit]:
    yield from two_at(ground, lambda width: (Fraction(1, 4), width * 3 / 4))


def face_behind(ground: Ground) -> Iterator[TextEdit]:
    for line, node, _, _ in _pockets(ground):
        side = node.face.side
        yield TextEdit(line.at(side.start, side.end), OPPOSITE[side.text])


def no_plugs(ground: Ground) -> Iterator[TextEdit]:
    for line, node, _, _ in _pockets(ground):
        if node.plugged:
            yield TextEdit(Span(line.span.start + node.face.end, line.span.end), "")


def other_part(ground: Ground) -> Iterator[TextEdit]:
    for join in ground.joins:
        assert isinstance(join.node, JoinLine)
        part = join.node.b.part
        assert part is not None
        for line in join.details:
            if isinstance(line.node, PocketsLine) and line.node.face.part is None:
                yield TextEdit(line.at(line.node.face.start, line.node.face.start), f"{part.text}.")


def _screws(ground: Ground) -> Iterator[tuple[Statement, ScrewsLine]]:
    for line in ground.lines:
        if isinstance(line.node, ScrewsLine) and line.node.thread is not None:
            yield line, line.node


def screws_of(length: str) -> Fault:
    def fault(ground: Ground) -> Iterator[TextEdit]:
        for line, node in _screws(ground):
            if node.length is not None:
                yield TextEdit(line.at(node.length.start, node.length.end), f"{length} in")

    return fault


def other_thread(ground: Ground) -> Iterator[TextEdit]:
    for line, node in _screws(ground):
        assert node.thread is not None
        words = "fine" if node.thread.text == "coarse" else "coarse"
        yield TextEdit(line.at(node.thread.start, node.thread.end), words)


def _placings(ground: Ground) -> Iterator[tuple[Statement, PlacingLine]]:
    for line in ground.lines:
        if isinstance(line.node, PlacingLine):
            yield line, line.node


def not_placed(ground: Ground) -> Iterator[TextEdit]:
    text = ground.source.text
    for line, node in _placings(ground):
        if len(node.sides) > 1:
            yield TextEdit(line.at(node.sides[0].end, node.sides[1].end), "")
        else:
            start = text.rfind("\n", 0, line.span.start) + 1
            yield TextEdit(Span(start, text.find("\n", line.span.end) + 1), "")


def placed_off(by: Fraction) -> Fault:
    def fault(ground: Ground) -> Iterator[TextEdit]:
        for line, node in _placings(ground):
            if node.distance is not None:
                end = line.at(node.distance.end, node.distance.end)
                yield TextEdit(end, f" + {ground.inches(by)}")

    return fault


def too_long(ground: Ground) -> Iterator[TextEdit]:
    for line in ground.lines:
        if isinstance(line.node, PartLine):
            for item, _, _ in line.node.items:
                if isinstance(item, SizeItem) and item.word.text == "long":
                    yield TextEdit(
                        line.at(item.value.end, item.value.end), f" + {ground.inches(Fraction(1, 4))}"
                    )


def planed_thin(ground: Ground) -> Iterator[TextEdit]:
    for line in ground.lines:
        if isinstance(line.node, PartLine):
            yield TextEdit(Span(line.span.end, line.span.end), f", {ground.inches(Fraction(5, 8))} thick")


def thin_stock(ground: Ground) -> Iterator[TextEdit]:
    for line in ground.lines:
        if isinstance(line.node, StockLine) and line.node.thickness is not None:
            node = line.node.thickness
            yield TextEdit(line.at(node.start, node.end), ground.inches(Fraction(7, 16)))


def narrow_stock(ground: Ground) -> Iterator[TextEdit]:
    for line in ground.lines:
        if isinstance(line.node, StockLine) and line.node.nominal is not None:
            yield TextEdit(line.at(line.node.nominal.start, line.node.nominal.end), "1x3")


def loose_size(ground: Ground) -> Iterator[TextEdit]:
    for line in ground.lines:
        if isinstance(line.node, StockLine) and line.node.nominal is not None:
            words = line.node.nominal.text.replace("x", " x ")
            yield TextEdit(line.at(line.node.nominal.start, line.node.nominal.end), words)


def wrong_side(ground: Ground) -> Iterator[TextEdit]:
    for join in ground.joins:
        assert isinstance(join.node, JoinLine)
        side = join.node.b.side
        yield TextEdit(join.at(side.start, side.end), OPPOSITE[side.text])


def accepted_for_nothing(ground: Ground) -> Iterator[TextEdit]:
    for join in ground.piece.plan.joins[:3]:
        end = len(ground.source.text)
        yield TextEdit(Span(end, end), f'accept wide-spacing on {join.name} because "it was so"\n')


def no_reason(ground: Ground) -> Iterator[TextEdit]:
    text = ground.source.text
    for line in ground.lines:
        if isinstance(line.node, AcceptLine) and line.node.reason:
            yield TextEdit(Span(text.index(" because", line.span.start), line.span.end), "")


FAULTS: dict[str, Fault] = {
    "one screw": one_screw,
    "twice as far apart": twice_as_far,
    "far from the end": far_from_the_end,
    "close together": close_together,
    "at the edge": at_the_edge,
    "the face behind": face_behind,
    "no plugs": no_plugs,
    "the other part": other_part,
    "short screws": screws_of("1"),
    "long screws": screws_of("2-1/2"),
    "screws that nobody keeps": screws_of("1-3/8"),
    "the other thread": other_thread,
    "a placing left out": not_placed,
    "placed a quarter off": placed_off(Fraction(1, 4)),
    "placed far off": placed_off(Fraction(60)),
    "a part too long": too_long,
    "planed too thin": planed_thin,
    "thin stock": thin_stock,
    "narrow stock": narrow_stock,
    "a nominal size written loosely": loose_size,
    "the wrong side": wrong_side,
    "accepted for nothing": accepted_for_nothing,
    "no reason": no_reason,
}


NOTE = "# fault: "


def named_faults(path: Path) -> list[str]:
    """The faults that a plan's comments name, such as ``lone-screw on rail.left``: those that are found in it."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line.removeprefix(NOTE) for line in lines if line.startswith(NOTE)]


def sound_plans() -> list[Path]:
    """The demo plans in which nothing is found."""
    return [path for path in sorted(DEMO.glob("*.plan")) if not named_faults(path)]


EVERYWHERE = bool(os.environ.get("PLANLINT_FAULTS_EVERYWHERE"))
"""Whether each fault is put everywhere it can be put, which takes several minutes. Else every third of them, each in
two or three places of a plan, and not in all plans the same ones."""


def faulty_in_part(path: Path) -> Iterator[tuple[str, PlanText]]:
    """As many of the faults as there is time for."""
    first, step = (0, 1) if EVERYWHERE else (len(path.stem) % 3, 3)
    return islice(faulty(path), first, None, step)


def faulty(path: Path) -> Iterator[tuple[str, PlanText]]:
    """A plan with faults of every kind put into it; now and then one is none there."""
    source = PlanText("faulty.plan", path.read_text("utf-8"))
    ground = Ground(inspect_text(source))
    for kind, fault in FAULTS.items():
        edits = list(fault(ground))
        step = 1 if EVERYWHERE else max(1, len(edits) // 2)
        for edit in edits[::step]:
            yield kind, PlanText(source.path, apply(source.text, [edit]))
