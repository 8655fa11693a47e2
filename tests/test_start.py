"""Plans to start from: each kind is sound and tidy at every size that it is written for."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.command.start_command import STARTS, NoSuchPiece, kinds_to_start, started, takes
from planlint.inspection.inspect_plan import inspect_text
from planlint.language.tidy_layout import tidied
from planlint.text.source import PlanText

GRID: dict[str, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]] = {
    "table": (("36", "60", "84"), ("24", "40"), ("26", "36")),
    "bench": (("30", "42", "1500 mm"), ("12", "16"), ("16", "18")),
    "workbench": (("48", "66", "96"), ("23", "36"), ("32", "36")),
    "bookcase": (("24", "32", "36"), ("9", "14"), ("36", "84")),
    "base-cabinet": (("24", "30", "42"), ("21", "23-1/4"), ("30", "34-1/2")),
    "wall-shelf": (("20", "36", "48"), ("7", "12"), ("8", "12")),
    "frame": (("10", "24", "48"), (), ("12", "30", "80")),
    "drawers": (("20", "24", "30"), ("12", "20"), ("12", "24")),
    "bed": (("39", "54"), ("75", "80"), ("12", "16")),
}


def sizes(kind: str) -> list[dict[str, str]]:
    wide, deep, high = GRID[kind]
    return [
        {"wide": w, **({"deep": d} if d else {}), "high": h}
        for w, d, h in itertools.product(wide, deep or ("",), high)
    ]


def test_every_kind_has_its_grid() -> None:
    assert set(GRID) == set(kinds_to_start())


@pytest.mark.parametrize("kind", GRID)
def test_each_kind_is_sound_over_a_grid_of_sizes(kind: str) -> None:
    for size in sizes(kind):
        text = started(kind, size)
        inspection = inspect_text(PlanText(f"{kind}.plan", text))
        assert inspection.sound, (size, [each.says for each in inspection.findings])
        assert all(f"let {name}" in text and value in text for name, value in size.items())


@pytest.mark.parametrize("kind", GRID)
def test_each_kind_is_tidy_and_comes_as_it_lies_there(kind: str) -> None:
    text = started(kind, {})
    assert tidied(PlanText("", text)) == text
    assert text == (STARTS / f"{kind}.plan").read_text(encoding="utf-8")
    size = {name: f"({value}) * 1.00" for name, value in sizes(kind)[-1].items()}
    text = started(kind, size)
    assert tidied(PlanText("", text)) == text


@pytest.mark.parametrize("kind", GRID)
def test_a_piece_is_as_large_as_was_asked(kind: str) -> None:
    """Round the whole piece; a back and a face frame come on top, and a bed is told by its mattress."""
    size = sizes(kind)[-1]
    inspection = inspect_text(PlanText("", started(kind, size)))
    assert inspection.piece is not None
    box = inspection.piece.bounds
    more = {"bookcase": 0.25, "drawers": 0.25, "base-cabinet": 1.0}.get(kind, 0.0)
    for axis, name in enumerate(("wide", "deep", "high")):
        if name in takes(kind) and not (kind == "bed" and name != "high"):
            reach = box.high[axis] - box.low[axis]
            assert reach == pytest.approx(_inches(size[name]) + (more if name == "deep" else 0.0))


def _inches(words: str) -> float:
    if words.endswith(" mm"):
        return float(words.removesuffix(" mm")) / 25.4
    whole, _, part = words.partition("-")
    top, _, bottom = part.partition("/")
    return float(whole) + (float(top) / float(bottom) if part else 0.0)


@pytest.mark.parametrize(
    ("kind", "size", "says"),
    [
        ("base-cabinet", {"wide": "14"}, "driver's way"),
        ("bookcase", {"high": "2"}, "would not be sound"),
        ("table", {"wide": "nought"}, "would not be sound: nothing here is called nought"),
        ("table", {"wide": "60 lamps"}, "cannot be how wide it is"),
        ("frame", {"deep": "3"}, "a frame has no measure `deep`; it has wide and high"),
    ],
)
def test_what_cannot_be_sound_is_refused_with_the_reason(kind: str, size: dict[str, str], says: str) -> None:
    with pytest.raises(NoSuchPiece) as refused:
        started(kind, size)
    assert says in str(refused.value)


def test_the_command_writes_a_new_file_or_to_standard_output(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["start", "frame", "--wide", "20"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("plan ") and "= 20\n" in out
    path = tmp_path / "a.plan"
    assert main(["start", "frame", "--to", str(path)]) == 0
    assert path.read_text(encoding="utf-8").startswith("plan ")
    capsys.readouterr()
    assert main(["start", "frame", "--to", str(path)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert main(["start", "boat"]) == 2
    assert "bookcase" in capsys.readouterr().err
