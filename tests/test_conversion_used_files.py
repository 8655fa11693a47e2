"""Assemblies of a used file: converted in a copy of the plan's own, or in their file for all who use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.conversion.assembly_copies import NotCopied, waits_for_users, with_own_copies
from planlint.text.source import Mistake, PlanText, Span

SHOP = """\
plan "Shop stock"
    unit inch
let tenon = 1
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 3
assembly side(tall, across)
    part leg_f, leg_b of post, tall long, upright, facing left
    part bar of rail, across + 2 * tenon long, deep, facing left
    join bar.front to leg_f.back as mortise and tenon, tenon long
        flush top
        centred left to right
    join bar.back to leg_b.front as mortise and tenon, tenon long
        flush top
        centred left to right
end
"""
USER = """\
use "shop.plan"
plan "User"
    unit {unit}
    seen from front
place side as s1, tall {tall}, across {across}
place side as s2, tall {tall}, across {across}
part bar of rail, {long} + 2 * tenon long, crosswise, facing front
join bar.left to s1_leg_f.right as mortise and tenon, tenon long
    flush top, front
join bar.right to s2_leg_f.left as mortise and tenon, tenon long
    flush top, front
"""


@pytest.fixture(name="folder")
def folder_of_plans(tmp_path: Path) -> Path:
    (tmp_path / "shop.plan").write_text(SHOP, encoding="utf-8")
    (tmp_path / "user.plan").write_text(
        USER.format(unit="inch", tall=20, across=12, long=20), encoding="utf-8"
    )
    return tmp_path


def test_parts_of_the_plan_itself_are_converted_and_those_of_the_file_stay(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["convert", str(folder / "user.plan"), "--to", str(folder / "new.plan")]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "2 joints converted, 4 left as they are" in told and "--own-copy" in told
    assert "part bar of rail, 20 long" in (folder / "new.plan").read_text(encoding="utf-8")


def test_a_copy_of_the_assembly_is_converted(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["convert", str(folder / "user.plan"), "--own-copy", "--in-place"]) in {0, 1}
    assert "6 joints converted" in capsys.readouterr().out
    new = (folder / "user.plan").read_text(encoding="utf-8")
    assert "assembly side_screwed(tall, across)\n" in new and "    part bar of rail, across long" in new
    assert new.count("place side_screwed as") == 2
    assert (folder / "shop.plan").read_text(encoding="utf-8") == SHOP
    assert main(["convert", str(folder / "user.plan"), "--own-copy", "--in-place"]) == 0
    assert (folder / "user.plan").read_text(encoding="utf-8") == new


def test_the_file_itself_is_converted_for_all_who_use_it(folder: Path) -> None:
    shop = folder / "shop.plan"
    assert main(["convert", str(shop), "--placed-in", str(folder / "user.plan"), "--in-place"]) in {0, 1}
    new = shop.read_text(encoding="utf-8")
    assert "part bar of rail, across long" in new and "pockets 2 in" in new and "place " not in new
    assert main(["convert", str(folder / "user.plan"), "--in-place"]) in {0, 1}
    assert main(["convert", str(folder / "user.plan")]) == 0


@pytest.mark.parametrize(("own", "told"), [("", 0), ("let bury = 1/2\n", 2), ("let wide = 3/8\n", 0)])
def test_what_a_copied_assembly_leans_on_comes_along(
    tmp_path: Path, own: str, told: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the file that tells it, under its name; where the plan means another by that, nothing is copied."""
    (tmp_path / "stock.plan").write_text(
        """plan "S"\nstock thick of poplar, 3/4 thick, 8 wide\nlet bury = 1/4\nlet one = 1\n"""
    )
    (tmp_path / "lib.plan").write_text(
        """plan "L"
use "stock.plan"
assembly bay(wide)
    # Of the length called one nothing is needed here.
    part end_l of thick, 9 long, upright, facing right
        dado 3/4 wide bury deep across right, 3 from bottom
    part shelf of thick, wide + bury long, crosswise, facing up
    join shelf.left to end_l.right as dado, bury deep
        3 from bottom
        flush front
end
assembly twin(wide)
    part board of thick, wide + bury long, crosswise, facing up
    part end_r of thick, 9 long, upright, facing left
        dado 3/4 wide bury deep across left, 3 from bottom
    join board.right to end_r.left as dado, bury deep
        3 from bottom
        flush front
end
"""
    )
    user = tmp_path / "user.plan"
    places = "place bay as one, wide 20\nplace twin as two, wide 16\n"
    user.write_text(f"""plan "U"\nuse "lib.plan" for bay, twin\n{own}{places}""")
    assert main(["convert", str(user), "--own-copy", "--in-place"]) == told
    new = user.read_text()
    assert ('use "stock.plan" for thick, bury\n' in new and "wide long" in new) is (told == 0)
    assert ("bury is another length or stock in this plan than in stock.plan" in capsys.readouterr().err) is (
        told == 2
    )


def test_a_file_that_counts_in_another_unit_is_not_copied(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    user = folder / "user.plan"
    user.write_text(USER.format(unit="mm", tall="500 mm", across="300 mm", long=500), encoding="utf-8")
    assert main(["convert", str(user), "--own-copy"]) == 2
    assert "counts in inches, this plan in millimetres" in capsys.readouterr().err


def test_a_file_that_only_tells_assemblies_says_how_they_are_converted(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["convert", str(folder / "shop.plan")])
    assert "--placed-in" in capsys.readouterr().out


def test_users_of_the_file_are_inspected_with_its_new_text(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call = ["convert", str(folder / "shop.plan"), "--placed-in", str(folder / "user.plan")]
    main(call)
    assert "\n  Nothing is found that was not found before.\n" in capsys.readouterr().out
    main([*call, "--as", "json"])
    (user,) = json.loads(capsys.readouterr().out)["users"]
    assert user == {"path": str(folder / "user.plan"), "unread": [], "new": []}


DOOR = """\
plan "Doors"
stock strip of poplar, 3/4 x 2
assembly door(wide, high)
    part stile_l, stile_r of strip, high long, upright, facing front
    part rail of strip, wide - 2 * 2 + 2 * 1 long, crosswise, facing front
    join rail.left, rail.right to stile_l.right, stile_r.left as mortise and tenon, tenon 1 long
        flush top, front
end
assembly pair(wide)
    place door as one, wide wide, high 10
    place door as other mirrored, wide wide, high 10
end
"""
DOORS = """\
plan "Two doors"
    seen from front
use "doors.plan"
part post of strip, 40 long, upright, facing front
for n in 1 to 2
    place door as door_{n}, wide 12 + n, high 12 * n
place door as last mirrored, wide 20, high 20
place door as tenon, wide 22, high 21
place pair as both, wide 9
join door_1_stile_r.right to post.left as glued
    flush bottom, front
"""


def test_units_are_converted_as_loops_and_other_units_place_them_and_as_their_users_see_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the front alone the backs of the doors are out of sight: no plugs. Its own places of units stay."""
    (tmp_path / "doors.plan").write_text(DOOR, encoding="utf-8")
    (tmp_path / "user.plan").write_text(DOORS, encoding="utf-8")
    main(["convert", str(tmp_path / "doors.plan"), "--placed-in", str(tmp_path / "user.plan"), "--in-place"])
    told = " ".join(capsys.readouterr().out.split())
    text = (tmp_path / "doors.plan").read_text(encoding="utf-8")
    assert "part rail of strip, wide - 2 * 2 long, crosswise, facing front" in text
    assert "pockets 2 in back\n" in text and "plugged" not in text
    assert text.count("place ") == 2 and "seen from" not in text and "(line 6)" in told
    # In that file another word is called so: the unit is told there by a name that is free.
    for unit in ("door_1", "door_2", "last", "trial_4", "both_one", "both_other"):
        assert f"{unit}_rail" in told


STOCK = 'plan "Stock"\nlet bury = 1/4\nstock post of poplar, 2 x 2\n'
LEG = """\
assembly leg(tall)
    let more = 1
    part bury of post, tall + more long, upright, facing left
end
"""
COPIED = LEG.replace("assembly leg", "assembly leg_screwed")
PAIR = """\
assembly pair(tall)
    place leg as one, tall tall
end
"""
FILES = {
    "shop.plan": f'plan "Shop"\n{STOCK.partition(chr(10))[2]}{LEG}',
    "pairs.plan": f'plan "Pairs"\nuse "shop.plan"\n{PAIR}',
    "lib/stock.plan": STOCK,
    "lib/legs.plan": f'plan "Legs"\nuse "stock.plan"\n{LEG}',
    "ring.plan": f'plan "Ring"\nuse "ring_too.plan"\n{LEG}stock post of oak, 2 x 2\n',
    "ring_too.plan": 'plan "Ring too"\nuse "ring.plan"\n',
}


def load(path: str) -> PlanText | Mistake:
    return PlanText(path, FILES[path]) if path in FILES else Mistake(Span(0, 0), "there is no such file")


@pytest.mark.parametrize(
    ("before", "places", "heads", "copies"),
    [
        # Once for all places; what the plan knows already is not told again.
        ('use "shop.plan"\n', "place leg as a, tall 20\nplace leg as b, tall 30\n", "", [COPIED]),
        ('use "shop.plan" for leg\n', "place leg as a, tall 20\n", 'use "shop.plan" for post\n', [COPIED]),
        (
            'use "shop.plan"\n',
            "for n in 1 to 2\n    place leg as a_{n}, tall 20\nplace leg as b, tall 30\n",
            "",
            [COPIED],
        ),
        # Under a name that is free.
        (
            'use "shop.plan"\nlet leg_screwed = 1\n',
            "place leg as a, tall 20\n",
            "",
            [LEG.replace("assembly leg", "assembly leg_screwed_2")],
        ),
        (
            'use "shop.plan"\nlet leg_screwed = 1\nlet leg_screwed_2 = 1\n',
            "place leg as a, tall 20\n",
            "",
            [LEG.replace("assembly leg", "assembly leg_screwed_3")],
        ),
        # With those that it places itself, and what they lean on, from the file that tells it.
        (
            'use "pairs.plan" for pair\n',
            "place pair as a, tall 20\n",
            'use "shop.plan" for post\n',
            [PAIR.replace("pair(", "pair_screwed(").replace("place leg", "place leg_screwed"), COPIED],
        ),
        (
            'use "lib/legs.plan" for leg\n',
            "place leg as a, tall 20\n",
            'use "lib/stock.plan" for post\n',
            [COPIED],
        ),
        ('use "ring.plan" for leg\n', "place leg as a, tall 20\n", 'use "ring.plan" for post\n', [COPIED]),
        # Nothing to copy: it is the plan's own, or there is no such file.
        (f'use "lib/stock.plan"\n{LEG}', "place leg as a, tall 20\n", "", []),
        ('use "gone.plan"\n', "place leg as a, tall 20\n", "", []),
    ],
)
def test_copies_of_assemblies_stand_before_their_first_place(
    before: str, places: str, heads: str, copies: list[str]
) -> None:
    plan = PlanText("user.plan", f'plan "User"\n{before}{places}')
    new = with_own_copies(plan, load)
    for old, copy in zip(("pair", "leg") if "pair" in places else ("leg",), copies, strict=False):
        places = places.replace(f"place {old} ", f"place {copy.split('(')[0].split()[1]} ")
    assert new.text == f'plan "User"\n{heads}{before}{"".join(f"{each}{chr(10)}" for each in copies)}{places}'
    assert (new is plan) is not bool(copies)


@pytest.mark.parametrize(
    ("before", "says"),
    [
        (
            f'use "pairs.plan" for pair\n{LEG}',
            "leg is another assembly here than in shop.plan; rename one of them",
        ),
        (
            'use "pairs.plan" for pair\nstock post of oak, 2 x 2\n',
            "leg is not copied: post is another length or stock in this plan than in shop.plan; rename one, and "
            "convert again",
        ),
        (
            'use "lib/stock.plan"\nuse "pairs.plan" for pair\n',
            "leg is not copied: post is another length or stock in lib/stock.plan than in shop.plan; rename one, and "
            "convert again",
        ),
        (
            '    unit mm\nuse "pairs.plan"\n',
            "pair is not copied: pairs.plan counts in inches, this plan in millimetres; its plain numbers would mean "
            "something else here",
        ),
    ],
)
def test_what_would_mean_something_else_is_not_copied(before: str, says: str) -> None:
    with pytest.raises(NotCopied) as problem:
        with_own_copies(PlanText("user.plan", f'plan "User"\n{before}place pair as a, tall 20\n'), load)
    assert str(problem.value) == says


JOINED = "    join a.left to b.right as dado\n"
UNDER = "    join a.left to b.right\n        as dado\n"


@pytest.mark.parametrize(
    ("lines", "waits"),
    [
        (f"assembly one(wide)\n{JOINED}end\n", True),
        (f"assembly one(wide)\n{UNDER}end\n", True),
        (f"assembly one(wide)\n    for n in 1 to 2\n    {JOINED}end\n", True),
        (f"assembly one(wide)\n{JOINED}end\nplace one as a, wide 3\n", False),
        (f"assembly one(wide)\n{JOINED}end\nfor n in 1 to 2\n    place one as a_{{n}}, wide 3\n", False),
        (f"assembly one(wide)\n{JOINED}end\nassembly two(wide)\n    place one as a, wide 3\nend\n", False),
        (f"assembly one(wide)\n{JOINED}end\nassembly two(wide)\n{JOINED}end\nplace one as a, wide 3\n", True),
        ("assembly one(wide)\n    part a of wood, wide long, upright, facing front\nend\n", False),
        (JOINED.lstrip(), False),
    ],
)
def test_a_file_waits_for_its_users_where_it_places_no_unit_that_is_joined(lines: str, waits: bool) -> None:
    assert waits_for_users(PlanText("t.plan", f'plan "T"\n{lines}')) is waits
