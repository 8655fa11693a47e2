"""Parts that cannot be brought to their place, whatever the order of work."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.workplan.blocking_graph import Motions
from planlint.workplan.joint_freedom import Freedom, channel_opened
from planlint.workplan.set_ups import set_ups
from planlint.workplan.tilted_or_sprung_in import guided, springy
from planlint.workplan.way_in import Apart, access_less
from planlint.workplan.way_in import shut_out_sets as sets_without_a_way
from planlint.workplan.way_out import built_in

_MOST_KNOTS = 12
"""Sets without a way in that are told of one piece. Basis: our own judgement."""


def no_way_in(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part that its own joints and the wood around shut out: tenons, dowels or dadoes that would have to be entered
    from two sides at once. Where a thin part could be sprung or tilted into shallow joints, that is advice. Likewise a
    drawer or box that comes out no more."""
    for shut in built_in(piece):
        yield rule.finding(
            fact=shut,
            span=shut.join.span,
            joint=shut.join.name,
            parts=[part.name for part in (*shut.parts, *(each for each, _ in shut.shut_by))],
            basis="geometry",
        )
    waiting, loosened, told = list(sets_without_a_way(piece)), set[int](), 0
    while waiting and told < _MOST_KNOTS:
        piece.tick()
        knot = _ShutSet(piece, waiting.pop(), frozenset(loosened), rule)
        yield knot.finding()
        told += 1
        loosened.add(knot.told.index)
        waiting += _apart(piece, frozenset(loosened)).stuck(knot.whole)


def _apart(
    piece: Piece,
    loosened: frozenset[int],
    notched: frozenset[int] = frozenset(),
    remade: frozenset[int] = frozenset(),
) -> Apart:
    """How a piece comes apart with some joints left out, their channels cut through, or made in another way."""
    moves = Motions(piece, loosened, notched, remade)
    return Apart(piece, access_less(set_ups(piece).every, loosened | remade), moves)


class ShutIn(NamedTuple):
    """A part that its joints and others shut in."""

    part: Part
    others: Sequence[str]
    guided: Sequence[tuple[Join, Freedom]]
    """The joints that are entered only in some ways."""
    undoing: Sequence[Join]
    """Those of which each, made otherwise, would let it in."""
    springy: bool
    """Whether thin parts sprung, or shelves tilted, into their shallow joints would do."""
    notched: Join | None
    """A joint in a channel that would let it slide in, were the channel cut through at its end."""


class _ShutSet:
    """One set of parts without a way in, made as small as leaving parts away makes it."""

    def __init__(self, piece: Piece, whole: frozenset[int], loosened: frozenset[int], rule: Rule) -> None:
        self.piece, self.whole, self.loosened, self.rule = piece, whole, loosened, rule
        apart = _apart(piece, loosened)
        self.least = apart.least_stuck(whole)
        self.joins = [join for join in apart.joins_in(self.least) if join.index not in loosened]
        self.guided = guided(apart, self.joins)
        undoing = [join for join in self._by_place(self.joins) if self._opens(remade=join)]
        # What leaves least without a way in is the cause: the others would be of no use alone.
        only = ({join.index} for join in undoing)
        left = [sum(map(len, _apart(piece, loosened, remade=frozenset(one)).stuck(whole))) for one in only]
        self.undoing = [join for join, leaves in zip(undoing, left, strict=True) if leaves == min(left)]
        ways = [join for join, _ in self.guided]
        self.springy = self._springy()
        self.notched = None if self.springy else self._notched()
        self.told = self.notched or next(
            (join for join in self.undoing if join in ways), (self.undoing or ways or self.joins)[0]
        )
        self.shut_in = self._shut_in()

    def _by_place(self, joins: list[Join]) -> list[Join]:
        """In an order that neither names nor the order of statements change."""

        def place(join: Join) -> tuple[float, ...]:
            return tuple(round(x, 4) for x in self.piece.contact(join).origin[::-1])

        return sorted(joins, key=place)

    def _opens(self, *, notched: Join | None = None, remade: Join | None = None) -> bool:
        """Whether there is a way in with one joint's channel cut through, or one made in another way."""
        one, other = (frozenset({join.index} if join else ()) for join in (notched, remade))
        return not _apart(self.piece, self.loosened, one, other).stuck(self.least)

    def _shut_in(self) -> Part:
        """The part that is said to have no way in: of the told joint's two the one that less wood holds."""
        return min(self.told.parts, key=lambda part: (part.length * part.width * part.thickness, part.index))

    def _springy(self) -> bool:
        """Whether thin parts sprung, or shelves tilted, into their shallow joints would do."""
        shallow = springy(self.piece, self.guided)
        return bool(shallow) and not _apart(self.piece, self.loosened | shallow).stuck(self.least)

    def _notched(self) -> Join | None:
        """A joint in a channel that would let its part slide in if the channel were cut through at its end."""
        for join, free in self.guided:
            if channel_opened(join, self.piece.body(join.part_a), free) and self._opens(notched=join):
                return join
        return None

    def finding(self) -> Finding:
        part, helped = self.shut_in, self.springy or self.notched is not None
        others = [self.piece.plan.parts[i].name for i in sorted(self.least) if i != part.index]
        told = self.told
        return self.rule.finding(
            fact=ShutIn(part, others, self.guided, self.undoing, self.springy, self.notched),
            grade=min(self.rule.grade, Grade.ADVICE) if helped else None,
            span=told.tradition.span if told.tradition else told.span,
            joint=told.name,
            parts=[part.name, *others],
            basis="shallow" if self.springy else "geometry",
        )
