"""Files that are no plans: refused or given up on with one clear message, in little memory."""

from __future__ import annotations

import random
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.language.reader import MOST_MISTAKES, read
from planlint.text.decode import MOST_BYTES, decode
from planlint.text.source import Mistake, PlanText


def refusal(data: bytes) -> Mistake:
    found = decode("a.plan", data)
    assert isinstance(found, Mistake)
    return found


def messages(data: bytes) -> list[str]:
    source = decode("a.plan", data)
    return [source.says] if isinstance(source, Mistake) else [mistake.says for mistake in read(source)[1]]


@pytest.mark.parametrize(
    ("data", "start", "said"),
    [
        (b"let a\x00 = 1\n\x00", 5, "NUL (U+0000), at line 1, column 6, and one more after it"),
        (b"a\n\x1b[31m\x07\x07", 2, "ESCAPE (U+001B), at line 2, column 1, and 2 more after it"),
        (b"a\r\nb\rc", 4, "a carriage return without a line feed (U+000D) at line 2, column 2"),
        (b"a\x0cb", 1, "FORM FEED (U+000C), at line 1, column 2:"),
        (b"a\x7f", 1, "DELETE (U+007F)"),
        ("a\u202eb".encode(), 1, "RIGHT-TO-LEFT OVERRIDE (U+202E), at line 1, column 2"),
        ("# \u2066x".encode(), 2, "LEFT-TO-RIGHT ISOLATE (U+2066)"),
        ("ä\x85".encode(), 1, "NEXT LINE (U+0085)"),
        ("ä\x9b".encode(), 1, "a control character, U+009B,"),
        ("a\u2028b".encode(), 1, "LINE SEPARATOR (U+2028)"),
        (b"\xef\xbb\xbfab\ncd\xff", 5, "byte 9 of it (hexadecimal FF, on line 2)"),
        ("ä".encode() + b"\xc3", 1, "byte 3 of it (hexadecimal C3, on line 1)"),
        ("plan".encode("utf-16"), 0, "UTF-16"),
        (b" " * (MOST_BYTES + 1), 0, "over 4 MB"),
    ],
)
def test_what_is_refused(data: bytes, start: int, said: str) -> None:
    mistake = refusal(data)
    assert mistake.span.start == start
    assert said in mistake.says


@given(st.binary(max_size=200))
def test_bytes_are_kept_or_refused(data: bytes) -> None:
    source = decode("a.plan", data)
    if isinstance(source, PlanText):
        assert source.to_bytes() == data
        assert "\x00" not in source.text
    else:
        assert source.says


def test_what_is_not_refused() -> None:
    for text in ("", "\ufeff", "ä ½ 木 👍", "a\tb\r\nc\n", "\ufeff\ufeff"):
        assert isinstance(decode("a.plan", text.encode()), PlanText)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"let a = " + b"(" * 10_000 + b"1" + b")" * 10_000, "20,009 characters long"),
        (b"let a = " + b"(" * 33 + b"1" + b")" * 33, "over 32 deep"),
        (b"part " + b"a" * 1_000_000 + b" of b", "characters long; 2,000 is the most"),
        (b"part " + b"a" * 65 + b" of b", "is 65 characters long; 64 is the most"),
        (b"part slat_{n + 1}" + b"a" * 65 + b" of b", "characters long; 64 is the most"),
        (b"let a = " + b"1*" * 900 + b"1", "more than 100 sums"),
        (b"let a = " + b"9" * 13, "more than 12 digits"),
        (b"let a = 1/0000", "0 under the line"),
        (b"stock a of pine, 1/0x4", "0 under the line"),
        (b"".join(b" " * n + b"for n%d in 1 to 2\n" % n for n in range(200)), "nested more than 32 deep"),
    ],
)
def test_past_a_limit_there_is_one_message(data: bytes, said: str) -> None:
    [says] = messages(data)
    assert said in says


def test_at_a_limit_all_is_well() -> None:
    for text in (
        "let a = " + "(" * 32 + "1" + ")" * 32,
        f"let {'a' * 64} = {'9' * 12}",
        "let a = 1" + " + 1" * 100,
    ):
        assert messages(text.encode()) == []
    assert messages(b"let a = 1 #" + b" long" * 1000) == []


def noise(kind: str) -> bytes:
    chance = random.Random(1)
    if kind == "letters":
        return (
            bytes(chance.choice(range(32, 127)) if chance.random() > 0.02 else 10 for _ in range(50_000)) * 70
        )
    words = ["part", "of", "join", "left", "cat", "34", "long", "flush", "top", "let", "3/4", *"(),=+"]
    if kind == "words":
        lines = [" ".join(chance.choices(words, k=chance.randrange(1, 15))) for _ in range(5_000)]
    else:
        lines = [
            "part a of b, " + ", ".join(" ".join(chance.choices(words, k=3)) for _ in range(60))
            for _ in range(500)
        ]
    return "\n".join(lines).encode() * (3_500_000 // len("\n".join(lines)))


@pytest.mark.parametrize("kind", ["letters", "words", "details"])
def test_noise_is_given_up_on(kind: str) -> None:
    data = noise(kind)
    tracemalloc.start()
    try:
        says = messages(data)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert len(says) == MOST_MISTAKES + 1
    assert "not read; is this a plan?" in says[-1]
    assert most < 100_000_000


def test_one_line_of_rubbish_is_one_mistake() -> None:
    for line in (
        b"]]] }}} ~~~",
        b"a b c d e f",
        b"1 2 3",
        b'" " " "',
        b"= = =",
        b"the quick brown fox",
        b"%!PS-Adobe",
    ):
        assert len(messages(line)) == 1, line


@pytest.mark.parametrize("number", ["1/0", "3-1/0", "2 1/0", "1/00"])
@pytest.mark.parametrize(
    "line",
    [
        "{0} Cupboard door, 18 x {0}",
        "part c of b {0} by 5 by 3 upright",
        "load {0} pounds spread on a",
        "    {0}-20 bolts {0} long",
        "    as half lap {0} deep by {0}",
        "    slides {0} , {0} between",
    ],
)
def test_a_fraction_of_nothing_is_no_fault_of_ours_wherever_it_stands(line: str, number: str) -> None:
    text = f'plan "t"\njoin a.left to b.right\n{line.format(number)}\n'
    assert read(PlanText("zero.plan", text))[1]
