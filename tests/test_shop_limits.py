"""A limit that the shop changes holds everywhere: in judgement and its words, in the lay-out, in advice and repairs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.model.workshop import Settings
from planlint.rulebook.limits import NIL, Limits
from planlint.text.source import PlanText

Key = tuple[str, str]
NOT_SHOWN = {("hole-in-sight", "part of the mouth")}
"""No worked case has a mouth that is seen in part alone."""
EVERY = [
    pytest.param(name, limit, marks=[pytest.mark.xfail(strict=True)] if (name, limit) in NOT_SHOWN else [])
    for name, rule in rule_book().items()
    for limit in rule.limits
]

FRAME = """\
plan "Frame"
    seen from front
stock frame of cherry, 3/4 x {wide}
part stile of frame, 30 long, upright, facing front
{dado}part rail of frame, 21 long, crosswise, facing front
{groove}join rail.left to stile.right
    flush front, top
    {pockets} in back
    screws to suit
"""
MITRE = """\
plan "Frame"
    seen from front
stock frame of cherry, 3/4 x 3-1/2
part stile of frame, 30 long, upright, facing front, ends cut 45, long at left
part rail of frame, 24 long, crosswise, facing front, ends cut 45, long at top
join rail.left to stile.top
    flush front, top, left
    {pockets} in back
"""
POST = """\
plan "Corner of a table"
stock post of poplar, 4x4
stock apron of poplar, 1x4
part leg of post, 28 long, upright, facing front
part front of apron, 30 long, crosswise, facing front
part side of apron, 20 long, deep, facing left
join front.left to leg.right
    set back 1/4 from back
    flush top
    {pockets} in back
join side.front to leg.back
    set back 1/4 from right
    flush top
    {other}
"""


def frame(wide: str, *, groove: str = "", dado: str = "") -> str:
    return FRAME.replace("{wide}", wide).replace("{groove}", groove).replace("{dado}", dado)


DADO = "    dado 3/4 wide 1/8 deep across front, 1/2 from top\n"
"""Takes wood in front of the points of the screws."""
GROOVE = "    groove 1/4 wide 3/8 deep along bottom, 1/4 from back\n"
LAID_OUT: list[tuple[Key, float, str, str]] = [
    (("breakout", "wood"), 1 / 4, frame("2-1/4"), "pockets 3"),
    (("mitre-breakout", "wood"), 1 / 4, MITRE, "pockets 2"),
    (("thin-cover", "wood"), 3 / 8, frame("2", groove=GROOVE), "pockets 2"),
    (("close-spacing", "wood between bores"), 3 / 4, frame("2"), "pockets 2"),
    (("near-end", "end distance"), 4.0, frame("3"), "pockets 3"),
    (("tip-through", "wood before the point"), 1 / 8, frame("3", dado=DADO), "pockets 2"),
    (
        ("screws-meet", "wood between screws"),
        1 / 4,
        POST.replace("{other}", "pockets at 1, 2-1/2 from top in left"),
        "pockets 2",
    ),
    (
        ("screws-meet", "wood beside a tenon"),
        1 / 4,
        POST.replace("{other}", "as mortise and tenon, tenon 1-1/4 long, 1/4 thick, 1-1/2 wide"),
        "pockets 2",
    ),
]
"""Limits that places are laid out by: a value at which the usual lay-out is no longer sound, a plan, and its row."""


def shop(key: Key, value: float) -> Settings:
    return Settings(limits=Limits.of({key: value}, "planlint.toml, line 7"))


def inspected(text: str, settings: Settings | None = None) -> Inspection:
    inspection = inspect_text(PlanText("a.plan", text), settings)
    assert inspection.piece is not None, inspection.unread
    return inspection


def piece_of(text: str, settings: Settings | None = None) -> Piece:
    piece = inspected(text, settings).piece
    assert piece is not None
    return piece


def stations(piece: Piece) -> list[float]:
    return [pocket.station for pocket in piece.pockets(piece.plan.joins[0])]


def laid_out(piece: Piece) -> list[float]:
    """Where the pockets of the first join lie, and how long its screws are."""
    return [*stations(piece), *(screw.length for screw in piece.screws(piece.plan.joins[0]))]


def told(text: str, settings: Settings, rule: str) -> list[str]:
    """What is found of a rule at the first join."""
    inspection = inspected(text, settings)
    assert inspection.piece is not None
    name = inspection.piece.plan.joins[0].name
    return [each.says for each in inspection.findings if each.rule == rule and name in each.names]


def written_out(text: str, row: str, piece: Piece) -> str:
    """The plan with its row at the places where it lies, by the words of the plan."""
    join = piece.plan.joins[0]
    plane = piece.body(join.part_a)
    top = next(side for side in plane.planes if side.value == "top")
    places = sorted(
        plane.planes[top].depth(pocket.exit) / abs(piece_frame(piece)[2]) for pocket in piece.pockets(join)
    )
    text = text.replace("screws to suit", "screws fine 1-1/4")
    return text.replace(row, f"pockets at {', '.join(f'{place:.4f}' for place in places)} from top")


def piece_frame(piece: Piece) -> tuple[float, float, float]:
    found = piece.row_frame(piece.plan.joins[0], 0)
    assert found is not None
    return found.across


@pytest.mark.parametrize(("key", "value", "plan", "row"), LAID_OUT, ids=[each[0][0] for each in LAID_OUT])
def test_a_changed_limit_reaches_the_lay_out(key: Key, value: float, plan: str, row: str) -> None:
    """Where the usual lay-out breaks the shop's limit, the tool lays out otherwise, and finds nothing on its own."""
    text, settings = plan.replace("{pockets}", row), shop(key, value)
    usual = piece_of(text)
    fixed = written_out(text, row, usual)
    assert told(fixed, Settings(), key[0]) == []
    assert told(fixed, settings, key[0])
    moved = piece_of(text, settings)
    assert laid_out(moved) != pytest.approx(laid_out(usual), abs=1e-3)
    assert told(text, settings, key[0]) == []


@pytest.mark.parametrize(("key", "plan", "row"), [(key, *rest) for key, _, *rest in LAID_OUT])
def test_no_finding_on_a_row_that_the_tool_lays_out(key: Key, plan: str, row: str) -> None:
    """Over the whole range of the limit, unless too few places are left that are free by all rules."""
    text, limit = plan.replace("{pockets}", row), rule_book()[key[0]].limits[key[1]]
    sound = 0
    for n in range(9):
        settings = shop(key, limit.lowest + (limit.highest - limit.lowest) * n / 8)
        piece = piece_of(text, settings)
        if told(text, settings, key[0]):
            assert not has_room(piece), settings.limits[key]
        sound += not told(text, settings, key[0])
    assert sound


@pytest.mark.parametrize(
    ("key", "broken", "plan", "row"), [each for each in LAID_OUT if each[0][0] != "close-spacing"]
)
def test_a_place_that_has_just_what_the_shop_asks_is_free(
    key: Key, broken: float, plan: str, row: str
) -> None:
    """What the rule measures at the usual places, as the limit: they may stay; a hair more, and one of them may not."""
    usual = piece_of(plan.replace("{pockets}", row))
    fixed, name = written_out(plan.replace("{pockets}", row), row, usual), usual.plan.joins[0].name
    (worst,) = (
        each
        for each in every_finding(fixed, shop(key, broken), key[0])
        if name in each.names and each.judged_by == key[1]
    )
    assert worst.measured is not None and worst.limit is not None
    for least, free in ((worst.measured, True), (worst.measured + 3 * NIL, False)):
        piece = piece_of(fixed, shop(key, least * broken / worst.limit))
        ground = piece.ground(piece.plan.joins[0])
        assert ground is not None
        assert all(map(ground.free, stations(usual))) is free


def has_room(piece: Piece) -> bool:
    """Whether as many free places lie on the grid as the row has pockets, each far enough from the one before."""
    join = piece.plan.joins[0]
    ground = piece.ground(join)
    assert ground is not None
    count, last = 0, float("-inf")
    for sixteenth in range(int(ground.frame.high * 16) + 1):
        if sixteenth / 16 - last >= piece.settings.bore_spacing - NIL and ground.free(sixteenth / 16):
            count, last = count + 1, sixteenth / 16
    return count >= len(piece.pockets(join))


def test_the_screw_that_the_tool_chooses_holds_as_the_shop_asks() -> None:
    text = frame("3").replace("{pockets}", "pockets 2")
    settings = shop(("short-grip", "thread in the wood"), 5.5)
    assert {screw.length for screw in piece_of(text).screws(piece_of(text).plan.joins[0])} == {1.25}
    piece = piece_of(text, settings)
    assert {screw.length for screw in piece.screws(piece.plan.joins[0])} == {1.5}
    assert told(text.replace("screws to suit", "screws fine 1-1/4"), settings, "short-grip")
    assert told(text, settings, "short-grip") == []


def test_the_thread_that_the_tool_chooses_is_the_shops() -> None:
    """Cherry, 0.50, takes a fine thread by the book."""
    text = frame("3").replace("{pockets}", "pockets 2")
    heavy = shop(("thread-mismatch", "specific gravity"), 0.6)
    threads = [
        {screw.thread for screw in piece.screws(piece.plan.joins[0])}
        for piece in (piece_of(text), piece_of(text, heavy))
    ]
    assert threads == [{"fine"}, {"coarse"}]
    assert told(text.replace("screws to suit", "screws fine 1-1/4"), heavy, "thread-mismatch")


def test_what_lies_apart_is_the_shops_word() -> None:
    """A shelf cut 1/32 in short is apart by the book; where the shop allows 1/16, its pockets are judged."""
    text = """\
plan "Shelf"
stock board of birch plywood, 3/4 thick
part side_l, side_r of board, 36 long, 11 wide, upright, facing left
part floor of board, 30 long, 11 wide, crosswise, facing up
part shelf of board, 29-31/32 long, 11 wide, crosswise, facing up
join shelf.right to side_r.left
    flush front
    20 from bottom
    pockets 1 in bottom
join shelf.left to side_l.right
    flush front
    20 from bottom
    pockets 2 in bottom
join floor.left to side_l.right
    flush bottom, front
    pockets 2 in bottom
join floor.right to side_r.left
    flush bottom, front
    pockets 2 in bottom
"""
    wide = Settings(limits=Limits.of({("apart", "length"): 1 / 16, ("misfit", "length"): 1 / 16}))
    for settings, apart in ((Settings(), True), (wide, False)):
        inspection = inspected(text, settings)
        assert {"misfit", "apart"}.isdisjoint(each.rule for each in inspection.findings) is not apart
        assert inspection.piece is not None
        assert all(map(inspection.piece.trusted, inspection.piece.plan.joins)) is not apart


def test_what_is_askew_is_the_shops_word() -> None:
    """Segments turned by 30-1/2 degrees, cut for 30: half a degree askew."""
    text = """\
plan "Front of a curved counter"
stock board of poplar, 3/4 x 5-1/2
part middle of board, 24 long, crosswise, facing front
    ends cut 15, long at front
part wing of board, 24 long, crosswise, facing front
    turned 30-1/2 about vertical
    left end cut 15, long at front
join middle.right to wing.left
    flush top, back
    glued
"""
    for settings, askew in ((Settings(), True), (shop(("askew", "angle"), 1.0), False)):
        piece = piece_of(text, settings)
        assert bool(told(text, settings, "askew")) is askew
        assert piece.trusted(piece.plan.joins[0]) is not askew


@pytest.mark.parametrize(("rule", "name"), EVERY)
def test_every_limit_has_a_range_and_reaches_judgement(rule: str, name: str) -> None:
    """At an end of its range something is judged, or told, otherwise in one of the worked cases of its rule."""
    limit = rule_book()[rule].limits[name]
    assert 0 <= limit.lowest <= limit.value <= limit.highest < float("inf")
    fellow = FELLOWS.get((rule, name))
    for plan in (*(case.plan for case in rule_book()[rule].cases), *also(rule, name)):
        others = {} if fellow is None else {(rule, fellow): most_lenient(rule, fellow)}
        usual = outcome(plan, Settings(limits=Limits.of(others)), rule)
        for value in (limit.lowest, limit.highest):
            settings = Settings(limits=Limits.of({**others, (rule, name): value}))
            if value != limit.value and outcome(plan, settings, rule) != usual:
                return
    pytest.fail("no worked case shows it")


COMPARED_OTHERWISE = {
    ("bunk-guard", "above mattress"),  # With the mattress added.
    ("fastener-fit", "bolt past the wood"),  # With the wood added.
    ("fastener-fit", "wood held"),  # Of a screw that reaches nothing, which no limit lets pass.
    ("thin-cover", "wood"),  # Of a bore in a cut, likewise.
    ("far-from-end", "from the end"),  # With half the distance between two screws added.
    ("screws-meet", "wood between screws"),  # Of screws that run into one another: a limit moves the lay-out.
    ("loose-end", "reach"),  # How far a neighbour is looked for: what is measured is how far it is.
    ("stock-too-short", "to trim"),  # Added to what is cut.
}
"""Limits that what is measured is not compared with alone."""


@pytest.mark.parametrize("name", rule_book())
def test_what_measures_just_the_limit_passes_and_what_is_a_hair_worse_does_not(name: str) -> None:
    """A limit is the last good value, by every rule: what a shop sets it to may be built to the very mark."""
    rule, asked = rule_book()[name], set(COMPARED_OTHERWISE)
    for case in rule.cases if any(limit.sense for limit in rule.limits.values()) else ():
        for each in every_finding(case.plan, Settings(), name):
            key, limit = (name, each.judged_by), rule.limits.get(each.judged_by)
            if limit is None or not limit.sense or key in asked or None in (each.measured, each.limit):
                continue
            assert each.measured is not None and each.limit is not None
            asked.add(key)
            scale = each.limit / limit.value if limit.value else 1.0
            for worse in (False, True):
                by = (1 if limit.sense == "least" else -1) * worse * (NIL * 2 + abs(each.measured) / 500)
                value = (each.measured + by) / scale
                found = [
                    other.judged_by
                    for other in every_finding(case.plan, shop(key, value), name)
                    if other.identity == each.identity and other.measured == each.measured
                ]
                assert (each.judged_by in found) is worse, (key, case.title, each.measured, value)


def every_finding(plan: str, settings: Settings, rule: str) -> Iterator[Finding]:
    """Those that are told with others too."""
    waiting = list(inspect_text(PlanText("case.plan", plan), settings).findings)
    while waiting:
        each = waiting.pop(0)
        waiting += [*each.also, *each.beside]
        if each.rule == rule:
            yield each


FELLOWS = {
    ("no-way-in", "slender"): "shallow",
    ("no-way-in", "shallow"): "slender",
}
"""Limits that count together with another one only, which is set to its most lenient."""


def most_lenient(rule: str, name: str) -> float:
    limit = rule_book()[rule].limits[name]
    return limit.lowest if name == "slender" else limit.highest


def also(rule: str, name: str) -> list[str]:
    """Plans near to the worked cases, where two limits of a rule hold together in those."""
    if rule == "unheld":
        return [MITRE.replace("{pockets} in back", "glued")]

    def case_of(words: str) -> str:
        return next(case.plan for case in rule_book()[rule].cases if words in case.title)

    if (rule, name) == ("tip-over", "height"):
        return [case_of("6 in deep").replace("70 long", "50 long")]
    if rule == "tip-over" and name in {"weight", "volume"}:
        # Judged with its drawers out where it is clothing storage.
        return [case_of("16 in deep").replace("Tall shelf", "Dresser").replace("shelf_", "drawer_")]
    if (rule, name) == ("hanging", "studs apart"):
        return [case_of("60 lb on a longer rail").replace("load 60 lb", "load 200 lb")]
    if rule != "loose-end":
        return []
    case = case_of("half an inch short")
    shelf = "23-1/2 long, 11 wide"
    assert shelf in case
    return [case.replace(shelf, "23-1/2 long, 10 wide" if name == "reach" else "22-1/2 long, 11 wide")]


def outcome(plan: str, settings: Settings, rule: str) -> list[tuple[object, ...]]:
    found = inspect_text(PlanText("case.plan", plan), settings).findings
    return [
        (each.joint, each.parts, each.grade, each.says, each.limit, [repair.says for repair in each.repairs])
        for each in found
        if each.rule == rule
    ]


@pytest.mark.parametrize(
    ("rule", "name"), [("joint-overload", "safety"), ("locked-across-grain", "movement")]
)
def test_what_rests_on_more_than_a_limit_tells_whose_that_is(rule: str, name: str) -> None:
    """Published figures beside it stay told."""
    book = rule_book()[rule]
    case = next(each for each in book.cases if each.findings)
    (usual, *_), (own, *_) = (
        [each for each in inspected(case.plan, settings).findings if each.rule == rule]
        for settings in (None, shop((rule, name), book.limits[name].value))
    )
    assert "the shop's own limit: planlint.toml, line 7" in own.basis
    assert usual.basis.partition(";")[0].partition(", over")[0] in own.basis and "shop" not in usual.basis


def test_the_shops_limit_is_told_as_the_shops(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """``wood = "1/4 in"``: judgement, lay-out, advice, mending and explanation obey it, and name its line."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "planlint.toml").write_text('[rules.breakout]\nwood = "1/4 in"\n', encoding="utf-8")
    text = frame("2-1/2").replace("{pockets}", "pockets at 5/16, 2 from top")
    (tmp_path / "a.plan").write_text(text, encoding="utf-8")
    where = "the shop's own limit: planlint.toml, line 2"

    def output(*words: str) -> str:
        main(list(words))
        return " ".join(capsys.readouterr().out.split())

    report = output("inspect", "a.plan")
    assert f"at least 1/4 in ({where})" in report
    assert (
        "Keep the pockets between 7/16 in and 2-1/16 in from top" in report
    )  # 3/16 in of bore, 1/4 in of wood.
    explained = output("inspect", "--explain-joints", "a.plan")
    assert "May go 7/16 in to 2-1/16 in from the bottom" in explained
    assert f"too little wood beside the bore, at the top of rail ({where})" in explained
    assert "pockets at 1/2, 2 from top" in output("mend", "a.plan")
    assert (
        f"Limit wood: at least 1/4 in Basis {where} (the rule's own: at least 1/8 in, judgement)"
        in output("rules", "breakout")
    )
    assert 'rules.breakout.wood = "1/4 in" # planlint.toml, line 2' in output("settings")
    laid = stations(piece_of(text.replace("at 5/16, 2 from top", "3"), shop(("breakout", "wood"), 0.25)))
    assert laid == pytest.approx([7 / 16, 1.25, 2 + 1 / 16])
    assert min(b - a for a, b in pairwise(laid)) >= 5 / 8
