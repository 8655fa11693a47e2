"""Every mistake told once, at its place, in a builder's words; and nothing else spoiled by it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.grammar_cache import tools
from planlint.language.indentation import BELONGS
from planlint.language.reader import MOST_MISTAKES, read
from planlint.language.syntax_tree import JoinLine, Tree
from planlint.language.wishes import wish, with_its_own
from planlint.model.workshop import Settings
from planlint.text.resources import resource
from planlint.text.source import PlanText

TOP = 'plan "x"\n    '
UNDER_JOIN = "join a.left to b.right\n    "
UNDER_PART = "part a of b\n    "


def told(text: str) -> list[tuple[str, str]]:
    """Each mistake as the text it marks and what is said."""
    _, mistakes = read(PlanText("a.plan", text))
    return [(text[slice(*mistake.span)], mistake.says) for mistake in mistakes]


def tree_of(text: str) -> Tree:
    return read(PlanText("a.plan", text))[0]


MISSPELT = [
    ("prat a of b", "prat", "part"),
    ("Part a of b", "Part", "part"),
    (TOP + "unit inhc", "inhc", "inch"),
    (TOP + "unit milimetres", "milimetres", "mm"),
    (TOP + "sen from front", "sen", "seen"),
    (TOP + "seen from frnt, left", "frnt", "front"),
    (TOP + "screws stainles", "stainles", "stainless"),
    (TOP + "use as crip", "crip", "crib"),
    (UNDER_PART + "covered top by cushon", "cushon", "cushion"),
    (UNDER_JOIN + "flsh top", "flsh", "flush"),
    (UNDER_JOIN + "flush tpo", "tpo", "top"),
    (UNDER_JOIN + "set bak 1 from top", "bak", "back"),
    (UNDER_JOIN + "2 frm top", "frm", "from"),
    (UNDER_JOIN + "pockets 2 in bakc", "bakc", "back"),
    (UNDER_JOIN + "pockets 2 in b.frotn", "frotn", "front"),
    (UNDER_JOIN + "pockets 2 in back, pluged", "pluged", "plugged"),
    (UNDER_JOIN + "screws corse 1-1/4", "corse", "coarse"),
    (UNDER_JOIN + "screws fine guage 7", "guage", "gauge"),
    (UNDER_JOIN + "centred left to rihgt", "left to rihgt", "left to right"),
    (UNDER_JOIN + "as dowels, dowl 2 long", "dowl", "dowel"),
    (UNDER_PART + "uprihgt", "uprihgt", "upright"),
    (UNDER_PART + "facing rihgt", "rihgt", "right"),
    (UNDER_PART + "34 inchs long", "inchs", "inches"),
    ("part a of b, 34 in lnog", "lnog", "long"),
    ("part leg off post, 34 long", "off", "of"),
]


@pytest.mark.parametrize(("text", "word", "meant"), MISSPELT)
def test_a_misspelt_word_gets_the_nearest_one(text: str, word: str, meant: str) -> None:
    [(marked, says)] = told(text)
    assert marked == word
    assert f"`{word}`" in says
    assert f"`{meant}`" in says


@pytest.mark.parametrize(
    ("text", "marked", "said"),
    [
        ("part leg post, 34 long", "post", "`of` is missing before `post`"),
        ("part leg of post 34 long", "34", "a comma is missing before `34`"),
        ("part leg of post, 34, upright", ",", "`long`, `wide` or `thick` is missing before `,`"),
        ("part leg of post, 34 long upright", "upright", "a comma is missing before `upright`"),
        ("part a, of b", "of", "a name is missing before `of`, or the comma before it is one too many"),
        ("part a of b, cross-wise", "cross-wise", "it is one word: `crosswise`"),
        (
            TOP + "seen from the sofa",
            "seen from the sofa",
            "`sofa` cannot stand here; `all round`, `nowhere`",
        ),
        ("part leg of post,", ",", "a detail of the part is due behind this comma"),
        ("part", "", "this line stops too early: a name is due"),
        ("let gap = 1 +", "", "this line stops too early: a name or a number is due"),
        ("partleg of post", "partleg", "a space is missing in `partleg`: `part leg`"),
        ("join a.left b.right", "b", "`to` is missing before `b`"),
        ("join a left to b.right", "left", "a dot is missing before `left`"),
        ("join a.left to b", "b", "a side is missing after `b`, such as `b.right`"),
        ("join a to b.right", "a", "a side is missing after `a`, such as `a.left`"),
        ("join a_left to b.right", "a_left", "or is `a.left` meant?"),
        ("leg of post, 34 long", "leg", "`part` is missing at the start of this line"),
        ("a.left to b.right", "a.left", "`join` is missing at the start of this line"),
        (UNDER_JOIN + "top, front", "top", "`flush` is missing at the start of this line"),
        (UNDER_PART + "wobble to 3", "wobble to 3", "can stand behind `#`: `# wobble to 3`"),
        (
            "join a.left to b.right, flush top",
            "join a.left to b.right, flush top",
            "stands on lines of their own, indented under `join a.left to b.right`",
        ),
        (UNDER_JOIN + "pockets in back", "pockets in back", "say such as `pockets 2 in back`"),
        (
            UNDER_JOIN + "screws 1-1/4",
            "screws 1-1/4",
            "screws are told with their thread: `screws coarse 1-1/4`",
        ),
        (UNDER_JOIN + "flush", "", "a side (left, right, front, back, top, bottom) is due"),
        (
            UNDER_JOIN + "as dovetail",
            "as dovetail",
            "`as through dovetail`, `as half-blind dovetail`, or `as sliding dovetail, 3/8 deep`",
        ),
        (UNDER_JOIN + "wobble", "wobble", "a join says where its part sits, as `flush top`"),
        (UNDER_JOIN + "set back 3 -1/2 from top", "-", "a minus sign has a space on both sides"),
        (UNDER_PART + "wobble red", "wobble red", "a part says how large it is, as `24 long`"),
        (UNDER_PART + "turned 45 about z", "z", "`crosswise`, `deep` or `vertical` could"),
        (
            UNDER_PART + "notch 1 x 2 x 3 at top left",
            "notch 1 x 2 x 3 at top left",
            "a side for each of its 3",
        ),
        ("let a = (1 + 2", "(", "this bracket is never closed"),
        ("let a = 1 + 2)", ")", "this bracket closes nothing"),
        ("let a = 3-1", "-", "a minus sign has a space on both sides"),
        ("let a = root(2)", "root", "`root` is not a function"),
        ("let a = 5 furlongs", "furlongs", "`furlongs` is not a unit"),
        ("let a = 2 * + 3", "+", "`+` cannot stand here; a name or a number could"),
        ("let a = 1/0", "1/0", "0 under the line"),
        ("let a = ½", "½", "write `1/2`"),
        ("let a = [3]", "[", "round brackets"),
        ("join slat_[n].left to leg.right", "slat_[n]", "`slat_{n}`"),
        ("join slat(n).left to leg.right", "slat(n)", "`slat_{n}`"),
        ("join slat_$n.left to leg.right", "slat_$n", "`slat_{n}`"),
        ("let a 3", "3", "an equals sign is missing"),
        ("plan Potting bench", "Potting bench", 'the title stands in double quotes: "Potting bench"'),
        ('plan "Potting bench', '"Potting bench', "this quote is not closed on its line"),
        ("let unit = mm", "unit", "the unit of a plan stands under its first line, `plan`: `unit mm`"),
        ("let top = 3", "top", "the name `top` is a reserved word"),
        ("for left in 1 to 2\n  let q = 1", "left", "the name `left` is a reserved word"),
        ("assembly a(top)\n  let q = 1\nend", "top", "the name `top` is a reserved word"),
        ("for min in 1 to 2\n  let q = 1", "min", "the name `min` is a reserved word"),
        ("stock a of pine", "", "a comma and a size, such as `, 4x4`"),
        ("stock a of pine, 3/4 x5", "stock a of pine, 3/4 x5", "say `stock a of pine, 3/4 x 5`"),
        ("load 60 on shelf", "on", "`on` cannot stand here; lb, kg or N could"),
        ("load 60 mm lb on shelf", "60 mm", "a load is written in lb, kg or N"),
        ('accept wide on a because cheap, "so"', 'cheap, "so"', "the reason stands in double quotes"),
        ("use a.plan", "use a.plan", 'say `use "a.plan"`'),
        ("place drawer d", "d", "`as` is missing before `d`"),
        ("place drawer as d wide 3", "wide", "a comma is missing before `wide`"),
        ("end", "end", "`end` closes an assembly, and none is open here"),
        ("edn", "edn", "did you mean `end`?"),
        ("assembly a\n  let b = 1\n", "assembly a", "this assembly does not end"),
        ("assembly a\nend\n", "assembly a", "nothing stands in this assembly"),
        ("assembly a\n  let b = 1\n  end\n", "end", "closes the assembly on line 1: line it up"),
        ('for n in 1 to 2\n  use "a.plan"', 'use "a.plan"', "write it at the margin"),
        ("for n in 1 to 2\n  assembly a\n    let b = 1\n  end", "assembly a", "place it here"),
        (UNDER_PART + "from 2 to 28", "from 2 to 28", "it stands right behind one, on its line"),
        (
            UNDER_PART + "notch 1 x 2 at top left, from 2 to 28",
            "from 2 to 28",
            "a groove, dado, rabbet or arch",
        ),
        ("hello world this is a letter", "hello", "no line starts with `hello`"),
        ("??? !!!", "?", "`?` is not a character of the plan language"),
        ("part a of b, 3\u00a0long", "\u00a0", "NO-BREAK SPACE (U+00A0)"),
    ],
)
def test_what_is_said(text: str, marked: str, said: str) -> None:
    [(where, says)] = told(text)
    assert where == marked
    assert said in says


def test_no_message_is_a_list_of_token_names() -> None:
    for text in (
        "part",
        "join",
        "1",
        UNDER_JOIN + "pockets",
        UNDER_PART + "34",
        "let a = 1 2",
        "stock a of b, 1",
    ):
        [(_, says)] = told(text)
        assert len(says) < 200, says
        assert not any(word.isupper() and len(word) > 2 for word in says.split()), says


TWO = [
    ("part leg of post, 34 lnog, uprihgt", ["lnog", "uprihgt"]),
    ("part leg of post, 34 long, colour red, uprihgt", ["colour red", "uprihgt"]),
    ("part leg post 34 long", ["part leg post 34 long"]),
    ("part min of max", ["min", "max"]),
    ("prat min of post", ["prat", "min"]),
    ("part a of b, left edn cut 45, long at tpo", ["edn", "tpo"]),
    ("part a of b, wobble, bobble", ["wobble", "bobble"]),
    ("prt leg wobble bobble of post of, 34 lnog", ["prt", "wobble", "lnog"]),
    ("join a.left to b.right as dowels, 2 lnog, 3/8 thik", ["lnog", "thik"]),
    ("let a = 1/0 + 1234567890123", ["1/0", "1234567890123"]),
    ("let a = (1 + 2 -3", ["(", "-"]),
    (UNDER_JOIN + "flsh top\n    screws corse", ["flsh", "corse"]),
    (UNDER_JOIN + "flsh top\n    flsh top", ["flsh", "flsh"]),
    (UNDER_JOIN + "pockets at 1, 2 form tpo in back", ["form", "tpo"]),
    ("prat a of b\n    34 lnog", ["prat", "lnog"]),
    ("join a.lft to b.right\n    flush top\n    flsh front\npart c of d, 1 lnog", ["lft", "flsh", "lnog"]),
    ("wobble\npart a of b\nwobble", ["wobble", "wobble"]),
    (TOP + "unit inhc\n    seen form front", ["inhc", "form"]),
    ("let a = [\nlet b = (", ["[", ""]),
    ("stock a pine, 4x4\nstock b of oak 1x4", ["pine", "1"]),
]


@pytest.mark.parametrize(("text", "marked"), TWO)
def test_each_mistake_is_told(text: str, marked: list[str]) -> None:
    assert [where for where, _ in told(text)] == marked


ONE_OF_EACH = [
    'plan "Bench"',
    TOP + "seen from front, left, right",
    TOP + "eye height 63 in",
    "let apron_long = bench_long - 2 * 3-1/2",
    "stock sheet of birch plywood, 3/4 thick, 48 x 96",
    "part leg_fl, leg_fr of post, 34 long, upright, facing front",
    UNDER_PART + "ends cut 45, long at top, groove 1/4 wide 3/8 deep along front, 1/2 from bottom",
    UNDER_PART + "hung with bottom at 54 in, finish front only, rings up",
    "join apron.left to leg.right as mortise and tenon, tenon 1 long, 3/8 thick",
    UNDER_JOIN + "set back 1/4 from front",
    UNDER_JOIN + "pockets at 1, 2-1/2 from top in shelf.back, plugged",
    UNDER_JOIN + "pockets every 7 from 2 of left in bottom",
    UNDER_JOIN + "screws coarse 1-1/4 gauge 8",
    UNDER_JOIN + "glued along the middle third",
    "for n in 1 to 7\n    let a = n",
    "load 60 lb per foot on shelf",
    'accept wide-spacing on apron.left because "glued"',
]


def slips(word: str) -> set[str]:
    """A word with two letters swapped, or with one left out."""
    places = range(len(word))
    swapped = {word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :] for at in places}
    return (swapped | {word[:at] + word[at + 1 :] for at in places}) - {word}


@pytest.mark.parametrize("text", ONE_OF_EACH)
def test_one_slip_of_the_pen_is_at_most_one_mistake(text: str) -> None:
    assert told(text) == []
    last = text.rfind("\n    ") + 1 if not text.startswith("for") else 0
    for found in re.finditer(r"[a-z]{3,}", text[last:]):
        for slip in slips(found.group()):
            wrong = text[: last + found.start()] + slip + text[last + found.end() :]
            assert len(told(wrong)) <= 1, wrong


def test_the_details_of_a_broken_line_are_no_mistakes() -> None:
    text = "join ??? to b.right\n    flush top\n    pockets 2 in back\nfoo bar\n    34 long\n        rough\nlet a = 1\n"
    assert [where for where, _ in told(text)] == ["?", "foo"]
    assert len(tree_of(text).statements) == 1


def test_mistakes_under_a_broken_line_are_still_told() -> None:
    assert [where for where, _ in told("join ??? to b.right\n    flsh of\n    pockets 2 in bakc\n")] == [
        "?",
        "flsh",
        "of",
        "bakc",
    ]


def test_a_line_put_right_is_kept() -> None:
    text = "join  a.lft  to b.right as dowles\n    flsh  tpo\n"
    tree = tree_of(text)
    [join] = tree.statements
    assert isinstance(join.node, JoinLine)
    assert text[slice(*join.at(join.node.a.side.start, join.node.a.side.end))] == "lft"
    assert text[slice(*join.at(join.node.b.start, join.node.b.end))] == "b.right"
    assert len(join.details) == 1


def test_what_an_unread_line_may_define_is_remembered() -> None:
    tree = tree_of("part leg_a, slat_{n + 1} of post, wobble\njoin ?\n    flush top\nlet good = 1\n")
    assert {"leg_a", "slat_{"} <= tree.unread_names
    assert "good" not in tree.unread_names
    assert not tree_of("let good = 1").unread_names


def test_a_reserved_name_is_told_once_however_often_it_is_used() -> None:
    assert len(told("part min of post\njoin min.left to a.right\njoin min.right to a.left\n")) == 1


def test_an_assembly_with_a_broken_first_line_is_one_mistake() -> None:
    text = "assembly ?(wide)\n    part a of b\nend\npart e of f\n"
    assert [where for where, _ in told(text)] == ["?"]
    tree = tree_of(text)
    assert [statement.line for statement in tree.statements] == [4]
    assert "a" in tree.unread_names


# ---------------------------------------------------------------- indentation


@pytest.mark.parametrize(
    ("text", "marked", "said"),
    [
        (
            "flush top\nset back 1 from top\n",
            "flush top",
            "this is a detail of a join: indent it under its `join` line",
        ),
        (
            "part a of b\n    flush top\n    flush left\n",
            "flush top",
            "`flush` is a detail of a join and cannot stand under",
        ),
        (TOP + "part a of b\n    part c of d\n", "part a of b", "line it up with the `plan` line"),
        ("  part a of b\n  part c of d\n", "part a of b", "nothing above it takes lines under it"),
        ("stock a of pine, 1x4\n    exterior\n", "exterior", "indent it under its `part` line"),
        ("part a of b\n    upright\n  rough\n  exterior\n", "rough", "indented less than"),
        ("part a of b\n  upright\n    rough\n    exterior\n", "rough", "indented further than"),
        ("part a of b\n    upright\n\trough\n", "\t", "use only one of the two"),
        ("part a of b\n \t upright\n \t rough\n", " \t ", "tabs and spaces"),
        ("for n in 1 to 2\nlet a = 1\n", "for n in 1 to 2", "nothing stands under this `for`"),
        ('for n in 1 to 2\n    plan "x"\n', 'plan "x"', "cannot be repeated"),
    ],
)
def test_wrong_indentation(text: str, marked: str, said: str) -> None:
    [(where, says)] = told(text)
    assert where == marked
    assert said in says


def test_statements_in_the_wrong_place_are_kept() -> None:
    text = TOP + "part a of b\n        upright\n    part c of d\njoin a.left to c.right\n"
    tree = tree_of(text)
    assert [len(one.details) for one in tree.statements] == [0, 1, 0, 0]


# ---------------------------------------------------------------- too many


def test_a_hundred_mistakes_are_enough() -> None:
    text = "".join(f"wobble {n}\n" for n in range(250))
    says = [said for _, said in told(text)]
    assert len(says) == MOST_MISTAKES + 1
    assert says[-1].startswith("100 mistakes up to here: 150 more lines were not read")


def test_a_hundred_mistakes_at_the_very_end_leave_nothing_unread() -> None:
    assert len(told("wobble 1\n" * 100)) == 100
    assert "one more line was not read" in told("wobble 1\n" * 100 + "let a = 1\n")[-1][1]


SAID_OTHERWISE = [
    (UNDER_PART + "20½ long", "20½", "write `20-1/2`"),
    (UNDER_PART + "20 ¼ long", "20 ¼", "write `20-1/4`"),
    (UNDER_PART + "½ long", "½", "write `1/2`"),
    (UNDER_JOIN + "set back 20½ from front", "20½", "write `20-1/2`"),
    (UNDER_PART + "201/2 long", "201/2", "did you mean `20-1/2`?"),
    (UNDER_PART + '2015/16" long', '2015/16"', "did you mean `20-15/16` or `201-5/16`?"),
    (UNDER_PART + "20.1/2 long", "20.1/2", "did you mean `20-1/2`?"),
    (UNDER_PART + "20,5 long", "20,5", "a decimal has a point: `20.5`"),
    ("part a of b, 20,5 long, upright", "20,5", "a decimal has a point: `20.5`"),
    (UNDER_PART + "facing top", "facing top", "say `facing up`"),
    (UNDER_PART + "facing bottom", "facing bottom", "say `facing down`"),
    (UNDER_PART + "horizontal", "horizontal", "`crosswise` (left to right) or `deep`"),
    ("part a of b, 20 long, horizontal", "horizontal", "`crosswise` (left to right) or `deep`"),
    (UNDER_PART + "vertical", "vertical", "say `upright`"),
    ("part left-side of b, 20 long", "left-side", "names have `_`: `left_side`"),
    ("part low-left-side, x of b, 20 long", "low-left-side", "names have `_`: `low_left_side`"),
    ("join left-side.top to a.left", "left-side", "names have `_`: `left_side`"),
    ("accept lone_screw on a.left", "lone_screw", "the names of rules have `-`: `lone-screw`"),
    ("part a of b, rail-long long, upright", "rail-long", "names have `_`: `rail_long`"),
    ("part a of b, 20” long, upright", "”", 'write `"`'),
    ("stock a of pine, 1×4", "×", "write `x`"),
    ("stock a of pine, “1×4”", "stock a of pine, “1×4”", "say `stock a of pine, 1x4`"),
    (UNDER_JOIN + "slides 20” long", "”", 'write `"`'),
    (UNDER_JOIN + "screws coarse 1 -1/4", "-", "a minus sign has a space on both sides"),
]


@pytest.mark.parametrize(("text", "word", "instead"), SAID_OTHERWISE)
def test_what_is_said_otherwise_is_told_as_it_is_said(text: str, word: str, instead: str) -> None:
    [(marked, says)] = told(text)
    assert marked == word
    assert instead in says


@pytest.mark.parametrize(
    "number",
    [
        "127/2",
        "33/2",
        "63/32",
        "1000/4",
        "200/3",
        "202/4",
        "1205/10",
        "100-1/2",
        "100 1/2",
        "201 / 2",
        "5/4",
        "20.5",
    ],
)
def test_an_honest_number_is_not_asked_about(number: str) -> None:
    assert not told(UNDER_PART + f"({number}) long")


@pytest.mark.parametrize("line", ["let a = wide - 2", "part a of b, wide - 2 long"])
def test_a_minus_is_no_hyphen(line: str) -> None:
    assert not told(line)


@pytest.mark.parametrize(
    ("line", "place", "says"),
    [
        ("screwed through every 8", "join", "`screws every 8 from 2 to 2 through b, gauge 8, 2 long`"),
        ("screws through 8, 4 x 50", "join", "`screws 8 through b, 4 thick, 50 long`"),
        ("screwed 8, 4 x 50", "join", "`screws 8 through b, 4 thick, 50 long`"),
        ("pocket screws every 7 in the bottom", "join", "`pockets every 7 from 2 to 2 in bottom`"),
        ("overhangs 1 at front and 2 at left", "join", "own: `proud 1 at front`, `proud 2 at left`"),
        ("part leg_1 - leg_4 of post, 28 long", "", "`for n in 1 to 4`"),
        ("glued and screwed", "join", "a line of its own: `glued`"),
        ("overhang 1 at front", "join", "`proud 1 at front`"),
        ("in the middle", "join", "meet: `centred front to back` or `centred top to bottom`"),
        ("30 above the floor", "join", "`30 from bottom`"),
        ("2 holes 1/4 in front", "part", "each hole has a line of its own"),
        (
            "part back_l, back_r each of board, 34 long",
            "",
            "`part back_l, back_r of board, 34 long, crosswise, facing front`",
        ),
        ("place a drawer at the bottom", "", "`place drawer as left_one"),
        ("bolted", "join", "`bolts 2 through b, 5/16 thick, 4 long`"),
        ("dado 3/8 deep", "join", "`as dado, 3/8 deep`"),
        ("length 34", "part", "`34 long`"),
        ("34 tall", "part", "`34 long` where it stands upright"),
        ("board side of oak, 3 long", "", "`part side of STOCK"),
        ("attach rail to leg", "", "`join rail.left to leg.right`"),
        ("repeat 5 times", "", "`for n in 1 to 5`"),
        ("if wide > 30", "", "a plan has no conditions"),
        ("place drawer 3 times", "", "`place drawer as drawer_1`"),
        ("join left side of shelf to side", "", "`join shelf.left to OTHER.right`"),
        ("stopped dado, 3/8 deep, stops 1/2 from front", "join", "`as dado, 3/8 deep, stub`"),
        ("carriage bolt 3/8-16 x 5", "join", "`bolts 2 through b, 3/8 thick, 5 long`"),
        ("screws 2 from leg side", "join", "`screws 2 through leg, gauge 8, 2 long`"),
        ("loose tenon, 2 long, 3/8 thick", "join", "`as loose spline, 2 wide, 3/8 thick`"),
        ("flush top and pockets 2 in back", "join", "a line of its own: `flush top`, `pockets 2 in back`"),
        ("load 25 psf on shelf", "", "`load 25 lb per foot on shelf`"),
        ("two 1-1/4 in fine pocket screws", "join", "own: `pockets 2 in back`, `screws fine 1-1/4 in`"),
        ("cross dowels, M6 x 80", "join", "`bolts 2 through b, M6, 80 mm long, into inserts`"),
        ("dowel joint, 2 dowels 3/8 x 1-1/2", "join", "`as dowels 2, 3/8 thick, 1-1/2 long`"),
        ("2 mm gap between c and d", "part", "under `part c`, `gap 2 mm to d`"),
        ("1/2 from the floor", "part", "where a part lies is told by its joins"),
        ("place drawer_{n} for n in 1 to 3", "", "`for n in 1 to 3`, and `place drawer as drawer_{n}`"),
        ("4 pockets, 2 each side", "join", "own: `pockets 2 in front`, `pockets 2 in back`"),
        ("pockets at 1 and 3 in back", "join", "`pockets at 1, 3 from top in back`"),
        ("threaded inserts 2", "join", "`bolts 2 through b, 5/16 thick, 4 long, into inserts`"),
        (
            "dado 3/4 wide 3/8 deep across left at 12",
            "part",
            "`dado 3/4 wide 3/8 deep across left, 12 from back`",
        ),
        ("hole 2 dia in top, 6 from left", "part", "`hole 2 wide in top, 6 from left, 3 from front`"),
        ("3/4 dia", "part", "a round rod is told as one, `stock rod of birch, 3/4 x 3/4`"),
        ("3/8 x 1/4 rabbet along the back", "part", "`rabbet 3/8 x 1/4 along back bottom`"),
        ("mirrored left to right", "part", "says so on its first line: `part a like OTHER` or"),
        ("on all shelves", "part", "parts as `part shelf_1, shelf_2 of b`"),
        ("part rail of pine, 1x4, 30 long, facing front", "", "`stock board of pine, 1x4`"),
        (
            "join both ends of rail to stile",
            "",
            "`join rail.left, rail.right to stile_l.right, stile_r.left`",
        ),
        ("stock pine 1x4", "", "`stock pine of pine, 1x4`"),
        ("let total wide = 30", "", "a name is one word: `let total_wide = 30`"),
        ("let a = 3, b = 4", "", "`let a = 3` and `let b = 4`"),
        ("load 50 lb at the middle of shelf", "", "`load 50 lb on shelf`"),
        (
            "1 overhang front and sides",
            "join",
            "own: `proud 1 at front`, `proud 1 at left`, `proud 1 at right`",
        ),
        ("as M & T 1-1/4 x 3/8", "join", "`as mortise and tenon, 1-1/4 long, 3/8 thick`"),
        ("45 on both ends", "part", "`ends cut 45, long at top`"),
        ("part door mirrors other door", "", "a name is one word, such as `other_door`"),
        (
            "part side panel of sheet, 30 long",
            "",
            "`part side_panel of sheet, 30 long, upright, facing left`",
        ),
        ("join front rail.left to stile.right", "", "a name is one word, such as `front_rail`"),
        (
            "join a.left to b.right glued and pocketed",
            "",
            "`join a.left to b.right`: `glued`, `pockets 2 in back`",
        ),
        ("place drawer as d1 at left", "", "where it lies, its joins say"),
        ("load 30 lbs/foot on all shelves", "", "`load 30 lb per foot on shelf_1`"),
        ("accept lone-screw everywhere", "", "`accept lone-screw on rail.left because"),
        ("join c.left -> d.right pockets 2 in bottom", "", "`join c.left to d.right`: `pockets 2 in bottom`"),
        ("part c, 1/4 ply, 30 x 20", "", "`part c of STOCK, 30 long, 20 wide"),
        ("join rail.left/right to leg.right", "", "`join rail.left, rail.right to leg.right, other.left`"),
        ("veneer edge front & left", "part", "`taped front, taped left`"),
        ("clear coat", "part", "`finish both faces`"),
        ("finish with oil", "part", "`finish both faces`"),
        ("gap to slat_1 1/8", "part", "`gap 1/8 to slat_1`"),
        ("gap of 1/4 between slats", "part", "`gap 1/4 to OTHER`"),
        ("against the wall", "part", "a piece at a wall says so in its plan, `seen from front, left, right`"),
        ("as dowels x 3", "join", "`as dowels 3`"),
        ("screw through face with 3 screws", "join", "`screws 3 through b, gauge 8, 2 long`"),
        (
            "pockets every 4 in back",
            "join",
            "say where the first and the last lie, such as `pockets every 4 from 2 to 2 in",
        ),
        ("flush to the outside face", "join", "it takes a side of the part, such as `flush top`"),
        ("part leg_r mirrors side_l with cuts", "", "say `part leg_r mirrors side_l`"),
        ("part leg_r is like leg_l", "", "say `part leg_r like leg_l`"),
        ("part 4 legs of posts, 29 long", "", "`part leg_1, leg_2, leg_3, leg_4 of posts, 29 long, upright"),
        ("part c of 1/4 plywood, 30 long", "", "`stock board of plywood, 1/4 thick`"),
        ("stock 2x4 of pine", "", "`stock board of pine, 2x4`"),
        ("stock pine of 2 x 6", "", "`stock pine of pine, 2x6`"),
        ("let n = 5 shelves", "", "`let n = 5`"),
        ("let a = b minus 2 sides", "", "`let a = b - 2 * sides`"),
        ("place a and b", "", "`place a as a_1`"),
        ("for slat in slats", "", "a loop counts one by one: `for n in 1 to 3`"),
        (
            "part slat_{n} of c 12 long, for n = 1 to 5",
            "",
            "`part slat_{n} of c, 12 long, crosswise, facing up` indented under it",
        ),
        ("glue & 18ga brads", "join", "own: `glued`, `nails 2 through b, 1-1/2 long`"),
        (
            "groove 1/4 wide 1/4 deep on bottom 1/2 from bottom",
            "part",
            "`1/2 from bottom` has no place in it",
        ),
        ("slides, 18 in, 1/2 gap", "join", "`slides 18 in long, 1/2 thick`"),
        ("15 degree bevel on front edge", "part", "`front edge cut 15, long at top`"),
        ("45 degree miter on top end", "part", "`top end cut 45, long at front`"),
        ("veneer tape on all edges", "part", "`taped front`"),
        ("laying flat", "part", "a part that lies flat says `facing up`"),
        ("2 in hole at center", "part", "`hole 2 in wide in front, 24 / 2 from left, 3 from bottom`"),
        ("place c twice", "", "`place c as c_1`"),
        ("for n from 4 down to 1", "", "a loop counts one by one"),
        ("load 50 lb on shelf_1, shelf_2", "", "a load is told of one part"),
        ("let t = thickness of sheet", "", "`part NAME like sheet`"),
        (
            "join shelf to side_l, side_r",
            "",
            "parts are joined side to side: `join shelf.left to side_l.right`",
        ),
        (
            "join c.left to d.right, c.right to e.left",
            "",
            "`join c.left to d.right` and `join c.right to e.left`",
        ),
        ("join c.left to d.right in the middle", "", "`centred left to right`"),
        ("opening to the left", "part", "`hinges 2, 2-1/2 long` under `join door.left"),
        ("but without dado", "part", "what it lacks is left out"),
        ("handle cutout 4 x 1 in top", "part", "`cutout 4 x 1 in top, 2 from front, 3 from left`"),
        ("flush to leg front", "part", "`in line with leg.front`"),
        ("spaced 2 apart", "part", "`gap 2 to OTHER`"),
        ("1/8 gap at top", "join", "what a part stands off another is told under the part"),
        ("load 2 people on bench", "", "`load 400 lb on bench`"),
        ("toenailed", "join", "`nails 2 through b, 1-1/2 long`"),
        ("deck screws 3 in", "join", "`screws 2 through b, 3 in long`"),
        ("screw every 6 inches", "join", "`screws every 6 inches from 2 to 2 through b, gauge 8, 2 long`"),
        ("magnet catch", "join", "such hardware is not part of a plan"),
        (
            "wedged through tenon",
            "join",
            "wedges and pegs are not said, and can stand behind",
        ),
        ("haunched tenon, 1-1/4 deep", "join", "`as mortise and tenon, 1-1/4 long, haunched`"),
        ("half-blind dovetails, 5 tails", "join", "`as half-blind dovetail, 3/8 deep`"),
        ("flush with the leg", "join", "it takes a side of the part, such as `flush top`"),
        (
            "screws coarse 1-1/4, exterior",
            "join",
            "what screws are made of is said once, under `plan`",
        ),
        ("upside down", "part", "`facing down`"),
        ("overhang 1 at front", "part", "under its `join` line: say `proud 1 at front`"),
        (
            "tenon 1 long on both ends",
            "part",
            "under its `join` line: say such as `as mortise and tenon, 1 long`",
        ),
        ("pocket hole screws 1-1/4", "", "under its `join` line: screws are told with their thread"),
        ("outdoor furniture", "plan", "what stands outdoors is said of each part, `exterior`"),
        ("join the rail to the leg", "", "parts are joined side to side: `join rail.left to leg.right`"),
        ("part rail (front) of board, 20 long", "", "`part rail_front of STOCK`"),
        ("3 drawers", "plan", "what the piece is made of stands at the margin"),
        ("part c of b, 20 long, sideways, facing up", "", "`part c of b, 20 long, crosswise, facing up`"),
        (
            "part c of b, 20 long, on edge, facing front",
            "",
            "`part c of b, 20 long, crosswise, facing front`",
        ),
        ("cut corners at 45", "part", "`chamfer 1/2 at front top`"),
        ("no screws, glue only", "join", "what is not said is not there: `glued` alone"),
        ("weight 40 lb", "plan", "what the piece weighs is worked out"),
        ("humidity 40 to 60 percent", "plan", "stands in its `planlint.toml`, not in the plan"),
        (
            "part c of pine board, 20 long, crosswise, facing up",
            "",
            "a name is one word, such as `pine_board`",
        ),
        ("join a.left to b.right at top", "", "indented under `join a.left to b.right`: `flush top`"),
        ("dado joint", "join", "`as dado, 3/8 deep`"),
        (
            "dadoes for shelves at 6 and 12 from left",
            "part",
            "across back, 6 from left`, `dado 3/4 wide 3/8 deep across back, 12 from left`",
        ),
        ("pockets 2 from back", "join", "`pockets 2 in back`"),
        (
            "part c of board, 18 wide, 4 high, crosswise",
            "",
            "`part c of board, 18 long, 4 wide, crosswise, facing front`",
        ),
        ("as bridle joint, open", "join", "`as bridle`; `open` has no place in it"),
        ("confirmat screws 2", "join", "such a fitting cannot be said"),
        ("a rail of board, 20 long", "", "`part` is missing at the start of this line"),
        ("rail to leg", "", "parts are joined side to side: `join rail.left to leg.right`"),
        ("1/4 back", "join", "`set back 1/4 from front`"),
        ("let in 3/8", "join", "`as dado, 3/8 deep`"),
        ("wooden pegs 3/8, 2", "join", "`as dowels 2, 3/8 thick`"),
        ("feet 1 in high", "part", "each board is a part with a line of its own"),
        ("for use in a bathroom", "plan", "only `for children` makes a difference"),
        ("part c of board 1x4, 20 long, upright", "", "`stock board of pine, 1x4`"),
        ("join a.left to inside of b", "", "`join a.left to b.right`"),
        ("screw length 1-1/4", "join", "`screws coarse 1-1/4` in softwood"),
        ("3 nails from the side, 2 in", "join", "`nails 3 through b, 2 in long`"),
        ("treated wood", "plan", "how the wood is sold is said of the stock: `stock post of treated"),
        ("attached to leg_l", "part", "told by a join at the margin: `join a.left to leg_l.right`"),
        ("pockets spaced 2 apart in back", "join", "`pockets every 2 from 2 to 2 in back`"),
        ("drill 2 pocket holes in back", "join", "say `pockets 2 in back`"),
        (
            "join c.left to d.right / c.right to e.left",
            "",
            "`join c.left to d.right` and `join c.right to e.left`",
        ),
        ("painted white", "part", "a finish is told by the faces that get it"),
        ("queen bed", "plan", "is said of the part that it covers"),
        ("join c.left and c.right to legs", "", "`join c.left, c.right to legs.right, other.left`"),
        ("part c of 3 pcs board, 20 long", "", "each part has a name of its own"),
        ("join c.bottom on d.top, glued", "", "`join c.bottom to d.top`: `glued`"),
        (
            "join c left to d right, flush front, pockets 2 in bottom",
            "",
            "`flush front`, `pockets 2 in bottom`",
        ),
        ("recess 1/4 for glass", "part", "`rabbet 3/8 x 1/4 along back top`"),
        ("recess 3/8 in the front", "part", "`cutout 6 x 4 x 3/8 in front, 3 from left, 2 from bottom`"),
        ("cut three of these", "part", "`for n in 1 to 3`, and `part a_{n} of"),
        ("same as c but 2 inches shorter", "part", "`part a like c, 34 long"),
        ("hardwood lipping front", "part", "`taped front`; a strip of wood is a part of its own"),
        ("bore for a 3/8 bolt, recess for the nut", "join", "`bolts 2 through b, 3/8 thick, 4 long`"),
        ("pockets 3 in the inside face of b", "join", "`pockets 3 in b.back`"),
        ("leave an 1/8 reveal all round", "join", "`set back 1/8 from front`, `set back 1/8 from top"),
        ("flush top and front, pockets 2 back", "join", "own: `flush top, front`, `pockets 2 in back`"),
        ("seen from all round, seated", "plan", "`seen from all round`, and `eye height 48 in"),
        ("finish danish oil", "plan", "under each part: `finish both faces` or"),
        ("load 40 lb at the middle of shelf", "", "`load 40 lb on shelf`"),
        ("fix c.top to d.bottom", "", "`join c.top to d.bottom`"),
        (
            "three rails of board, 22 long",
            "",
            "`part rail_1, rail_2, rail_3 of board, 22 long, crosswise, facing front`",
        ),
        ("part legs 4 of b, 28 long, upright", "", "`part leg_{n} of b, 28 long, upright`"),
        ("20 kg of plates on shelf", "", "`load 20 kg on shelf`"),
        ("two dowels 3/8 x 1-1/2 and two pockets behind", "join", "1-1/2 long`, `pockets 2 in back"),
        ("repeat the last part 3 times", "", "`for n in 1 to 3`"),
    ],
)
def test_one_wish_in_other_words_is_told_once(line: str, place: str, says: str) -> None:
    """The whole line is marked, and the line that is offered can be read."""
    under = {"join": UNDER_JOIN, "part": UNDER_PART, "plan": TOP, "": ""}[place]
    [(where, said)] = told(under + line)
    assert where == line
    assert says in said
    if place and says.startswith("`") and says.endswith("`"):
        assert told(under + says.strip("`")) == []


@pytest.mark.parametrize(
    ("line", "marked", "says"),
    [
        ("let a = 2 * atan(3 / 4)", "atan(3 / 4)", "no angle is worked out from lengths"),
        ("let a = 30 / 7 rounded to 1/16", "rounded to 1/16", "no sum is rounded"),
        ("part c of b, 20 long, opens left, uprihgt", "opens left", "`hinges 2, 2-1/2 long`"),
        ("part c of b, 20 long, standing on edge", "standing on edge", "one on edge `facing front`"),
        (
            "part c of b, 20 long, facing outside, deep",
            "facing outside",
            "a face looks front, back, left, right",
        ),
        ("part c of b, deep, total_long, 3 wide", "total_long", "`total_long long`, `total_long wide`"),
        ("part c of b, 20 long, facing front and back", "facing front and back", "a part has one face"),
        ("part c of b, 20 long, deep, 2 of them", "2 of them", "each part has a name of its own"),
        ("part c of b, 20 long, parallel to a", "parallel to a", "its length runs along the grain"),
        ("part c of b, 20 long, rounded ends", "rounded ends", "`ends rounded 1/2`"),
        ("part c of b, 20 long, deep, pocket holes in back", "pocket holes in back", "under its `join` line"),
        ("part c of b, 20 long, deep, 1 pc", "1 pc", "each part has a name of its own"),
        ("part c of board, 20 long, facing up, glued", "glued", "under its `join` line: say `glued`"),
        ("part c of b, 20 long, 3/4 dia, uprihgt", "3/4 dia", "`stock rod of birch, 3/4 x 3/4`"),
    ],
)
def test_what_means_one_thing_within_a_line_is_marked_there(line: str, marked: str, says: str) -> None:
    where, said = told(line)[0]
    assert where == marked
    assert says in said


SAID_SO = [
    ("join", "pockets 2 in back plug", "pockets 2 in back, plugged"),
    ("join", "Screws fine 1 1/4 in, gauge 7", "screws fine 1 1/4 in gauge 7"),
    ("join", "screws 4 through b, 8 x 2", "screws 4 through b, gauge 8, 2 long"),
    ("join", "screws 4 through b, 4 x 40", "screws 4 through b, 4 thick, 40 long"),
    ("part", "growth rings up", "rings up"),
    ("", "mirror c as d", "part d mirrors c"),
    ("", "stock rod of birch, 3/4 dia", "stock rod of birch, 3/4 x 3/4"),
    ("", "stock a of birch plywood, 3/4 thick, 4x8", "stock a of birch plywood, 3/4 thick, 4 ft x 8 ft"),
    ("", "stock a of pine, 1 by 4", "stock a of pine, 1x4"),
    ("", "let a = 3 ** 2", "let a = 3 * 3"),
    ("", "let a = half of 30", "let a = 30 / 2"),
    ("", "for n in range(5)", "for n in 1 to 5"),
    ("", 'assembly "box"', "assembly box"),
    ("", "let a = max 3, 4", "let a = max(3, 4)"),
    ("", "let a = 3 + + 4", "let a = 3 + 4"),
    ("", "part part c of b, 30 long", "part c of b, 30 long"),
    ("", 'accept lone-screw on a because: "x"', 'accept lone-screw on a because "x"'),
    ("join", "3 x 10mm dowels 40 long", "as dowels 3, 10mm thick, 40 long"),
    ("join", "butt hinges 2-1/2 x 2, at 4 from top and bottom", "hinges 2 from 4 to 4 of top, 2-1/2 long"),
    ("join", "4 up", "4 from bottom"),
    ("join", "glue, clamp", "glued"),
    ("part", "stands on the ground", "stands on floor"),
    ("part", "cut out 2 x 3 at front bottom", "notch 2 x 3 at front bottom"),
    ("plan", "seen from front & sides", "seen from front, left, right"),
    ("plan", "use: bunk bed with 8 in mattress", "use as bunk bed, mattress 8 in thick"),
    ("", "stock rail of 1 by 4 poplar", "stock rail of poplar, 1x4"),
    ("", "stock stud of SPF 2x4x96", "stock stud of SPF, 2x4, 96 in"),
    ("", "place drawer as top_drawer with wide 20, deep 18", "place drawer as top_drawer, wide 20, deep 18"),
    ("plan", "all dimensions in mm", "unit mm"),
    ("plan", "uses stainless hardware", "screws stainless"),
    ("plan", "visible from the front and both ends", "seen from front, left, right"),
    ("plan", "loft bed with 6 in mattress", "use as loft bed, mattress 6 in thick"),
    ("", "stock legs of oak, 3x3 inches", "stock legs of oak, 3 x 3 inches"),
    ("join", "glue and clamp overnight", "glued"),
    ("join", "glue, no clamps", "glued"),
    ("join", "back 1/8 from front", "set back 1/8 from front"),
    ("join", "pocket at 1 and at 4 from bottom in back", "pockets at 1, 4 from bottom in back"),
    ("join", "dowels 8mm x 40mm x 3", "as dowels 3, 8mm thick, 40mm long"),
    ("part", "band front edge", "taped front"),
    ("part", "face toward the front", "facing front"),
    ("", "for n from 0 upto 5", "for n in 0 to 5"),
    ("plan", "visible from the front", "seen from front"),
    ("", "stock top of 18 mm birch plywood", "stock top of birch plywood, 18 mm thick"),
    ("", "wide = 24", "let wide = 24"),
    (
        "",
        "part c, d and e of b, 20 long, standing, faces left",
        "part c, d, e of b, 20 long, upright, facing left",
    ),
    ("", "part c same as a", "part c like a"),
    ("", "part c is a mirror image of a", "part c mirrors a"),
    ("", "join a.left with the b.right", "join a.left to b.right"),
    ("", "load 50 pounds per ft on a", "load 50 lb per foot on a"),
    ("", "for each n in 1..4", "for n in 1 to 4"),
    ("", "ignore lone-screw on a", "accept lone-screw on a"),
    ("part", "left end cut at 45, short at bottom", "left end cut 45, long at top"),
    ("part", "2 in hole in top, 6 from left, 3 from back", "hole 2 in wide in top, 6 from left, 3 from back"),
    ("part", "edge banding on front, left and right", "taped front, taped left, taped right"),
    ("part", "1/8 gap to c.right", "gap 1/8 to c.right"),
    ("part", "arc along bottom 2 high", "arch 2 deep along bottom"),
    ("part", "oiled", "finish both faces"),
    ("join", "8d nails 4 through a", "nails 4 through a, 8d"),
    ("join", "bolts 2 through a, 5/16 dia, 4 long", "bolts 2 through a, 5/16 thick, 4 long"),
    ("join", "3 dowels 3/8 x 2", "as dowels 3, 3/8 thick, 2 long"),
    ("join", "dowels 3/8 thick, 2 long", "as dowels, 3/8 thick, 2 long"),
    ("join", "2 biscuits", "as biscuits 2"),
    ("", 'Title: "T"', 'plan "T"'),
    ("", "stock a of 4/4 FAS walnut, 1 x 6", "stock a of FAS walnut, 1 x 6"),
    ("", "stock a: 3/4 thick birch ply, 4x8", "stock a of birch ply, 3/4 thick, 4 ft x 8 ft"),
    ("", "stock a of pine 2 x 4 x 8", "stock a of pine, 2x4, 8 ft"),
    ("", "stock a of 2-by-4 hem-fir", "stock a of hem-fir, 2x4"),
    ("", "part c, 30 long, of a, deep, facing up", "part c of a, 30 long, deep, facing up"),
    ("", "part c of a 3x30 crosswise facing front", "part c of a, 30 long, 3 wide, crosswise, facing front"),
    ("", "part c mirrors a left/right with joins", "part c mirrors a left to right, with its joins"),
    ("", "assembly drawer wide deep:", "assembly drawer(wide, deep)"),
    (
        "part",
        "tapered left and front to 1 at bottom, 5 from top",
        "taper left, front to 1 at bottom, 5 from top",
    ),
    ("part", "turned 15 clockwise about vertical", "turned -15 about vertical"),
    (
        "part",
        "cutout 6 wide 4 high in front, 3 from left, 1 from top",
        "cutout 6 x 4 in front, 3 from left, 1 from top",
    ),
    ("join", "three 3/8 dowels", "as dowels 3, 3/8 thick"),
    ("join", 'pockets 7" o.c. from 2 to 2, back', 'pockets every 7" from 2 to 2 in back'),
    ("join", "screws 3, gauge 8, 2 long, thru a", "screws 3 through a, gauge 8, 2 long"),
    ("join", "M8 bolts 2 through a, 80 mm long", "bolts 2 through a, M8, 80 mm long"),
    ("join", "top flush with b.top", "flush top"),
    ("join", "3 below top of b", "3 from top"),
    (
        "join",
        "countersunk screws 3 through face of a, gauge 8, 2 long",
        "screws 3 through a, gauge 8, 2 long, countersunk",
    ),
    ("join", "flush front/top", "flush front, top"),
    ("join", "3 pockets underneath", "pockets 3 in bottom"),
    ("join", "3 dowels, 8 x 40 mm", "as dowels 3, 8 mm thick, 40 mm long"),
    ("join", "dowel pins 3/8 x 2 @ 1, 3 from top", "as dowels at 1, 3 from top, 3/8 thick, 2 long"),
    (
        "join",
        "pair of butt hinges 2-1/2 in, 3 in from top & bottom",
        "hinges 2 from 3 in to 3 in of top, 2-1/2 in long",
    ),
    (
        "part",
        "dado at 12 from bottom 3/4 w x 3/8 d on right face",
        "dado 3/4 wide 3/8 deep across right, 12 from bottom",
    ),
    ("part", "screwed to wall studs", "fixed to wall"),
    ("", "stock rails pine 1x4 8'", "stock rails of pine, 1x4, 8'"),
    ("", "let inner = width - 2t", "let inner = width - 2 * t"),
    ("", "load 50 pounds per shelf", "load 50 lb on shelf"),
    ("part", "rabbet along back top, 3/8 x 1/2", "rabbet 3/8 x 1/2 along back top"),
    ("part", "miter left end 45 long at front", "left end cut 45, long at front"),
    ("join", "two pocket screws from the back", "pockets 2 in back"),
    (
        "join",
        "2 in no. 10 screws at 2, 6 from front through a",
        "screws at 2, 6 from front through a, gauge 10, 2 in long",
    ),
    ("join", "hinges 2, 3 from top and bottom", "hinges 2 from 3 to 3 of top"),
    ("join", "18 inch drawer slides 1/2 thick", "slides 18 inch long, 1/2 thick"),
    ("join", "blind mortise and tenon, 1 long", "as mortise and tenon, 1 long, stub"),
    ("join", "1/4 behind front", "set back 1/4 from front"),
    ("part", "34 tall, upright", "34 long, upright"),
    (
        "part",
        "drill 3/8 hole 1/2 deep in top, 2 from left, 2 from front",
        "hole 3/8 wide 1/2 deep in top, 2 from left, 2 from front",
    ),
    ("plan", "seen from front and sides", "seen from front, left, right"),
    ("", "join a (left) to b (right)", "join a.left to b.right"),
    ("", "part c: a, 20 high, vertical, faces front", "part c of a, 20 long, upright, facing front"),
    ("", "put drawer as d1", "place drawer as d1"),
    ("", "place drawer as d1 wide=12 deep=18", "place drawer as d1, wide 12, deep 18"),
    ("", "assembly box [w, d]", "assembly box(w, d)"),
    ("", "assembly box (w = 12, d)", "assembly box(w, d)"),
    ("", "use shop.plan for thin", 'use "shop.plan" for thin'),
    ("", "load 40 kg/m on shelf", "load 12.2 kg per foot on shelf"),
    ("", "load 1/2 ton on bench", "load 1000 lb on bench"),
    ("", "let gap = (36 - 4 x 3/4) ÷ 3", "let gap = (36 - 4 * 3/4) / 3"),
    ("", "let span = 48 less 2 * 1-1/2", "let span = 48 - 2 * 1-1/2"),
    ("", "stock post of oak 3-1/2 square", "stock post of oak, 3-1/2 x 3-1/2"),
    (
        "",
        "part leg of a, cut to 28-1/4, upright, faces front",
        "part leg of a, 28-1/4 long, upright, facing front",
    ),
    ("", "for i = 1, 4", "for i in 1 to 4"),
    ("plan", "unit is inches and fractions", "unit inch"),
    ("plan", "stainless screws throughout", "screws stainless"),
    ("plan", "small children use it", "for children"),
    ("plan", "stands in the middle of the room", "seen from all round"),
    ("part", "stood on end, face to the left", "upright, facing left"),
    ("part", "thickness 3/4, planed", "3/4 thick, surfaced four sides"),
    ("join", "line up with the back", "flush back"),
    ("join", "dowelled twice 3/8", "as dowels 2, 3/8 thick"),
    ("part", "dado 3/4 x 3/8 at 12 from left on front", "dado 3/4 wide 3/8 deep across front, 12 from left"),
    ("part", "ripped to 2-1/2", "2-1/2 wide"),
    ("part", "screw to wall", "fixed to wall"),
    ("plan", "front and right are visible, back is not", "seen from front, right"),
    ("", "stock a of pine 1x4 planks", "stock a of pine, 1x4"),
    ("", "stock pine shelf 3/4 x 4", "stock shelf of pine, 3/4 x 4"),
    ("join", "flushed with the top", "flush top"),
    ("join", "glue it", "glued"),
    ("", "stock a of pine, 1x4, 8 feet long, 3 pieces", "stock a of pine, 1x4, 8 feet"),
    ("", "join rail_left to leg_l_right", "join rail.left to leg_l.right"),
    ("plan", "look from front and right side", "seen from front, right"),
    ("plan", "bunk bed, top bunk 60 in up, mattress 8 in", "use as bunk bed, mattress 8 in thick"),
    ("", "stock a of pine 3/4 thick 4 wide", "stock a of pine, 3/4 thick, 4 wide"),
    ("", "stock a of pine 2x4s", "stock a of pine, 2x4"),
    ("", "a.left joins b.right", "join a.left to b.right"),
    ("", "c: board, 20 long, crosswise", "part c of board, 20 long, crosswise"),
    ("plan", "height of the viewer 1.7 m", "eye height 1.7 m"),
    ("plan", "will be seen from all four sides", "seen from all round"),
    ("plan", "bunkbed", "use as bunk bed"),
    ("", "stock a of pine, 1x4 x 8'", "stock a of pine, 1x4, 8'"),
    ("", "stock a of pine, one by four", "stock a of pine, 1x4"),
    ("", "stock a of pine, 1x4 (actual 3/4 x 3-1/2)", "stock a of pine, 1x4"),
    ("", "stock a of 4x8 3/4 birch ply", "stock a of birch ply, 3/4 thick, 4 ft x 8 ft"),
    ("", "part c.front of b, 20 long", "part c_front of b, 20 long"),
    ("", "join a, left side, to b, right side", "join a.left to b.right"),
    ("join", "dowel joint 2 x 3/8", "as dowels 2, 3/8 thick"),
    ("plan", "my daughter uses it", "for children"),
    ("", "join a.left to leg.l.right", "join a.left to leg_l.right"),
    ("", "stock a of pine, 3/4 * 3-1/2", "stock a of pine, 3/4 x 3-1/2"),
    ("join", "mitred with spline", "as splined mitre"),
    ("join", "dowels at 25 and 75 mm from top", "as dowels at 25 mm, 75 mm from top"),
    ("join", "2 dowels Ø8 x 40", "as dowels 2, 8 mm thick, 40 mm long"),
    ("join", "2 dowels Ø8 mm, 40 mm long", "as dowels 2, 8 mm thick, 40 mm long"),
    ("join", "shelf pins 4 x 1/4", "pins 4, 1/4 thick"),
    ("", "join a,left to b.right", "join a.left to b.right"),
    ("", "stock a of pine, 1-4", "stock a of pine, 1x4"),
    ("join", "pockets 2 in right of rail_l", "pockets 2 in rail_l.right"),
    ("join", "hung on two 2 in butts", "hinges 2, 2 in long"),
    ("join", "drill two pocket holes from behind", "pockets 2 in back"),
    ("part", "end cut 45 left, long at top", "left end cut 45, long at top"),
]


@pytest.mark.parametrize(
    ("under", "line", "ours"),
    [
        ("", "stock a of #2 pine, 1x6", "stock a of No. 2 pine, 1x6"),
        (UNDER_JOIN, "as biscuits 2, #20", "as biscuits 2"),
        (UNDER_JOIN, "screws 3 through a, 2 long #10", "screws 3 through a, gauge 10, 2 long"),
        (UNDER_JOIN, "3 #8 x 2 screws through a", "screws 3 through a, gauge 8, 2 long"),
        (UNDER_JOIN, "#8 screws 3 through a, 2 long", "screws 3 through a, gauge 8, 2 long"),
        (UNDER_JOIN, "#8 1-1/4 fine", "screws fine 1-1/4 gauge 8"),
        (UNDER_JOIN, "screws coarse 1-1/4 gauge #8", "screws coarse 1-1/4 gauge 8"),
    ],
)
def test_a_number_sign_starts_a_remark_and_that_is_told(under: str, line: str, ours: str) -> None:
    [(where, says)] = told(under + line)
    assert where == line and says.endswith(f"say `{ours}`")
    assert told(under + ours) == [] == told(under + ours + "  # 2 of them")


@pytest.mark.parametrize(
    "line",
    [
        "#2 pockets in back",
        "#1 flush top",
        "#10 biscuits 2",
        "#8 screws",
        "#screws 3 through b, gauge 8, 2 long",
        "pockets 2 in back #2 pockets",
        "pockets 2 in back #8 screws 2 long",
        "screws coarse 1-1/4 #2 square drive",
        "screws every 6 in from 2 in to 2 in through b, 2 in long",
    ],
)
def test_what_may_be_a_remark_is_left_alone(line: str) -> None:
    assert not told(UNDER_JOIN + line)


@pytest.mark.parametrize(
    "line",
    ["bow 75 in radius along front", "bow 60 in radius through 1 in at 0 in, 2 in at 9 in along front"],
)
def test_the_inch_is_a_unit_before_radius(line: str) -> None:
    assert not told(UNDER_PART + line)


@pytest.mark.parametrize(("place", "line", "ours"), SAID_SO)
def test_what_a_builder_says_is_told_in_the_words_of_the_language(place: str, line: str, ours: str) -> None:
    under = {"plan": 'plan "x"\n    ', "part": UNDER_PART, "join": UNDER_JOIN, "": ""}[place]
    more = BELOW.get(line.split(maxsplit=1)[0], "")
    assert told(under + line + more) == [(line, f"say `{ours}`")]
    assert told(under + ours + more) == []


TOPICS = tomllib.loads(resource("grammar", "topics.toml").read_text("utf-8"))["topic"]
ABOVE = {"join": UNDER_JOIN, "part": UNDER_PART, "plan": TOP, "": "", "margin": ""}
BELOW = {"for": "\n  let x = 1", "assembly": "\n  let x = 1\nend"}
"""What has to stand under a line, by its first word."""
SAID_ELSEWHERE = {"": "at the margin", "plan": "under `plan`", "part": "under `part ", "join": "join"}
"""By where a line stands, the words that say so."""


@pytest.mark.parametrize("at", range(len(TOPICS)))
def test_what_is_offered_by_topic_can_stand_where_it_is_said_to(at: int) -> None:
    """Each line, with what it takes of the builder's own or without."""
    told_of = TOPICS[at]
    places = [place.removeprefix("any_") for place in told_of["under"].split()]
    for own in ("", "7-1/2 mm left right 3"):
        for place in places:
            says = topic_said(told_of["says"], own)
            for line in re.findall(r"`([^`]+)`", says):
                others = [each for each, words in SAID_ELSEWHERE.items() if words in says]
                alone = re.fullmatch(r"[a-z]+|[-+*/#]|\w+_\{n\}|(?:part|join) a|planlint.*", line) is not None
                whole = line + BELOW.get(line.replace("for children", "").split(" ")[0], "")
                assert alone or any(told(ABOVE[each] + whole) == [] for each in (place, *others)), line


WISHES = tomllib.loads(resource("grammar", "wishes.toml").read_text("utf-8"))["wish"]
NO_LINE = r"[a-z]+|[-+*/#]|\w+_\{n\}|(?:part|join) \w+|planlint.*|#.*|\w*\.\w+|.* …|[\w -]*\bas\b \w+|load .* on \w+"
NO_LINE += r"|\w+_\w+|\w+_\{n\}\.\w+|hypot\(a, b\)|2 \* n - 1|19 mm|3/4 in"
"""What is named in passing, and is no line by itself."""


@pytest.mark.parametrize("told_of", WISHES, ids=lambda each: each["such"])
def test_what_is_offered_for_a_wish_is_a_line_of_the_language(told_of: dict[str, str]) -> None:
    """Of a line that is such a wish, under one of those under which it is told."""
    places = told_of["under"].replace("margin", "").split(" ")
    wished = next(each for place in places if (each := wish(told_of["such"], place)) is not None)
    for line in re.findall(r"`([^`]+)`", wished.says.replace("NAME", "a").replace("OTHER", "b")):
        whole = line + BELOW.get(line.replace("for children", "").split(" ")[0], "")
        alone = re.fullmatch(NO_LINE, line) is not None
        assert alone or any(told(above + whole) == [] for above in ABOVE.values()), line


def topic_said(says: str, own: str) -> str:
    """What is told of a line, where the topic takes over a name, a length or a load of it."""
    taken = "50" if "`load {" in says else "3"
    says = re.sub(r"(let \w+|let \{1\}) = \{2\}", r"\1 = 3", says).replace("{2} long", "3 long")
    said = with_its_own(says, own).format(
        "", *([taken if taken == "50" else "c", "", "", "d", "", ""]), M="white oak"
    )
    return said.replace("NAME", "a").replace("OTHER", "b")


@pytest.mark.parametrize(
    ("place", "line", "says"),
    [
        ("join", "edge distance 1-1/2", "`pockets 2 from 1-1/2 to 1-1/2 in back`"),
        ("join", "carriage bolts 3/8 x 6, washer and nut", "nuts and washers are not said"),
        ("join", "leave the screws out until after finish", "this line can go"),
        ("join", "glue and brads until dry", "`nails 2 through b, 1-1/2 long`; `until dry` can stand"),
        ("join", "flush top, nice and tight", "this line can go"),
        ("join", "spacing 1/8 between boards", "`gap 1/8 to b.right` under `part a`"),
        ("join", "screwed from outside", "`pockets 2 in back` or, through a face, `screws 2 through b"),
        ("join", "lag bolts from the leg", "`screws 2 through leg, gauge 8, 2 long`"),
        ("join", "back stretcher sits 4 up from the foot", "`4 from bottom`"),
        ("join", "quarter sawn", "this is said of a part"),
        ("part", "quarter sawn", "`stock board of quarter-sawn white oak, 1x6`"),
        ("part", "no. 1 grade", "`stock board of No. 1 pine, 1x6`"),
        ("part", "22 between shoulders", "`22 + 2 * 1 long`"),
        ("part", "toe kick 3 x 4", "`notch 3 x 4 at front bottom`"),
        ("part", "made of white oak", "at the margin"),
        ("part", "overhang 1 all round", "`proud 1 at front`"),
        ("part", "covered by a cushion on top", "`covered top by cushion`"),
    ],
)
def test_a_word_of_the_trade_is_answered_by_what_is_said_of_it(place: str, line: str, says: str) -> None:
    [(where, said)] = told(ABOVE[place] + line)
    assert where == line and says in said


def test_a_middle_names_the_one_way_in_which_nothing_lies_yet() -> None:
    """Neither the joint's own way nor one that another line of the join takes is offered."""
    [(_, said)] = told("join cleat.left to leg.right\n    flush top\n    centred")
    assert said == "say which way the middles meet: `centred front to back`"
    [(_, said)] = told(
        "join cleat.left to leg.right\n    flush top\n    set back 1 from front\n    centred on it"
    )
    assert said == "the lines above say already where it lies in every way: this line can go"


@pytest.mark.parametrize(
    ("place", "line", "says"),
    [
        (
            "",
            "cut four legs 2x2x28",
            "`stock leg_wood of pine, 2 x 2`, `part leg_1, leg_2, leg_3, leg_4 of leg_wood, 28 long",
        ),
        (
            "",
            "Leg,4,2,2,28,oak",
            "`stock leg_wood of oak, 2 x 2`, `part leg_1, leg_2, leg_3, leg_4 of leg_wood, 28 long",
        ),
        (
            "",
            '"Side panel",2,720,560,18,"MDF"',
            "`part side_panel_1, side_panel_2 of side_panel_wood, 720 long, 560 wide",
        ),
        (
            "",
            "8 slats 1x4 x 60",
            "`stock slat_wood of pine, 1x4`, `for n in 1 to 8`, `part slat_{n} of slat_wood, 60 long",
        ),
        (
            "",
            'back panel: 1/4" ply, 30 x 40',
            '`stock back_panel_wood of ply, 1/4" thick`, `part back_panel of',
        ),
        ("", "need 3 boards 1x6x8", "`stock board of pine, 1x6, 8 ft`"),
        ("", "8/4 maple for legs", "`stock leg of maple, 8/4 thick`"),
        ("", "999999999 slats 1x4 x 60", "`for n in 1 to 999999999`"),
        ("", "repeat for other side", "`part side_r mirrors side_l`"),
        ("", "drawer box 12 x 18 x 4", "`place drawer as drawer_1, wide 12, deep 18, high 4`"),
        ("", "rail -> leg_1", "`join rail.left to leg_1.right`"),
        ("", "top overhangs 1 all around", "`proud 1 at front`"),
        ("", "shelves at 10 and 20", "where a part lies is told under its join"),
        ("", "== Joinery ==", "`# Joinery`"),
        ("", "weight capacity 200 lb", "`load 200 lb on shelf`"),
        ("", "board feet 12", "`planlint sheet`"),
        ("", "next n", "this line can go"),
        ("", "params: wide, deep", "`assembly box(wide, deep)`"),
        ("", "for both sides", "a loop counts: `for n in 1 to 2`"),
        ("", "let w = 60 cm, d = 40 cm, h = 45 cm", "each has a line of its own: `let w = 60 cm`"),
        ("plan", "stain: walnut", "`finish both faces`"),
        ("plan", "shaker style", "can stand behind `#`: `# shaker style`"),
        ("plan", "no visible screws", "`seen from front, left`"),
    ],
)
def test_a_whole_line_in_a_builders_words_is_told_once(place: str, line: str, says: str) -> None:
    [(where, said)] = told(ABOVE[place] + line)
    assert where == line
    assert says in said
    for offered in re.findall(r"`((?:stock|part) [^`]+,[^`]+)`", said):
        assert told(offered) == []


def test_a_board_as_wide_as_a_name_says_is_no_number() -> None:
    assert len(told("shelf 30 long, width = deep")) == 1


TABLE = """\
plan "Small table"
    seen from all round
stock post of maple, 2 x 2
stock rail of maple, 3/4 x 3
part leg_fl, leg_fr, leg_bl, leg_br of post, 28 long, upright, facing front
#part
part apron_f, apron_b of rail, 30 long, crosswise, facing front
join apron_f.left, apron_f.right to leg_fl.right, leg_fr.left
    flush top
#join
    screws fine 1-1/4
#margin
"""


@pytest.mark.parametrize(
    ("line", "where", "says"),
    [
        (
            "two pockets from the back with 1-1/4 fine screws and glue",
            "join",
            "each of these has a line of its own: `pockets 2 in back`, `screws fine 1-1/4`, `glued`",
        ),
        (
            "screws fine 1-1/4, slotted",
            "join",
            "each of these has a line of its own: `screws fine 1-1/4`, `slotted`",
        ),
        ("keep the screws 1-1/2 off the top edge", "join", "`pockets 2 from 1-1/2 to 1-1/2 in back`"),
        ("pockets 2 in back of apron_f", "join", "say `pockets 2 in apron_f.back`"),
        ("24 long 3 wide crosswise", "part", "say `24 long, 3 wide, crosswise`"),
        ("veneer tape 5 feet", "part", "how much of it is needed is worked out: `taped left`"),
        ("rounded front corners 1/2", "part", "`rounded 1/2 at front left`"),
        (
            "taper front to 2 at the bottom from 6 down",
            "part",
            "say `taper front to 2 at bottom, 6 from top`",
        ),
        ("two shelves of rail, 22 long", "margin", "`part shelf_1, shelf_2 of rail, 22 long, crosswise, "),
        (
            "there are four legs, 28 tall",
            "margin",
            "`part leg_1, leg_2, leg_3, leg_4 of post, 28 long, upright",
        ),
        (
            "part leg_1 leg_2 of post, 28 long",
            "margin",
            "`part leg_1, leg_2 of post, 28 long, upright, facing front`",
        ),
        ("let drawer heights = 4, 6, 8", "margin", "`let drawer_height_1 = 4`, `let drawer_height_2 = 6`"),
    ],
)
def test_a_wish_is_answered_once_in_the_names_and_numbers_of_its_plan(
    line: str, where: str, says: str
) -> None:
    indent = "" if where == "margin" else "    "
    text = TABLE.replace(f"#{where}\n", f"{indent}{line}\n")
    unread = inspect_text(PlanText("table.plan", text)).unread
    assert len(unread) == 1
    assert says in unread[0].says


BUILDERS_LINES = tomllib.loads(Path(__file__).with_name("builders_lines.toml").read_text("utf-8"))["line"]


@pytest.mark.parametrize("line", BUILDERS_LINES, ids=lambda line: line["says"])
def test_what_a_builder_writes_is_read_or_told_once_with_the_lines_to_write(line: dict[str, Any]) -> None:
    """In the names and numbers of its plan, and what is told can be read where it is said to stand."""
    piece = Path(__file__).parent / "pieces" / f"{line['plan']}.plan"
    lines = piece.read_text("utf-8").split("\n")
    how = next(each for each in ("in place of", "before", "behind", "under") if each in line)
    at = next(number for number, each in enumerate(lines) if each.strip().startswith(line[how]))
    indent = " " * (len(lines[at]) - len(lines[at].lstrip()))
    indent = {"before": "", "under": f"{indent}    "}.get(how, indent)
    lines[at + (how in {"behind", "under"}) : at + (how != "before")] = [indent + line["says"]]
    text = "\n".join(lines)
    tree, mistakes = read(PlanText("a.plan", text))
    if "read" in line:
        assert mistakes == []
        assert [plain for _, plain in tree.plain] == line["read"]
        return
    [mistake] = mistakes
    offered = re.findall("`([^`]+)`", mistake.says)
    for each in line["told"]:
        assert each in offered
        assert each.isalpha() or any(told(above + each) == [] for above in ABOVE.values())
    if any(each.isalpha() for each in line["told"]):  # a word put right
        return
    kinds = {BELONGS.get(type(known_line(each)), "") for each in line["told"]}
    if kinds <= {"part", "join"} and len(kinds) == 1 and indent:
        # Put in its place, it asks for nothing that the plan does not have.
        gone = text.replace(f"{indent}{line['says']}\n", "")
        put = text.replace(indent + line["says"], "\n".join(indent + each for each in line["told"]))
        before = {each.says for each in understand(PlanText("a.plan", gone), Settings())[1]}
        after = [each.says for each in understand(PlanText("a.plan", put), Settings())[1]]
        assert not [each for each in after if _NOT_THERE.search(each) and each not in before]


_NOT_THERE = re.compile(
    "there is no part|nothing here is called|is not part of this join|is not a face|cannot come out"
)


def known_line(line: str) -> object:
    """The node of one line, wherever it stands."""
    begun = tools()
    begun.builder.begin(line)
    return begun.lark.parse(line, start="line")
