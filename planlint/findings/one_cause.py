"""Findings as a builder is told them: one cause, one finding."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from planlint.findings.finding import Finding, Grade
from planlint.placement.placement_results import Copied, DrawerFit, Misfit, Retold
from planlint.rulebook.limits import NIL

FOLLOW: Mapping[str, frozenset[str]] = {
    "into-end-grain": frozenset(
        {
            "breakout", "mitre-breakout", "thin-cover", "near-end", "close-spacing", "far-from-end", "wide-spacing",
            "short-grip", "tip-through", "thread-mismatch", "no-room-to-drive", "screws-meet", "joint-overload",
        }
    ),
    "thin-stock": frozenset(
        {
            "breakout", "mitre-breakout", "thin-cover", "near-end", "close-spacing", "short-grip", "tip-through",
            "screws-meet",
        }
    ),
    "breakout": frozenset({"near-end", "tip-through"}),
    "thin-cover": frozenset({"breakout", "near-end", "tip-through", "screws-meet"}),
    "lone-screw": frozenset({"joint-overload"}),
    "short-grip": frozenset({"unstocked-screw", "joint-overload"}),
    "tip-through": frozenset({"unstocked-screw"}),
    "mitre-breakout": frozenset({"breakout", "near-end", "close-spacing", "tip-through"}),
    "askew": frozenset({"overlap", "apart", "free-to-slide"}),
    "poor-fit": frozenset({"fastener-fit", "stepped-face"}),
    "fastener-fit": frozenset({"screws-meet"}),
}  # fmt: skip
"""For a rule those whose findings at the same joint go with its own: drilled in the other part, in thicker stock or
elsewhere along the mitre, the screw is another one. Basis: our own judgement."""


OUTSIDE = "outside"
"""The kind of a finding of a pocket that lies past its part: what else is found of its bore goes with it."""

_OF_A_BORE = frozenset(
    {"tip-through", "near-end", "no-room-to-drive", "hole-in-sight", "screws-meet", "short-grip"}
)

_PLACES = frozenset({"misfit", "apart", "overlap", "askew", "free-to-slide"})
_FAR = 0.5
"""Inches by which a part lies elsewhere than it is meant, so that what hides a hole may be that part: what is seen is
judged once it lies there. Basis: our own judgement."""

BY_LOADS = frozenset({"shelf-sag", "may-break", "joint-overload"})
"""Rules whose measure hangs on the way of the loads: of parts and joints alike the one that has most is told."""
PRIED = "pried"
"""The kind of a finding that a screw carries too much because parts bend: it goes with what bends too far."""
LINE = "line"
"""The kind of a finding that one line told otherwise explains all that lies wrong, or shuts itself in."""
IMAGE = "image"
"""The kind of a finding that its first part is to be the image of its second, with the joins of that: what the second's
go without, and what is made of the first, is told with it."""
MISTURNED = "misturned"
"""The kind of a finding that its first part explains, turned or measured the other way round: what is found at its
joints, and rings through it, go with it."""


def one_a_cause(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, each with those that follow from it ``beside`` it, and the same at joints alike ``also``.

    They stay in their order; what follows from several goes with the first. At the joints of a ring that stays open
    screws are worth nothing until it closes; what two parts that run into one another leave no room for is judged once
    they do not.
    """
    found = list(findings)
    if len(found) < 2:
        return tuple(found)
    cause = _causes(found)
    beside: dict[int, list[Finding]] = {}
    for number in cause:
        beside.setdefault(_chain(cause, number)[-1], []).append(found[number])
    alone = [number for number in range(len(found)) if number not in cause]
    groups: dict[int, list[int]] = {}
    known: dict[object, int] = {}
    for number in alone:
        each = found[number]
        # A line that tells several joints (of an image, of units placed, of a loop's turns) is mended once.
        marks = _marks(each) if each.cause else ()
        first = next((known[mark] for mark in marks if mark in known), number)
        known.update(dict.fromkeys(marks, first))
        groups.setdefault(first, []).append(number)
    return tuple(
        replace(
            found[first],
            also=tuple(found[number] for number in rest),
            beside=tuple(beside.get(first, ())),
        )
        for first, *rest in (
            sorted(group, key=lambda number: _gravest(found[number])) for group in groups.values()
        )
    )


def _gravest(finding: Finding) -> tuple[float, float]:
    """What sorts the one of several that is told: by its grade, and of what loads do by how much."""
    over = (finding.measured or 0.0) / finding.limit if finding.limit and finding.rule in BY_LOADS else 0.0
    return -finding.grade, -round(over, 3)


def _marks(finding: Finding) -> tuple[object, ...]:
    """What makes a finding one with others: its cause, its line, and the part that lies apart from several."""
    marks: tuple[object, ...] = (finding.cause, (finding.rule, finding.kind, finding.span))
    if finding.rule == "overlap":
        # What runs into several others lies wrong, or they do together.
        marks += tuple((finding.rule, part) for part in finding.parts)
    if finding.rule == "apart":
        marks += ((finding.rule, finding.parts[0]),)
        if finding.kind == "past" and finding.measured:  # A turn of a loop too many lays several past as far.
            marks += ((finding.rule, round(finding.measured, 3), getattr(finding.fact, "axis", None)),)
        if finding.kind != "past":  # What is cut away of a part fails all that is joined there.
            marks += ((finding.rule, "no wood", finding.parts[1]),)
    return marks


def _causes(found: Sequence[Finding]) -> dict[int, int]:
    """For each finding that follows from another, no graver one, the number of that other."""
    told = _Causes(found)
    line = next((number for number, each in enumerate(found) if each.kind == LINE), None)
    explained = frozenset(found[line].parts if line is not None else ())
    cause: dict[int, int] = {}
    for number, each in enumerate(found):
        if line is not None and (each.rule in _LIES_WRONG or not explained.isdisjoint(each.parts)):
            cause.update({number: line} if number != line else {})
            continue
        root = next((root for root in told.roots(number, each) if found[root].grade >= each.grade), None)
        # Of two that each wait for the other the first is told: a finding that nobody is told is a fault missed.
        if root is not None and number not in _chain(cause, root):
            cause[number] = root
    return cause


class _Causes:
    """What findings may follow from, by where it is: all by number."""

    def __init__(self, found: Sequence[Finding]) -> None:
        self.found = found
        self.joints: dict[str, list[int]] = {}
        self.misturned: dict[str, int] = {}
        self.rings: dict[str, int] = {}
        """By the joints of a ring that stays open."""
        self.loops: dict[object, int] = {}
        """By a slanted ring as a whole: it may stay open in several directions for one cause."""
        self.images: dict[str, int] = {}
        """By a part, and that whose image it should be."""
        self.meant: dict[str, int] = {}
        """By the part that a join of a ring should name, and does not."""
        self.unfit: dict[str, int] = {}
        """By what is joined where a drawer does not fit: what bars its way out is seen once it does."""
        self.free: dict[str | None, int] = {}
        """By the joint that leaves a part free to slide: what is free there two ways is told once, with both."""
        self.inside: dict[frozenset[str], int] = {}
        """By two parts that run into one another."""
        self.askew: dict[str, int] = {}
        self.loose: dict[str, int] = {}
        """By the parts whose sides do not meet, and those that an end of is joined to nothing."""
        self.ends: dict[frozenset[str], int] = {}
        """By an end that is joined to nothing and the part it runs into: joined, it would be let in there."""
        last_first = [*enumerate(found)][::-1]
        self.past = {e.parts[0]: n for n, e in last_first if (e.rule, e.kind) == ("apart", "past")}
        self.rows = {e.span: n for n, e in last_first if (e.rule, e.kind) == ("apart", "past")}
        """By a part that lies past what it is joined to, or the words that lay it in a row: what it runs into there is
        judged once it does not."""
        self.off = {e.parts[0]: n for n, e in last_first if e.kind == "misplaced" and len(e.parts) > 2}
        """By a part that lies off all its cuts alike."""
        for number, each in enumerate(found):
            if each.joint is not None and (each.rule in FOLLOW or each.kind == OUTSIDE):
                self.joints.setdefault(each.joint, []).append(number)
            if each.rule == "free-to-slide":
                self.free.setdefault(each.joint, number)
            if each.kind == IMAGE:
                self.images.update((name, number) for name in each.parts if name not in self.images)
            if each.kind == MISTURNED:
                self.misturned.setdefault(each.parts[0], number)
            if isinstance(each.fact, Misfit):
                self._ring(number, each.fact)
            elif each.rule == "overlap":
                self.inside.setdefault(frozenset(each.parts), number)
            elif each.rule == "askew":
                self.askew.update((name, number) for name in each.parts)
            elif each.rule == "loose-end":
                self.loose.setdefault(each.parts[0], number)
                self.ends.setdefault(frozenset(each.parts), number)
        places = [n for n, each in enumerate(found) if each.rule in _PLACES or each.kind == MISTURNED]
        self.open = next(iter(places), None)
        """The first that says that something does not close: a sliver of a hole may be seen through it."""
        self.away = next((number for number in places if (found[number].measured or _FAR) >= _FAR), None)
        """The first that says of a part that it lies far from where it is meant."""

    @cached_property
    def bent(self) -> dict[str, int]:
        """By a part that bends too far under its load: stiff enough, it neither breaks nor pries at its screws."""
        return {e.parts[0]: n for n, e in enumerate(self.found) if e.rule == "shelf-sag" and e.parts}

    @cached_property
    def healed(self) -> dict[str, int]:
        """By the joints of a ring that one change closes together with others."""
        rings = ((n, e.fact) for n, e in [*enumerate(self.found)][::-1] if isinstance(e.fact, Misfit))
        more = ((n, each) for n, each in rings if each.closing is not None and each.closing.heals > 1)
        return {join.name: n for n, each in more for join in each.loop}

    @cached_property
    def round(self) -> dict[str, int]:
        """By the parts of a ring that stays open: whether what is joined to them can turn is seen once it is closed."""
        rings = [(n, e.fact) for n, e in enumerate(self.found) if isinstance(e.fact, Misfit)]
        return {part.name: number for number, fault in rings[::-1] for part in fault.loop_parts}

    @cached_property
    def remade(self) -> dict[str, int]:
        """By a part that closes a ring made shorter: so long it need not be had."""
        rings = [(n, e.fact.closing) for n, e in enumerate(self.found) if isinstance(e.fact, Misfit)]
        return {closing.part.name: n for n, closing in rings[::-1] if closing is not None and closing.by < 0}

    @cached_property
    def foot(self) -> int | None:
        """The first foot that does not stand flat: what the piece stands on is known once it does."""
        feet = (n for n, e in enumerate(self.found) if (e.rule, e.kind) == ("askew", "foot"))
        return next(feet, None)

    def _ring(self, number: int, fault: Misfit) -> None:
        if isinstance(fault.cause, Copied):
            self.meant.setdefault(fault.cause.meant.name, number)
        elif isinstance(fault.cause, DrawerFit):
            self.unfit.update((part.name, number) for part in fault.join.parts)
        self.loops.setdefault(_loop(fault), number)
        for join in fault.loop:
            self.rings.setdefault(join.name, number)

    def roots(self, number: int, each: Finding) -> Iterator[int]:
        """What a finding may follow from, the nearest first."""
        for root in self.joints.get(each.joint or "", ()):
            follow = _OF_A_BORE if self.found[root].kind == OUTSIDE else FOLLOW[self.found[root].rule]
            if each.rule in follow:
                yield root
        for name in each.parts:
            root = self.misturned.get(name, number)
            if root != number and (each.rule == self.found[root].rule or each.rule in _AT_A_JOINT):
                yield root
        if each.rule == "free-to-slide":
            yield from self._freed(number, each)
        if each.kind == IMAGE:
            yield from (self.images[name] for name in each.parts if self.images[name] < number)
        elif self.images and (each.rule in _BETWEEN or any(name in self.images for name in each.parts)):
            yield min(self.images.values())
        elif each.rule == "unjoined" and each.parts[0] in self.meant:
            yield self.meant[each.parts[0]]
        if isinstance(each.fact, Misfit):
            yield from self._rings_of(number, each, each.fact)
        root = self.rings.get(each.joint or "", number)
        if root != number and each.rule in _AT_A_JOINT:
            yield root
        for follows, told in (
            (each.rule in {"free-to-slide", "overlap"}, self.askew),
            (each.rule == "lone-screw", self.loose),
            (each.rule == "lone-screw", self.past),
            (each.rule == "lone-screw", self.round),
            (each.rule == "no-way-in", self.unfit),
            (each.rule == "stock-too-short", self.remade),
            (each.rule == "may-break" or each.kind == PRIED, self.bent),
        ):
            if follows:
                yield from (told[name] for name in each.parts if name in told)
        yield from self._wrong_places(each)

    def _freed(self, number: int, each: Finding) -> Iterator[int]:
        """A word of the join that is told of another axis than is meant; that it is free another way too."""
        root = self.rings.get(each.joint or "", number)
        if root != number and self.found[root].joint == each.joint:
            yield root
        if self.free[each.joint] != number:
            yield self.free[each.joint]

    def _rings_of(self, number: int, each: Finding, fault: Misfit) -> Iterator[int]:
        """What a ring may stay open for: a part that lies off all its cuts, or what leaves another open."""
        for name in (part.name for part in fault.join.parts):
            off = self.off.get(name)
            if off is not None and abs((each.measured or 0) - (self.found[off].measured or 0)) < NIL:
                yield off
        root = self.loops.get(_loop(fault), number)
        if root != number:
            yield root
        if fault.closing is None and fault.cause is None and each.joint in self.healed:
            yield self.healed[each.joint]
        # What is turned or cut otherwise, so that its sides meet, opens and closes a ring as well.
        for part in fault.loop_parts:
            if part.name in self.askew and (part.turn is not None or part.cuts):
                yield self.askew[part.name]

    def _wrong_places(self, each: Finding) -> Iterator[int]:
        """The parts that run into one another, or lie far off, whose bores and holes are judged once they lie right."""
        if each.rule == "tip-over" and self.foot is not None:
            yield self.foot
        if (
            each.rule == "hole-in-sight"
            and (root := self.open if each.grade is Grade.ADVICE else self.away) is not None
            and each.grade < self.found[root].grade
        ):
            yield root
        end = self.ends.get(frozenset(each.parts))
        if each.rule == "overlap":
            past = (self.rows.get(each.span), *map(self.past.get, each.parts))
            yield from (root for root in (end, *past) if root is not None)
        for parts, other in self.inside.items():
            of_both = each.rule in _BETWEEN and parts <= {*each.parts}
            of_one = each.rule in _OF_A_BORE and not parts.isdisjoint(each.parts)
            if of_both or (of_one and each.grade < self.found[other].grade):
                yield other


def _loop(fault: Misfit) -> object:
    """What misfits share that one change closes; one ring along the axes shares nothing where that closes no other."""
    closing = fault.closing
    if isinstance(fault.cause, Retold):
        return fault.cause.join.name
    if closing is not None and closing.heals > 1:
        return frozenset(part.name for part in (closing.part, *closing.others)), closing.by, closing.wide
    slanted = any(each.cuts or each.turn is not None for each in fault.loop_parts)
    if closing is None or not slanted:
        return id(fault)
    return frozenset(join.name for join in fault.loop), closing.part.name


def _chain(cause: Mapping[int, int], number: int) -> list[int]:
    """A finding, what it follows from, and so on to the one that is told."""
    chain = [number]
    while chain[-1] in cause:
        chain.append(cause[chain[-1]])
    return chain


_BETWEEN = frozenset({"screws-meet", "no-room-to-drive", "no-build-order", "hole-in-sight"})
_LIES_WRONG = _BETWEEN | _PLACES | {"unjoined", "loose-end", "no-way-in"}
_AT_A_JOINT = frozenset(
    {
        "lone-screw", "wide-spacing", "close-spacing", "far-from-end", "near-end", "short-grip", "tip-through",
        "breakout", "mitre-breakout", "thin-cover", "thin-stock", "into-end-grain", "screws-meet", "stepped-face",
        "no-room-to-drive", "no-build-order", "hole-in-sight", "overlap", "apart", "loose-end", "locked-across-grain",
        "fastener-fit",
    }
)  # fmt: skip
