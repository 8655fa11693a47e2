"""The reports: the same facts for people and for programs, at every width, and nothing steered by a plan's text."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint import __version__
from planlint.findings.finding import Finding, Grade, Repair
from planlint.findings.rules_in_force import rule_book
from planlint.inspection.inspection_result import About, Inspection, Trouble, refused
from planlint.reports.json_report import json_report
from planlint.reports.json_schema import ReportEntry, json_schema
from planlint.reports.line_difference import differences
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import NamesGiven, measured, quantity, sentence, visible
from planlint.reports.tally import Tally
from planlint.reports.text_report import MOST_UNREAD, TextReport, write_inspection, write_summary
from planlint.text.source import Mistake, PlanText, Span

TEXT = """\
plan "Bench"
part rail of board, 24 long
join rail.left to leg.right
    flush top
    pockets 1 in back
"""
SOURCE = PlanText("bench.plan", TEXT)


def span_of(words: str) -> Span:
    start = TEXT.index(words)
    return Span(start, start + len(words))


LONE = Finding(
    rule="lone-screw",
    grade=Grade.STOP,
    joint="rail.left",
    parts=("rail", "leg"),
    span=span_of("pockets 1 in back"),
    says="one screw holds a joint 3-1/2 in wide, so the rail can turn on it",
    measured=1,
    limit=2,
    unit="screws",
    basis="common practice",
    repairs=(Repair("drill two pockets, 3/4 in and 2-3/4 in from the top"),),
    judged_by="screws",
)
LONG = Finding(
    rule="nominal-size",
    grade=Grade.CAUTION,
    joint=None,
    parts=("rail",),
    span=span_of("24 long"),
    says="the rail is long",
    measured=1 / 3,
    limit=0.25,
    unit="in",
    basis="published source: A Table of Sizes",
)
FOUND = Inspection("bench.plan", SOURCE, findings=(LONG, LONE), accepted=(LONE,))
UNREAD = Inspection(
    "bench.plan", SOURCE, unread=(Mistake(span_of("board"), "there is no stock board; did you mean boards?"),)
)
CRASHED = Inspection("bench.plan", SOURCE, crashed=(Trouble("lone-screw", "planlint itself failed"),))


def report(*inspections: Inspection, width: int | None = None) -> str:
    file = io.StringIO()
    page = Page(file, width)
    tally = Tally()
    for inspection in inspections:
        tally.add(inspection)
        write_inspection(page, inspection)
    write_summary(page, tally)
    return file.getvalue()


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("COLUMNS", "FORCE_COLOR", "NO_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)


def test_finding_is_told_whole() -> None:
    lines = report(FOUND).splitlines()
    at = lines.index("Joint rail.left")
    assert lines[at + 1 : at + 7] == [
        "  STOP  lone-screw",
        "    One screw holds a joint 3-1/2 in wide, so the rail can turn on it.",
        "    Line 5    pockets 1 in back",
        "              ├───────────────┤",
        "    Measured  1 screw; at least 2 screws (common practice)",
        "    Do        Drill two pockets, 3/4 in and 2-3/4 in from the top.",
    ]


def test_what_a_terminal_would_make_a_picture_of_stays_as_it_is_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    file = io.StringIO()
    page = Page(file, 80)
    page.prose("Rack for an :apple: and a [bold]pear[/bold].")
    page.flush()
    assert "Rack for an :apple: and a [bold]pear[/bold]." in file.getvalue()


def test_findings_stand_under_their_joint_or_part_in_the_order_of_the_text() -> None:
    headings = [line for line in report(FOUND).splitlines() if line.startswith(("Joint", "Part"))]
    assert headings == ["Part rail", "Joint rail.left"]


def alike(*joints: str, repair: str = "drill {} twice") -> Inspection:
    found = tuple(
        replace(
            LONE,
            joint=f"{name}.left",
            parts=(name, "leg"),
            repairs=(Repair(repair.format(name)),),
            cause="one",
        )
        for name in joints
    )
    return Inspection("bench.plan", SOURCE, findings=(*found, LONG))


def test_equal_findings_are_told_once_with_the_others_by_name_and_line() -> None:
    told = " ".join(report(alike("rail", "slat", "apron", "foot")).split())
    assert told.count("STOP lone-screw") == 1
    assert "Also the same in 3 more joints: slat.left, apron.left, foot.left (line 5)." in told
    assert "CAUTION nominal-size" in told


def test_joints_numbered_one_after_the_other_are_told_as_a_run() -> None:
    told = " ".join(report(alike("rail", "slat_10", "slat_2", "foot", "slat_3", "slat_1", "slat_9")).split())
    run = "slat_1.left through slat_3.left, slat_9.left, slat_10.left, foot.left (line 5)"
    assert f"Also the same in 6 more joints: {run}." in told


def test_findings_of_other_causes_are_all_told() -> None:
    found = alike("rail", "slat", "apron")
    other = replace(found, findings=tuple(replace(each, cause="") for each in found.findings))
    assert report(other).count("STOP  lone-screw") == 3


def test_what_follows_from_a_finding_is_told_with_it() -> None:
    first = replace(LONE, rule="thin-stock", says="The stock is too thin.")
    after = replace(LONE, rule="tip-through", says="The point comes out.")
    told = report(Inspection("bench.plan", SOURCE, findings=(after, first)))
    assert told.count("STOP") == 1
    assert "Also      tip-through: The point comes out." in told


def test_the_head_of_a_plan_counts_the_worst_first() -> None:
    assert report(alike("rail", "slat", "apron")).splitlines()[0] == "bench.plan  1 stop, 1 caution"


def test_code_is_not_broken_in_a_narrow_page() -> None:
    file = io.StringIO()
    page = Page(file, 40)
    page.prose("If it is meant, say so there: `set back 1/8 in from back` and not flush.", indent=4)
    page.flush()
    assert any("`set back 1/8 in from back`" in line for line in file.getvalue().splitlines())


def test_narrow_labels_stand_under_their_sentence() -> None:
    lines = report(FOUND, width=40).splitlines()
    for label in ("Line 5", "Do: ", "Measured: "):
        assert any(line.startswith(f"    {label}") for line in lines)


def differing(now: str, then: str) -> list[tuple[str, str]]:
    return [
        (row.label, row.line) for rows in differences(10, now.splitlines(), then.splitlines()) for row in rows
    ]


JOIN = "join a.left to b.right as dado, 1/4 deep\n    flush front\n    1 from top\njoin c.left to b.right"


def test_a_line_put_in_is_told_behind_the_line_before_it() -> None:
    then = JOIN.replace(" as dado, 1/4 deep", "").replace(
        "1 from top", "1 from top\n    pockets 2 in back\n    glued"
    )
    assert differing(JOIN, then) == [
        ("Line 10", "join a.left to b.right as dado, 1/4 deep"),
        ("then", "join a.left to b.right"),
        ("after line 12", "    pockets 2 in back"),
        ("", "    glued"),
    ]


def test_lines_that_change_are_paired_with_what_they_become() -> None:
    now = "    dado 3/4 wide across right\n    flush front\n    pockets 2 in back\n"
    then = "    screws to suit\n    pockets 3 in bottom\n"
    assert differing(now, then) == [
        ("Line 10", "    dado 3/4 wide across right"),
        ("then", "(taken out)"),
        ("Line 11", "    flush front"),
        ("then", "(taken out)"),
        ("after line 11", "    screws to suit"),
        ("Line 12", "    pockets 2 in back"),
        ("then", "    pockets 3 in bottom"),
    ]


@given(st.lists(st.sampled_from(["a b", "a c", "", "d e f", " g"]), max_size=8), st.data())
def test_a_difference_leads_from_one_text_to_the_other(now: list[str], data: st.DataObject) -> None:
    then = data.draw(st.lists(st.sampled_from(["a b", "a c", "", "d e f", " g"]), max_size=8))
    told = [line or "(an empty line)" for line in now]
    made: list[str] = []
    at = 0
    for rows in differences(1, now, then):
        label = rows[0].label
        if label.startswith("Line "):
            line = int(label[5:])
            made += told[at : line - 1]
            at = line
            assert rows[0].line == told[line - 1]
            made += [] if rows[1].line == "(taken out)" else [rows[1].line]
        else:
            after = at if not label or label == "at the top" else int(label.removeprefix("after line "))
            made += told[at:after]
            at = max(at, after)
            made.append(rows[0].line)
    assert [*made, *told[at:]] == [line or "(an empty line)" for line in then]


@pytest.mark.parametrize("width", [30, 40, 80])
def test_lines_of_a_plan_keep_their_spaces(width: int) -> None:
    file = io.StringIO()
    page = Page(file, width)
    page.lines(
        [("Line 5", "    part rail of board,  24 long,   crosswise, facing front, finish both faces", "")]
    )
    page.flush()
    assert "        part rail of" in file.getvalue()
    assert "board,  24" in file.getvalue() or "board,\n" in file.getvalue()
    assert max(map(len, file.getvalue().splitlines())) <= width


def test_summary_counts_everything() -> None:
    last = report(FOUND, UNREAD, CRASHED, width=150).splitlines()[-1]
    assert last == (
        "3 plans: 1 stop, 1 caution, 0 advice; 1 finding accepted by the plans themselves; "
        "2 plans not read or not inspected whole."
    )


@pytest.mark.parametrize(
    ("many", "more"), [(MOST_UNREAD, ""), (MOST_UNREAD + 1, "and 1 more"), (MOST_UNREAD + 7, "and 7 more")]
)
def test_of_many_plans_that_were_not_read_so_many_are_named(many: int, more: str) -> None:
    file, tally = io.StringIO(), Tally()
    text = TextReport(file.write)
    for number in range(many):
        tally.add(UNREAD)
        text.add(f"bench_{number}.plan", UNREAD)
    text.end(tally)
    _, *named = file.getvalue().split("not read or not inspected whole: ")
    assert [each.split()[0] for each in named] == [f"bench_{number}.plan" for number in range(MOST_UNREAD)]
    assert ("more" in named[-1]) is bool(more) and more in named[-1]


def test_mistake_is_told_with_its_place() -> None:
    lines = report(UNREAD).splitlines()
    at = lines.index("  NOT READ  line 2, column 14")
    assert lines[at + 1 : at + 4] == [
        "    There is no stock board; did you mean boards?",
        "    Line 2    part rail of board, 24 long",
        "                           ├───┤",
    ]


def test_a_plan_in_which_all_is_known_is_not_told_as_sound() -> None:
    about = About("Bench", "in", 2, 1)
    known = Inspection("bench.plan", SOURCE, known=(LONE, LONG), about=about)
    assert report(known).splitlines() == [
        "bench.plan  Bench: nothing new, 2 known",
        "",
        "1 plan: 0 stop, 0 caution, 0 advice; 2 findings known from the ledger.",
    ]
    assert report(replace(known, accepted=(LONE,))).startswith(
        "bench.plan  Bench: nothing new, 2 known, 1 accepted\n"
    )
    new = replace(known, findings=(LONE,), known=(LONG,))
    assert report(new).startswith("bench.plan  Bench: 1 stop, 1 known\n")
    tally = Tally()
    for inspection in (known, new, Inspection("sound.plan", SOURCE, about=about)):
        tally.add(inspection)
    assert (tally.sound, tally.nothing_new) == (1, 1)
    file = io.StringIO()
    write_summary(Page(file), tally, brief=True)
    assert "; 1 sound, 1 with nothing new; 3 findings known from the ledger." in file.getvalue()


def test_file_that_could_not_be_opened() -> None:
    told = report(refused("gone.plan", "there is no such file or folder"))
    assert "NOT READ  the whole file" in told
    assert "There is no such file or folder." in told


def test_our_own_fault_is_no_finding() -> None:
    told = report(CRASHED)
    assert "NOT CHECKED  lone-screw" in told
    assert "STOP" not in told


@pytest.mark.parametrize("width", [30, 40, 59, 60, 80, 200])
def test_no_word_is_lost_at_any_width(width: int) -> None:
    told = report(FOUND, UNREAD, width=width)
    assert max(map(len, told.splitlines())) <= width
    for finding in FOUND.findings:
        for words in (
            sentence(finding.says),
            finding.basis,
            *(sentence(each.says) for each in finding.repairs),
        ):
            assert " ".join(words.split()) in " ".join(told.split())


def test_a_pipe_gets_100_columns_and_no_colour() -> None:
    long = "word " * 60
    lines = report(Inspection("a.plan", SOURCE, unread=(Mistake(Span(0, 4), long),))).splitlines()
    assert 90 < max(map(len, lines)) <= 100
    assert "\x1b" not in "".join(lines)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def in_a_terminal(monkeypatch: pytest.MonkeyPatch, **surroundings: str) -> str:
    monkeypatch.setenv("TERM", "xterm-256color")
    for name, value in surroundings.items():
        monkeypatch.setenv(name, value)
    file = Terminal()
    page = Page(file)
    write_inspection(page, FOUND)
    return file.getvalue()


def test_colour_in_a_terminal_only_repeats_the_words(monkeypatch: pytest.MonkeyPatch) -> None:
    told = in_a_terminal(monkeypatch, COLUMNS="80")
    assert "\x1b[" in told
    assert "STOP" in told


def test_no_color_is_honoured(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "\x1b[3" not in in_a_terminal(monkeypatch, NO_COLOR="1", COLUMNS="80")


def test_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    told = in_a_terminal(monkeypatch, COLUMNS="40", NO_COLOR="1", TERM="dumb")
    assert max(map(len, told.splitlines())) <= 40


def test_text_of_a_plan_steers_nothing() -> None:
    evil = "[bold red]x[/] \x1b[31mred\x07 \u202etxt :smile: [link=a]"
    source = PlanText("e\x1b[2Jvil\n.plan", f"# {evil}\n")
    told = report(Inspection(source.path, source, unread=(Mistake(Span(2, 9), f"no {evil}"),)))
    assert "[bold red]x[/] \\x1b[31mred\\x07 \\u202etxt :smile: [link=a]" in told
    assert "e\\x1b[2Jvil .plan" in told
    assert not set("\x1b\x07\u202e") & set(told)


@given(st.text(max_size=60))
def test_visible_text_is_printable(text: str) -> None:
    assert visible(text).isprintable()


@given(st.text(alphabet=st.characters(blacklist_characters="\n\r"), max_size=300), st.data())
def test_any_line_can_be_marked(line: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(line)))
    end = data.draw(st.integers(start, len(line) + 1))
    file = io.StringIO()
    page = Page(file, data.draw(st.integers(20, 120)))
    page.marked("Line 7", line, start, end)
    page.flush()
    assert file.getvalue().rstrip("\n").splitlines()[-1].strip("├─┤│ ") == ""
    assert len(file.getvalue().splitlines()) in {2, 3}


def test_a_place_between_letters_is_marked_by_one_stroke() -> None:
    out = io.StringIO()
    page = Page(out, 80)
    page.marked("Line 1", "abcdef", 3, 3)
    page.marked("Line 1", "abcdef", 3, 4)
    page.marked("Line 1", "abcdef", 3, 5)
    page.flush()
    assert [line[14:] for line in out.getvalue().splitlines()[1::2]] == ["   │", "   │", "   ├┤"]


def test_what_is_indented_only_where_it_is_asked_for() -> None:
    out = io.StringIO()
    page = Page(out, 20)
    page.listed("one two three four five")
    page.listed("six", indent=2)
    page.prose("seven")
    page.verbatim("  eight")
    page.table([("a", "b"), ("nine", "c")])
    page.heading("Head", "0123456789012")
    page.heading("Head", "01234567890123")
    page.heading("Head", "012345678901234")
    page.flush()
    assert out.getvalue().splitlines() == [
        "- one two three four", "  five", "  - six", "seven", "  eight", "a     b", "nine  c",
        "Head  0123456789012", "Head  01234567890123", "Head", "  012345678901234",
    ]  # fmt: skip


def test_mark_stays_under_wide_letters() -> None:
    file = io.StringIO()
    page = Page(file, 80)
    page.marked("Line 1", "木木 rail", 3, 7)
    page.flush()
    line, mark = file.getvalue().splitlines()
    assert line.index("rail") + 2 == mark.index("├")


def test_long_line_is_shown_around_its_mark() -> None:
    line = "x" * 5000 + " here " + "y" * 5000
    file = io.StringIO()
    page = Page(file, 60)
    page.marked("Line 1", line, 5001, 5005)
    page.flush()
    shown, mark = file.getvalue().splitlines()
    assert shown[mark.index("├") : mark.index("┤") + 1] == "here"
    assert len(shown) <= 60


@pytest.mark.parametrize(
    ("value", "unit", "plan_unit", "told"),
    [
        (0.75, "in", "in", "3/4 in"),
        (1.0, "in", "mm", "25.4 mm"),
        (1.0, "screws", "in", "1 screw"),
        (0.114, "of all eyes", "in", "11 % of the places looked from"),
        (44.5, "degrees", "in", "44.5 degrees"),
        (2.0, "screws", "in", "2 screws"),
        (0.12345, None, "in", "0.123"),
    ],
)
def test_quantities(value: float, unit: str | None, plan_unit: str, told: str) -> None:
    assert quantity(value, unit, plan_unit) == told


def test_sentences_leave_names_alone() -> None:
    assert sentence("rail_2 is short") == "rail_2 is short."
    assert sentence("rail is short", ("rail",)) == "rail is short."
    assert sentence("the rail is short", ("rail",)) == "The rail is short."
    names = NamesGiven(
        "stock board of oak, 1x4\npart rail, box of board, 9 long # there\npart a of board\n# part there of it"
    )
    assert sentence("box needs its w too", names) == "box needs its w too."
    assert sentence("board is thin", names) == "board is thin."
    assert sentence("a can slide", names) == "a can slide."
    assert sentence("a face looks up", NamesGiven("part b of board")) == "A face looks up."
    assert sentence("there is no box", names) == "There is no box."


@pytest.mark.parametrize(
    ("rule", "found", "limit", "unit", "basis", "told"),
    [
        ("lone-screw", 1, 2, "screws", "common practice", "1 screw; at least 2 screws (common practice)"),
        ("wide-spacing", 9, 8, "in", "common practice", "9 in; at most 8 in (common practice)"),
        ("tip-through", 0.03125, 0.0625, "in", "judgement", "1/32 in; at least 1/16 in (judgement)"),
        ("tip-through", -0.095, 0.0625, "in", "judgement",
         "comes out by 0.095 in; at least 1/16 in must stay (judgement)"),
        ("screws-meet", -0.125, 0.125, "in", "judgement",
         "share wood by 1/8 in; at least 1/8 in must stay between (judgement)"),
        ("hole-in-sight", 0.114, 0, "of all eyes", "geometry",
         "11 % of the places looked from; none allowed (geometry)"),
        ("unstocked-screw", 1.375, 1.25, "in", "the shop", "1-3/8 in, against 1-1/4 in (the shop)"),
        ("of-somebody", 3, 2, "in", "judgement", "3 in, against 2 in (judgement)"),
    ],
)  # fmt: skip
def test_which_side_of_a_limit_is_sound(
    rule: str, found: float, limit: float, unit: str, basis: str, told: str
) -> None:
    by = next(iter(rule_book()[rule].limits)) if rule in rule_book() else ""
    finding = replace(LONE, rule=rule, measured=found, limit=limit, unit=unit, basis=basis, judged_by=by)
    assert measured(finding, "in") == ("Measured", told)


def test_every_limit_that_a_rule_judges_by_has_a_sense() -> None:
    compared = {"nominal-size", "unstocked-screw", "thread-mismatch", "no-build-order", "no-way-in"}
    # Their limits are what a measure's own limit is reckoned from: loads, shares, sizes of what goes through.
    compared |= {"racking", "joint-overload", "guard-gap", "hanging", "shelf-sag", "tip-over", "may-break"}
    silent = {
        name
        for name, rule in rule_book().items()
        if any(limit.sense is None for limit in rule.limits.values())
    }
    assert silent <= compared


def parsed(*inspections: Inspection) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(json_report(inspections))
    jsonschema.validate(told, json_schema())
    ReportEntry.model_validate(told)
    return told


def test_json_has_the_agreed_shape() -> None:
    told = parsed(FOUND, UNREAD, CRASHED)
    grades = {"stop": 1, "caution": 1, "advice": 0}
    assert told["summary"] == {**grades, "unread": 2, "accepted": 1, "known": 0, "unmatched": 0}
    assert told["unmatched"] == []
    assert told["plans"][0]["findings"][1] == {
        "rule": "lone-screw",
        "kind": "",
        "grade": "stop",
        "joint": "rail.left",
        "lasting": None,
        "parts": ["rail", "leg"],
        "line": 5,
        "column": 5,
        "end_line": 5,
        "end_column": 22,
        "says": LONE.says,
        "measured": 1.0,
        "limit": 2.0,
        "unit": "screws",
        "basis": "common practice",
        "repairs": [{"says": "drill two pockets, 3/4 in and 2-3/4 in from the top"}],
        "also": [],
        "reason": None,
        "beside": [],
    }
    marks = dict.fromkeys(("settings", "ledger", "revision", "plans"))
    assert told["run"] == {"version": __version__, **marks, "rule_pages": ""}
    assert told["plans"][1]["unread"] == [
        {"line": 2, "column": 14, "says": "there is no stock board; did you mean boards?"}
    ]
    assert told["plans"][2]["unread"] == [{"line": 1, "column": 1, "says": "planlint itself failed"}]


def test_json_tells_what_is_accepted_and_what_is_known() -> None:
    sound = Inspection("sound.plan", SOURCE)
    known = replace(sound, path="known.plan", known=(LONE, LONG))
    accepted = replace(sound, path="accepted.plan", accepted=(LONG,))
    told = parsed(sound, known, FOUND, accepted)
    assert [[plan[what] for what in ("findings", "accepted", "known")] for plan in told["plans"]] == [
        [[], [], []],
        [[], [], told["plans"][2]["findings"][::-1]],
        [told["plans"][2]["findings"], told["plans"][2]["findings"][1:], []],
        [[], told["plans"][2]["findings"][:1], []],
    ]
    assert (told["summary"]["accepted"], told["summary"]["known"]) == (2, 2)


def test_json_has_no_number_that_json_does_not_know() -> None:
    odd = Finding(
        "askew", Grade.STOP, None, (), Span(0, 1), "odd", float("inf"), float("nan"), "in", "geometry"
    )
    told = parsed(Inspection("a.plan", SOURCE, findings=(odd,)))
    assert (told["plans"][0]["findings"][0]["measured"], told["plans"][0]["findings"][0]["limit"]) == (
        None,
        None,
    )


def test_schema_refuses_another_shape() -> None:
    told = parsed(FOUND)
    told["plans"][0]["findings"][0]["colour"] = "red"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json_schema())


@pytest.mark.parametrize(
    ("inspection", "lowest", "status"),
    [
        (FOUND, Grade.ADVICE, 1),
        (FOUND, Grade.STOP, 1),
        (Inspection("a", SOURCE, findings=(LONG,)), Grade.STOP, 0),
        (Inspection("a", SOURCE, findings=(LONG,)), Grade.CAUTION, 1),
        (Inspection("a", SOURCE), Grade.ADVICE, 0),
        (UNREAD, Grade.STOP, 2),
        (CRASHED, Grade.STOP, 2),
    ],
)
def test_exit_status(inspection: Inspection, lowest: Grade, status: int) -> None:
    tally = Tally()
    tally.add(inspection)
    assert tally.exit_status(lowest) == status


def test_much_that_follows_by_one_rule_is_counted() -> None:
    follows = tuple(replace(LONG, says=f"hole {n}") for n in range(5))
    told = report(Inspection("bench.plan", SOURCE, findings=(replace(LONE, beside=follows),)))
    assert told.count("Also      nominal-size: Hole") == 2
    assert "Also      nominal-size 3 times more." in told
