"""What a repair is found from: the piece, the plan's statements, and the way its builder writes."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple, Protocol, TypeVar

from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.language.syntax_tree import PlaceLine, PlanHead, Statement, Tree
from planlint.language.tree_text import statements_of
from planlint.model.directions import Flips
from planlint.model.mirrored_parts import mirrored_row
from planlint.model.plan import Join, Plan
from planlint.repairs.written_lengths import spelt
from planlint.text.edits import TextEdit
from planlint.text.measures import INCH_PER_UNIT, in_inches, length
from planlint.text.source import Span

_Node = TypeVar("_Node")


class InLine(Protocol):
    """What stands in a line, from one offset to another."""

    @property
    def start(self) -> int: ...
    @property
    def end(self) -> int: ...


class NotInThisFile(Exception):  # noqa: N818 - no error, but the end of a search
    """What was to be changed is told in another file, which the plan uses: no edit of this one can."""


class Proposal(NamedTuple):
    """One way to take a finding away: edits of the text, and a sentence that says what they do."""

    edits: tuple[TextEdit, ...]
    says: str
    moves: bool = False
    """Whether parts change their size or place: one such at a time tells whether it was right."""
    asks: bool = False
    """Whether only the builder can say so: it takes a screw away, or changes stock or the outside of the piece."""
    followed: bool = False
    """Whether it mends along what it brings itself."""
    larger: bool = False
    """Whether it is known that the piece is meant to be larger by it."""


MOST_TRIED = 24
"""Ways to drill that are tried for one finding. Basis: own judgement."""


class Context:
    """A plan as inspected. Spans are places in its text."""

    def __init__(self, inspection: Inspection, most_tried: int = MOST_TRIED) -> None:
        assert inspection.piece is not None
        self.most_tried = most_tried
        self.inspection = inspection
        self.piece: Piece = inspection.piece

    @property
    def plan(self) -> Plan:
        return self.piece.plan

    @property
    def unit(self) -> str:
        return self.plan.unit

    @property
    def text(self) -> str:
        return self.inspection.source.text

    @property
    def tree(self) -> Tree:
        return self.plan.provenance.tree

    @cached_property
    def _by_span(self) -> dict[Span, Statement]:
        # What is found in a unit of another file is told at the line that places it, and no edit reaches that file.
        return {each.span: each for each in statements_of(self.tree) if not isinstance(each.node, PlaceLine)}

    @cached_property
    def head(self) -> Statement | None:
        """The plan statement."""
        return next((each for each in self.tree.statements if isinstance(each.node, PlanHead)), None)

    def told(self, inches: float | Fraction) -> str:
        """A length as a builder reads it, in the plan's unit."""
        return length(inches, self.unit)

    def spelt(self, inches: Fraction, like: str = "") -> str:
        """A length as the plan writes it; ``like`` is a number that it takes the place of."""
        return spelt(inches, self.unit, like)

    def exact(self, value: float) -> Fraction:
        """A length worked out in floating point as the plan may say it: to 1/64 of an inch, or 1/10 mm."""
        step = Fraction(1, 64) if in_inches(self.unit) else INCH_PER_UNIT["mm"] / 10
        return round(value / float(step)) * step

    def at(self, span: Span) -> Statement:
        """The statement, or detail of one, that the model took from this place. Raises ``NotInThisFile``."""
        found = self._by_span.get(span)
        if found is None:
            raise NotInThisFile
        return found

    def node(self, statement: Statement, kind: type[_Node]) -> _Node:
        """What a statement says, if it is of the kind that is looked for. Raises ``NotInThisFile``."""
        if not isinstance(statement.node, kind):
            raise NotInThisFile
        return statement.node

    def words(self, statement: Statement, node: InLine) -> str:
        """The text of a node, or a stretch, inside a line."""
        return self.text[slice(*statement.at(node.start, node.end))]

    def line(self, statement: Statement) -> str:
        """The whole text of a line."""
        return self.text[statement.span.start : statement.span.end]

    def join_of(self, finding: Finding) -> Join | None:
        """The join of a finding; of a mirror image the one whose words the plan has."""
        found = self.plan.join_by_name.get(finding.joint) if finding.joint else None
        return None if found is None else self.as_written(found)

    def its_join(self, finding: Finding) -> Join:
        """The same of a finding that must have one. Raises ``NotInThisFile``."""
        found = self.join_of(finding)
        if found is None:
            raise NotInThisFile
        return found

    def as_written(self, join: Join) -> Join:
        """The join that the words of a mirror image tell as they stand, where the plan has it; else the join."""
        if not self.flips(join):
            return join
        place = self.plan.provenance.joins[join.index].place
        return next(
            (
                each
                for each in self.siblings(join)
                if not self.flips(each) and self.plan.provenance.joins[each.index].place == place
            ),
            join,
        )

    def flips(self, join: Join) -> Flips:
        """The axes along which a join is the mirror image of its words."""
        return self.plan.provenance.joins[join.index].flips

    def alike_made(self, join: Join, other: Join) -> Join:
        """Another join of the statement of ``join``, with what is changed there changed as the words would."""
        told, flips = self.plan.joins[join.index], self.flips(join) ^ self.flips(other)
        pockets = (
            other.pockets
            if join.pockets == told.pockets
            else tuple(
                mirrored_row(row, join.side_b if row.in_b else join.side_a, flips) for row in join.pockets
            )
        )
        return replace(other, pockets=pockets, screws=join.screws, glue=join.glue, slotted=join.slotted)

    def findings_on(self, joint: str) -> frozenset[str]:
        """The rules that find something at a joint as it stands, whether the builder accepts it or not."""
        return self._rules_by_joint.get(joint, frozenset())

    @cached_property
    def _rules_by_joint(self) -> dict[str, frozenset[str]]:
        found: dict[str, set[str]] = {}
        for each in (*self.inspection.findings, *self.inspection.accepted):
            if each.joint is not None:
                found.setdefault(each.joint, set()).add(each.rule)
        return {joint: frozenset(rules) for joint, rules in found.items()}

    def siblings(self, join: Join) -> Iterator[Join]:
        """Other joins that one statement, repeated by a loop, stands for."""
        return (each for each in self._joins_by_span.get(join.span, ()) if each.name != join.name)

    @cached_property
    def _joins_by_span(self) -> dict[Span, list[Join]]:
        found: dict[Span, list[Join]] = {}
        for join in self.plan.joins:
            found.setdefault(join.span, []).append(join)
        return found

    @cached_property
    def benches(self) -> dict[int, tuple[Join, Piece]]:
        """The pieces on which joints were tried alone, by the identity of the joint; kept with it, so that it stays."""
        return {}

    @cached_property
    def changed(self) -> dict[str, Piece | None]:
        """The pieces of edited texts; ``None`` for one that cannot be read."""
        return {}

    @cached_property
    def tried(self) -> dict[object, frozenset[str]]:
        """What trials have shown, by the joint as it was tried."""
        return {}


Propose = Callable[[Context, Finding], Iterator[Proposal]]
"""Proposals for a finding of one rule, the smallest harm first."""
