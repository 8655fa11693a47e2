"""``use``: what other files bring, where their mistakes are told, and what is never read."""

from __future__ import annotations

import os
import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st

import planlint
from planlint.command.main import main
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.used_files import with_files
from planlint.model.workshop import Files, Settings
from planlint.text.decode import MOST_BYTES
from planlint.text.source import Mistake, PlanText

STOCK = 'plan "Stock"\nstock board of red oak, 3/4 x 2\nlet gap = 1/8\n'
FRAME = """\
assembly frame(wide)
    part rail of board, wide long, crosswise, facing front
    part stile of board, 24 long, upright, facing front
    join rail.left to stile.right
        flush top, front
        pockets 1 in back
        screws to suit
end
"""
PARTS = "part p of board, 3 + gap long, upright, facing front\n"


def written(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder


def inspected(folder: Path, name: str = "a.plan") -> Inspection:
    return planlint.inspect(folder / name)


def told(folder: Path, files: dict[str, str]) -> list[tuple[str, str]]:
    """The mistakes of ``a.plan``, each as the text it marks and what is said."""
    found = inspected(written(folder, files))
    assert not found.crashed
    says = [each.says.replace(f"{folder}/", "") for each in found.unread]
    return [
        (found.source.text[slice(*each.span)], words) for each, words in zip(found.unread, says, strict=True)
    ]


# ---------------------------------------------------------------- what is brought in


def test_stock_lets_and_assemblies_come_in_and_parts_do_not(tmp_path: Path) -> None:
    written(tmp_path, {
        "a.plan": 'use "shop/b.plan"\n' + PARTS + "place frame as f, wide 12\n",
        "shop/b.plan": 'use "deep/c.plan"\n' + FRAME + "part q of board, 3 long, upright, facing front\n",
        "shop/deep/c.plan": STOCK,
    })  # fmt: skip
    plan = planlint.read_plan(tmp_path / "a.plan")
    assert list(plan.part_by_name) == ["p", "f_rail", "f_stile"]
    assert float(plan.parts[0].length) == 3.125
    assert plan.source.text[slice(*plan.parts[0].stock.span)] == 'use "shop/b.plan"'


def test_a_finding_in_a_unit_of_another_file_is_told_where_it_is_placed(tmp_path: Path) -> None:
    written(
        tmp_path,
        {
            "a.plan": 'plan "A"\n    seen from front\nuse "b.plan"\nplace frame as f, wide 12\n',
            "b.plan": STOCK + FRAME,
        },
    )
    found = inspected(tmp_path)
    [one] = found.findings
    assert (one.rule, one.joint) == ("lone-screw", "f_rail.left")
    assert found.source.text[slice(*one.span)] == "place frame as f, wide 12"
    assert inspected(tmp_path, "b.plan").sound


def test_one_file_by_two_ways_is_no_clash_and_is_read_once(tmp_path: Path) -> None:
    written(tmp_path, {
        "a.plan": 'use "b.plan"\nuse "c.plan"\nuse "./stock.plan"\n' + PARTS,
        "b.plan": 'use "stock.plan"\n', "c.plan": 'use "x/../stock.plan"\n', "stock.plan": STOCK,
    })  # fmt: skip
    (tmp_path / "x").mkdir()
    assert inspected(tmp_path).unread == ()
    files = with_files(
        Settings(), str(tmp_path / "a.plan"), "a.plan", (tmp_path / "a.plan").read_bytes()
    ).files
    assert files is not None
    assert len({id(text) for text in files.texts.values()}) == 3


@pytest.mark.parametrize("made", ["deep/a.plan", "a.plan"])
def test_other_units_keep_lengths(tmp_path: Path, made: str) -> None:
    written(tmp_path, {
        "b.plan": 'plan "mm"\n    unit mm\nstock board of red oak, 19 x 51\nlet gap = 3 mm\nlet n = 4\n'
        "assembly a(w)\n    part p of board, w - 5 long, upright, facing front\nend\n"
    })  # fmt: skip
    use = 'use "../b.plan"\n' if "/" in made else 'use "b.plan"\n'
    (tmp_path / "planlint.toml").touch()
    written(tmp_path, {made: use + PARTS + "place a as x, w 10 in\n"})
    plan = planlint.read_plan(tmp_path / made)
    assert [float(part.length) * 25.4 for part in plan.parts] == pytest.approx([3 * 25.4 + 3, 249])
    written(tmp_path, {made: use + PARTS + "place a as x, w 10\nlet z = n + 1\n"})
    says = [each.says for each in inspected(tmp_path, made).unread]
    assert "a counts in mm and this line in inches: give w its unit" in says[0]
    assert "n comes from" in says[1]


# ---------------------------------------------------------------- mistakes


def test_mistakes_are_told_at_the_use_line_with_their_place(tmp_path: Path) -> None:
    found = told(tmp_path, {
        "a.plan": 'use "b.plan"\nuse "c.plan"\n' + PARTS,
        "b.plan": 'use "d.plan"\nstock board of red oak, 3 x 2\nlet gap = 1 +\n',
        "c.plan": 'use "d.plan"\n', "d.plan": "let x = y\n",
    })  # fmt: skip
    assert [(where, says.split(": ")[0]) for where, says in found] == [
        ('use "b.plan"', "in b.plan, line 2, column 25"),
        ('use "b.plan"', "in b.plan, line 3, column 14"),
        ('use "b.plan"', "in d.plan, line 1, column 9"),
    ]


def test_a_mistake_in_the_line_of_an_assembly_is_told_at_the_use_line(tmp_path: Path) -> None:
    frame = "    part q of board, w long, upright, facing front\nend\n"
    [(where, says)] = told(
        tmp_path, {"a.plan": 'use "b.plan"\n' + PARTS, "b.plan": STOCK + f"assembly f(w, w)\n{frame}"}
    )
    assert where == 'use "b.plan"'
    assert says.startswith(f"in b.plan, line {STOCK.count(chr(10)) + 1}, column 15: ")


def test_a_mistake_in_a_placed_unit_of_another_file(tmp_path: Path) -> None:
    files = {
        "a.plan": 'use "b.plan"\nplace frame as f, wide 0\nplace frame as g, wide 3\n',
        "b.plan": STOCK + FRAME,
    }
    [(where, says)] = told(tmp_path, files)
    assert where == "place frame as f, wide 0"
    assert says.startswith("in b.plan, line 5, column 25: the length comes to nothing")
    assert says.endswith("(in f)")


def test_a_ring_is_shown(tmp_path: Path) -> None:
    [(where, says)] = told(tmp_path, {
        "a.plan": 'use "b.plan"\n' + PARTS, "b.plan": 'use "x/c.plan"\n' + STOCK, "x/c.plan": 'use "../a.plan"\n',
    })  # fmt: skip
    assert where == 'use "b.plan"'
    assert says.startswith("in x/c.plan, line 1, column 1: these files use one another in a ring: ")
    assert "a.plan uses b.plan uses x/c.plan uses a.plan" in says
    [(where, says)] = told(tmp_path, {"a.plan": 'use "a.plan"\n' + PARTS})
    assert "uses itself" in says


def test_a_ring_among_used_files_alone(tmp_path: Path) -> None:
    [(_, says)] = told(
        tmp_path, {"a.plan": 'use "b.plan"\n', "b.plan": 'use "c.plan"\n', "c.plan": 'use "b.plan"\n'}
    )
    assert "b.plan uses c.plan uses b.plan" in says


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('use "b.plan"\nuse "c.plan"\n', "stock board comes from"),
        ('use "b.plan"\nstock board of pine, 1x4\n', "stock board is already named on line 1"),
        ('use "b.plan"\nlet gap = 3\n', "gap is already given a value by"),
        ('use "b.plan"\nassembly frame\n  let q = 1\nend\n', "assembly frame already comes from"),
    ],
)
def test_names_that_clash(tmp_path: Path, text: str, said: str) -> None:
    files = {"a.plan": text + PARTS, "b.plan": STOCK + FRAME, "c.plan": STOCK.replace("gap", "gup")}
    [(_, says)] = told(tmp_path, files)
    assert said in says


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("none.plan", "there is no file none.plan here"),
        ("", "the path of a file is due"),
        ("/etc/a.plan", "do not start it at the top of the disk"),
        ("C:/a.plan", "do not start it at the top of the disk"),
        ("~/a.plan", "do not start it at the top of the disk"),
        ("x\\\\b.plan", "between slashes"),
        ("planlint.toml", "its name ends in .plan"),
        ("../out.plan", "../out.plan lies outside of this plan's collection"),
        ("x/../../out.plan", "../out.plan lies outside of this plan's collection"),
        ("folder.plan", "cannot be used"),
        ("link.plan", "lies outside of this plan's collection"),
        ("folder_link/out.plan", "lies outside of this plan's collection"),
        ("ring.plan", "cannot be used"),
        ("pipe.plan", "it is not a plain file"),
        ("latin.plan", "this file is not UTF-8"),
        ("large.plan", "it is over 4 MB"),
        ("a" * 300 + ".plan", "cannot be used"),
    ],
)
def test_what_is_not_read(tmp_path: Path, path: str, said: str) -> None:
    root = written(tmp_path, {"out.plan": "let secret = 1\n", "root/planlint.toml": ""}) / "root"
    (root / "x").mkdir()
    (root / "folder.plan").mkdir()
    (root / "link.plan").symlink_to(tmp_path / "out.plan")
    (root / "folder_link").symlink_to(tmp_path)
    (root / "ring.plan").symlink_to(root / "ring.plan")
    os.mkfifo(root / "pipe.plan")
    (root / "latin.plan").write_bytes(b"let a = 1 # \xe9\n")
    (root / "large.plan").write_bytes(b" " * (MOST_BYTES + 1))
    [(where, says)] = told(root, {"a.plan": f'use "{path}"\n' + PARTS})
    assert said in says
    assert where == f'use "{path}"'


def test_without_settings_a_plan_reaches_its_own_folder_only(tmp_path: Path) -> None:
    written(tmp_path, {"stock.plan": STOCK})
    [(_, says)] = told(written(tmp_path, {}) / "x", {"a.plan": 'use "../stock.plan"\n' + PARTS})
    assert "put a planlint.toml into the folder that holds both" in says
    (tmp_path / "planlint.toml").touch()
    assert told(tmp_path / "x", {}) == []


def test_a_link_inside_the_collection_is_followed(tmp_path: Path) -> None:
    written(
        tmp_path, {"planlint.toml": "", "shop/stock.plan": STOCK, "x/a.plan": 'use "near.plan"\n' + PARTS}
    )
    (tmp_path / "x" / "near.plan").symlink_to(tmp_path / "shop" / "stock.plan")
    assert inspected(tmp_path / "x").unread == ()


def test_only_so_many_files(tmp_path: Path) -> None:
    chain = {f"s{n}.plan": f'use "s{n + 1}.plan"\nlet l{n} = 1\n' for n in range(200)}
    written(tmp_path, {**chain, "s200.plan": STOCK})
    [(_, says)] = told(tmp_path, {"a.plan": 'use "s0.plan"\n' + PARTS})
    assert "uses more than 50 files" in says
    assert told(tmp_path, {"a.plan": 'use "s155.plan"\n' + PARTS}) == []
    heavy = {f"h{n}.plan": "#" * 1_500_000 for n in range(3)}
    [(where, says)] = told(tmp_path, {**heavy, "a.plan": "".join(f'use "h{n}.plan"\n' for n in range(3))})
    assert where == 'use "h2.plan"'
    assert "come to over 4 MB" in says


def test_text_that_is_no_file_uses_none() -> None:
    [one] = planlint.inspect('use "b.plan"\npart a of b, 3 long\n').unread
    assert "no other file can be read from here" in one.says


# ---------------------------------------------------------------- the ways to a plan


def test_standard_input_counts_from_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import io  # noqa: PLC0415

    written(tmp_path, {"stock.plan": STOCK})
    monkeypatch.chdir(tmp_path)
    stdin = io.TextIOWrapper(io.BytesIO(('use "stock.plan"\n' + PARTS).encode()))
    monkeypatch.setattr("sys.stdin", stdin)
    assert main(["inspect", "-"]) == 0
    assert "nothing found in 1 part" in capsys.readouterr().out


def test_the_files_go_with_a_plan_to_any_worker(tmp_path: Path) -> None:
    written(
        tmp_path, {"a.plan": 'use "b.plan"\n' + PARTS, "b.plan": 'use "stock.plan"\n', "stock.plan": STOCK}
    )
    text = (tmp_path / "a.plan").read_text(encoding="utf-8")
    settings = with_files(Settings(), str(tmp_path / "a.plan"), "a.plan", text)
    sent = pickle.loads(pickle.dumps(settings))
    assert sent == settings
    for name in ("a.plan", "b.plan", "stock.plan"):
        (tmp_path / name).unlink()
    assert inspect_text(PlanText("a.plan", text), sent).sound
    assert repr(settings) != repr(with_files(Settings(), str(tmp_path / "a.plan"), "a.plan", text))
    assert with_files(Settings(), "a.plan", "a.plan", 'part used of x\n# use "b.plan"\n').files is None


LINES = [
    'use "a.plan"', 'use "b.plan"', 'use "x/c.plan"', "assembly u(w)", "assembly v", "end",
    "    place u as p, w 3", "place u as q, w k", "place v as r", "    place v as s{n}", "for n in 1 to 3",
    "    part x of board, w long, deep, facing up", "part y{n} like x", "    part x like y", "let k = 2",
    "    let k = w", "let w = k", "stock board of pine, 1x2", "    join x.left to y.top",
    "    accept lone-screw on x.left/y.right", "load 3 lb on p_x", "    part x, y of board, 3 long,",
    "        upright, facing front, groove 1/4 wide 1/4 deep along left, 1/4 from front, from 0 to w",
    'plan "z"', "    unit mm",
]  # fmt: skip
TEXTS = st.lists(st.sampled_from(LINES), max_size=14).map("\n".join)


@given(TEXTS, TEXTS, TEXTS)
@trials(max_examples=100, deadline=None)
def test_whatever_files_hold_it_is_told_and_nothing_falls_over(a: str, b: str, c: str) -> None:
    source = PlanText("a.plan", a)
    files: dict[str, PlanText | Mistake] = {
        "a.plan": source,
        "b.plan": PlanText("b.plan", b),
        "x/c.plan": PlanText("x/c.plan", c),
    }
    settings = Settings(files=Files(files))
    found = inspect_text(source, settings)
    assert found.crashed == ()
    assert all(0 <= each.span.start <= each.span.end <= len(a) and each.says for each in found.unread)
    for finding in (*found.findings, *found.accepted):
        assert 0 <= finding.span.start <= finding.span.end <= len(a)
