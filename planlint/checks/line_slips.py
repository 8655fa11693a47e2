"""A line that is told otherwise than is meant: with other words in it nothing of the piece lies wrong any more."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from difflib import SequenceMatcher
from enum import Enum, auto
from itertools import chain, islice
from operator import itemgetter
from typing import NamedTuple

from planlint.checks.registry import By, hangs_on, judge
from planlint.checks.slips_in_joins import Slip, ends_unlike, misnamed, unlike_twins
from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import LINE, MISTURNED
from planlint.findings.rules_in_force import Rule
from planlint.geometry.colliding_rows import given_way
from planlint.geometry.piece import Piece
from planlint.language.expression_tree import Number
from planlint.language.reader import read
from planlint.language.syntax_tree import Flag, Let, Statement
from planlint.model.directions import Axis, usual_face
from planlint.model.elaborate import elaborate
from planlint.model.like_parts import akin, section
from planlint.model.plan import Join, Part
from planlint.model.provenance import image_of
from planlint.placement.contradictions import closes
from planlint.placement.placement_results import Misfit
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import bare_length, length
from planlint.text.source import PlanText, Span

_MOST_TRIED = 24
"""Lines told otherwise in trial for one plan. Basis: our own judgement; each is placed anew."""

_MOST_TURNED = 6
"""Parts turned to face another way in trial. Basis: our own judgement."""

_BY_FACING = frozenset({"poor-fit", "fastener-fit"})
"""Rules besides those on places and screws that a part may offend since it faces another way than is meant."""

_TOO_DEEP = frozenset({"none", "no-reach"})
"""Kinds of findings of screws that do not come out of the part that they go through."""


class SlipIn(Enum):
    """Which words of a plan are told otherwise than is meant."""

    WORDS = auto()
    FACING = auto()
    LET = auto()
    """A length with a name, which is meant to be as stock measures."""
    JOIN = auto()


class Meant(NamedTuple):
    """A part of which a line says ``was``: as an edit has it, all lies as it is joined. What is only ``likely`` is for
    its builder to say."""

    part: Part
    was: str
    edit: TextEdit
    slip_in: SlipIn = SlipIn.WORDS
    join: Join | None = None
    likely: bool = False
    instead: TextEdit | None = None
    """What may be meant as well: the words at the part's other end told as these are."""

    @property
    def span(self) -> Span:
        return self.edit.span if self.slip_in in {SlipIn.LET, SlipIn.JOIN} else self.part.name_span


def meant_line(piece: Piece, found: Sequence[Finding], rule: Rule) -> Iterator[Finding]:
    """The one line, if any, that explains all that lies wrong, or that no order of work puts together; or the notch,
    whose measures are swapped, that a screw or another part runs into."""
    judging = judge(piece.settings)
    for way, heals in islice(_ways(piece, found), _MOST_TRIED):
        asked = dict.fromkeys((*judging.names(by=By.PLACING), *(each.rule for each in heals)))
        then = _told(piece, way.edit)
        if then is None or any(judging.ask(then, *asked)):
            continue
        instead = _told(piece, way.instead) if way.instead else None
        either = instead is not None and not any(judging.ask(instead, *asked))
        fact = way._replace(likely=either or way.likely, instead=way.instead if either else None)
        parts = [each.name for each in (_turned(piece, then, way) if way.join is None else way.join.parts)]
        joint = None if way.join is None else way.join.name
        yield rule.finding(kind=LINE, fact=fact, span=way.span, joint=joint, parts=parts, basis="geometry")
        return


def _ways(piece: Piece, found: Sequence[Finding]) -> Iterator[tuple[Meant, Sequence[Finding]]]:
    """Lines that may be slips, each with the findings that it would explain."""
    by = By.PLACING | By.ROOM | By.SCREWS
    # What is cut away was cut away on purpose.
    stops = [each for each in found if each.grade is Grade.STOP and each.kind != "no-wood"]
    wrong = [each for each in stops if hangs_on(each.rule, by)]
    names = {name for each in wrong for name in each.parts}
    # What comes out is too long whichever way the wood faces.
    fits = [each for each in found if each.rule in _BY_FACING and each.kind != "comes-out"]
    bores = [each for each in stops if hangs_on(each.rule, By.PLACES) and each not in wrong]
    known = any(map(_tells_why, found))
    if not any(each.kind == MISTURNED for each in stops):
        laid = chain(_facings(piece, [*wrong, *bores, *fits]), () if known else _ends(piece, names))
        yield from ((way, [*wrong, *bores, *fits]) for way in laid)
    if not wrong:
        return
    others = chain(_images(piece), _noughts(piece), _notches(piece, names))
    if any(hangs_on(each.rule, By.PLACING) for each in wrong):
        others = chain(_lets(piece, names), others)
    askew = any(each.rule == "askew" for each in found)
    others = chain(others, _joins(piece, misnamed(piece, names, twice_told=askew or not known)))
    if not known and not askew:
        others = chain(others, _joins(piece, unlike_twins(piece, names)))
    # What else would spoil those parts may have the same cause, and then goes with it.
    bound = [each for each in stops if not names.isdisjoint(each.parts)]
    yield from ((way, bound) for way in others)


def _tells_why(found: Finding) -> bool:
    """Whether a finding tells by itself which words are wrong."""
    fact = found.fact
    ring = isinstance(fact, Misfit) and (fact.cause or fact.closing)
    return bool(ring) or found.rule == "loose-end"


def _turned(piece: Piece, then: Piece, way: Meant) -> Iterator[Part]:
    """The parts that a line tells, and those that face otherwise once it is told otherwise."""
    made = then.plan.part_by_name
    for part in piece.plan.parts:
        turned = part.name in made and made[part.name].facing is not part.facing
        if turned or way.part.span.also_tells(part.span):
            yield part


def _told(piece: Piece, edit: TextEdit) -> Piece | None:
    """The piece of a plan with other words in it; ``None`` where that cannot be read, or contradicts itself."""
    piece.tick()
    source = piece.plan.provenance.tree.source
    tree, mistakes = read(PlanText(source.path, apply(source.text, [edit])))
    plan, more = elaborate(tree, piece.settings)
    then = Piece(plan, piece.settings) if plan is not None and not [*mistakes, *more] else None
    return given_way(then) if then is not None and closes(then.graph) else None


def _other_words(piece: Piece, part: Part, statement: Statement, at: Span, words: str) -> Iterator[Meant]:
    said, span = piece.plan.provenance, statement.at(*at)
    was = said.tree.source.text[slice(*span)]
    if said.is_own(statement) and words != was:
        yield Meant(part, was, TextEdit(span, words))


def _lets(piece: Piece, names: Collection[str]) -> Iterator[Meant]:
    """Lengths with a name that no part measures, each as stock near to it does, first that of some parts."""
    unit, measured = piece.plan.unit, {size for part in piece.plan.parts for size in part.size}
    for statement in piece.plan.provenance.tree.statements if measured else ():
        let = statement.node
        if not isinstance(let, Let) or not isinstance(let.value, Number):
            continue
        now = let.value.inches(unit)
        parts = sorted(piece.plan.parts, key=lambda each: each.name not in names)
        sold = [(size, each) for each in parts for size in (each.stock.width, each.thickness) if size]
        size, part = min(sold, key=lambda each: abs(each[0] - now))
        if now not in measured and 3 * abs(size - now) <= max(now, size):
            bare = not let.value.unit and unit in {"in", "mm"}
            words = bare_length(size, unit) if bare else length(size, unit)
            for way in _other_words(piece, part, statement, Span(let.value.start, let.value.end), words):
                yield way._replace(was=f"{let.name.text} = {way.was}", slip_in=SlipIn.LET)


def _facings(piece: Piece, stops: Sequence[Finding]) -> Iterator[Meant]:
    """Parts at fault, by more than long screws, that face otherwise than all like them do; then those of which none is
    like, where what is driven through them does not reach the other part."""
    said, by_it = piece.plan.provenance, [each for each in stops if each.rule != "tip-through"]
    names = {name for each in by_it for name in each.parts}
    unreached = {name for each in stops if each.kind in _TOO_DEEP for name in each.parts}
    # By how much cuts are too wide or too narrow: for one as wide as another is thick, all its cuts are so.
    off = Counter((name, each.measured) for each in stops if each.rule == "poor-fit" for name in each.parts)
    told = [
        (part, statement, Span(start, end))
        for part in piece.plan.parts
        for statement, item, start, end in said.parts[part.name].details
        if isinstance(item, Flag) and item.name == "facing"
    ]
    ways: list[Meant] = []
    for part, statement, at in told:
        fellows = [each for each, line, _ in told if line is not statement and _cut_alike(part, each)]
        same = any(each.facing.axis is part.facing.axis for each in fellows)
        odd = off[part.name, float(part.width - part.thickness)] > 1
        blamed = names if fellows or odd else unreached
        if part.name in blamed and part.thickness < part.width and not same:
            side = fellows[0].facing if fellows else usual_face(part.across)
            turned = _other_words(piece, part, statement, at, f"facing {side.looks}")
            ways += [each._replace(slip_in=SlipIn.FACING, likely=not fellows) for each in turned]
    yield from sorted(ways, key=lambda way: way.likely)[:_MOST_TURNED]


def _cut_alike(part: Part, other: Part) -> bool:
    """Whether they are akin and measure the same, whichever way they face."""
    return akin(part, other) and (part.length, *section(part)) == (other.length, *section(other))


def _images(piece: Piece) -> Iterator[Meant]:
    """Mirror images the other way round, then of other parts of that stock: first of those with a name like theirs."""
    ways: list[tuple[float, Meant]] = []
    for part in piece.plan.parts:
        statement, line, *_ = piece.plan.provenance.parts[part.name]
        if line.image is None:
            continue
        for of in (each.name for each in piece.plan.parts[: part.index] if each.stock is part.stock):
            unlike = of != line.stock.text and 1 - SequenceMatcher(None, part.name, of).ratio()
            for axis in Axis if line.mirrors and len(line.names) == 1 else ():
                told = _other_words(piece, part, statement, line.image, image_of(of, axis))
                ways += [(unlike, each) for each in told]
    return (way for _, way in sorted(ways, key=itemgetter(0)))


def _noughts(piece: Piece) -> Iterator[Meant]:
    """Parts shorter along their grain than wide, or hardly longer, with a nought more behind their length: those not
    longer than all else with it."""
    longest = max((part.length for part in piece.plan.parts), default=0)
    for part in piece.plan.parts:
        said = piece.plan.provenance.parts[part.name].measures.get("long")
        number, stub = said.expression if said else None, 10 * part.length <= min(longest, 40 * part.width)
        if (
            said
            and isinstance(number, Number)
            and number.value % 1 == 0
            and (stub or part.length < part.width)
        ):
            at = Span(*number[2:])
            yield from _other_words(piece, part, said.statement, at, f"{number.value}0")


def _notches(piece: Piece, names: Collection[str]) -> Iterator[Meant]:
    """Notches of some parts with their two measures swapped."""
    text = piece.plan.provenance.tree.source.text
    for part in (each for each in piece.plan.parts if each.name in names):
        for said in piece.plan.provenance.parts[part.name].removals:
            if said.item.kind.text == "notch" and len(said.item.depths) == 2 and said.item.offset is None:
                one, other = said.item.depths
                at = Span(one.start, other.end)
                told = (text[slice(*said.statement.at(each.start, each.end))] for each in (other, one))
                words = " x ".join(told)
                yield from _other_words(piece, part, said.statement, at, words)


def _joins(piece: Piece, slips: Iterator[Slip]) -> Iterator[Meant]:
    """Joins told as others are."""
    text = piece.plan.provenance.tree.source.text
    for join, part, span, words in slips:
        yield Meant(part, text[slice(*span)], TextEdit(span, words), SlipIn.JOIN, join)


def _ends(piece: Piece, names: Collection[str]) -> Iterator[Meant]:
    """Parts laid at one end as at the other, where they are laid otherwise."""
    for pair in ends_unlike(piece, names):
        meant, other = _joins(piece, iter(pair))
        yield meant._replace(instead=other.edit)
