"""The checks at their limits: what is just sound, what is just at fault, and that the repairs they offer heal."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import planlint
from planlint.checks.piece_purpose import borne_by, purpose
from planlint.findings.finding import Finding
from planlint.findings.one_cause import OUTSIDE, one_a_cause
from planlint.findings.rules_in_force import rule_book
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import Axis
from planlint.model.workshop import Settings
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText
from tests.transforms import mirrored

FRAME = """\
plan "Face frame"
    unit {unit}
    seen from front
stock frame of {species}, {thick} x {wide}
stock rail of {species}, {rail_thick} x {rail_wide}
part stile_l, stile_r of frame, 30 in long, upright, facing front
part rail_t, rail_b of rail, 21 in long, crosswise, facing front{cut}
join rail_t.left to stile_l.right
    {place}
    {row}
    {screws}
join rail_t.right to stile_r.left
    {place}
    {held}
join rail_b.left to stile_l.right
    {place_b}
    {held}
join rail_b.right to stile_r.left
    {place_b}
    {held}
"""


def frame(**words: str) -> str:
    """A face frame; sizes in inches unless said otherwise, its top left joint as the test wants it."""
    given_words = {
        "unit": "inch",
        "species": "red oak",
        "thick": "3/4",
        "wide": "1-1/2",
        "cut": "",
        "place": "flush front, top",
        "row": "pockets 2 in back",
        "screws": "screws to suit",
        "held": "pockets 2 in back\n    screws to suit",
    } | words
    given_words.setdefault("rail_thick", given_words["thick"])
    given_words.setdefault("rail_wide", given_words["wide"])
    given_words.setdefault("place_b", given_words["place"].replace("top", "bottom"))
    return FRAME.format(**given_words)


def edge_joint(row: str, long: str = "36") -> str:
    return f"""\
plan "Top"
    seen from front
stock board of white oak, 3/4 x 5-1/2
part board_1, board_2 of board, {long} long, crosswise, facing up
join board_1.back to board_2.front
    flush top, left
    {row}
    screws fine 1-1/4
"""


def findings(plan: str, settings: Settings | None = None) -> tuple[Finding, ...]:
    inspection = inspect_text(PlanText("test.plan", plan), settings)
    assert not inspection.unread, [says for _, says in inspection.unread]
    assert not inspection.crashed
    return inspection.findings


def rules(plan: str, settings: Settings | None = None) -> set[str]:
    return {finding.rule for finding in findings(plan, settings)}


# ---------------------------------------------------------------- judged on paper

Piece = dict[str, Any]
BY_HAND = tomllib.loads((Path(__file__).parent / "handworked_findings.toml").read_text("utf-8"))["piece"]
EACH_BY_HAND = pytest.mark.parametrize(
    ("piece", "changes", "expected"),
    [
        pytest.param(piece, changes, expected, id=f"{piece['title']} {number}")
        for piece in BY_HAND
        for number, (changes, expected) in enumerate(piece["cases"])
    ],
)


def plan_of(piece: Piece, changes: dict[str, str]) -> str:
    """The plan of a piece with its words as a case has them, and without lines of which nothing is left."""
    text = piece["plan"].lstrip("\n").format(**(piece.get("words", {}) | changes))
    return "".join(f"{line}\n" for line in text.splitlines() if line.strip())


def settings_of(changes: dict[str, Any]) -> Settings:
    shop = {tuple(name.split(": ")): float(value) for name, value in changes.items() if ": " in name}
    return Settings(limits=Limits.of({(rule, limit): value for (rule, limit), value in shop.items()}))


def in_short(finding: Finding, *, place: bool = True) -> str:
    what = " ".join(filter(None, (finding.rule, finding.kind, f"on {finding.place}" if place else "")))
    if finding.measured is None:
        return what
    return f"{what}: {finding.measured:.4g}" + ("" if finding.limit is None else f" of {finding.limit:.4g}")


def judged(piece: Piece, plan: str, settings: Settings) -> list[Finding]:
    """What is found by the rules that a piece is for: all, if it names none."""
    only = piece.get("rules")
    return [each for each in findings(plan, settings) if only is None or each.rule in only]


def found_by_hand(piece: Piece, changes: dict[str, str], expected: list[str]) -> list[str]:
    """What is found, in short; with the words that are expected where they are said."""
    wanted = dict(each.split(" | ") for each in expected if " | " in each)
    found = []
    for each in judged(piece, plan_of(piece, changes), settings_of(changes)):
        words = wanted.get(in_short(each))
        said = " ".join((each.says, *(repair.says for repair in each.repairs)))
        found.append(in_short(each) + (f" | {words if words in said else said}" if words else ""))
    return sorted(found)


@EACH_BY_HAND
def test_what_is_judged_on_paper(piece: Piece, changes: dict[str, str], expected: list[str]) -> None:
    assert found_by_hand(piece, changes, expected) == sorted(expected)


@pytest.mark.parametrize("piece", BY_HAND, ids=lambda piece: piece["title"])
def test_what_is_judged_on_paper_is_so_in_its_image(piece: Piece) -> None:
    """Mirrored left to right and front to back by turns, what is at fault there is so here, by as much."""
    faulty = [changes for changes, expected in piece["cases"] if expected]
    for number, changes in enumerate(faulty):
        plan, settings = plan_of(piece, changes), settings_of(changes)
        ways = piece.get("mirrored", ["X", "Y"])
        image = mirrored(plan, Axis[ways[number % len(ways)]])
        here, there = (
            sorted(in_short(each, place=False) for each in judged(piece, text, settings))
            for text in (plan, image)
        )
        assert there == here, changes


TITLES = {
    "Bunk bed": ("bunk bed", "lie"),
    "Twin over full bunk beds for the attic": ("bunk bed", "lie"),
    "Bunkbed": ("bunk bed", "lie"),
    "Bunk-bed plans": ("bunk bed", "lie"),
    "Loft bed with a desk": ("loft bed", "lie"),
    "Mid sleeper": ("loft bed", None),
    "Nursery cot": ("crib", None),
    "Crib (converts)": ("crib", "lie"),
    "Stair railing": ("stair guard", None),
    "Banister": ("stair guard", None),
    "Deck guardrail": ("guard", None),
    "Loft railing": ("guard", None),
    "Balustrade of the old house": ("guard", None),
    "Doll's crib": (None, None),
    "Dolls’ bunk bed": (None, None),
    "Raised garden bed": (None, None),
    "Raised bed": (None, None),
    "Flower beds": (None, None),
    "Daybed": (None, "lie"),
    "Bed": (None, "lie"),
    "Bedside table": (None, None),
    "Ladder for a bunk bed": (None, "stand"),
    "Step stool": (None, "stand"),
    "Bar stool": (None, "sit"),
    "Footstool": (None, None),
    "Foot stool": (None, None),
    "Rocking chair": (None, "sit"),
    "Chair plan": (None, "sit"),
    "Towel rail": (None, None),
}
"""What each title says that a piece is where rules of safety hang on it, and what people do on it."""


@pytest.mark.parametrize("title", TITLES)
def test_what_a_title_says_of_a_piece(title: str) -> None:
    text = f'plan "{title}"\nstock board of pine, 1x4\npart one of board, 20 long, crosswise, facing up\n'
    plan, _ = understand(PlanText("a.plan", text), Settings())
    assert plan is not None
    assert (purpose(plan), borne_by(plan)) == TITLES[title]


DRESSER = next(each.plan for each in rule_book()["tip-over"].cases if each.title.startswith("a dresser"))
"""31-1/2 x 16-1/4 x 48 outside, which is 14.21875 cubic feet."""


@pytest.mark.parametrize(
    ("limit", "value", "told"),
    [
        ("height", 48.0, True),
        ("height", 48.01, False),
        ("volume", 14.21875, True),
        ("volume", 14.22, False),
        ("weight", 100.0, False),
        ("weight", 50.0, True),
    ],
)
def test_how_large_a_dresser_is_judged(limit: str, value: float, *, told: bool) -> None:
    found = rules(DRESSER, Settings(limits=Limits.of({("tip-over", limit): value})))
    assert ("tip-over" in found) is told


@pytest.mark.parametrize(
    ("title", "told"),
    [
        ("Dresser", True),
        ("Chest of three drawers", True),
        ("Tool chest with drawers", False),
        ("Case", False),
    ],
)
def test_what_is_clothing_storage_is_told_by_its_title(title: str, *, told: bool) -> None:
    assert ("tip-over" in rules(DRESSER.replace('"Dresser"', f'"{title}"'))) is told


# ---------------------------------------------------------------- usual work is sound


@pytest.mark.parametrize("species", ["pine", "poplar", "red oak", "hard maple", "black walnut"])
@pytest.mark.parametrize("wide", ["1-1/2", "1-5/8", "1-3/4", "2", "2-1/2", "3", "5-1/2"])
@pytest.mark.parametrize("thick", ["1/2", "5/8", "3/4", "13/16", "7/8"])
def test_usual_frames_are_sound(species: str, wide: str, thick: str) -> None:
    """Any usual stock, its corners flush, two pockets laid out and screws chosen by the tool."""
    assert rules(frame(species=species, wide=wide, thick=thick)) == set()


@given(
    wide=st.integers(min_value=38, max_value=160),
    thick=st.integers(min_value=15, max_value=22),
    species=st.sampled_from(["pine", "red oak", "beech"]),
)
def test_metric_frames_are_sound(wide: int, thick: int, species: str) -> None:
    assert rules(frame(unit="mm", species=species, wide=str(wide), thick=str(thick))) == set()


def test_metric_screw_in_metric_board() -> None:
    """1-1/4 in in 18 mm leaves 1.58 mm before the point, a hair under 1/16 in."""
    plan = """\
plan "Shelves"
    unit mm
    seen from front
stock board of birch plywood, 18 thick
part side_l, side_r of board, 900 long, 300 wide, upright, facing left
part shelf of board, 700 long, 300 wide, crosswise, facing up
join shelf.left to side_l.right
    flush front
    100 from bottom
    pockets 2 in bottom
    screws coarse 32
join shelf.right to side_r.left
    flush front
    100 from bottom
    pockets 2 in bottom
    screws coarse 32
"""
    assert rules(plan) == set()


# ---------------------------------------------------------------- at the limits


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("pockets at 2, 10, 18, 26, 34 from left in bottom", set()),
        ("pockets at 2, 10-1/16, 18, 26, 34 from left in bottom", {"wide-spacing"}),
        ("pockets at 6, 14, 22, 30 from left in bottom", set()),
        ("pockets at 6-1/8, 14, 22, 30 from left in bottom", {"far-from-end"}),
        ("pockets at 2, 10, 18, 24, 29 from left in bottom", {"far-from-end"}),
        ("pockets at 2, 10, 10-5/8, 18, 26, 34 from left in bottom", set()),
        ("pockets at 2, 10, 10-9/16, 18, 26, 34 from left in bottom", {"close-spacing"}),
        ("pockets at 5/16, 8, 16, 24, 32, 35-11/16 from left in bottom", set()),
        ("pockets at 1/4, 8, 16, 24, 32, 35 from left in bottom", {"breakout", "near-end"}),
        ("pockets at 18 from left in bottom", {"lone-screw"}),
    ],
)
def test_setting_out_of_an_edge_joint(row: str, expected: set[str]) -> None:
    assert rules(edge_joint(row)) == expected


@pytest.mark.parametrize(
    ("row", "at"),
    [
        (
            "pockets every 2 from 4 in back",
            "4 in from bottom, in the back of rail_t, lies past the part's top",
        ),
        (
            "pockets 2 from 1 to 5 of top in back",
            "5 in from bottom, in the back of rail_t, lies past the part's top",
        ),
        (
            "pockets at 1, 6 from top in back",
            "6 in from top, in the back of rail_t, lies past the part's bottom",
        ),
    ],
)
def test_a_pocket_past_its_part_is_told_by_that_alone(row: str, at: str) -> None:
    """Whatever else is found of its bore stands beside, and the rest of the plan is judged."""
    told = one_a_cause(findings(frame(wide="3-1/2", row=row)))
    assert [each.says for each in told if each.kind == OUTSIDE] == [f"The bore of the pocket {at}."]
    assert {each.rule for each in told} <= {"breakout", "lone-screw"}


@pytest.mark.parametrize(
    ("rail_thick", "step"),
    [("49/64", None), ("25/32", 1 / 32), ("7/8", 1 / 8), ("1", 1 / 4), ("1-1/16", None), ("5/8", 1 / 8)],
)
def test_step_at_the_back(rail_thick: str, step: float | None) -> None:
    """A hair is no step, and more than a quarter inch is meant; all four corners of the frame step alike."""
    found = [each for each in findings(frame(rail_thick=rail_thick, wide="2")) if each.rule == "stepped-face"]
    assert [each.measured for each in found] == pytest.approx([step] * 4 if step else [])
    assert all(each.says.startswith("At the back") for each in found)


def test_step_is_measured_on_the_wood_that_is_left() -> None:
    """A thick rail whose ends are cut down to the stile does not step there."""
    cut = "\n    notch 3 x 1/8 at left back\n    notch 3 x 1/8 at right back"
    glued = {"rail_thick": "7/8", "row": "glued", "screws": "as dowels", "held": "as dowels"}
    assert rules(frame(**glued)) == {"stepped-face"}
    assert rules(frame(**glued, cut=cut)) == set()


def test_flush_on_both_sides_is_told_as_misfit_and_as_step() -> None:
    assert {"misfit", "stepped-face"} <= rules(frame(rail_thick="7/8", place="flush front, back, top"))


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("set back 1/8 from front\n    flush top", set()),
        ("centred front to back\n    flush top", set()),
        ("0 from front\n    flush top", {"stepped-face"}),  # Flush, in figures.
        ("flush front, top", {"stepped-face"}),
    ],
)
def test_a_step_that_is_meant(place: str, expected: set[str]) -> None:
    assert rules(frame(rail_thick="5/8", place=place)) == expected


@pytest.mark.parametrize(
    ("stock", "expected"),
    [
        ("pine, 1 x 4", True),
        ("pine, 2 x 6", True),
        ("pine, 5/4 x 6", True),
        ("pine, 1-1/4 x 6", False),
        ("pine, 1-1/2 x 3-1/2", False),
        ("pine, 3-1/2 x 3-1/2", False),
        ("pine, 1-1/2 x 3", False),
        ("pine, 1x4", False),
        ("red oak, 1 x 4", False),
        ("birch plywood, 1 thick, 48 x 96", False),
    ],
)
def test_sizes_that_read_as_nominal(stock: str, expected: bool) -> None:
    wide = ", 4 wide" if "plywood" in stock else ""
    plan = f"""\
plan "Block"
stock board of {stock}
part block of board, 20 long{wide}, crosswise, facing up
"""
    assert ("nominal-size" in rules(plan)) == expected


TWO_RAILS = """\
plan "Frame"
    seen from nowhere
stock frame of red oak, 3/4 x 3
part stile of frame, 30 long, upright, facing front
part low of frame, 21 long, crosswise, facing front
part high of frame, 21 long, {wide} wide, crosswise, facing front
join low.left to stile.right
    flush front, bottom
    pockets {many} in back
    screws fine {long}
join high.left to stile.right
    flush front, top
    pockets {many} in back
    screws fine {long}
"""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"wide": "3", "many": "2", "long": "1"}, 1),
        ({"wide": "2", "many": "2", "long": "1"}, 1),
        ({"wide": "3", "many": "1", "long": "1-1/4"}, 1),
        ({"wide": "2", "many": "1", "long": "1-1/4"}, 2),
    ],
)
def test_a_fault_of_screws_is_one_however_wide_the_parts_are(words: dict[str, str], told: int) -> None:
    inspection = inspect_text(PlanText("a.plan", TWO_RAILS.format(**words)))
    assert len(inspection.findings) == 2
    assert len(inspection.told) == told


@pytest.mark.parametrize(
    ("reasons", "told"),
    [
        (["a", "b", "c"], "a; b; c"),
        (["a", "b", "c", "d"], "a; b; c; and 1 more"),
        (["a", "b", "a", "c", "d", "e"], "a; b; c; and 2 more"),
    ],
)
def test_a_fault_that_is_accepted_for_several_reasons_tells_three(reasons: list[str], told: str) -> None:
    lines = "".join(f'accept lone-screw on rail_t.left because "{each}"\n' for each in reasons)
    inspection = inspect_text(PlanText("a.plan", frame(row="pockets 1 in back") + lines))
    assert [each.reason for each in inspection.accepted] == [told]
    assert not inspection.findings


# ---------------------------------------------------------------- a lone screw


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("pockets 1 in back", {"lone-screw"}),
        ("pockets 1 in back\n    glued", {"lone-screw"}),
        ("pockets 1 in back\n    as dowels", set()),
        ("pockets 1 in back\n    as butt", {"lone-screw"}),
        (
            "pockets at 1-1/2 from top in back\n    pockets at 1-1/2 from top in stile_l.back",
            {"into-end-grain", "screws-meet"},
        ),
    ],
)
def test_what_keeps_a_joint_from_turning(row: str, expected: set[str]) -> None:
    assert rules(frame(row=row, wide="3")) == expected


def test_wall_keeps_both_parts_of_a_joint() -> None:
    plan = frame(row="pockets 1 in back", wide="3")
    walled = plan.replace("30 in long, upright", "30 in long, upright, fixed to wall")
    assert rules(plan) == {"lone-screw"}
    assert rules(walled.replace("21 in long, crosswise", "21 in long, crosswise, fixed to wall")) == set()


# ---------------------------------------------------------------- repairs heal, limits can be changed


@pytest.mark.parametrize(
    ("rule", "row"),
    [
        ("lone-screw", "pockets at 18 from left in bottom"),
        ("wide-spacing", "pockets at 3, 20, 33 from left in bottom"),
        ("far-from-end", "pockets at 2, 10, 18, 24 from left in bottom"),
        ("far-from-end", "pockets at 1, 6, 11 from right in bottom"),
        ("close-spacing", "pockets at 2, 2-1/4, 9, 16, 23, 30, 34 from left in bottom"),
    ],
)
def test_positions_that_a_repair_gives_heal(rule: str, row: str) -> None:
    """``… at 2, 10 and 18 in from left`` put back into the plan."""
    (found,) = [each for each in findings(edge_joint(row)) if each.rule == rule]
    words = found.repairs[0].says.partition(" at ")[2]
    stations, _, side = words.partition(" in from ")
    side = side.split(":")[0].split(".")[0]
    healed = edge_joint(f"pockets at {stations.replace(' and ', ', ')} from {side} in bottom")
    assert rule not in rules(healed)


def test_a_limit_is_changed_by_the_settings() -> None:
    plan = edge_joint("pockets at 2, 10, 18, 26, 34 from left in bottom")
    strict = Settings(limits=Limits.of({("wide-spacing", "spacing"): 6.0}))
    assert rules(plan) == set()
    (found,) = [each for each in findings(plan, strict) if each.rule == "wide-spacing"]
    assert (found.measured, found.limit) == (8.0, 6.0)


def test_longer_screw_that_is_offered_heals() -> None:
    (found,) = findings(frame(screws="screws fine 1"))
    assert found.rule == "short-grip"
    offered = found.repairs[0].says.removeprefix("Use ").partition(" in screws")[0]
    assert rules(frame(screws=f"screws {offered}")) == set()


TWO_JOINTS = """\
plan "Two joints"
    seen from nowhere
stock wood of cherry, 3/4 x 2-1/2
stock other of red oak, 3/4 x 2-1/2
part stile, third of wood, 30 long, upright, facing front
part rail of wood, 13 long, crosswise, facing front
part post of {stock}, 30 long, upright, facing front
part bar of {stock}, 13 long, crosswise, facing front
join rail.left to stile.right
    flush top, front
    pockets 2 in {face}
    screws fine 3/4
join bar.left to post.right
    flush top, front
    pockets 2 in back
    screws fine 1-1/2
join post.left to third.right as dowels
    flush top, front
    glued
join rail.right to third.left as dowels
    flush top, front
    glued
"""


@pytest.mark.parametrize(
    ("stock", "face", "inches"),
    [("other", "back", "1-1/4"), ("wood", "back", "1-1/2"), ("wood", "front", "1-1/2")],
)
def test_screws_are_as_long_as_those_of_joints_alike(stock: str, face: str, inches: str) -> None:
    """Both lengths hold; of two joints of one stock drilled in like faces the other's is meant."""
    (found,) = [
        each for each in findings(TWO_JOINTS.format(stock=stock, face=face)) if each.rule == "short-grip"
    ]
    assert found.joint == "rail.left" and found.repairs[0].says.startswith(f"Use fine {inches} in screws")


# ---------------------------------------------------------------- words


def test_a_metric_plan_is_told_in_millimetres() -> None:
    plan = frame(unit="mm", wide="76", thick="19", row="pockets 1 in back")
    (found,) = findings(plan)
    assert "over a width of 76 mm" in found.says
    assert "at 19 and 57 mm from top" in found.repairs[0].says


def test_pockets_of_a_joint_that_does_not_close_are_not_judged() -> None:
    """Only what keeps it from closing is told: no pocket can be laid out on sides that do not meet."""
    plan = frame(row="pockets at 1/4 from top in front").replace("stile_l.right", "stile_l.top", 1)
    assert rules(plan) == {"askew"}


LOOSE = """\
plan "Shelf"
    seen from front
stock board of birch plywood, 3/4 thick
part shelf of board, 30 long, 11 wide, crosswise, facing up
part lip of board, 30 long, 2 wide, crosswise, facing {facing}
join lip.{side} to shelf.bottom
    flush left, front
    {held}
"""


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ("", {"unheld"}),
        ("screws coarse 1-1/4", {"unheld"}),
        ("as butt", {"unheld"}),
        ("slotted", {"unheld"}),
        ("glued", set()),
        ("as resting", set()),
        ("as dowels", set()),
        ("pockets 3 in back\n    screws to suit", set()),
    ],
)
def test_what_holds_a_joint(held: str, expected: set[str]) -> None:
    there = rules(LOOSE.format(facing="front", side="top", held=held))
    assert there & {"unheld"} == expected


def test_what_is_said_of_a_joint_that_nothing_holds() -> None:
    (found,) = findings(LOOSE.format(facing="front", side="top", held=""))
    assert found.says == "Nothing holds lip to shelf: no pockets, glue or interlocking joint is said."
    assert found.repairs[0].says.startswith("Say `pockets 2 in back`, `glued`, or `as resting`")
    (flat,) = findings(LOOSE.format(facing="up", side="top", held="screws to suit"))
    assert "asks for screws, but no pockets are drilled" in flat.says
    assert flat.repairs[0].says.startswith("Say `glued`")


@pytest.mark.parametrize("words", [{}, {"screws": "screws to suit"}, {"held": ""}])
def test_a_corner_that_nothing_holds_where_its_twin_is_held_is_told(words: dict[str, str]) -> None:
    assert rules(frame(**{"row": "", "screws": "", **words})) == {"unheld"}


GATE = """\
plan "Gate"
    seen from nowhere
stock rail of western redcedar, 3/4 x 3-1/2
part rail_l, rail_r of rail, 18 long, deep, facing left
part slat_1, slat_2 of rail, 36 long, crosswise, facing up
"""
ONE = ("pockets 1 in right", "pockets 1 in left")


def gate(first: str) -> str:
    """Two slats on two rails, one screw at each corner but the first."""
    joins = [
        f"join rail_{rail}.top to slat_{slat}.bottom\n    flush {end}, {side}\n    {how}\n"
        for slat, end in ((1, "front"), (2, "back"))
        for rail, side, how in (("l", "left", first if slat == 1 else ONE[0]), ("r", "right", ONE[1]))
    ]
    return GATE + "".join(joins)


@pytest.mark.parametrize("stiff", ["glued", "as dowels", "pockets 2 in right"])
def test_a_gate_of_single_screws_folds(stiff: str) -> None:
    """A parallelogram of one screw at each corner folds; one stiff corner leaves three pivots, a triangle."""
    # The join that comes first keeps the short name.
    flat = [f"lone-screw on {corner}" for corner in ("rail_l.top", "rail_l.top/slat_2.bottom")]
    told = [f"{each.rule} on {each.joint}" for each in findings(gate(ONE[0]))]
    assert set(flat) <= set(told)
    assert "lone-screw" not in rules(gate(stiff))


def test_places_on_a_mitre_are_told_along_the_cut() -> None:
    (found,) = [each for each in findings(MITRED.format(at="3/4, 3-3/4")) if each.rule == "mitre-breakout"]
    assert "3/4 in along the mitre, from its top" in found.says
    assert "along the mitre, from its top" in found.repairs[0].says


MITRED = """\
plan "Corner"
    seen from front
stock frame of red oak, 3/4 x 3
part stile of frame, 30 long, upright, facing front, ends cut 45, long at left
part rail of frame, 24 long, crosswise, facing front, ends cut 45, long at top
join rail.left to stile.top
    flush front, top, left
    pockets at {at} from top in back
    screws fine 1-1/4
"""


def test_a_pocket_in_a_narrow_edge_is_told_as_such() -> None:
    plan = frame(row="pockets 1 in top\n    glued", wide="3-1/2", screws="screws fine 1-1/4")
    (found,) = [each for each in findings(plan) if each.rule == "short-grip"]
    assert "does not reach stile_l at all: the pockets are in the 3/4 in edge of rail_t" in found.says
    assert "through 2-15/16 in of wood first" in found.says
    assert found.repairs[0].says.startswith("Drill the pockets in the front or back of rail_t, its faces")


def test_a_length_that_is_offered_instead_of_one_not_kept_holds() -> None:
    """2-1/4 lies nearest to 2-1/2, which comes out of the stile; the one that fits is offered."""
    plan = frame(screws="screws fine 2-1/4", wide="1-1/2")
    (found,) = [each for each in findings(plan) if each.rule == "unstocked-screw"]
    offered = found.repairs[0].says.removeprefix("Use ").partition(" in screws")[0]
    assert rules(frame(screws=f"screws fine {offered}", wide="1-1/2")) == set()


def test_all_findings_of_a_joint_advise_the_same_face_where_it_heals_them() -> None:
    plan = (Path(planlint.__file__).parent / "demo" / "lean-to-strut.plan").read_text(encoding="utf-8")
    assert len(findings(plan)) == 3
    # One cause: told once, the others beside it, with the face that heals them all.
    (told,) = inspect_text(PlanText("strut.plan", plan)).told
    assert len(told.beside) == 2
    assert "in the top of strut_r" in told.repairs[0].says
    start = plan.rindex("in bottom")
    assert not findings(plan[:start] + "in top" + plan[start + len("in bottom") :])
