"""``planlint.toml``: what is in force for a plan, where it comes from, and every mistake at its place."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st

from planlint.command.main import main
from planlint.findings.finding import Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.workshop import Settings, ShopScrews
from planlint.plugins.own_rules import every_rule
from planlint.settings.layered_settings import SettingsBroken, Shop
from planlint.settings.limit_ranges import in_unit
from planlint.settings.setting_tables import WholeTable
from planlint.settings.settings_root import Finder
from planlint.settings.shop_file import ShopFile, read_shop_file
from planlint.settings.toml_places import places_of
from planlint.settings.toml_writing import with_unit
from planlint.text.source import PlanText
from tests.plans import FAULTY, SOUND


def mistakes(text: str) -> list[tuple[str, str]]:
    """Each mistake as the text it marks and what is said."""
    found = read_shop_file(PlanText("planlint.toml", text), every_rule())
    assert isinstance(found, list)
    return [(text[slice(*mistake.span)], mistake.says) for mistake in found]


def settings_from(folder: Path, text: str, plan: str = "a.plan") -> Settings:
    (folder / "planlint.toml").write_text(text, encoding="utf-8")
    return Shop().settings_for(str(folder / plan))


# ---------------------------------------------------------------- values


def test_every_kind_of_setting(tmp_path: Path) -> None:
    found = settings_from(
        tmp_path,
        """
        most-items = 500
        [rules]
        lone-screw = "off"
        misfit.grade = "stop"
        [rules.wide-spacing]
        spacing = "200 mm"
        grade = "stop"
        [rules.near-end]
        end-distance = "3 diameters"
        "advised end distance" = 4
        [humidity]
        range = [35, '65 %']
        [drilling]
        angle = "14 degrees"
        bit-diameter = "9.5 mm"
        [viewer]
        standing = ["56 in", "5 ft 9 in"]
        distances = ["1 ft"]
        [screws]
        lengths = ["32 mm", "1-1/2 in"]
        coarse-gauge = 10
        [stock]
        kept = ["douglas fir, 2x4, 8 ft"]
        """,
    )
    assert found.most_items == 500
    assert found.grades == {"lone-screw": "off", "wide-spacing": "stop", "misfit": "stop"}
    assert found.limits["wide-spacing", "spacing"] == pytest.approx(200 / 25.4)
    assert found.limits["near-end", "end distance"] == 3
    assert found.limits["near-end", "advised end distance"] == 4
    assert (found.humidity.low, found.humidity.high) == (35, 65)
    assert found.profile.angle == 14
    assert found.profile.bit_diameter == pytest.approx(9.5 / 25.4)
    assert found.profile.pilot_diameter == Settings().profile.pilot_diameter
    assert list(found.viewer.standing) == [56, 69]
    assert list(found.viewer.distances) == [12]
    assert list(found.screws.lengths) == pytest.approx([32 / 25.4, 1.5])
    assert not found.screws.metric_lengths
    assert (found.screws.gauge("coarse"), found.screws.gauge("fine")) == (10, 7)
    [kept] = found.stock
    assert [kept.material.name, kept.nominal] == ["Douglas-fir", "2x4"]
    assert kept.length == 96


def test_without_a_file_the_usual_settings_hold(tmp_path: Path) -> None:
    assert Shop().settings_for(str(tmp_path / "a.plan")) == Settings()


@pytest.mark.parametrize(
    ("text", "marked", "said"),
    [
        ("[rules]\nwide-spacin = 'off'", "wide-spacin", "the nearest is wide-spacing"),
        ("[rules.wide-spacing]\nspaceing = '8 in'", "spaceing", "the nearest is spacing"),
        ("[rules.wide-spacing]\nspacing = 8", "8", 'write "8 in" or "8 mm"'),
        ("[rules.wide-spacing]\nspacing = '8'", "'8'", 'write "8 in" or "8 mm"'),
        ("[rules.wide-spacing]\nspacing = '8 yards'", "'8 yards'", "is not a length"),
        ("[rules.wide-spacing]\nspacing = '-8 in'", "'-8 in'", 'spacing may be from "1 in" to "48 in"'),
        ("[rules.wide-spacing]\nspacing = '1/0 in'", "'1/0 in'", "0 under the line"),
        ("[rules.wide-spacing]\ngrade = 'cautoin'", "'cautoin'", "the nearest is caution"),
        ("rules.wide-spacing = 'never'", "'never'", "stop, caution or advice, or it is off"),
        ("rules.wide-spacing = 3", "3", "a grade in quotes is due here, or a table"),
        ("[rules.lone-screw]\nscrews = nan", "nan", "a number from 0 up"),
        ("[rules.hole-in-sight]\n'share of eyes' = 2", "2", "a share of all, from 0 to 1"),
        ("[rules.hole-in-sight]\nshare-of-eyes = '101 %'", "'101 %'", "a share of all, from 0 to 1"),
        ("[rules.hole-in-sight]\nshare-of-eyes = 'few'", "'few'", 'such as 0.05 or "5 %"'),
        (
            "[rules.wide-spacing]\nspacing = '0 in'",
            "'0 in'",
            'the least that makes sense for spacing is "1 in"',
        ),
        ("[rules.wide-spacing]\nspacing = '0.0001 in'", "'0.0001 in'", 'for spacing is "1 in"'),
        ("[rules.misfit]\nlength = '0 mm'", "'0 mm'", 'for length is "0.001 in"'),
        (
            "[rules.breakout]\nwood = '3 ft'",
            "'3 ft'",
            'the most that makes sense for wood is "3/8 in": check',
        ),
        ("[rules.lone-screw]\nscrews = 0", "0", 'the least that makes sense for screws is "1 screw"'),
        ("[rules.lone-screw]\nscrews = 2.5", "2.5", "screws are counted: write a whole number"),
        ("[rules.lone-screw]\nscrews = '2-1/2 screws'", "'2-1/2 screws'", "screws are counted"),
        ("[drilling]\nbit-diameter = '9 in'", "'9 in'", "from 1/4 in to 3/4 in is due here"),
        ("[drilling]\nbit-diameter = '0 in'", "'0 in'", "from 1/4 in to 3/4 in"),
        ("[drilling]\nangle = -1", "-1", "5 to 45 degrees"),
        ("[viewer]\nseated-below = '-1 in'", "'-1 in'", "from 1 in to 120 in"),
        ("[drilling]\npilot-diameter = '9 mm'", "'9 mm'", "from 1/32 in to 7/32 in"),
        ("[drilling]\nshank-diameter = '1 mm'", "'1 mm'", "check the unit"),
        ("[screws]\nlengths = ['1 in', '32 in']", "['1 in', '32 in']", "from 1/4 in to 12 in"),
        ("[screws]\ntip-cover = '2 in'", "'2 in'", "from 0 in to 1 in"),
        ("[screws]\nfine-gauge = 'No. 99'", "'No. 99'", "gauges 2 to 24"),
        ("exclude = ['old', '../*']", "'../*'", "from the folder of this file downwards"),
        ("exclude = ['a/../../b']", "'a/../../b'", "from the folder of this file downwards"),
        ("exclude = ['!a']", "'!a'", "nothing is taken back"),
        ("exclude = ['']", "''", "this names nothing"),
        ("exclude = ['./']", "'./'", "this names nothing"),
        ("exclude = ['a//b']", "'a//b'", "this names nothing"),
        ("[veiwer]\nstanding = ['1 in', '2 in']", "veiwer", "the nearest is viewer"),
        ("viewer.standing = ['60 in']", "['60 in']", "two values are due here"),
        ("viewer.standing = ['69 in', '56 in']", "['69 in', '56 in']", "the smaller of the two comes first"),
        ("viewer.distances = ['1 ft', 3]", "3", 'write "3 in"'),
        ("viewer.distances = []", "[]", "at least one is needed"),
        ("viewer = 3", "3", "a table is due here"),
        ('bit-diameter = "9 mm"', "bit-diameter", "bit-diameter stands below a line `[drilling]`, its table"),
        ('humidity = "35 to 65"', '"35 to 65"', "write `[humidity]`, and below it such as range"),
        ("[drilling]\nangel = 15", "angel", "the nearest is angle"),
        ("[drilling]\nangle = 90", "90", "5 to 45 degrees"),
        ("[screws]\nlengths = '1 in'", "'1 in'", "a list in square brackets"),
        ("screws.coarse-gauge = 1", "1", "gauges 2 to 24"),
        ("humidity.range = [30, 120]", "120", "more than 100 %"),
        ("stock.kept = ['pine, 2x4', 'pien, 2x4']", "'pien, 2x4'", "not a wood or panel known here"),
        ("stock.kept = ['pine']", "'pine'", "a comma and a size"),
        ("exclude = 'old'", "'old'", "a list in square brackets"),
        ("[folders.'../up'.drilling]\nangle = 15", "'../up'", "downwards"),
        ("[folders.kitchens.driling]\nangle = 15", "driling", "the nearest is drilling"),
        ("[folders.kitchens.rules]\nwide-spacin = 'off'", "wide-spacin", "the nearest is wide-spacing"),
        ("most-items = 0", "0", "1 to 200000"),
        ("a = [\n", "", "this is not TOML"),
        ("most-items = 1\nmost-items = 2\n", "", "this is not TOML: cannot overwrite a value"),
        ("a = " + "9" * 5000, "", "cannot be read as settings"),
        ("a = " + "[" * 3000 + "]" * 3000, "", "nested too deep"),
    ],
)
def test_a_mistake_is_told_at_its_place(text: str, marked: str, said: str) -> None:
    [(where, says)] = mistakes(text)
    assert where == marked
    assert said in says


MANY_MISTAKES = """\
most-items = 7.5
[rules]
exclude = ["old/*"]
lone-scrw = "off"
x = 3 4
[rules.wide-spacing]
spacing = "9 ft"
[drilling]
bit-diameter = "9 mmm"
[stock]
kept = [3]
[folders.painted]
angle = = 4
[folders."painted/"]
"""


def test_every_mistake_is_told() -> None:
    text = "[rules]\na = 'off'\nb = 'off'\n[rules.wide-spacing]\nspacing = 3\n"
    assert [where for where, _ in mistakes(text)] == ["a", "b", "3"]
    assert [where for where, _ in mistakes("x = 1\n[drilling]\nangle = 'steep'\n")] == ["x", "'steep'"]


@pytest.mark.parametrize(("many", "more"), [(10, ""), (11, "and 1 more"), (25, "and 15 more")])
def test_ten_mistakes_are_told_and_the_others_counted(many: int, more: str) -> None:
    source = PlanText("planlint.toml", "".join(f"x{number} = 1\n" for number in range(many)))
    found = read_shop_file(source, every_rule())
    assert isinstance(found, list)
    told = str(SettingsBroken(source, found)).split("; ")
    assert [each for each in told if each.startswith("planlint.toml")] == told[:10]
    assert told[10:] == [more] * bool(more)


# ---------------------------------------------------------------- which file, which folder


def test_mistakes_of_every_kind_are_told_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "painted").mkdir()
    (tmp_path / "a.plan").write_text(SOUND)
    (tmp_path / "planlint.toml").write_text(MANY_MISTAKES)
    monkeypatch.chdir(tmp_path)
    assert main(["inspect", "."]) == 2
    told = capsys.readouterr().err.splitlines()
    assert told[0] == "planlint: 9 mistakes in the settings:"
    said = {line.split(", column")[0].split("line ")[1]: line.split(": ", 1)[1] for line in told[1:]}
    assert list(said) == [str(number) for number in (1, 3, 4, 5, 7, 9, 11, 13, 14)]
    assert said["3"].startswith(
        "exclude belongs to no table: write it above the first line in square brackets"
    )
    assert said["14"] == "the folder painted has a table already, by another spelling: put the two together"


def test_a_pattern_that_excludes_nothing_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "old").mkdir()
    for name in ("a.plan", "old/b.plan"):
        (tmp_path / name).write_text(SOUND)
    (tmp_path / "planlint.toml").write_text('exclude = ["old/*", "odl/*", "old"]\n')
    monkeypatch.chdir(tmp_path)
    assert main(["inspect", "."]) == 0
    assert (
        capsys.readouterr().err
        == "planlint: planlint.toml, line 1: `odl/*` of exclude matches no plan here\n"
    )
    for path in ("a.plan", "old"):  # Of the rest nobody knows.
        main(["inspect", path])
        assert "matches" not in capsys.readouterr().err


def test_settings_that_do_not_reach_inside_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("a.plan", "lib/old/b.plan", "shop/c.plan"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(SOUND)
    (tmp_path / "lib" / ".git").mkdir()
    (tmp_path / "shop" / "planlint.toml").write_text("")
    (tmp_path / "planlint.toml").write_text(
        'exclude = ["old", "**/c.plan"]\n[folders.lib.rules]\nlone-screw = "off"\n[folders.shop]\nowner = "Ann"\n'
    )
    monkeypatch.chdir(tmp_path)
    assert main(["inspect", "."]) == 0
    no_effect = "planlint: planlint.toml, line {}: what [folders.{}] says has no effect: {}"
    reasons = ("lib is a git repository of its own", "shop/planlint.toml is in force there")
    assert capsys.readouterr().err.splitlines() == [
        no_effect.format(3, "lib", reasons[0]),
        no_effect.format(5, "shop", reasons[1]),
        f"planlint: planlint.toml, line 1: `old` of exclude does not hold for lib/old/b.plan: {reasons[0]}",
        f"planlint: planlint.toml, line 1: `**/c.plan` of exclude does not hold for shop/c.plan: {reasons[1]}",
    ]
    main(["settings", "."])
    assert "what [folders.lib] says has no effect" in capsys.readouterr().out
    (tmp_path / "a.plan").unlink()  # Of a file that holds for no plan too.
    (tmp_path / "shop" / "c.plan").unlink()
    main(["inspect", "."])
    assert "`old` of exclude does not hold for lib/old/b.plan" in capsys.readouterr().err


def test_the_nearest_file_counts_alone(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    (tmp_path / "planlint.toml").write_text("rules.lone-screw = 'off'", encoding="utf-8")
    (inner / "planlint.toml").write_text("rules.wide-spacing = 'off'", encoding="utf-8")
    shop = Shop()
    assert shop.settings_for(str(tmp_path / "a.plan")).grades == {"lone-screw": "off"}
    assert shop.settings_for(str(inner / "deep" / "a.plan")).grades == {"wide-spacing": "off"}


def test_a_repository_is_left_to_itself(tmp_path: Path) -> None:
    top = tmp_path / "repository"
    (top / ".git").mkdir(parents=True)
    (top / "below").mkdir()
    (tmp_path / "planlint.toml").write_text("", encoding="utf-8")
    finder = Finder()
    assert finder.settings_file(top / "below") is None
    assert finder.root(top / "below") == top
    assert finder.root(tmp_path / "beside") == tmp_path
    assert finder.beyond(top / "below") == tmp_path / "planlint.toml"
    (top / "planlint.toml").write_text("", encoding="utf-8")
    assert Finder().beyond(top / "below") is None


def test_folder_sections_go_before_what_is_said_for_all(tmp_path: Path) -> None:
    text = """
        [screws]
        coarse-gauge = 9
        fine-gauge = 6
        [folders.kitchens.screws]
        coarse-gauge = 10
        [folders."kitchens/painted/".screws]
        coarse-gauge = 11
        """
    (tmp_path / "kitchens" / "painted").mkdir(parents=True)
    gauges = [
        settings_from(tmp_path, text, plan).screws.gauges
        for plan in ("a.plan", "kitchens/a.plan", "kitchens/painted/x/a.plan", "kitchens_2/a.plan")
    ]
    assert [dict(each)["coarse"] for each in gauges] == [9, 10, 11, 9]
    assert {dict(each)["fine"] for each in gauges} == {6}


@pytest.mark.parametrize(
    ("pattern", "name", "out"),
    [
        ("old", "old/a.plan", True),
        ("old", "x/old/a.plan", True),
        ("old", "older/a.plan", False),
        ("*_draft.plan", "x/a_draft.plan", True),
        ("x/old", "x/old/y/a.plan", True),
        ("x/old", "y/x/old/a.plan", False),
        ("/x/", "x/a.plan", True),
        ("./x", "x/a.plan", True),
        ("[!a].plan", "b.plan", True),
    ],
)
def test_what_is_excluded(tmp_path: Path, pattern: str, name: str, out: bool) -> None:
    (tmp_path / "planlint.toml").write_text(f"exclude = ['{pattern}']", encoding="utf-8")
    assert Shop().left_out(str(tmp_path / name)) is out


@pytest.mark.parametrize(
    ("said", "marked", "near"),
    [
        ("paintd", "paintd", "; the nearest is painted"),
        ("Painted", "Painted", "; the nearest is painted"),
        ("kitchens/oakk", '"kitchens/oakk"', "; the nearest is kitchens/oak"),
        ("kitchns/oak", '"kitchns/oak"', "; the nearest is kitchens/oak"),
        ("nowhere", "nowhere", ""),
        ("a.plan", '"a.plan"', ""),  # A plan is no folder.
    ],
)
def test_folder_that_is_not_there_is_told(tmp_path: Path, said: str, marked: str, near: str) -> None:
    for folder in ("painted", "kitchens/oak"):
        (tmp_path / folder).mkdir(parents=True)
    (tmp_path / "a.plan").write_text(FAULTY)
    text = f"[folders.{marked}.rules]\nmisfit = 'off'\n[folders.\"kitchens/oak/\".rules]\nmisfit = 'off'\n"
    with pytest.raises(SettingsBroken) as broken:
        settings_from(tmp_path, text)
    [mistake] = broken.value.mistakes
    assert mistake.says == f"there is no folder {said} beside this file{near}"
    assert text[slice(*mistake.span)] == marked


def test_where_nobody_can_look_no_folder_is_called_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def denied(_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "scandir", denied)
    found = settings_from(tmp_path, "[folders.paintd.rules]\nmisfit = 'off'\n", "paintd/a.plan")
    assert found.grades == {"misfit": "off"}


@pytest.mark.skipif(not hasattr(os, "symlink") or not hasattr(os, "mkfifo"), reason="needs links and pipes")
@pytest.mark.parametrize("how", ["link out", "pipe", "ring", "large", "binary"])
def test_a_settings_file_that_is_none_is_not_read(tmp_path: Path, how: str) -> None:
    root = tmp_path / "root"
    root.mkdir()
    file = root / "planlint.toml"
    (tmp_path / "outside.toml").write_text("most-items = 1", encoding="utf-8")
    if how == "link out":
        file.symlink_to(tmp_path / "outside.toml")
    elif how == "pipe":
        os.mkfifo(file)
    elif how == "ring":
        file.symlink_to(file)
    else:
        file.write_bytes(b"#" * 1_000_001 if how == "large" else b"\xff\xfe\0")
    with pytest.raises(SettingsBroken):
        Shop().settings_for(str(root / "a.plan"))


def test_settings_that_are_not_utf_8_are_told_at_their_place(tmp_path: Path) -> None:
    (tmp_path / "planlint.toml").write_bytes(b'# ours\nowner = "Gro\xdfe"\n')
    with pytest.raises(SettingsBroken, match="line 2, column 13: this file is not UTF-8: byte 20 of it"):
        Shop().settings_for(str(tmp_path / "a.plan"))


# ---------------------------------------------------------------- what they change


def test_a_rule_that_is_off_is_not_checked() -> None:
    found = inspect_text(PlanText("a.plan", FAULTY), Settings(grades={"lone-screw": "off"}))
    assert [each.rule for each in inspect_text(PlanText("a.plan", FAULTY)).findings] == ["lone-screw"]
    assert found.sound


def test_accepting_a_rule_that_is_off_is_not_stale() -> None:
    text = FAULTY + 'accept lone-screw on rail.left because "glued"\n'
    assert inspect_text(PlanText("a.plan", text), Settings(grades={"lone-screw": "off"})).sound


def test_a_changed_grade_is_told() -> None:
    [found] = inspect_text(PlanText("a.plan", FAULTY), Settings(grades={"lone-screw": "advice"})).findings
    assert found.grade is Grade.ADVICE


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        (
            "'hard maple, 3/4 x 3-1/2, 2 ft', 'hard maple, 3/4 x 5, 1 ft'",
            ["caution: rail is 30 in long", "hard maple that the shop keeps", "24 in"],
        ),
        ("'hard maple, 3/4 x 3-1/2, 3 ft'", []),
        ("'hard maple, 3/4 x 3-1/2'", []),  # Of any length.
        ("'hard maple, 1 x 3-1/2, 2 ft'", []),  # Another thickness is bought anyway.
        (
            "'hard maple, 1/2 x 3-1/2, 2 ft', 'hard maple, 1 x 3-1/2, 2 ft'",
            [],
        ),  # It is planed down of the thicker.
        ("'red oak, 3/4 x 3-1/2, 2 ft'", []),
    ],
)
def test_parts_that_nothing_kept_in_the_shop_holds(tmp_path: Path, kept: str, told: list[str]) -> None:
    settings = settings_from(tmp_path, f"stock.kept = [{kept}]")
    plan = """plan "Rail"
stock board of hard maple, 3/4 x 3-1/2
stock panel of birch plywood, 3/4 thick
part rail of board, 30 long, crosswise, facing front
part side of panel, 20 long, 12 wide, upright, facing left
join rail.right to side.left
    flush top, front
    pockets 2 in back
    screws to suit
"""
    found = inspect_text(PlanText("a.plan", plan), settings).findings
    said = [f"{each.grade.word}: {each.says}" for each in found if each.rule == "stock-too-short"]
    assert len(said) == bool(told)
    assert all(words in said[0] for words in told)


def test_metric_screws_are_not_called_unstocked() -> None:
    def rules(length: str, given: Settings | None = None) -> list[str]:
        text = FAULTY.replace("pockets 1", "pockets 2").replace("screws to suit", f"screws fine {length}")
        return [each.rule for each in inspect_text(PlanText("a.plan", text), given).findings]

    assert "unstocked-screw" not in rules("32 mm")
    assert "unstocked-screw" not in rules("25 mm")
    assert "unstocked-screw" in rules("28 mm")


def test_the_command_tells_where_each_value_comes_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    Path("planlint.toml").write_text("[rules.wide-spacing]\nspacing = '200 mm'\n", encoding="utf-8")
    Path("a.plan").write_text(FAULTY, encoding="utf-8")
    assert main(["settings", "a.plan"]) == 0
    out = capsys.readouterr().out
    assert 'rules.wide-spacing.spacing = "200 mm"  # planlint.toml, line 2' in out
    assert "ANSUR II (2012)" in out
    Path("planlint.toml").write_text("[rules.wide-spacing]\nspaceing = '200 mm'\n", encoding="utf-8")
    assert main(["settings", "a.plan"]) == 2
    assert "planlint.toml, line 2, column 1: there is no limit" in capsys.readouterr().out
    assert main(["inspect", "a.plan"]) == 2
    captured = capsys.readouterr()
    assert "the nearest is spacing" in captured.out + captured.err
    assert main(["settings", "none.plan"]) == 2
    assert "there is no file or folder none.plan" in capsys.readouterr().err


CHANGED = """
exclude = ["old/*",  # said
  'a_*.plan']
most-items = 500
[rules]
lone-screw = "off"
misfit.grade = "advice"
hole-in-sight.share-of-eyes = "5 %"
thread-mismatch.specific-gravity = 0.5
near-end."advised end distance" = 4
close-spacing.advised-spacing = "1 diameter"
wide-spacing = { spacing = "7 1/3 in", grade = "stop" }
askew.angle = 0.3
[drilling]
angle = 14
bit-diameter = "9.5 mm"
setback-ratio = 0.7
[viewer]
standing = ["56 in", "5 ft 9 in"]
distances = ["1 ft", "333 mm"]
[screws]
lengths = ["32 mm", "1-1/2 in"]
coarse-gauge = 10
fine-gauge = "No. 6"
[humidity]
range = [35, '65 %']
[stock]
kept = ["douglas fir, 2x4, 8 ft", 'birch plywood, 3/4 thick, 48 x 96']
"""


def _said_in(said: Any) -> dict[str, Any]:
    """What a dataclass is told, without what it keeps once it is worked out."""
    return {each.name: getattr(said, each.name) for each in fields(said)}


def in_effect(settings: Settings) -> dict[str, Any]:
    """Everything that settings come to, said or not; a length the same in inches and in millimetres."""

    def rounded(value: Any) -> Any:
        if isinstance(value, tuple):
            return tuple(map(rounded, value))
        return round(value, 8) if isinstance(value, float) else value

    rules = every_rule()
    screws, stock = settings.screws, settings.stock
    values = {
        **{name: settings.grades.get(name, rule.grade.word) for name, rule in rules.items()},
        **{
            f"{name} {limit}": float(rule.limit(limit, settings))
            for name, rule in rules.items()
            for limit in rule.limits
        },
        **_said_in(settings.profile),
        **_said_in(settings.viewer),
        **_said_in(screws),
        "tip_cover": settings.tip_cover,
        "gauges": tuple(sorted(screws.gauges)),
        "humidity": settings.humidity,
        "stock": tuple(
            (each.material, each.length, each.width, each.thickness, each.nominal) for each in stock
        ),
        "most items": settings.most_items,
    }
    return {name: rounded(value) for name, value in values.items()}


def listing(capsys: pytest.CaptureFixture[str], *plan: str) -> list[str]:
    """The settings that the command tells, without its remarks."""
    capsys.readouterr()
    assert main(["settings", *plan]) == 0
    out = capsys.readouterr().out
    return [
        line.partition("  # ")[0].rstrip() for line in out.splitlines() if line and not line.startswith("#")
    ]


@pytest.fixture(name="shop_folder")
def folder_of_a_shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the command is called; no terminal tells its width."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COLUMNS", raising=False)
    return tmp_path


@pytest.mark.parametrize("said", ["", CHANGED], ids=["the usual settings", "every kind changed"])
@pytest.mark.parametrize("columns", ["40", "100", "300"])
def test_what_the_command_tells_can_be_written_back(
    shop_folder: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    said: str,
    columns: str,
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    before = settings_from(shop_folder, said) if said else Settings()
    told = listing(capsys)
    after = settings_from(shop_folder, "\n".join(told))
    assert in_effect(after) == in_effect(before)
    assert listing(capsys) == told
    assert Shop().left_out(str(shop_folder / "a_b.plan")) is bool(said)
    assert len(told) > 80
    for line in told:  # Each for itself can be copied too.
        settings_from(shop_folder, line)


def test_the_command_tells_every_setting_there_is(
    shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert shop_folder
    keys = {line.partition(" = ")[0] for line in listing(capsys)}
    for name, rule in every_rule().items():
        assert f"rules.{name}.grade" in keys
        assert keys >= {f"rules.{name}.{limit.replace(' ', '-')}" for limit in rule.limits}
    for table, field in WholeTable.model_fields.items():
        inner = getattr(field.annotation, "model_fields", None)
        if table not in {"rules", "folders"}:
            assert (
                keys >= {f"{table}.{each.alias}" for each in inner.values()} if inner else field.alias in keys
            )


def test_limits_are_told_with_their_unit(shop_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shop_folder / "planlint.toml").write_text("[rules.lone-screw]\nscrews = 3\n[drilling]\nangle = 14\n")
    told = listing(capsys)
    assert 'rules.lone-screw.screws = "3 screws"' in told
    assert 'drilling.angle = "14 degrees"' in told


def test_the_eye_height_of_a_plan_is_told_as_its_own(
    shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shop_folder / "a.plan").write_text(FAULTY.replace("unit inch", "unit inch\n    eye height 5 ft"))
    (shop_folder / "b.plan").write_text(FAULTY)
    (shop_folder / "c.plan").write_text(
        FAULTY.replace("unit inch", "unit inch\n    eye height 5 ft") + "nonsense\n"
    )
    assert 'viewer.standing = ["60 in", "60 in"]' in listing(capsys, "a.plan")
    assert main(["settings", "a.plan"]) == 0
    assert "# a.plan, line 3: its eye height" in capsys.readouterr().out
    for plan in ("b.plan", "c.plan"):
        assert 'viewer.standing = ["1421 mm", "1753 mm"]' in listing(capsys, plan)
    assert main(["settings", "c.plan"]) == 0
    assert "c.plan has mistakes in it: an eye height of its own is not told" in capsys.readouterr().out


def test_what_is_excluded_and_what_is_not_in_force_is_told(
    shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shop_folder / "inner" / "old").mkdir(parents=True)
    for name in ("a.plan", "inner/a.plan", "inner/old/a.plan"):
        (shop_folder / name).write_text(FAULTY)
    (shop_folder / "planlint.toml").write_text("exclude = ['a.plan']")
    (shop_folder / "inner" / "planlint.toml").write_text("exclude = ['old/*']")

    def head(path: str) -> str:
        assert main(["settings", path]) == 0
        return " ".join(capsys.readouterr().out.split("exclude =")[0].replace("#", "").split())

    not_in_force = " planlint.toml is not in force here: the nearest file counts, and no other."
    assert "a.plan is excluded: commands on a folder pass it over." in head("a.plan")
    assert not_in_force not in head("a.plan")
    assert not_in_force in head("inner/a.plan")
    assert "excluded" not in head("inner/a.plan")
    assert "inner/old/a.plan is excluded" in head("inner/old/a.plan")
    assert "inner/old is excluded" in head("inner/old")
    (shop_folder / "inner" / ".git").mkdir()  # What lies outside of a repository has no say in it anyway.
    assert not_in_force not in head("inner/a.plan")


def test_settings_in_the_readme_are_read(tmp_path: Path) -> None:
    text = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
    text = text.split("<!-- settings -->")[1].split("```")[1].removeprefix("toml\n")
    (tmp_path / "painted").mkdir()
    found = settings_from(tmp_path, text, "painted/a.plan")
    assert found.grades == {"unstocked-screw": "off", "hole-in-sight": "advice"}
    assert found.humidity != Settings().humidity
    assert len(found.stock) == 2


@given(st.floats(0.001, 11_999), st.sampled_from(["in", "degrees", "screws", "of all eyes", "diameters"]))
def test_a_number_in_words_reads_back_as_itself(value: float, unit: str) -> None:
    value = value / 12_000 if unit == "of all eyes" else round(value) if unit == "screws" else value
    read = tomllib.loads(f"x = {with_unit(value, unit)}")["x"]
    assert in_unit(read, unit) == pytest.approx(value, rel=1e-6, abs=1e-10)


def test_pydantic_waits_for_a_settings_file(tmp_path: Path) -> None:
    code = (
        "import sys; from planlint.settings.layered_settings import Shop; Shop().settings_for('a.plan');"
        "print(sorted({'pydantic', 'tomllib', 'fnmatch'} & set(sys.modules)))"
    )
    root = str(Path(__file__).parent.parent)
    shown = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True, text=True, check=True, cwd=tmp_path, env={**os.environ, "PYTHONPATH": root},
    )  # fmt: skip
    assert "pydantic" not in shown.stdout
    assert "tomllib" not in shown.stdout


# ---------------------------------------------------------------- places

KEYS = st.text("ab-_1", min_size=1, max_size=3) | st.text("a .'\"\\#[]=é", min_size=0, max_size=4)
LEAVES = (
    st.integers(-99, 99)
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False).map(lambda value: round(value, 2))
    | st.text("ab\"'\\#[]{}=,\n é", max_size=6)
)
TREES: st.SearchStrategy[dict[str, Any]] = st.dictionaries(
    KEYS,
    st.recursive(
        LEAVES,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
        max_leaves=8,
    ),
    max_size=4,
)


def quoted(text: str, draw: Any) -> str:
    if "'" not in text and "\n" not in text and draw(st.booleans()):
        return f"'{text}'"
    if "'''" not in text and not text.endswith("'") and text and draw(st.booleans()) and text[0] != "\n":
        return f"'''{text}'''"
    plain = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"""{plain}"""' if draw(st.booleans()) else f'"{plain}"'


def key_of(text: str, draw: Any) -> str:
    if text and all(letter in "ab-_1" for letter in text) and draw(st.booleans()):
        return text
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{plain}"' if "'" in text or draw(st.booleans()) else f"'{text}'"


def value_of(value: Any, draw: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value, draw)
    if isinstance(value, list):
        between = draw(st.sampled_from([", ", ",", " , # said\n  ", "\n,\n"]))
        return f"[ {between.join(value_of(each, draw) for each in value)} ]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key_of(key, draw)} = {value_of(each, draw)}' for key, each in value.items())} }}"
    return repr(value)


def written(tree: dict[str, Any], draw: Any, path: tuple[str, ...] = ()) -> str:
    """A tree as TOML, its tables written one way or another."""
    lines = []
    tables: list[tuple[str, Any]] = []
    for key, value in tree.items():
        if isinstance(value, dict) and draw(st.booleans()):
            tables.append((key, value))
        elif (
            isinstance(value, list)
            and value
            and all(isinstance(each, dict) for each in value)
            and draw(st.booleans())
        ):
            tables += [(key, value)]
        elif (
            isinstance(value, dict)
            and value
            and draw(st.booleans())
            and all(not isinstance(each, dict) for each in value.values())
        ):
            lines += [
                f"{key_of(key, draw)} . {key_of(inner, draw)}={value_of(each, draw)} # c"
                for inner, each in value.items()
            ]
        else:
            lines.append(f"{key_of(key, draw)} = {value_of(value, draw)}")
    text = "".join(f"{line}\n" for line in lines)
    for key, value in tables:
        below = (*path, key)
        named = ".".join(key_of(each, draw) for each in below)
        for each in value if isinstance(value, list) else [value]:
            text += f"[[{named}]]\n" if isinstance(value, list) else f"[ {named} ] # c\n"
            text += written(each, draw, below)
    return text


def leaves(tree: Any, path: tuple[str | int, ...] = ()) -> list[tuple[tuple[str | int, ...], Any]]:
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else None
    if pairs is None:
        return [(path, tree)]
    return [leaf for key, each in pairs for leaf in leaves(each, (*path, key))]


@given(st.data(), TREES)
@trials(max_examples=150, deadline=None)
def test_every_value_is_found_at_its_place(data: st.DataObject, tree: dict[str, Any]) -> None:
    text = written(tree, data.draw)
    assert tomllib.loads(text) == tree
    places = places_of(text)
    for path, value in leaves(tree):
        place = places[path]
        shown = text[slice(*place.value)]
        assert tomllib.loads(f"x = {shown}")["x"] == value
        if isinstance(path[-1], str):
            assert list(tomllib.loads(f"{text[slice(*place.key)]} = 1")) == [path[-1]]
    for path in places:
        assert path == () or len(path) == 1 or path[:-1] in places


def test_a_read_file_knows_its_places() -> None:
    text = "[rules]\nwide-spacing.spacing = '9 in'\n"
    found = read_shop_file(PlanText("planlint.toml", text), every_rule())
    assert isinstance(found, ShopFile)
    assert text[slice(*found.settings["rules", "wide-spacing", "spacing"].place)] == "'9 in'"


def test_a_text_over_several_lines_with_escapes_is_gone_past() -> None:
    text = 'note = """\na \\"bench\\" \\\n  rule""""\nmost-items = 500\n'
    assert tomllib.loads(text)["note"] == 'a "bench" rule"'
    places = places_of(text)
    assert [text[slice(*places[name,].value)] for name in ("note", "most-items")] == [text[7:-18], "500"]


def test_a_metric_screw_is_the_one_that_the_shop_keeps() -> None:
    """Of lengths of its own the shop tells the metric names too, or none."""
    usual, own = ShopScrews(), ShopScrews(lengths=(1.25, 2.5), metric_lengths=())
    assert [usual.kept_as(said / 25.4) for said in (32, 63)] == [1.25, 2.5]
    assert [own.kept_as(said) for said in (1.25, 2.0)] == [1.25, 2.0]
