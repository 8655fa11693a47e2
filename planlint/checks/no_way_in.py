"""Parts that cannot be brought to their place, whatever the order of work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.row_view import listed
from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.model.directions import SIDES
from planlint.model.plan import Join, Part
from planlint.workplan.blocking_graph import Motions
from planlint.workplan.joint_freedom import ALIKE, Freedom, opened
from planlint.workplan.set_ups import set_ups
from planlint.workplan.way_in import Apart, without
from planlint.workplan.way_in import no_way_in as sets_without_a_way

MOST_KNOTS = 12
"""Sets without a way in that are told of one piece. Basis: our own judgement."""
MOST_TOLD = 4
"""Joints that one finding tells one by one. Basis: our own judgement."""


def no_way_in(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part that its own joints and the wood around shut out: tenons, dowels or dadoes that would have to be entered
    from two sides at once. Where a thin part could be sprung or tilted into shallow joints, that is advice."""
    waiting, loosened, told = list(sets_without_a_way(piece)), set[int](), 0
    while waiting and told < MOST_KNOTS:
        piece.tick()
        knot = _Knot(piece, waiting.pop(), frozenset(loosened), rule)
        yield knot.finding()
        told += 1
        loosened.add(knot.told.index)
        waiting += _apart(piece, frozenset(loosened)).stuck(knot.whole)


def _apart(piece: Piece, loosened: frozenset[int], notched: frozenset[int] = frozenset()) -> Apart:
    """How a piece comes apart with some joints taken for made in another way, or their channels for cut through."""
    moves = Motions(piece, loosened, notched)
    return Apart(piece, without(set_ups(piece).every, loosened), moves)


class _Knot:
    """One set of parts without a way in, made as small as leaving parts away makes it."""

    def __init__(self, piece: Piece, whole: frozenset[int], loosened: frozenset[int], rule: Rule) -> None:
        self.piece, self.whole, self.loosened, self.rule = piece, whole, loosened, rule
        apart = _apart(piece, loosened)
        self.least = apart.least_stuck(whole)
        self.joins = [join for join in apart.joins_in(self.least) if join.index not in loosened]
        self.guided = [
            (join, free)
            for join in self.joins
            if (free := apart.motions.freedom(join)) is not None and not free.loose
        ]
        self.undoing = [join for join in self._by_place(self.joins) if not self._holds({join.index})]
        ways = [join for join, _ in self.guided]
        self.told = next(
            (join for join in self.undoing if join in ways), (self.undoing or ways or self.joins)[0]
        )
        self.shut_in = self._shut_in()

    def _by_place(self, joins: list[Join]) -> list[Join]:
        """In an order that neither names nor the order of statements change."""

        def place(join: Join) -> tuple[float, ...]:
            return tuple(round(x, 4) for x in self.piece.contact(join).origin[::-1])

        return sorted(joins, key=place)

    def _holds(self, more: set[int]) -> bool:
        """Whether there is still no way in with some joints made in another way."""
        return bool(_apart(self.piece, self.loosened | more).stuck(self.least))

    def _shut_in(self) -> Part:
        """The part that is said to have no way in: of the told joint's two the one that less wood holds."""
        return min(self.told.parts, key=lambda part: (part.length * part.width * part.thickness, part.index))

    def springy(self) -> bool:
        """Whether thin parts sprung, or shelves tilted, into their shallow joints would do."""
        settings = self.piece.settings
        slender, deep = self.rule.limit("slender", settings), self.rule.limit("shallow", settings)
        shallow = {
            join.index
            for join, free in self.guided
            if free.deep <= deep
            and any(float(part.length) >= slender * float(part.thickness) for part in join.parts)
        }
        return bool(shallow) and not self._holds(shallow)

    def notched(self) -> Join | None:
        """A joint in a channel that would let its part slide in if the channel were cut through at its end."""
        for join, free in self.guided:
            if opened(join, self.piece.body(join.part_a), free) is not None:
                apart = _apart(self.piece, self.loosened, frozenset({join.index}))
                if not apart.stuck(self.least):
                    return join
        return None

    def finding(self) -> Finding:
        part, springy = self.shut_in, self.springy()
        notched = None if springy else self.notched()
        helped = springy or notched is not None
        others = [self.piece.plan.parts[i].name for i in sorted(self.least) if i != part.index]
        phrases = [_phrase(_Guided(join, free)) for join, free in self.guided]
        more = f"; and {len(phrases) - MOST_TOLD} more joints likewise" if len(phrases) > MOST_TOLD else ""
        told = self.told
        return self.rule.finding(
            grade=min(self.rule.grade, Grade.ADVICE) if helped else None,
            span=told.tradition.span if told.tradition else told.span,
            joint=told.name,
            parts=[part.name, *others],
            says=(
                f"{part.name} has no way in: {listed(others)} shut{'s' if len(others) == 1 else ''} it in. "
                f"{'; '.join(phrases[:MOST_TOLD])}{more}. Whichever comes last, no straight move brings it home."
            ),
            repairs=self._repairs(springy, notched),
            basis="shallow" if springy else "geometry",
        )

    def _repairs(self, springy: bool, notched: Join | None) -> list[str]:
        ways = []
        if notched is not None and notched.tradition is not None:
            a, b = notched.part_a.name, notched.part_b.name
            ways.append(
                f"cut the {notched.tradition.kind} of {a} in {b} through to its end, or notch the corner of {a} that "
                f"it stops, and slide {a} in along it."
            )
        if springy:
            ways.append(
                "spring the thin part, tilt it in, or let it in at a notch and slide it home: try it dry first."
            )
        for join in self.undoing[:2]:
            name = f"{join.part_a.name} to {join.part_b.name}"
            if join.tradition is not None and any(join is each for each, _ in self.guided):
                kind = join.tradition.kind
                ways.append(f"make {name} as a butt with pocket screws, or with glue, instead of {kind}.")
            elif join.pockets:
                ways.append(
                    f"drill {name} in a face that stays open, so that its screws can be driven after "
                    f"{self.shut_in.name} is in."
                )
        ways.append(f"cut the joints of {self.shut_in.name} so that all of them are entered the same way.")
        return [f"{way[0].upper()}{way[1:]}" if n == 0 else f"Or {way}" for n, way in enumerate(ways)]


class _Guided(NamedTuple):
    join: Join
    free: Freedom


def _phrase(each: _Guided) -> str:
    """``rail goes into post only from the left``: how a joint is entered, by its part A."""
    join, free = each
    ways = free.only or (free.out,)
    words = listed(list(dict.fromkeys(_from(way) for way in ways))).replace(" and ", " or ")
    along = "" if free.only or free.walls is None else ", or along its channel"
    return f"{join.part_a.name} goes into {join.part_b.name} only {words}{along}"


_FROM = {"top": "from above", "bottom": "from below"}


def _from(way: Vector) -> str:
    """Where a part comes from that leaves along a unit vector."""
    for side in SIDES:
        if way[side.axis] * side.sign > ALIKE:
            return _FROM.get(side.value, f"from the {side.value}")
    return "square to the joint"
