"""The demo collection: an invented workshop's plans, some of them with faults for the tool to find."""

import argparse
from importlib.util import find_spec
from pathlib import Path

from planlint.command.inspect_command import Wishes, inspect_in_form
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import Grade
from planlint.text.os_error_words import refused_by_system

DEMO = Path(__file__).parent.parent / "demo"


def add_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="FOLDER", nargs="?", help="where to write the demo plans")
    parser.add_argument(
        "--overwrite", action="store_true", help="write over files of the same name that differ"
    )
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    if call.folder is not None:
        return write_demo(call.folder, overwrite=call.overwrite)
    if call.overwrite:
        raise CallWrong("--overwrite needs a folder to write the demo plans to")
    return inspect_demo()


def inspect_demo() -> int:
    """Inspect the shipped plans where they lie; returns the exit status (1: half of them carry faults)."""
    wishes = Wishes(workers=1, remember=False, every=True, first_in_full=True)
    # Each by its name, as whoever set this up inside a repository lets git ignore the place.
    plans = [str(plan) for plan in _plans()]
    status = inspect_in_form(
        plans, "text", Grade.ADVICE, wishes, called=lambda path: f"demo/{Path(path).name}"
    )
    print(f"\nTo see them: planlint demo demo, then {_look('demo')}")
    return status


def _look(folder: str) -> str:
    """How to look at the plans of a folder, with what is installed."""
    if find_spec("jupyter_threejs_sage") and find_spec("jinja2"):
        return f"planlint inspect {folder} --write page=pages, and open pages/index.html in a browser"
    picture = f"planlint draw {folder}/workbench.plan --to workbench.svg"
    return f"{picture} (with pip install 'planlint[draw]' also as a page to turn, --to workbench.html)"


def _plans() -> list[Path]:
    return sorted(DEMO.glob("*.plan"))


def write_demo(folder: str, *, overwrite: bool) -> int:
    """Copy the demo plans into a folder, made where there is none; returns the exit status. Raises ``CallWrong``.

    Nothing is written at all where one file would be lost; a file that is the same already is left alone.
    """
    target = Path(folder)
    plans = {target / plan.name: plan.read_bytes() for plan in _plans()}
    try:
        differing = [path.name for path, data in plans.items() if path.exists() and not _same(path, data)]
        if differing and not overwrite:
            raise CallWrong(
                f"{folder} already has {', '.join(differing)} with other contents; "
                "choose another folder, or add --overwrite to replace them"
            )
        target.mkdir(parents=True, exist_ok=True)
        for path, data in plans.items():
            if not path.exists() or not _same(path, data):
                path.write_bytes(data)
    except OSError as problem:
        says = f"the demo plans cannot be written to {folder}: {refused_by_system(problem)}"
        raise CallWrong(says) from problem
    print(f"{len(plans)} plans are in {folder}; inspect them with: planlint inspect {folder}")
    print(f"See them with: {_look(folder)}")
    return 0


def _same(path: Path, data: bytes) -> bool:
    return path.is_file() and path.read_bytes() == data
