"""Every kind of finding drawn, on the plans that the rules' own files fail."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from math import dist
from pathlib import Path

import pytest

from planlint.checks.bunk_guard import Unguarded
from planlint.command.main import main
from planlint.drawings.close_ups import CloseUp
from planlint.drawings.finding_sheets import close_up, finding_sheet, parts_of
from planlint.drawings.joint_sheets import joint_sheet
from planlint.drawings.primitives import PENS, Area, Line, Text
from planlint.drawings.step_sheets import step_sheet
from planlint.drawings.svg_text import svg
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.directions import Side
from planlint.model.workshop import Settings
from planlint.settings.layered_settings import Shop
from planlint.text.source import PlanText
from planlint.workplan.work_steps import work_steps
from tests.test_fasteners import APRON
from tests.test_loads import TRESTLE
from tests.test_sheets import DEMO, inspected, off_the_paper, on_the_drawing, overlapping, piece_of

PLANS = Path(__file__).parent / "pieces"
MANY_KINDS = {
    *("tip-over", "fastener-fit", "loose-panel", "hanging", "one-face-finish"),
    *("askew", "stepped-face", "bunk-guard", "poor-fit", "screws-meet", "misfit", "unlike-sides"),
}
"""Rules that find several things, each with a picture of its own."""
CASES = [
    (name, n)
    for name, rule in rule_book().items()
    for n in [
        n for n, case in enumerate(rule.cases) if any(each.startswith(f"{name} ") for each in case.findings)
    ][: 6 if name in MANY_KINDS else 1]
]


@pytest.mark.parametrize(("name", "which"), CASES)
def test_each_kind_of_finding_has_its_sheet(name: str, which: int) -> None:
    case = rule_book()[name].cases[which]
    inspection = inspect_text(PlanText("case.plan", case.plan))
    assert inspection.piece is not None
    mine = [(n, finding) for n, finding in enumerate(inspection.findings, 1) if finding.rule == name]
    assert mine
    for number, finding in mine:
        sheet = finding_sheet(inspection.piece, finding, number)
        assert overlapping(sheet) == []
        assert off_the_paper(sheet) == []
        assert on_the_drawing(sheet) == []
        ET.fromstring(svg(sheet))
        words = " ".join(item.words for item in sheet.items if isinstance(item, Text))
        assert finding.says.split()[0] in words
        assert finding.grade.word in words
        _told_distance_is_drawn(inspection.piece, finding)
        _something_is_marked(inspection.piece, finding)


def _something_is_marked(piece: Piece, finding: Finding) -> None:
    """What is wrong stands out on the drawing near by; where it is a whole part, on the piece alone."""
    shown = close_up(piece, finding, parts_of(piece, finding), (0.0, 0.0, 150.0, 150.0))
    assert shown is not None
    faulty = {kind for kind, pen in PENS.items() if pen.tone == "fault"}
    marks = [
        item
        for item in shown.items
        if (item.kind in faulty if isinstance(item, Line) else item.tone in {"fault", "in the way"})
    ]
    whole = finding.rule == "unlike-sides" and finding.measured is None  # A part cut as no image is.
    assert marks or whole or finding.rule in {"unjoined", "unknown-wood"}


@pytest.mark.parametrize(
    ("text", "kind", "pushed"),
    [
        (TRESTLE.format(slant=25), "gives-way", True),
        ((PLANS / "f_koa_shelf_of_no_known_strength.plan").read_text("utf-8"), "not-told", False),
    ],
)
def test_parts_that_a_load_pushes_away_are_shown_with_the_way_they_go(
    text: str, kind: str, pushed: bool
) -> None:
    """A trestle whose hinged legs friction does not keep; a shelf of a wood of which no figure is known."""
    inspection = inspect_text(PlanText("a.plan", text))
    assert inspection.piece is not None
    mine = [(n, each) for n, each in enumerate(inspection.findings, 1) if each.kind == kind]
    assert mine
    for number, finding in mine:
        sheet = finding_sheet(inspection.piece, finding, number)
        assert overlapping(sheet) == []
        assert off_the_paper(sheet) == []
        parts = parts_of(inspection.piece, finding)
        shown = close_up(inspection.piece, finding, parts, (0.0, 0.0, 150.0, 150.0))
        assert shown is not None
        assert (shown.title == "Which way it goes") is pushed
        assert any(isinstance(item, Area) and item.tone == "fault" for item in shown.items) is pushed


PIECES = (
    "f_pocket_into_groove_everywhere",
    "f_pocket_into_rabbet",
    "f_half_lap_end_to_edge",
    "f_layers_screw_too_long",
)
"""Pieces whose findings have several places to measure from: beside a bore or its pilot, in a lap joined by its end."""


@pytest.mark.parametrize("name", PIECES)
def test_the_place_that_a_finding_is_about_is_measured(name: str) -> None:
    piece = piece_of(PLANS / f"{name}.plan")
    for finding in inspected(PLANS / f"{name}.plan").findings:
        shown = close_up(piece, finding, parts_of(piece, finding), (0.0, 0.0, 150.0, 150.0))
        assert shown is not None
        assert shown.between is not None
        assert finding.measured is not None
        assert dist(*shown.between) == pytest.approx(abs(finding.measured), abs=1e-3)


def test_steps_and_joints_show_what_is_driven_through_a_face(tmp_path: Path) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 1 x 4\n\npart post of board, 12 long, upright, facing front\n'
        "part rail of board, 16 long, crosswise, facing front\n\njoin rail.back to post.front\n    flush left, bottom\n"
        "    nails 2 through rail, 1-1/2 long\n"
    )
    piece = piece_of(plan)
    (step,) = work_steps(piece)
    for sheet in (step_sheet(piece, step, 1), joint_sheet(piece, piece.plan.joins[0])):
        assert "2 nails 1-1/2 in long, through the front of rail into post" in sheet.says
    arrows = [i for i in step_sheet(piece, step, 1).items if isinstance(i, Area) and i.tone == "fault"]
    assert len(arrows) == 2


NO_DISTANCE = {
    "screws-meet",
    "no-build-order",
    "nominal-size",
    "locked-across-grain",
    "shelf-sag",
    "racking",
    "hanging",
}
"""Rules with a measure in inches that is no distance between two places: what tapers is nearer than its axis, a length
of a driver, a size as it is written, how far wood moves or bends."""


DISTANCES = {
    "wide-spacing",
    "close-spacing",
    "far-from-end",
    "near-end",
    "short-grip",
    "tip-through",
    "breakout",
    "mitre-breakout",
    "thin-cover",
    "narrow-mitre",
    "thin-stock",
    "unstocked-screw",
    "stepped-face",
    "misfit",
    "apart",
    "overlap",
    "poor-fit",
    "stock-too-short",
    "wide-boards",
    "guard-gap",
}
"""Rules whose measure must be marked between two places."""


def first_drawn(text: str, rule: str, kind: str, settings: Settings | None = None) -> tuple[Finding, CloseUp]:
    """The first finding of a kind in a plan and its close-up, its sheet looked over."""
    inspection = inspect_text(PlanText("case.plan", text), settings or Settings())
    piece = inspection.piece
    assert piece is not None
    found = next(each for each in inspection.findings if (each.rule, each.kind) == (rule, kind))
    sheet = finding_sheet(piece, found, 1)
    assert overlapping(sheet) == off_the_paper(sheet) == on_the_drawing(sheet) == []
    shown = close_up(piece, found, parts_of(piece, found), (0.0, 0.0, 150.0, 150.0))
    assert shown is not None
    return found, shown


def test_a_slot_beside_the_cut_along_a_screw_is_dashed_there() -> None:
    """The bore runs into the button's slot from beside it: it is drawn, and the measure leads to it."""
    _, shown = first_drawn(APRON.format("1, 3", "buttons at 2, 25 from left"), "screws-meet", "fitting")
    assert shown.title.endswith("; dashed: beside it")
    (slot,) = (item.points for item in shown.items if isinstance(item, Line) and item.kind == "fault hidden")
    leads = [item.points for item in shown.items if isinstance(item, Line) and item.kind == "measure"]
    (leader,) = [(a, b) for a, b in leads if a[0] == b[0]]
    for axis in (0, 1):
        levels = [point[axis] for point in slot]
        assert min(levels) < leader[0][axis] < max(levels)


def test_stock_too_thin_is_measured_at_the_end_of_its_part(tmp_path: Path) -> None:
    text = """plan "Shelf"
    seen from nowhere
stock board of red oak, 1 x 9-1/4
part shelf of board, 24 long, crosswise, facing up
"""
    (tmp_path / "planlint.toml").write_text('[stock]\nkept = ["red oak, 3/4 x 9-1/4, 8 ft"]\n')
    settings = Shop().settings_for(str(tmp_path / "case.plan"))
    _, shown = first_drawn(text, "stock-too-short", "not-so-thick", settings)
    assert shown.between is not None
    assert dist(*shown.between) == pytest.approx(0.75)


def test_an_end_of_a_high_bed_is_seen_square_with_how_high_it_should_stand() -> None:
    """By the plan: a bed 42 in wide, whose ends should stand up so far above what its mattress lies on."""
    found, shown = first_drawn(rule_book()["bunk-guard"].cases[2].plan, "bunk-guard", "end")
    fact = found.judged(Unguarded)
    dashed = [item.points for item in shown.items if isinstance(item, Line) and item.kind == "fault hidden"]
    line, *hidden = sorted(dashed, key=lambda points: points[0][1])
    assert line[0][1] == pytest.approx(line[1][1])
    bed = [
        points
        for item in shown.items
        if isinstance(item, Line) and item.kind == "fault"
        for points in item.points
    ]
    bed += [point for points in hidden for point in points]
    scale = (line[1][0] - line[0][0]) / 42
    assert abs(scale) * fact.top == pytest.approx(min(y for _, y in bed) - line[0][1], abs=0.01)


def _told_distance_is_drawn(piece: Piece, finding: Finding) -> None:
    """What the report measures is the distance between the two places that are marked."""
    if finding.unit != "in" or finding.measured is None or finding.rule in NO_DISTANCE:
        return
    shown = close_up(piece, finding, parts_of(piece, finding), (0.0, 0.0, 150.0, 150.0))
    assert shown is not None
    if shown.between is None:
        assert finding.rule not in DISTANCES
        return
    assert dist(*shown.between) == pytest.approx(abs(finding.measured), abs=1e-3)


@pytest.mark.parametrize("path", DEMO[::4], ids=lambda path: path.stem)
def test_steps_and_joints_of_the_demo_plans(path: Path) -> None:
    piece = piece_of(path)
    steps = work_steps(piece)
    for step in steps:
        # What comes down from above comes down the paper, whichever side of the piece lies on the bench.
        items = step_sheet(piece, step, 1).items
        moves = [i.points for i in items if isinstance(i, Line) and i.kind == "neighbour"]
        if step.way and not step.way.first and step.way.last[step.down.axis] == step.down.sign:
            assert all(b[1] > a[1] and abs(b[0] - a[0]) < 1e-6 for a, b in moves), step.number
        said = f"Drawn as it lies, its {step.down.value} down"
        assert (said in svg(step_sheet(piece, step, 1))) is (step.down is not Side.BOTTOM)
    for sheet in [
        *(step_sheet(piece, step, len(steps)) for step in steps),
        *(joint_sheet(piece, join) for join in piece.plan.joins),
    ]:
        assert overlapping(sheet) == [], sheet.name
        assert off_the_paper(sheet) == [], sheet.name


def test_a_tip_that_comes_out_is_drawn_as_far_out_as_it_is_told() -> None:
    """The arrows of the measure lie as many mm apart as its inches at the scale that the sheet tells."""
    path = next(path for path in DEMO if path.stem == "workbench")
    inspection = inspected(path)
    piece = piece_of(path)
    number, finding = next((n, f) for n, f in enumerate(inspection.findings, 1) if f.rule == "tip-through")
    sheet = finding_sheet(piece, finding, number)
    title = next(
        item.words for item in sheet.items if isinstance(item, Text) and item.words.startswith("Cut along")
    )
    ratio = title.rpartition(", ")[2]
    over, _, under = ("1:1" if ratio == "full size" else ratio).partition(":")
    tips = [
        item.points[0]
        for item in sheet.items
        if isinstance(item, Area) and item.tone == "fault" and len(item.points) == 3
    ]
    assert len(tips) == 2
    (a, b), (c, d) = tips
    apart = ((a - c) ** 2 + (b - d) ** 2) ** 0.5
    assert finding.measured is not None
    assert apart == pytest.approx(abs(finding.measured) * 25.4 * int(over) / int(under), abs=0.02)


def test_findings_steps_and_joints_are_drawn_by_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = str(next(path for path in DEMO if path.stem == "workbench"))
    to = tmp_path / "a.svg"
    for words in (
        ["--finding", "1"],
        ["--finding", "lone-screw"],
        ["--step", "1"],
        ["--joint", piece_of(Path(plan)).plan.joins[0].name],
    ):
        assert main(["draw", plan, "--to", str(to), *words]) == 0
        ET.parse(to)
    for words in (["--finding", "misfit"], ["--step", "99"], ["--joint", "nowhere"]):
        assert main(["draw", plan, "--to", str(to), *words]) == 2
    assert "there is no step 99" in capsys.readouterr().err
