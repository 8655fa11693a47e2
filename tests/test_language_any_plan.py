"""Any plan and any text: what is sound comes back whole, and nothing makes the reader fall over."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.language.reader import read
from planlint.language.syntax_tree import Tree
from planlint.language.tree_text import statements_of
from planlint.text.source import PlanText
from tests.plans import print_tree

SCRAPS = [
    "plan", '"Bench"', "#", "unit", "mm", "for", "n", "in", "1", "to", "2", "part", "slat_{n}", "of", "board,",
    "long", "join", "a.left", "flush", "top", "set", "back", "1-1/2", "-", "(", ")", "{", "}", '"', "'", "let",
    "b", "=", "as", "dowels,", "pockets", "at", "every", "use", "assembly", "end", "½", "x", "load", "lb",
    "accept", "on", "because", ",", "\t", "\n", "\n    ", "\n\t", "\n  ", "\r\n", "\x1f", "\u2028",
]  # fmt: skip


def sound(text: str) -> Tree:
    tree, mistakes = read(PlanText("a.plan", text))
    assert mistakes == []
    return tree


NAMES = st.from_regex(r"[a-z]{2}_[a-z0-9]{1,4}", fullmatch=True)
SIDES = st.sampled_from(["left", "right", "front", "back", "top", "bottom"])
NUMBERS = st.one_of(
    st.integers(0, 999).map(str),
    st.sampled_from(["3/4", "1-1/2", "1 1/2", "0.75", '3/4"', "19 mm", "2' 6-1/2\"", "8 ft"]),
)


def sums(depth: int = 2) -> st.SearchStrategy[str]:
    leaf = NUMBERS | NAMES
    if not depth:
        return leaf
    inner = sums(depth - 1)
    return st.one_of(
        leaf,
        st.tuples(inner, st.sampled_from([" + ", " - ", " * ", " / "]), inner).map("".join),
        inner.map(lambda text: f"({text})"),
        st.tuples(inner, inner).map(lambda two: f"max({two[0]}, {two[1]})"),
    )


ITEMS = st.one_of(
    sums().map(lambda text: f"({text}) long"),
    SIDES.filter(lambda side: side not in {"top", "bottom"}).map(lambda side: f"facing {side}"),
    st.sampled_from(
        ["upright", "rough", "ends cut 45, long at top", "turned 5° about deep", "finish both faces"]
    ),
    st.tuples(NUMBERS, SIDES, SIDES).map(lambda three: f"rabbet {three[0]} x 1 along {three[1]} {three[2]}"),
)
PART_HEADS = st.tuples(st.lists(NAMES, min_size=1, max_size=3), NAMES, st.lists(ITEMS, max_size=3)).map(
    lambda got: f"part {', '.join(got[0])} of {', '.join([got[1], *got[2]])}"
)
JOIN_HEADS = st.tuples(NAMES, SIDES, NAMES, SIDES).map(
    lambda got: f"join {got[0]}.{got[1]} to {got[2]}.{got[3]}"
)
JOIN_DETAILS = st.one_of(
    SIDES.map(lambda side: f"flush {side}"),
    st.tuples(sums(), SIDES).map(lambda got: f"set back {got[0]} from {got[1]}"),
    st.tuples(st.lists(NUMBERS, min_size=1, max_size=3), SIDES, SIDES).map(
        lambda got: f"pockets at {', '.join(got[0])} from {got[1]} in {got[2]}"
    ),
    st.sampled_from(["screws to suit", "screws coarse 1-1/4", "glued", "as dowels, 2 long", "# nothing", ""]),
)
STATEMENTS: st.SearchStrategy[list[str]] = st.recursive(
    st.one_of(
        st.tuples(NAMES, sums()).map(lambda got: [f"let {got[0]} = {got[1]}"]),
        st.tuples(PART_HEADS, st.lists(ITEMS, max_size=2)).map(
            lambda got: [got[0], *(f"  {one}" for one in got[1])]
        ),
        st.tuples(JOIN_HEADS, st.lists(JOIN_DETAILS, max_size=3)).map(
            lambda got: [got[0], *(f"  {one}" for one in got[1])]
        ),
    ),
    lambda inner: st.tuples(NAMES, st.lists(inner, min_size=1, max_size=3)).map(
        lambda got: [f"for {got[0]} in 1 to 3", *(f"    {one}" for block in got[1] for one in block)]
    ),
    max_leaves=6,
)
PLANS = st.tuples(
    st.lists(STATEMENTS, max_size=8), st.sampled_from(["", "  # said", "\t"]), st.sampled_from(["\n", "\r\n"])
).map(lambda got: got[2].join(one + got[1] for block in [['plan "x"'], *got[0]] for one in block))


@given(PLANS)
@settings(max_examples=80, deadline=None)
def test_any_sound_plan_is_read_and_written_back(text: str) -> None:
    tree = sound(text)
    assert print_tree(tree) == text
    lines = sum(1 for one in text.split("\n") if one.strip() and one.strip()[0] != "#")
    assert len(list(statements_of(tree))) == lines


@given(PLANS, st.data())
@settings(max_examples=50, deadline=None)
def test_one_broken_line_takes_no_other_with_it(text: str, data: st.DataObject) -> None:
    lines = text.split("\n")
    places = [at for at, one in enumerate(lines) if one.startswith(("let", "part", "join"))]
    if not places:
        return
    at = data.draw(st.sampled_from(places))
    broken = "\n".join([*lines[:at], "wobble " + lines[at], *lines[at + 1 :]])
    tree, mistakes = read(PlanText("a.plan", broken))
    # What is told depends on what the rest of the line is about; it is one thing, and of that line.
    [mistake] = mistakes
    assert broken.count("\n", 0, mistake.span.start) == at
    assert len(tree.statements) == len(sound(text).statements) - 1


@given(st.text() | st.lists(st.sampled_from(SCRAPS)).map(" ".join))
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_without_a_crash(text: str) -> None:
    tree, mistakes = read(PlanText("a.plan", text))
    assert print_tree(tree) == text
    for span, says in mistakes:
        assert 0 <= span.start <= span.end <= len(text)
        assert says
    assert mistakes == sorted(mistakes)
    assert len({(mistake.span, mistake.says) for mistake in mistakes}) == len(mistakes)
