"""Where parts lie: plain pieces, what is free, what hangs, what is not joined."""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from fractions import Fraction
from typing import Any

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part, Plan
from planlint.placement.joint_graph import JointGraph, leaders_of
from planlint.placement.placement_results import Placement
from planlint.placement.solver import BETWEEN_COMPONENTS, place
from planlint.rulebook.limits import Limits
from tests.builders import NOWHERE, Builder, part, plan, tradition


def placed(built: Builder | Plan) -> Placement:
    return place(JointGraph(built.plan() if isinstance(built, Builder) else built, Limits()))


def exact(placement: Placement, name: str) -> tuple[Fraction | int, ...]:
    found = placement.exact(placement.graph.plan.part_by_name[name])
    assert found is not None
    return found


def apron_table() -> Builder:
    table = Builder(part(f"leg_{n}", "34 x 3-1/2 x 3-1/2", "upright front") for n in ("fl", "fr", "bl", "br"))
    for name in "fb":
        table.add(part(f"apron_{name}", "41 x 3-1/2 x 3/4", "crosswise front"))
    for name in "lr":
        table.add(part(f"apron_{name}", "17 x 3-1/2 x 3/4", "deep left"))
    table.join("apron_f.left to leg_fl.right", "1/4 from front, flush top")
    table.join("apron_f.right to leg_fr.left", "1/4 from front, flush top")
    table.join("apron_b.left to leg_bl.right", "1/4 from back, flush top")
    table.join("apron_b.right to leg_br.left", "1/4 from back, flush top")
    table.join("apron_l.front to leg_fl.back", "1/4 from left, flush top")
    table.join("apron_l.back to leg_bl.front", "1/4 from left, flush top")
    table.join("apron_r.front to leg_fr.back", "1/4 from right, flush top")
    table.join("apron_r.back to leg_br.front", "1/4 from right, flush top")
    return table


def test_an_apron_table() -> None:
    placement = placed(apron_table())
    assert exact(placement, "leg_fl") == (0, 0, 0)
    assert exact(placement, "leg_br") == (Fraction(89, 2), Fraction(41, 2), 0)
    assert exact(placement, "apron_f") == (Fraction(7, 2), Fraction(1, 4), Fraction(61, 2))
    assert exact(placement, "apron_b") == (Fraction(7, 2), 23, Fraction(61, 2))
    assert exact(placement, "apron_r") == (47, Fraction(7, 2), Fraction(61, 2))
    assert (placement.misfits, placement.free, placement.askew, placement.unjoined) == ((), (), (), ())
    parts = placement.graph.parts
    assert all(placement.fixed_together(parts[0], other) for other in parts)
    assert placement.position(parts[3]) == (44.5, 20.5, 0.0)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("flush front, flush top", (10, 0, 6)),
        ("flush back, flush bottom", (10, 2, 0)),
        ("1/4 from front, proud 1/8 top", (10, Fraction(1, 4), Fraction(49, 8))),
        ("1/4 from back, 1/2 from bottom", (10, Fraction(7, 4), Fraction(1, 2))),
        ("centred front to back, centred top to bottom", (10, 1, 3)),
    ],
)
def test_words_of_placing(words: str, expected: tuple[Fraction, ...]) -> None:
    pair = Builder(
        [part("post", "10 x 10 x 3", "upright front"), part("rail", "8 x 4 x 1", "crosswise front")]
    )
    pair.join("rail.left to post.right", words)
    placement = placed(pair)
    offset = [a - b for a, b in zip(exact(placement, "rail"), exact(placement, "post"), strict=True)]
    assert tuple(offset) == expected


def test_a_traditional_joint_lets_its_part_in() -> None:
    case = Builder(
        [part("side", "30 x 10 x 3/4", "upright left"), part("shelf", "20 x 10 x 3/4", "crosswise up")]
    )
    case.join("shelf.left to side.right", "flush front, 9 from top", by=tradition("dado", "3/8"))
    placement = placed(case)
    assert exact(placement, "shelf") == (Fraction(3, 8), 0, 30 - 9 - Fraction(3, 4))
    other = Builder(case.parts.values())
    other.join("shelf.right to side.left", "flush front, 9 from top", by=tradition("dado", "3/8"))
    placement = placed(other)
    assert exact(placement, "side")[0] == 20 - Fraction(3, 8)


def test_odd_fractions_stay_exact() -> None:
    row = Builder(part(f"p{n}", f"{Fraction(1, n)} x 1/64 x 1/128", "crosswise front") for n in range(1, 60))
    for n in range(1, 59):
        row.join(f"p{n}.right to p{n + 1}.left", "flush front, flush top")
    assert exact(placed(row), "p59")[0] == sum(Fraction(1, n) for n in range(1, 59))


# ---------------------------------------------------------------- free, hung, unjoined


def test_what_nothing_fixes_is_free_once() -> None:
    table = apron_table()
    loose = [
        replace(join, placings=join.placings[:1]) if "apron_b" in join.name else join for join in table.joins
    ]
    placement = placed(plan(table.parts.values(), loose))
    (free,) = placement.free
    assert free.join.name == "apron_b.left to leg_bl.right"
    assert [each.name for each in free.parts] == ["apron_b"]
    assert free.axis is Axis.Z
    assert free.words == ("flush top", "flush bottom", "centred top to bottom")
    by_name = placement.graph.plan.part_by_name
    assert not placement.fixed_together(by_name["apron_b"], by_name["leg_bl"])
    assert placement.fixed_together(by_name["apron_l"], by_name["leg_br"])
    # For now its bottom is drawn with the leg's.
    assert exact(placement, "apron_b")[2] == 0


def test_a_part_can_be_free_two_ways() -> None:
    pair = Builder(
        [part("post", "10 x 10 x 3", "upright front"), part("rail", "8 x 4 x 1", "crosswise front")]
    )
    pair.join("rail.left to post.right")
    assert [free.axis for free in placed(pair).free] == [Axis.Y, Axis.Z]


def test_a_free_axis_is_fixed_by_the_words_it_offers() -> None:
    pair = Builder(
        [part("post", "10 x 10 x 3", "upright front"), part("rail", "8 x 4 x 1", "crosswise front")]
    )
    join = pair.join("rail.left to post.right")
    free = placed(pair).free
    for choice in range(3):
        again = Builder(pair.parts.values())
        again.join(join.name, ", ".join(each.words[choice] for each in free))
        assert placed(again).free == ()


def test_a_part_without_a_join_stands_apart() -> None:
    table = apron_table()
    table.add(part("spare", "12 x 2 x 1", "crosswise front"))
    placement = placed(table)
    assert [each.name for each in placement.unjoined] == ["spare"]
    assert [len(group) for group in placement.components] == [8, 1]
    assert exact(placement, "spare") == (48 + BETWEEN_COMPONENTS, 0, 0)
    assert placement.free == ()


def test_a_single_part_is_a_piece() -> None:
    placement = placed(Builder([part("board", "12 x 2 x 1", "crosswise front")]))
    assert placement.unjoined == ()
    assert exact(placement, "board") == (0, 0, 0)


def test_a_hung_part_lifts_its_piece() -> None:
    shelf = Builder(
        [
            part("cleat", "20 x 3 x 3/4", "crosswise front", hung=54),
            part("shelf", "20 x 8 x 3/4", "crosswise up"),
        ]
    )
    shelf.join("cleat.top to shelf.bottom", "flush back, flush left")
    placement = placed(shelf)
    assert exact(placement, "cleat") == (0, 8 - Fraction(3, 4), 54)
    assert exact(placement, "shelf") == (0, 0, 57)


def test_a_join_to_itself_and_an_empty_plan_do_no_harm() -> None:
    odd = Builder([part("a", "10 x 2 x 1", "crosswise front"), part("b", "10 x 2 x 1", "crosswise front")])
    odd.join("a.left to a.right", "flush top")
    odd.join("a.right to b.left", "flush top, flush front")
    assert exact(placed(odd), "b") == (10, 0, 0)
    assert placed(Builder()).components == ()


# ---------------------------------------------------------------- the graph


def test_the_joint_graph() -> None:
    table = apron_table()
    table.add(part("spare", "12 x 2 x 1", "crosswise front"))
    graph = JointGraph(table.plan(), Limits())
    apron = table.parts["apron_f"]
    assert [join.name for join in graph.joins_of(apron)] == [join.name for join in table.joins[:2]]
    assert [each.name for each in graph.neighbours(apron)] == ["leg_fl", "leg_fr"]
    assert graph.neighbours(table.parts["spare"]) == ()
    assert set(graph.network.nodes) == set(table.parts)
    assert graph.network.number_of_edges() == len(table.joins)
    name = table.joins[0].name
    assert graph.network.edges["apron_f", "leg_fl", name]["join"] is table.joins[0]


def test_a_sound_plan_needs_no_graph_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "networkx", None)
    assert placed(apron_table()).misfits == ()


def test_ten_thousand_parts_in_a_row() -> None:
    row = Builder()
    count = 10_000
    for n in range(count):
        row.add(part(f"p{n}", "3 x 2 x 1", "crosswise front"))
    for n in range(count - 1):
        row.join(f"p{n}.right to p{n + 1}.left", "flush front, flush top")
    random.Random(7).shuffle(row.joins)
    placement = placed(row)
    assert exact(placement, f"p{count - 1}") == (3 * (count - 1), 0, 0)
    assert len(placement.components) == 1


# ---------------------------------------------------------------- random pieces

lengths = st.fractions(Fraction(1, 4), 40, max_denominator=16)


@st.composite
def pieces(draw: st.DrawFn) -> Plan:
    """A tree of boxes, each joined to an earlier one, placed by two random words."""
    count = draw(st.integers(2, 12))
    piece = Builder()
    for n in range(count):
        size = " x ".join(str(draw(lengths)) for _ in range(3))
        lies = draw(
            st.sampled_from(["upright front", "crosswise up", "deep left", "crosswise back", "deep down"])
        )
        piece.add(part(f"p{n}", size, lies))
    for n in range(1, count):
        side = draw(st.sampled_from(SIDES))
        other = draw(st.integers(0, n - 1))
        words = []
        for axis in Axis:
            if axis is side.axis:
                continue
            end = side_of(axis, draw(st.sampled_from([-1, 1]))).value
            distance = draw(st.fractions(0, 3, max_denominator=16))
            words.append(
                draw(
                    st.sampled_from(
                        [
                            f"flush {end}",
                            f"{distance} from {end}",
                            f"proud {distance} {end}",
                            f"centred {axis.words}",
                        ]
                    )
                )
            )
        ends = [f"p{n}.{side.value}", f"p{other}.{side.opposite.value}"]
        if draw(st.booleans()):
            ends.reverse()
        piece.join(" to ".join(ends), ", ".join(words))
    return piece.plan()


def by_least_squares(piece: Plan) -> dict[str, np.ndarray[Any, np.dtype[np.float64]]]:
    """The same positions by a dense least-squares solution of equations written down afresh."""
    number = {each.name: n for n, each in enumerate(piece.parts)}
    rows, values = [], []

    def require(one: Part, other: Part, axis: Axis, value: float) -> None:
        row = np.zeros(3 * len(number))
        row[3 * number[other.name] + axis], row[3 * number[one.name] + axis] = 1, -1
        rows.append(row)
        values.append(value)

    def face(each: Part, side: Side) -> float:
        return float(each.size[side.axis]) if side.sign > 0 else 0.0

    for join in piece.joins:
        one, other = join.parts
        require(one, other, join.side_a.axis, face(one, join.side_a) - face(other, join.side_b))
        for words in join.placings:
            if words.side is not None:
                gap = face(one, words.side) - face(other, words.side) + words.side.sign * float(words.inset)
                require(one, other, words.side.axis, gap)
            elif words.centred is not None:
                axis = words.centred
                require(one, other, axis, float(one.size[axis] - other.size[axis]) / 2)
    solution = np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0].reshape(-1, 3)
    solution -= solution.min(axis=0)
    return {each.name: solution[n] for n, each in enumerate(piece.parts)}


@settings(max_examples=80, deadline=None)
@given(pieces())
def test_positions_equal_least_squares(piece: Plan) -> None:
    placement = placed(piece)
    assert placement.misfits == ()
    assert placement.free == ()
    for name, expected in by_least_squares(piece).items():
        assert np.allclose(placement.position(piece.part_by_name[name]), expected, atol=1e-9)


@settings(max_examples=50, deadline=None)
@given(pieces(), st.randoms(use_true_random=False))
def test_order_and_names_change_nothing(piece: Plan, chance: random.Random) -> None:
    names = [f"q{n}" for n in range(len(piece.parts))]
    chance.shuffle(names)
    renamed = {each.name: replace(each, name=name) for each, name in zip(piece.parts, names, strict=True)}
    parts = list(renamed.values())
    joins = [
        replace(join, part_a=renamed[join.part_a.name], part_b=renamed[join.part_b.name])
        for join in piece.joins
    ]
    chance.shuffle(parts)
    chance.shuffle(joins)
    before, after = placed(piece), placed(plan(parts, joins))
    for each in piece.parts:
        assert before.exact(each) == after.exact(renamed[each.name])


@settings(max_examples=50, deadline=None)
@given(pieces(), st.sampled_from(Axis))
def test_a_mirrored_piece_lies_mirrored(piece: Plan, axis: Axis) -> None:
    parts = {each.name: replace(each, facing=_mirrored(each.facing, axis)) for each in piece.parts}
    joins = [_mirrored_join(join, parts, axis) for join in piece.joins]
    before, after = placed(piece), placed(plan(parts.values(), joins))
    ends = [exact(before, name)[axis] + parts[name].size[axis] for name in parts]
    for name, each in parts.items():
        expected = list(exact(before, name))
        expected[axis] = max(ends) - expected[axis] - each.size[axis]
        assert exact(after, name) == tuple(expected)


def _mirrored(side: Side, axis: Axis) -> Side:
    return side.opposite if side.axis is axis else side


def _mirrored_join(join: Join, parts: dict[str, Part], axis: Axis) -> Join:
    return replace(
        join,
        part_a=parts[join.part_a.name],
        part_b=parts[join.part_b.name],
        side_a=_mirrored(join.side_a, axis),
        side_b=_mirrored(join.side_b, axis),
        placings=tuple(
            words
            if words.side is None
            else Placing(NOWHERE, side=_mirrored(words.side, axis), inset=words.inset)
            for words in join.placings
        ),
    )


@given(st.lists(st.tuples(st.integers(0, 11), st.integers(0, 11)), max_size=20))
def test_what_hangs_together_is_as_networkx_has_it(ties: list[tuple[int, int]]) -> None:
    network = nx.Graph(ties)
    network.add_nodes_from(range(12))
    leaders = leaders_of(range(12), ties)
    assert list(leaders) == list(range(12))
    assert all(leaders[each] == min(group) for group in nx.connected_components(network) for each in group)
