"""The Markdown summary: short, true to the counts, and one row to a finding."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, refused
from planlint.reports.markdown_report import MOST_ROWS, MarkdownReport, code, escaped
from planlint.reports.tally import Tally
from planlint.text.source import Mistake, PlanText, Span
from tests.plans import FAULTY, SOUND


def report(*inspections: Inspection) -> str:
    words: list[str] = []
    markdown = MarkdownReport(words.append)
    tally = Tally()
    for inspection in inspections:
        tally.add(inspection)
        markdown.add(inspection.path, inspection)
    markdown.end(tally)
    return "".join(words)


def test_summary() -> None:
    told = report(
        inspect_text(PlanText("sound.plan", SOUND)),
        inspect_text(PlanText("faulty.plan", FAULTY)),
        refused("gone.plan", "there is no such file"),
    )
    assert told.splitlines()[0] == "## planlint: 1 finding"
    assert "2 plans inspected, 1 sound; 1 stop; 0 caution; 0 advice; **1 path could not be read**." in told
    assert "| stop | `lone-screw` | 1 | 1 |" in told
    assert "| `gone.plan` | 1 | There is no such file. |" in told
    assert "| stop | `faulty.plan` | 12 | rail.left | `lone-screw` | One screw holds rail to stile" in told
    assert "the joint can turn on it. | Drill 2 pockets in back" in told
    assert told.splitlines()[2] == "**Not everything could be inspected: mend what could not be read first.**"
    alone = report(refused("gone.plan", "there is no such file"))
    assert alone.startswith("## planlint: not everything inspected\n")
    assert "**Fails: 1 finding to mend or to accept.**" in report(
        inspect_text(PlanText("faulty.plan", FAULTY))
    )
    assert "**Passes: nothing found.**" in report(inspect_text(PlanText("sound.plan", SOUND)))


def test_nothing_found() -> None:
    told = report(inspect_text(PlanText("sound.plan", SOUND)))
    assert told.startswith("## planlint: nothing found\n")
    assert "|" not in told


def test_worst_first_and_not_without_end() -> None:
    def found(number: int, grade: Grade) -> Inspection:
        finding = Finding("a-rule", grade, None, (), Span(0, 1), f"n{number}", None, None, None, "judgement")
        return Inspection(f"{number}.plan", PlanText(f"{number}.plan", "x"), findings=(finding,))

    many = [found(number, Grade.STOP if number == 1999 else Grade.ADVICE) for number in range(2000)]
    told = report(*many)
    rows = [row for row in told.splitlines() if ".plan`" in row]
    assert len(rows) == MOST_ROWS
    assert rows[0].startswith("| stop | `1999.plan`")
    assert rows[1].startswith("| advice | `0.plan`")
    assert f"These are the first {MOST_ROWS} of 2000" in told


@pytest.mark.parametrize("words", ["`", "a``b", "a|b", "##x[y]", "::error::", "@you", " a", "a\nb", ""])
def test_only_what_is_plain_stands_as_code(words: str) -> None:
    assert code("plain, 1") == "`plain, 1`"
    assert code(words) == escaped(words)


def test_words_are_only_words() -> None:
    told = escaped("<b> [x](http://y) *a* `c` | @builder #12 www.z")
    assert told == (
        "\\<b\\> \\[x\\](http:&#8203;//y) \\*a\\* \\`c\\` \\| @&#8203;builder #&#8203;12 www&#8203;.z"
    )


def test_a_plan_in_which_all_is_known_is_not_counted_as_sound() -> None:
    found = inspect_text(PlanText("faulty.plan", FAULTY))
    told = report(
        replace(found, findings=(), known=found.findings), inspect_text(PlanText("sound.plan", SOUND))
    )
    assert told.startswith("## planlint: nothing new\n")
    assert "2 plans inspected, 1 sound, 1 with nothing new; 0 stop; " in told
    assert "; 1 known from the ledger." in told


def test_names_in_mistakes_keep_their_case() -> None:
    unread = Inspection(
        "a.plan", PlanText("a.plan", "part rail of x"), unread=(Mistake(Span(0, 4), "rail is short"),)
    )
    told = report(unread)
    assert "| rail is short. |" in told
    assert "**1 plan not read or not inspected whole**." in told
