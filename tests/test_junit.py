"""The JUnit report: the shape that build servers read, and a count for everything."""

from __future__ import annotations

from xml.etree import ElementTree

from planlint.findings.finding import Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, Trouble, refused
from planlint.reports.junit_report import JunitReport
from planlint.reports.tally import Tally
from planlint.text.source import Mistake, PlanText, Span
from tests.plans import FAULTY, SOUND

SUITE = {"name", "tests", "failures", "errors", "skipped", "time"}
CHILDREN = {"failure", "error", "skipped", "system-out"}


def report(*inspections: Inspection, lowest: Grade = Grade.ADVICE) -> ElementTree.Element:
    """The suite of a report that has the common shape."""
    words: list[str] = []
    junit = JunitReport(words.append, lowest)
    for inspection in inspections:
        junit.add(inspection.path, inspection)
    junit.end(Tally())
    root = ElementTree.fromstring("".join(words))
    assert root.tag == "testsuites"
    (suite,) = root
    assert suite.tag == "testsuite"
    assert set(suite.attrib) == set(root.attrib) == SUITE
    for case in suite:
        assert case.tag == "testcase"
        assert set(case.attrib) == {"name", "classname", "time"}
        assert len(case) <= 1
        assert {child.tag for child in case} <= CHILDREN
    assert int(suite.attrib["tests"]) == len(suite)
    for count, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        assert int(suite.attrib[count]) == len(suite.findall(f"testcase/{tag}"))
    return suite


def test_each_kind_of_case() -> None:
    accepted = FAULTY + 'accept lone-screw on rail.left because "so"\n'
    suite = report(
        inspect_text(PlanText("sound.plan", SOUND)),
        inspect_text(PlanText("faulty.plan", FAULTY)),
        inspect_text(PlanText("accepted.plan", accepted)),
        refused("gone.plan", "there is no such file"),
        Inspection("crashed.plan", PlanText("crashed.plan", ""), crashed=(Trouble("lone-screw", "failed"),)),
    )
    kinds = [(case.attrib["classname"], [child.tag for child in case]) for case in suite]
    assert kinds == [
        ("sound.plan", []),
        ("faulty.plan", ["failure"]),
        ("accepted.plan", ["skipped"]),
        ("gone.plan", ["error"]),
        ("crashed.plan", ["error"]),
    ]
    failure = suite[1][0]
    assert suite[1].attrib["name"] == "lone-screw on joint rail.left/stile.right"
    assert failure.attrib["type"] == "stop lone-screw"
    assert "Measured: 1 screw; at least 2 screws (common practice)" in (failure.text or "")
    assert "Do: Drill 2 pockets" in (failure.text or "")


def test_findings_that_do_not_fail_the_run_pass_with_their_words() -> None:
    stale = inspect_text(PlanText("stale.plan", SOUND + 'accept lone-screw on rail.left because "so"\n'))
    (case,) = report(stale, lowest=Grade.STOP)
    assert case[0].tag == "system-out"
    assert "is accepted on rail.left" in (case[0].text or "")
    (case,) = report(stale)
    assert case[0].tag == "failure"


def test_names_in_mistakes_keep_their_case() -> None:
    unread = Inspection(
        "a.plan", PlanText("a.plan", "part rail of x"), unread=(Mistake(Span(0, 4), "rail is short"),)
    )
    (case,) = report(unread)
    assert case[0].text == "line 1, column 1: rail is short."
