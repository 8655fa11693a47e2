"""Any bytes at all, through the whole tool: findings or a clear message, and never a fault of our own."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from planlint.command.main import main
from planlint.inspection import check_run
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.language.reader import MOST_MISTAKES
from planlint.model.workshop import Settings
from planlint.text.decode import MOST_BYTES, decode
from planlint.text.source import Mistake, PlanText
from tests.plans import FAULTY, SOUND, row_of_furniture

FOLDER = Path(__file__).parent.parent / "planlint" / "demo"
PLANS = [path.read_bytes() for path in sorted(FOLDER.glob("*.plan"))]

WORDS = (
    b"", b"0", b"-1", b"1/0", b"1e9", b"99999999", b"3-1/2", b"1/64 mm", b"left", b"top", b"back", b"part", b"join",
    b"for n in 1 to 9", b"turned 45 about vertical", b"ends cut 80, long at top", b"as half lap", b"pockets 200 in",
    b"(", b")", b"{n}", b"#", b'"', b",", b"\t", b"\r", b"\xc2\xa0", b"\xff", b"\x00", b"\xe2\x80\xae",
)  # fmt: skip
"""What takes the place of a word of a plan: other words, numbers out of bounds, and bytes that belong nowhere."""

much = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def clear_answer(data: bytes) -> Inspection | Mistake:
    """Sends bytes through reading and inspection, and holds the answer to what it must be."""
    source = decode("any.plan", data)
    if isinstance(source, Mistake):
        assert_clear(source.says)
        return source
    inspection = inspect_text(source)
    assert not inspection.crashed, inspection.crashed
    assert inspection.unread or inspection.piece
    assert not (inspection.unread and inspection.findings)
    # The reader stops at so many, and so does what comes behind it; each says how many more there are.
    assert len(inspection.unread) <= 2 * (MOST_MISTAKES + 1)
    for mistake in inspection.unread:
        assert 0 <= mistake.span.start <= mistake.span.end <= len(source.text)
        assert_clear(mistake.says)
    for finding in inspection.findings:
        assert source.text[finding.span.start : finding.span.end].strip()
        assert_clear(finding.says)
    return inspection


def assert_clear(says: str) -> None:
    assert says.strip()
    assert "\n" not in says
    assert not any(word in says for word in ("Traceback", "Error", "Exception", "None", "object at"))


# ---------------------------------------------------------------- damage


@st.composite
def damaged_plans(draw: st.DrawFn) -> bytes:
    """A demo plan with one to four kinds of damage done to it."""
    data = draw(st.sampled_from(PLANS))
    for harm in draw(st.lists(st.sampled_from(HARMS), min_size=1, max_size=4)):
        data = harm(draw, data)
    return data


def _flip_bytes(draw: st.DrawFn, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(draw(st.integers(1, 3)) if data else 0):
        changed[draw(st.integers(0, len(data) - 1))] = draw(st.integers(0, 255))
    return bytes(changed)


def _change_letters(draw: st.DrawFn, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(draw(st.integers(1, 3)) if data else 0):
        changed[draw(st.integers(0, len(data) - 1))] = draw(st.sampled_from(b"0159/-*(){}.,:abtx \n"))
    return bytes(changed)


def _change_word(draw: st.DrawFn, data: bytes) -> bytes:
    words = data.split(b" ")
    words[draw(st.integers(0, len(words) - 1))] = draw(st.sampled_from(WORDS))
    return b" ".join(words)


def _swap_lines(draw: st.DrawFn, data: bytes) -> bytes:
    lines = data.split(b"\n")
    one, other = draw(st.integers(0, len(lines) - 1)), draw(st.integers(0, len(lines) - 1))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines)


def _repeat_lines(draw: st.DrawFn, data: bytes) -> bytes:
    lines = data.split(b"\n")
    start = draw(st.integers(0, len(lines) - 1))
    again = lines[start : start + draw(st.integers(1, 12))]
    return b"\n".join(lines[:start] + again * draw(st.integers(2, 4)) + lines[start:])


def _drop_lines(draw: st.DrawFn, data: bytes) -> bytes:
    lines = data.split(b"\n")
    start = draw(st.integers(0, len(lines) - 1))
    del lines[start : start + draw(st.integers(1, 8))]
    return b"\n".join(lines)


def _cut_off(draw: st.DrawFn, data: bytes) -> bytes:
    return data[: draw(st.integers(0, len(data)))]


def _graft(draw: st.DrawFn, data: bytes) -> bytes:
    """Another plan's end behind this one's start."""
    other = draw(st.sampled_from(PLANS))
    return data[: draw(st.integers(0, len(data)))] + other[draw(st.integers(0, len(other))) :]


HARMS: list[Callable[[st.DrawFn, bytes], bytes]] = [
    _flip_bytes,
    _change_letters,
    _change_word,
    _swap_lines,
    _repeat_lines,
    _drop_lines,
    _cut_off,
    _graft,
]


# ---------------------------------------------------------------- the pipeline


@given(
    st.one_of(
        st.binary(max_size=300), st.text(max_size=300).map(lambda text: text.encode("utf-8", "replace"))
    )
)
@example(b"")
@example(b"plan")
@example(b"\xef\xbb\xbf")
@much
def test_any_bytes(data: bytes) -> None:
    clear_answer(data)


@given(damaged_plans())
@settings(much, max_examples=300)
def test_any_damaged_plan(data: bytes) -> None:
    clear_answer(data)


words_of_the_language = st.sampled_from(sorted({word for plan in PLANS for word in plan.split()}))


lines_of_the_language = st.builds(
    bytes.__add__,
    st.sampled_from([b"", b"    ", b"        "]),
    st.lists(words_of_the_language, max_size=8).map(b" ".join),
)


@given(st.lists(lines_of_the_language, max_size=20))
@much
def test_any_words_of_the_language(lines: list[bytes]) -> None:
    clear_answer(SOUND.encode() + b"\n".join(lines))


# ---------------------------------------------------------------- the command line


def answer_of(path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    capsys.readouterr()
    status = main(["inspect", str(path)])
    shown = capsys.readouterr()
    return status, shown.out, shown.err


def deep(opening: str, closing: str, times: int) -> str:
    return f"let a = {opening * times}1{closing * times}\n"


HOSTILE: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "no parts yet"),
    "noise": (bytes(range(128, 256)) * 1000, "not UTF-8"),
    "too much noise": (b"\xfe" * (MOST_BYTES + 1), "over 4 MB"),
    "zeros": (bytes(5000), "NUL (U+0000)"),
    "escapes": (SOUND.encode() + b"# \x1b[2J\x1b]0;x\x07", "ESCAPE (U+001B)"),
    "overrides": (SOUND.encode() + "# \u202e".encode(), "RIGHT-TO-LEFT OVERRIDE"),
    "brackets": (SOUND.encode() + deep("(", ")", 900).encode(), "nested over 32 deep"),
    "a long line": (SOUND.encode() + deep("(", ")", 10_000).encode(), "20,009 characters long"),
    "a long name": (SOUND.encode() + b"let " + b"a" * 1_000_000 + b" = 1\n", "1,000,008 characters long"),
    "a loop too long": (
        SOUND.encode() + b"for n in 1 to 99999999\n    part p_{n} of board, 9 long, upright, facing front\n",
        "more than 20,000 parts and joins",
    ),
    "loops in loops": (
        SOUND.encode()
        + b"".join(b"    " * n + b"for a%d in 1 to 999\n" % n for n in range(8))
        + b"    " * 8
        + b"part p_{a1} of board, 9 long, upright, facing front\n",
        "more than 20,000 parts and joins",
    ),
    "a number that runs away": (
        SOUND.encode()
        + b"let b0 = 99\n"
        + b"".join(b"let b%d = b%d * b%d\n" % (n, n - 1, n - 1) for n in range(1, 30)),
        "grows past anything a plan needs",
    ),
    "a ring of lets": (SOUND.encode() + b"let c = d\nlet d = c\n", "go round in a ring"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_file_gives_one_clear_message(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, said = HOSTILE[name]
    path = tmp_path / "hostile.plan"
    path.write_bytes(data)
    status, out, err = answer_of(path, capsys)
    assert status == 2
    assert said in " ".join(out.split())
    assert out.count("line ") <= 3
    assert len(out) < 3000
    assert not err
    assert "\x1b" not in out
    assert_clear(" ".join(out.split()))
    assert "fault of planlint" not in out


@given(damaged_plans())
@settings(
    much,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_damaged_file(tmp_path: Path, capsys: pytest.CaptureFixture[str], data: bytes) -> None:
    path = tmp_path / "damaged.plan"
    path.write_bytes(data)
    status, out, err = answer_of(path, capsys)
    assert status in {0, 1, 2}
    assert out
    assert not err
    assert "Traceback" not in out
    assert "fault of planlint" not in out


# ---------------------------------------------------------------- very many mistakes


def test_very_many_mistakes_are_told_so_many_at_a_time() -> None:
    """5,000 unknown stocks: the first 100 by place, then how many more there are."""
    lines = [f"part p{n} of stock{n}, 10 long, upright, facing front" for n in range(5_000)]
    inspection = clear_answer("\n".join(['plan "Many"', *lines, ""]).encode())
    assert isinstance(inspection, Inspection)
    assert len(inspection.unread) == MOST_MISTAKES + 1
    told = [inspection.position(mistake.span.start).line for mistake in inspection.unread]
    assert told[:-1] == list(range(2, MOST_MISTAKES + 2))
    assert told[-1] == MOST_MISTAKES + 1
    assert "100 mistakes up to here, and 4,900 more were found below" in inspection.unread[-1].says


@pytest.mark.parametrize(
    ("mistakes", "more"), [(MOST_MISTAKES, None), (MOST_MISTAKES + 1, "one more was found")]
)
def test_mistakes_are_capped_only_past_the_most(mistakes: int, more: str | None) -> None:
    lines = [f"part p{n} of stock{n}, 10 long, upright, facing front" for n in range(mistakes)]
    inspection = clear_answer("\n".join(['plan "Many"', *lines, ""]).encode())
    assert isinstance(inspection, Inspection)
    assert len(inspection.unread) == MOST_MISTAKES + (more is not None)
    assert (more or "") in inspection.unread[-1].says


# ---------------------------------------------------------------- very many parts


def test_a_plan_past_the_limit_is_refused_written_out_as_in_a_loop() -> None:
    """More parts and joins than the settings allow: one message, at the statement that goes past the limit."""
    text = row_of_furniture(100)
    allowed = Settings()
    for most, refused in ((60, True), (1000, False)):
        inspection = inspect_text(PlanText("row.plan", text), Settings(most_items=most))
        assert bool(inspection.unread) is refused
        assert not inspection.crashed
        if refused:
            (mistake,) = inspection.unread
            assert f"more than {most} parts and joins" in mistake.says
            assert text[mistake.span.start : mistake.span.end].startswith(("part ", "join "))
    assert allowed.most_items == 20_000


def test_a_written_out_plan_of_more_than_20_000_is_refused() -> None:
    """The limit of the design, as it comes: 20,000 parts are read, and the one after them is told as one too many."""
    names = [", ".join(f"p{row}_{n}" for n in range(100)) for row in range(200)]
    lines = [f"part {each} of board, 9 long, upright, facing front" for each in names]
    lines.append("part last of board, 9 long, upright, facing front")
    text = FAULTY.split("part ", 1)[0] + "\n".join([*lines, ""])
    inspection = clear_answer(text.encode())
    assert isinstance(inspection, Inspection)
    (mistake,) = inspection.unread
    assert "more than 20,000 parts and joins" in mistake.says
    assert text[mistake.span.start :].startswith("part last")


# ---------------------------------------------------------------- the time of one plan


@pytest.mark.parametrize("seconds", [0, 5, 60, 200])
def test_a_long_check_that_finds_nothing_is_stopped_inside(
    monkeypatch: pytest.MonkeyPatch, seconds: int
) -> None:
    """A clock that moves a second each time it is looked at: once the time is over nobody looks more than twice."""
    looks = count()
    monkeypatch.setattr(check_run, "monotonic", lambda: float(next(looks)))
    inspection = inspect_text(PlanText("row.plan", row_of_furniture(200)), budget=seconds)
    spent = next(looks)
    assert seconds < spent <= seconds + 4
    (trouble,) = inspection.crashed
    assert trouble.what == "time"
    # A check of all joints looks once a joint at least: it was in one of the first that it was stopped.
    assert "apart" in trouble.rules or "lone-screw" in trouble.rules
    assert "hole-in-sight" in trouble.rules
    assert not inspection.findings


def test_parts_heaped_in_one_place_are_given_up_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every two of 60 boards run into one another: the check that finds them all is stopped before it has."""
    looks = count()
    monkeypatch.setattr(check_run, "monotonic", lambda: float(next(looks)))
    board = "    part p_{n} of board, 12 long, crosswise, facing front\n"
    heap = (
        f"for n in 1 to 60\n{board}    join p_{{n}}.bottom to rail.top as glued\n        flush left, front\n"
    )
    inspection = inspect_text(PlanText("heap.plan", SOUND + heap), budget=300)
    assert 300 < next(looks) <= 304
    assert [trouble.what for trouble in inspection.crashed] == ["time"]
    assert "overlap" in inspection.crashed[0].rules


def test_a_piece_may_be_asked_after_its_time() -> None:
    """What is asked of a piece once it is inspected, to explain its joints or to mend it, is not stopped."""
    inspection = inspect_text(PlanText("frame.plan", SOUND), budget=0)
    piece = inspection.piece
    assert piece is not None
    assert [len(piece.screws(join)) for join in piece.plan.joins] == [2]
