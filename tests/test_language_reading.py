"""Reading plans without mistakes: nodes, exact places, and the text that is never lost."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.language import syntax_tree as t
from planlint.language.expression_tree import Name, Number
from planlint.language.grammar_cache import tools
from planlint.language.plain_lines import comment_start
from planlint.language.reader import read
from planlint.language.syntax_tree import Statement, Tree
from planlint.language.tidy_layout import tidied
from planlint.language.tree_text import statements_of
from planlint.text.decode import decode
from planlint.text.source import PlanText, Span
from tests.plans import print_tree


def sound(text: str) -> Tree:
    tree, mistakes = read(PlanText("a.plan", text))
    assert mistakes == []
    return tree


def line(text: str) -> Any:
    tools().builder.begin(text)
    return tools().lark.parse(text, start="line")


def number(text: str) -> Number:
    found: Any = tools().lark.parse(text, start="expression")
    assert isinstance(found, Number)
    return found


# ---------------------------------------------------------------- numbers and sums


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("3/4", Fraction(3, 4), None),
        ("1-1/2", Fraction(3, 2), None),
        ("1 1/2", Fraction(3, 2), None),
        ("0.75", Fraction(3, 4), None),
        (".5", Fraction(1, 2), None),
        ('3/4"', Fraction(3, 4), "in"),
        ("12 in", Fraction(12), "in"),
        ("12inch", Fraction(12), "in"),
        ("12 inches", Fraction(12), "in"),
        ("2'", Fraction(24), "ft"),
        ("8 ft", Fraction(96), "ft"),
        ("1 foot", Fraction(12), "ft"),
        ("2.5 feet", Fraction(30), "ft"),
        ("2' 6-1/2\"", Fraction(61, 2), "ft"),
        ("2'6\"", Fraction(30), "ft"),
        ("2' 6", Fraction(30), "ft"),
        ("2 ft 6 1/2 in", Fraction(61, 2), "ft"),
        ("254 mm", Fraction(10), "mm"),
        ("2.54 cm", Fraction(1), "cm"),
        ("1 m", Fraction(5000, 127), "m"),
    ],
)
def test_numbers(text: str, value: Fraction, unit: str | None) -> None:
    assert number(text) == Number(value, unit, 0, len(text))


@given(st.fractions(min_value=0, max_value=1000, max_denominator=999), st.sampled_from(["-", " "]))
def test_a_mixed_number_is_exact(value: Fraction, between: str) -> None:
    whole, rest = divmod(value, 1)
    text = f"{whole}{between}{rest}" if rest and whole else f"{value}"
    assert number(text).value == value


@given(st.decimals(min_value=0, max_value=10_000, places=3))
def test_a_decimal_is_exact(value: Any) -> None:
    assert number(f"{value} mm").value == Fraction(value) * Fraction(10, 254)


def test_in_is_a_unit_only_where_a_length_goes_on() -> None:
    counted = line("pockets 2 in back")
    assert (counted.count.unit, counted.face.side.text) == (None, "back")
    assert line("pockets every 7 in from 2 in of left in back").first.unit == "in"
    assert line("pockets every 7 from 2 in bottom").first == Number(Fraction(2), None, 21, 22)
    assert line("pockets 2 in long.back").face.part.text == "long"
    assert line("3 in from top").distance.unit == "in"
    assert line("let a = (3 in + 4 in) * 2").value.left.right.unit == "in"


def test_sums_bind_as_they_should() -> None:
    found = line("let a = 1 + 2 * b - c / (4 - -d)").value
    assert (found.operator, found.left.operator, found.left.right.operator) == ("-", "+", "*")
    divided = found.right
    assert (divided.operator, divided.right.operator, divided.right.start, divided.right.end) == (
        "/",
        "-",
        24,
        32,
    )
    sign = divided.right.right
    assert (sign.left.value, sign.right.text, sign.start) == (0, "d", 29)


def test_a_dash_without_spaces_is_a_mixed_number() -> None:
    assert line("let a = 2 * 3-1/2").value.right.value == Fraction(7, 2)
    assert line("let a = 3 - 1/2").value.operator == "-"


def test_templates() -> None:
    name = line("part slat_{n + 1}_b of c").names[0]
    assert (name.text, name.pieces[0], name.pieces[2], name.start, name.end) == (
        "slat_{n + 1}_b",
        "slat_",
        "_b",
        5,
        19,
    )
    assert name.pieces[1].operator == "+"
    assert line("part a_{n}{m} of c").names[0].pieces == (
        "a_",
        Name("n", (), 8, 9),
        Name("m", (), 11, 12),
    )


# ---------------------------------------------------------------- lines


def test_parts() -> None:
    text = "part a, b of post, 34 long, left end cut 45°, long at top, facing up, hung with bottom at 54 in"
    part = line(text)
    kinds = [(type(item), text[start:end]) for item, start, end in part.items]
    assert kinds == [
        (t.SizeItem, "34 long"),
        (t.CutItem, "left end cut 45°, long at top"),
        (t.Flag, "facing up"),
        (t.HungAt, "hung with bottom at 54 in"),
    ]
    flags = [flag for flag, _, _ in line("upright, finish both faces, finish top only, fixed to wall").items]
    assert [flag.name for flag in flags] == ["upright", "finish both faces", "finish", "fixed to wall"]
    assert flags[2].word.text == "top"


@pytest.mark.parametrize(
    ("text", "depths", "sides", "offset"),
    [
        ("rabbet 1 x 2 along back bottom", [1, 2], ["back", "bottom"], None),
        ("groove 1 wide 2 deep along front, 3 from top", [1, 2], ["front", "top"], 3),
        ("dado 1 wide 2 deep across front, 3 from top", [1, 2], ["front", "top"], 3),
        ("notch 1 x 2 at front top", [1, 2], ["front", "top"], None),
        ("notch 1 x 2 x 3 at front top left", [1, 2, 3], ["front", "top", "left"], None),
    ],
)
def test_wood_cut_away(text: str, depths: list[int], sides: list[str], offset: int | None) -> None:
    removal, start, end = line(text).items[0]
    assert (start, end, removal.kind.text) == (0, len(text), text.split(maxsplit=1)[0])
    assert [depth.value for depth in removal.depths] == depths
    assert [side.text for side in removal.sides] == sides
    assert (removal.offset.value if removal.offset else None) == offset


def test_stock() -> None:
    nominal = line("stock a of  Douglas-fir , 5/4x6, 8 ft long")
    assert (nominal.species.text, nominal.nominal.text, nominal.length.value) == ("Douglas-fir", "5/4x6", 96)
    actual = line("stock a of white  oak, 3/4 x 5-1/2")
    assert (actual.species.text, actual.thickness.value, actual.width.value, actual.sheet) == (
        "white oak",
        Fraction(3, 4),
        Fraction(11, 2),
        False,
    )
    sheet = line("stock a of birch plywood, 3/4 thick, 48 x 96")
    assert (sheet.width.value, sheet.length.value, sheet.sheet) == (48, 96, True)
    assert line("stock a of mdf, 18 mm thick").sheet
    assert not line("stock a of pine, 3/4 thick, 5 wide").sheet


def test_joins() -> None:
    join = line("join top_rail: a.left to b_{n}.right as half-blind  dovetail, tails 1/2 long, 3/8 thick")
    assert (join.name.text, join.a.part.text, join.b.side.text) == ("top_rail", "a", "right")
    assert join.tradition.kind.text == "half-blind dovetail"
    assert [(one.of, one.word.text) for one in join.tradition.measures] == [
        ("tails", "long"),
        (None, "thick"),
    ]
    assert [word.text for word in line("as mortise and tenon, 1 long, stub, haunched").words] == [
        "stub",
        "haunched",
    ]


def test_details_of_joins() -> None:
    assert [
        line(text).verb for text in ("flush top, left", "set back 1 from top", "proud 1 at top", "1 from top")
    ] == [
        "flush",
        "set back",
        "proud",
        "from",
    ]
    assert line("centred left  to right").axis == t.Word("left to right", 8, 22)
    at = line("pockets at 1, 2-1/2 from top in b.back, plugged")
    assert ([place.value for place in at.at], at.origin.text, at.face.part.text, at.plugged) == (
        [1, Fraction(5, 2)],
        "top",
        "b",
        True,
    )
    assert line("screws to suit") == t.ScrewsLine(None, None, None)
    assert line("screws fine 1-1/4 gauge 7").gauge.value == 7
    assert line("glued along the middle third").name == "glued middle third"


def test_other_statements() -> None:
    assert [side.text for side in line("seen from all round").sides] == ["front", "left", "right", "back"]
    assert line("seen from nowhere").sides == ()
    assert line("unit inches").unit == t.Word("in", 5, 11)
    assert line("load 60 lb per foot on shelf") == t.LoadLine(
        Fraction(60), t.Word("lb", 8, 10), True, Name("shelf", (), 23, 28)
    )
    accept = line('accept wide-spacing on a_{n + 1}.left/b.top because "why # not"')
    assert (accept.rule.text, accept.target.text, accept.reason) == (
        "wide-spacing",
        "a_{n + 1}.left/b.top",
        "why # not",
    )


# ---------------------------------------------------------------- blocks and places

WHOLE = """\
plan "Bench"  # with a # sign
    unit mm

for n in 1 to 2
    # a comment at any depth
    part slat_{n} of board, 1 long
        upright,   facing front

    join slat_{n}.left to a.right
          flush top
          flush top
let b = 2' 6" # six " and '
"""


def shape(statements: tuple[Statement, ...]) -> list[Any]:
    return [
        (type(one.node).__name__, shape(one.details)) if one.details else type(one.node).__name__
        for one in statements
    ]


def test_blocks_follow_indentation() -> None:
    assert shape(sound(WHOLE).statements) == [
        ("PlanHead", ["UnitLine"]),
        ("For", [("PartLine", ["PartDetails"]), ("JoinLine", ["PlacingLine", "PlacingLine"])]),
        "Let",
    ]


def test_the_same_line_twice_is_the_same_node_at_two_places() -> None:
    tree = sound(WHOLE)
    first, second = tree.statements[1].details[1].details
    assert first.node is second.node
    assert (first.line, second.line) == (10, 11)
    assert WHOLE[slice(*first.at(6, 9))] == WHOLE[slice(*second.at(6, 9))] == "top"
    assert first.span != second.span


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_bytes_and_places_survive(line_end: str, mark: bytes) -> None:
    data = mark + WHOLE.replace("\n", line_end).encode()
    source = decode("a.plan", data)
    assert isinstance(source, PlanText)
    tree, mistakes = read(source)
    assert mistakes == []
    assert tree.source.to_bytes() == data
    assert print_tree(tree) == source.text
    for statement in statements_of(tree):
        shown = source.text[slice(*statement.span)]
        assert source.line(statement.line).split("#")[0].strip().startswith(shown.split("#")[0].strip())
        assert source.position(statement.span.start).line == statement.line


def test_every_character_of_a_statement_is_in_just_one() -> None:
    text = WHOLE
    covered = [0] * len(text)
    for statement in statements_of(sound(text)):
        for at in range(*statement.span):
            covered[at] += 1
    at = 0
    for raw in text.split("\n"):
        body = raw[: comment_start(raw)] if raw.strip()[:1] != "#" else ""
        for offset, character in enumerate(raw):
            inside = covered[at + offset]
            assert inside == 1 if offset < len(body.rstrip()) and not character.isspace() else inside <= 1
        assert all(covered[at + offset] == 0 for offset in range(len(body.rstrip()), len(raw)))
        at += len(raw) + 1


def test_tabs_and_letters_beyond_ascii_keep_their_places() -> None:
    text = 'plan "Bänk 木"\r\n\tunit mm\r\nlet größe = 3\r\nlet zwölf = größe * ?\r\n'
    source = PlanText("a.plan", text)
    tree, mistakes = read(source)
    assert len(tree.statements) == 2
    [mistake] = mistakes
    assert source.position(mistake.span.start) == (4, 21)
    assert text[slice(*mistake.span)] == "?"


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("flush top # why", 10),
        ('plan "a # b" # c', 13),
        ('let a = 3" # c', 11),
        ('plan "four 4" # c', 14),
        ('let a = 3" + 4" # "', 16),
        ('plan "a # b', 11),
        ("flush top", 9),
    ],
)
def test_where_a_comment_starts(text: str, start: int) -> None:
    assert comment_start(text) == start


def test_overlapping_statements_are_no_text() -> None:
    tree = sound("flat = 1\n".replace("flat", "let flat"))
    node = tree.statements[0].node
    twice = Tree(tree.source, (Statement(node, Span(0, 12), 1), Statement(node, Span(4, 12), 1)))
    with pytest.raises(ValueError, match="overlaps"):
        print_tree(twice)


# ---------------------------------------------------------------- words that are read as the plan's

_UNDER = {
    "join": "join a.left to b.right\n    ",
    "part": "part a of b\n    ",
    "plan": 'plan "x"\n    ',
    "": "",
}


@pytest.mark.parametrize(
    ("place", "other", "plain"),
    [
        ("join", "flush with the top", "flush top"),
        ("join", "flush with the top edge and the front", "flush top, front"),
        ("join", "level with top", "flush top"),
        ("join", "centered left to right", "centred left to right"),
        ("join", "set back 1/4 in from the front face", "set back 1/4 in from front"),
        ("join", "inset 1/4 from left", "set back 1/4 from left"),
        ("join", "setback 1/4 at the front.", "set back 1/4 from front"),
        ("join", "proud 1/8 past the front", "proud 1/8 at front"),
        ("join", "3 down from the top", "3 from top"),
        ("join", "3/4 up from the bottom", "3/4 from bottom"),
        ("join", "2 pocket holes in the back", "pockets 2 in back"),
        ("join", "pockets 2 on the underside", "pockets 2 in bottom"),
        ("join", "pockets at 1 and 3 from top in back", "pockets at 1, 3 from top in back"),
        ("join", "1-1/4 in fine pocket screws", "screws fine 1-1/4 in"),
        ("join", "screws coarse-thread 1-1/4", "screws coarse 1-1/4"),
        ("join", "screws 3 thru b, 2 long", "screws 3 through b, 2 long"),
        ("join", "and glue", "glued"),
        ("join", "as mortice and tenon, 1 long", "as mortise and tenon, 1 long"),
        ("part", "34 long and 3 wide, facing the front", "34 long, 3 wide, facing front"),
        ("part", "rebate 3/8 by 1/2 along the back edge bottom", "rabbet 3/8 x 1/2 along back bottom"),
        (
            "part",
            "groove 1/4 wide, 3/8 deep along top, 1/2 from the back",
            "groove 1/4 wide 3/8 deep along top, 1/2 from back",
        ),
        ("part", "left end cut 45 deg., long at top", "left end cut 45 degrees, long at top"),
        ("part", "stands on the floor", "stands on floor"),
        ("plan", "seen from the front, left & right", "seen from front, left, right"),
        ("", "join a.left and c.left to b.right", "join a.left, c.left to b.right"),
        ("", "part c & d of b, 20 long, upright", "part c, d of b, 20 long, upright"),
        ("", "stock a of pine, 3/4-inch x 4-inch", "stock a of pine, 3/4 in x 4 in"),
        ("", "load 60 lbs on the shelf", "load 60 lb on shelf"),
    ],
)
def test_words_that_mean_one_thing_are_read_and_tidied_to_the_plans(
    place: str, other: str, plain: str
) -> None:
    """What they stand under, and the comment behind them, stay."""
    sound(_UNDER[place] + other)
    assert tidied(PlanText("a.plan", f"{_UNDER[place]}{other}  # so")) == f"{_UNDER[place]}{plain}  # so\n"


@pytest.mark.parametrize(
    ("place", "other"),
    [
        ("", "stock a of pine, 1 by 4"),  # nominal or not?
        ("join", "pockets at 1 and 1/2 from top in back"),  # two places or one?
        ("join", "flush with the leg"),
        ("join", "glued and screwed"),
        ("", "load 5 lb on a and b"),
        ("part", "the back"),
    ],
)
def test_words_that_may_mean_more_than_one_thing_are_not_read(place: str, other: str) -> None:
    assert read(PlanText("a.plan", _UNDER[place] + other))[1]


def test_a_line_that_reads_as_it_stands_is_never_put_in_other_words() -> None:
    text = "part the of rear, pounds long\njoin the.left to rebate.right\n    glued along the middle third\n"
    assert sound(text).plain == ()
    assert tidied(PlanText("a.plan", text)) == text


def test_what_is_read_in_other_words_is_placed_where_it_stands() -> None:
    """Each word that is kept is where the text has it, and words that are put in stand at what they are put for."""
    text = "join the rail.left and the post.left to leg.right\n    set back 1/4 from the front edge\n"
    [join] = sound(text).statements
    node: Any = join.node
    ends = [node.a, node.b, *(end for pair in node.others for end in pair)]
    told = {(end.part.text, end.side.text) for end in ends}
    at = ((end.part, end.side) for end in ends)
    assert told == {(text[part.start : part.end], text[side.start : side.end]) for part, side in at}
    [placing] = [detail.node for detail in join.details]
    assert isinstance(placing, t.PlacingLine)
    [side] = placing.sides
    assert text[slice(*join.details[0].span)] == "set back 1/4 from the front edge"
    assert "set back 1/4 from the front edge"[side.start : side.end] == "front edge"
