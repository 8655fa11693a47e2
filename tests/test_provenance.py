"""Everything in a plan leads back to the words that say it: read anew by themselves, these give the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

import pytest

from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.expression_tree import Number
from planlint.language.reader import read
from planlint.language.syntax_tree import Let, PartLine, PocketsLine, Statement
from planlint.model.directions import Side
from planlint.model.expressions import angle_of, length_of, name_of
from planlint.model.plan import Plan
from planlint.model.provenance import JoinSaid, PartSaid, Sum, origin, path_of
from planlint.model.workshop import Files, Settings
from planlint.repairs.mending import mend
from planlint.text.source import PlanText
from tests.plans import SOUND
from tests.test_demo import PLANS

LOOPS = """
plan "Slats and boxes"

let gap = 1/2
stock slat_wood of pine, 1x3
stock thin of birch plywood, 1/2 thick

for n in 1 to 3
    let shift = n * gap
    part slat_{n}, spare_{n} of slat_wood, 20 + shift long, crosswise, facing up
        left end cut 10 * n, long at front
        rabbet 3/8 x 1/4 along back top
    part odd_{n} like slat_{n}, 19 long
        ends cut 5, long at back
assembly box(wide)
    part side_l, side_r of thin, 12 long, wide wide, upright, facing left
        groove 1/4 wide 1/8 deep along right, gap from front
    join side_l.right to side_r.left as resting
        flush top, front
end
place box as one, wide 6
place box as two, wide 7
join slat_1.back to slat_2.front
    flush left, top
    pockets 2 in bottom
    pockets at 3 from left in bottom
    screws coarse 1-1/4
    glued
load 20 lb on slat_1
accept wide-spacing on slat_1.back because "held elsewhere"
"""


def plan_of(text: str) -> Plan:
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert not mistakes and plan is not None
    return plan


def texts() -> Iterator[str]:
    yield SOUND
    yield LOOPS
    for path in PLANS:
        yield path.read_text(encoding="utf-8")


def words(plan: Plan, statement: Statement, start: int, end: int) -> str:
    """What stands at a place of a line, in the plan's own text."""
    first = origin(statement)[0]
    return plan.source.text[first.span.start + start : first.span.start + end]


def value(plan: Plan, said: Sum) -> Fraction:
    """The sum as its words give it, read anew."""
    told = words(plan, said.statement, said.expression.start, said.expression.end)
    tree, mistakes = read(PlanText("", f"let value = {told}"))
    assert not mistakes, told
    let = tree.statements[0].node
    assert isinstance(let, Let)
    return length_of(let.value, said.scope)


@pytest.mark.parametrize("text", list(texts()))
def test_parts_lead_back_to_their_words(text: str) -> None:
    plan = plan_of(text)
    provenance = plan.provenance
    assert list(provenance.parts) == [part.name for part in plan.parts]
    for part in plan.parts:
        said = provenance.parts[part.name]
        name = said.line.names[said.place]
        assert said.scope.prefix + name_of(name, said.scope) == part.name
        assert words(plan, said.statement, name.start, name.end) == name.text
        sizes = {"long": part.length, "wide": part.width, "thick": part.thickness}
        assert {word: value(plan, each) for word, each in said.measures.items()} == {
            word: sizes[word] for word in said.measures
        }
        assert "long" in said.measures
        assert [angle_of(each.item.angle, each.scope) for each in said.cuts] == [
            cut.angle for cut in part.cuts
        ]
        assert [each.item.kind.text for each in said.removals] == [each.kind for each in part.removals]
        for statement in [
            *(each.statement for each in said.cuts),
            *(each.statement for each in said.removals),
        ]:
            assert provenance.is_own(statement)


@pytest.mark.parametrize("text", list(texts()))
def test_joins_lead_back_to_their_words(text: str) -> None:
    plan = plan_of(text)
    provenance = plan.provenance
    assert len(provenance.joins) == len(plan.joins)
    for join, said in zip(plan.joins, provenance.joins, strict=True):
        node = said.line
        assert node.a.part is not None and node.b.part is not None
        if said.mirrored:  # An image leads back to the line of what it mirrors, and to how it came about.
            assert all(name in plan.part_by_name for name, _ in said.mirrored)
            assert len(said.pockets) == len(join.pockets)
            continue
        assert said.scope.prefix + name_of(node.a.part, said.scope) == join.part_a.name
        assert said.scope.prefix + name_of(node.b.part, said.scope) == join.part_b.name
        assert [
            (line.sides[place].text if line.sides else line.axis.text if line.axis else "", abs(length))
            for (_, line, place), length in zip(said.placings, _insets(said), strict=True)
        ] == [
            (
                each.side.value if each.side else each.centred.words if each.centred is not None else "",
                abs(each.inset),
            )
            for each in join.placings
        ]
        assert [line.face.side.text for _, line in said.pockets] == [row.face.value for row in join.pockets]
        assert (said.screws is None) == (join.screws is None)
        assert (said.tradition is None) == (join.tradition is None)
        assert (
            said.tradition is None
            or join.tradition is None
            or said.tradition[1].kind.text == join.tradition.kind
        )


def _insets(said: JoinSaid) -> list[Fraction]:
    return [
        length_of(line.distance, said.scope) if line.distance is not None else Fraction(0)
        for _, line, _ in said.placings
    ]


@pytest.mark.parametrize("text", list(texts()))
def test_each_thing_has_a_place_of_its_own(text: str) -> None:
    plan = plan_of(text)
    places = Counter(
        (
            id(said.statement),
            path_of(said.scope),
            said.place,
            () if isinstance(said, PartSaid) else said.mirrored,
        )
        for said in plan.provenance
        if isinstance(said, PartSaid | JoinSaid)
    )
    assert set(places.values()) <= {1}


def test_turns_and_units_are_told_apart() -> None:
    provenance = plan_of(LOOPS).provenance
    assert [path_of(provenance.parts[f"slat_{n}"].scope) for n in (1, 2, 3)] == [(1,), (2,), (3,)]
    assert path_of(provenance.parts["one_side_l"].scope) == ("one",)
    assert path_of(provenance.parts["two_side_l"].scope) == ("two",)
    assert [path_of(said.scope) for said in provenance.joins] == [("one",), ("two",), ()]


def test_what_is_taken_over_leads_to_the_other_part() -> None:
    plan = plan_of(LOOPS)
    odd = plan.provenance.parts["odd_2"]
    assert isinstance(odd.line, PartLine) and odd.line.like
    assert value(plan, odd.measures["long"]) == 19
    assert [words(plan, each.statement, 0, 6) for each in odd.removals] == ["rabbet"]
    assert [each.item.end for each in odd.cuts] == [None, None]
    slat = plan.provenance.parts["slat_2"]
    assert [origin(each.statement)[0] for each in odd.removals] == [each.statement for each in slat.removals]


def test_the_text_tree_is_the_one_that_was_read() -> None:
    plan = plan_of(LOOPS)
    own = {id(each) for each in plan.provenance.tree.statements}
    assert id(plan.provenance.others[0].statement) in own
    assert id(plan.provenance.others[-1].statement) in own
    assert {name for name, said in plan.provenance.stocks.items() if id(said.statement) in own} == {
        stock.name for stock in plan.stocks
    }


def test_of_another_file_no_statement_is_the_plans_own() -> None:
    other = PlanText(
        "other.plan",
        "stock thin of pine, 1x3\nassembly a\n    part p of thin, 9 long, upright, facing front\nend\n",
    )
    text = 'use "other.plan"\nplace a as one\npart q of thin, 8 long, upright, facing front\n'
    plan, mistakes = understand(PlanText("test.plan", text), Settings(files=Files({"other.plan": other})))
    assert not mistakes and plan is not None
    said = plan.provenance
    assert not said.is_own(said.parts["one_p"].statement) and not said.is_own(said.stocks["thin"].statement)
    assert said.is_own(said.parts["q"].statement)
    first, source = origin(said.parts["one_p"].statement)
    assert source is other and other.text[first.span.start :].startswith("part p of")


APRON = """\
plan "Apron"
    seen from front, left, right

stock post of red oak, 1-1/2 x 1-1/2
stock board of red oak, 3/4 x 3-1/2

part leg_l, leg_r of post, 28 long, upright, facing front
part apron of board, 20 long, crosswise, facing front

join apron.left to leg_l.right
    screws fine 1-1/4
    flush top
    flush front
    pockets 1 in back
join apron.right to leg_r.left
    screws fine 1-1/4
    flush top, front
    pockets 2 in back
"""


def test_the_line_that_developers_see_traced() -> None:
    """What DEVELOPERS.md tells of one line, from the tree to its repair."""
    source = PlanText("apron.plan", APRON)
    plan = plan_of(APRON)
    (row,) = plan.joins[0].pockets
    ((statement, node),) = plan.provenance.joins[0].pockets
    assert isinstance(node, PocketsLine) and isinstance(node.count, Number)
    assert (statement.line, node.count.value, node.face.side.text) == (14, Fraction(1), "back")
    assert node.face.part is None
    assert (row.face, row.count) == (Side.BACK, 1)
    (finding,) = inspect_text(source).findings
    assert (finding.rule, finding.joint, finding.measured) == ("lone-screw", "apron.left", 1)
    mended = mend(source)
    assert mended.source.text == APRON.replace("pockets 1 in back", "pockets 2 in back")
    assert not inspect_text(mended.source).findings
