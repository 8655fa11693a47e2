"""Arithmetic of a plan against plain fractions, and its units."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.language.expression_tree import Call, Expression, Name, Number, Operation
from planlint.model.expressions import MOST_BITS, angle_of, evaluate, length_of, name_of, whole_number
from planlint.model.mistake_log import Refusal
from planlint.model.nearest_name import letters_apart, nearest
from planlint.model.scope import Scope, Value
from planlint.model.written_sums import last_term

MM = Fraction(10, 254)


def number(value: Fraction | int, unit: str | None = None) -> Number:
    return Number(Fraction(value), unit, 0, 0)


def operation(operator: str, left: Expression, right: Expression) -> Operation:
    return Operation(operator, left, right, 0, 0)


small = st.fractions(min_value=-50, max_value=50, max_denominator=64)

# Pairs of an expression of plain numbers and the fraction it comes to, worked out beside it.
Pair = tuple[Expression, Fraction | None]


def _joined(pairs: tuple[Pair, Pair], operator: str) -> Pair:
    (left, one), (right, other) = pairs
    whole = operation(operator, left, right)
    if one is None or other is None:
        return whole, None
    if operator == "/":
        return whole, one / other if other else None
    return whole, {"+": one + other, "-": one - other, "*": one * other}[operator]


def _called(pairs: list[Pair], function: str) -> Pair:
    values = [value for _, value in pairs if value is not None]
    whole = Call(function, tuple(each for each, _ in pairs), 0, 0)
    if len(values) < len(pairs):
        return whole, None
    return whole, min(values) if function == "min" else max(values)


plain = st.recursive(
    small.map(lambda value: (number(value), value)),
    lambda inner: st.one_of(
        st.builds(_joined, st.tuples(inner, inner), st.sampled_from("+-*/")),
        st.builds(_called, st.lists(inner, min_size=1, max_size=3), st.sampled_from(["min", "max"])),
    ),
    max_leaves=8,
)


@given(plain)
def test_plain_arithmetic_is_exact(pair: Pair) -> None:
    expression, expected = pair
    scope = Scope("in")
    if expected is None:
        with pytest.raises(Refusal, match="which is nothing"):
            evaluate(expression, scope)
    else:
        assert evaluate(expression, scope) == Value(expected, False)


@given(small, small, small)
def test_a_number_beside_a_length_is_in_the_unit_of_the_plan(
    one: Fraction, other: Fraction, third: Fraction
) -> None:
    scope = Scope("mm")
    length = number(one * MM, "mm")
    total = operation("+", operation("*", length, number(other)), number(third))
    assert evaluate(total, scope) == Value((one * other + third) * MM, True)
    assert length_of(total, scope) == (one * other + third) * MM
    largest = Call("max", (length, number(other)), 0, 0)
    assert evaluate(largest, scope) == Value(max(one, other) * MM, True)


@given(small, small)
def test_a_length_over_a_length_is_a_plain_number(one: Fraction, other: Fraction) -> None:
    share = operation("/", number(one, "in"), number(other, "in"))
    if other:
        assert evaluate(share, Scope("in")) == Value(one / other, False)
        half = operation("/", number(one, "in"), number(other))
        assert evaluate(half, Scope("in")) == Value(one / other, True)


@pytest.mark.parametrize("operator", ["*", "/"])
def test_units_that_clash(operator: str) -> None:
    length = number(2, "in")
    left = length if operator == "*" else number(2)
    with pytest.raises(Refusal):
        evaluate(operation(operator, left, length), Scope("in"))


def test_a_long_sum_is_walked_and_deep_brackets_are_refused() -> None:
    total: Expression = number(1)
    for _ in range(20_000):
        total = operation("+", total, number(1))
    assert evaluate(total, Scope("in")).number == 20_001
    nested: Expression = number(1)
    for _ in range(20_000):
        nested = operation("-", number(1), nested)
    with pytest.raises(Refusal, match="nested too deep"):
        evaluate(nested, Scope("in"))


@pytest.mark.parametrize("operator", ["+", "-"])
def test_brackets_may_be_as_deep_on_the_left_as_on_the_right(operator: str) -> None:
    def deepest(turn: Callable[[Expression], Expression]) -> int:
        nested: Expression = number(1)
        for count in range(200):
            nested = turn(nested)
            try:
                evaluate(nested, Scope("in"))
            except Refusal:
                return count
        return 200

    right = deepest(lambda inner: operation(operator, number(1), _most(inner)))
    assert right == deepest(lambda inner: operation(operator, _most(inner), number(1)))
    assert 2 * right <= deepest(lambda inner: operation(operator, number(1), inner)) <= 2 * right + 1
    assert 20 < right < 100


def _most(inner: Expression) -> Expression:
    return Call("max", (inner, number(0)), 0, 0)


def test_numbers_that_run_away_are_refused() -> None:
    square: Expression = number(10**9)
    for _ in range(4):
        square = operation("*", square, square)
    with pytest.raises(Refusal, match="grows past"):
        evaluate(square, Scope("in"))
    with pytest.raises(Refusal, match="grows past"):
        evaluate(number(Fraction(1, 2 ** (MOST_BITS + 1))), Scope("in"))


@given(st.integers(-30, 30), st.integers(-30, 30))
def test_templates_hold_whole_numbers(turn: int, more: int) -> None:
    scope = Scope("in")
    scope.values["n"] = Value(Fraction(turn), False)
    sum_of = operation("+", Name("n", (), 0, 0), number(more))
    assert name_of(Name("slat_{n + 1}_b", ("slat_", sum_of, "_b"), 0, 0), scope) == f"slat_{turn + more}_b"
    half = operation("/", sum_of, number(61))
    if turn + more:
        with pytest.raises(Refusal, match="whole number"):
            name_of(Name("slat_{n / 61}", ("slat_", half), 0, 0), scope)


def test_angles_and_counts_are_plain_numbers() -> None:
    scope = Scope("in")
    assert angle_of(number(Fraction(45, 2)), scope) == Fraction(45, 2)
    assert whole_number(number(3), scope, "the count") == 3
    for wrong in (angle_of, lambda each, where: whole_number(each, where, "the count")):
        with pytest.raises(Refusal, match="length"):
            wrong(number(3, "in"), scope)


@given(st.text("abcd", max_size=6), st.text("abcd", max_size=6))
def test_distance_between_words(one: str, other: str) -> None:
    apart = letters_apart(one, other, 9)
    assert apart == letters_apart(other, one, 9)
    assert (apart == 0) == (one == other)
    assert abs(len(one) - len(other)) <= apart <= max(len(one), len(other))
    assert letters_apart(one, other, 1) == min(apart, 2)


@pytest.mark.parametrize(
    ("word", "near"), [("apran", "apron"), ("lge", "leg"), ("APRON", "apron"), ("shelf", None), ("", None)]
)
def test_nearest(word: str, near: str | None) -> None:
    assert nearest(word, ["leg", "apron", "rail"]) == near


@pytest.mark.parametrize(
    ("function", "values", "inches"),
    [
        ("min", ((50, None), (3, "in")), 50 * MM),
        ("max", ((50, None), (3, "in")), 3),
        ("min", ((100, None), (3, "in")), 3),
        ("max", ((100, None), (3, "in"), (1, "in")), 100 * MM),
        ("hypot", ((Fraction(762, 10), None), (4, "in")), 5),
    ],
)
def test_of_a_number_and_a_length_the_number_is_in_the_unit_of_the_plan(
    function: str, values: tuple[tuple[Fraction | int, str | None], ...], inches: Fraction
) -> None:
    """50 mm is less than 3 in, which are 76.2 mm."""
    found = evaluate(Call(function, tuple(number(*each) for each in values), 0, 0), Scope("mm"))
    assert found == Value(Fraction(inches), True)


def test_what_a_sum_adds_last_is_told_by_its_number_or_name() -> None:
    scope = Scope("mm")
    scope.values["gap"] = Value(Fraction(3), True)
    scope.values["many"] = Value(Fraction(5), False)
    scope.values["none"] = Value(Fraction(0), True)
    gap, many, none, unknown = (Name(word, (), 0, 0) for word in ("gap", "many", "none", "unknown"))
    two, inches = number(2), number(2, "in")
    told: list[tuple[Expression, int, Fraction, Expression]] = [
        (two, 1, 2 * MM, two),
        (inches, 1, Fraction(2), inches),
        (gap, 1, Fraction(3), gap),
        (many, 1, 5 * MM, many),
        (operation("*", number(4), gap), 4, Fraction(3), gap),
    ]
    for operator, sign in (("+", 1), ("-", -1)):
        for words, times, each, term in told:
            found = last_term(operation(operator, number(9), words), scope)
            assert found == (Fraction(sign * times), each, term)
        for words in (operation("*", gap, number(4)), none, unknown):
            assert last_term(operation(operator, number(9), words), scope) is None
    assert last_term(operation("*", number(9), gap), scope) is None
    assert last_term(gap, scope) is None
