"""Published figures that rules judge by: ``rules/figures/NAME.toml``, each told with where it was read.

Reading TOML would cost more than a small inspection: what a run asks for comes ready-made (``rulebook.ready_made``).
"""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from planlint.rulebook.ready_made import READY_FOLDER, files_mark, ready_or_made, write_ready
from planlint.text.resources import resource


def figures_folder() -> Path:
    """Where the tables lie."""
    return resource("rules", "figures")


@cache
def figures(name: str) -> Mapping[str, Any]:
    """Everything in one of the tables. Raises ``OSError`` or ``ValueError`` where it is not there or broken: a fault
    of this program, never of a plan."""
    file, data, ready = _file(name)
    table: Mapping[str, Any] = ready_or_made(ready, files_mark([(file.name, data)]), lambda: _parse(data))
    return table


def make_ready() -> list[Path]:
    """Write all tables ready-made, and return the files written. Raises ``ValueError`` for a broken table."""
    made = []
    for path in sorted(figures_folder().glob("*.toml")):
        file, data, ready = _file(path.stem)
        write_ready(ready, files_mark([(file.name, data)]), _parse(data))
        made.append(ready)
    return made


def _file(name: str) -> tuple[Path, bytes, Path]:
    path = figures_folder() / f"{name}.toml"
    return path, path.read_bytes(), READY_FOLDER / f"figures-{name}.bin"


def _parse(data: bytes) -> dict[str, Any]:
    import tomllib  # noqa: PLC0415 - only where nothing is ready-made

    return tomllib.loads(data.decode("utf-8"))
