"""How fast a collection is inspected, how that grows, and what remembering saves; see ``benchmark``."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from tests.plans import FAULTY, row_of_furniture

PARTS = 30
_PER_FOLDER = 100
_CHILD = """\
import os, resource, sys, time
from planlint.command.main import main
start = time.perf_counter()
status = main(["inspect", *sys.argv[1:]])
sys.stdout.flush()
taken = time.perf_counter() - start
if os.path.exists("/proc/self/status"):
    peak = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM")) / 1024
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 ** (2 if sys.platform == "darwin" else 1)
workers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
print(f"{taken} {peak} {resource.getrusage(resource.RUSAGE_SELF).ru_utime + workers} {status}", file=sys.stderr)
"""


def write_plans(folder: Path, plans: int) -> None:
    """Plans of 30 parts in folders of a hundred; one in fifty has a fault. Every plan has its own names."""
    text = row_of_furniture(PARTS)
    for number in range(plans):
        at = folder / f"shelf{number // _PER_FOLDER:03}"
        at.mkdir(parents=True, exist_ok=True)
        plan = (
            FAULTY
            if number % 50 == 49
            else text.replace("t1_", f"table{number}_").replace("b2_", f"case{number}_")
        )
        (at / f"plan{number:05}.plan").write_text(f"{plan}# {number}\n", encoding="utf-8")


def inspect(folder: Path, *words: str, environment: dict[str, str]) -> tuple[float, float, float]:
    """Seconds, peak megabytes of the first process, and processor seconds of all, for one run in a process."""
    script = folder.parent / "run.py"
    script.write_text(
        "if __name__ == '__main__':\n" + "".join(f"    {line}\n" for line in _CHILD.splitlines()),
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, str(script), str(folder), *words],
        capture_output=True,
        text=True,
        check=False,
        env=environment,
    )
    taken, peak, spent, status = done.stderr.splitlines()[-1].split()
    assert status == "1", done.stderr
    return float(taken), float(peak), float(spent)


def hash_all(folder: Path) -> float:
    """Seconds that finding, reading and hashing every plan takes."""
    start = perf_counter()
    for at, folders, files in os.walk(folder):
        folders[:] = [each for each in folders if not each.startswith(".")]
        for name in files:
            if name.endswith(".plan"):
                with open(f"{at}/{name}", "rb") as file:  # noqa: PTH123 - as fast as can be
                    sha256(file.read()).hexdigest()
    return perf_counter() - start


def code_review(folder: Path, environment: dict[str, str]) -> None:
    """What the form for code review costs beside the inspection, and repairs beside both: of the demo plans, half of
    which have findings; processor time, each the median of three."""
    demo = folder / "demo"
    shutil.copytree(Path(__file__).parent.parent / "planlint" / "demo", demo)
    ways: tuple[tuple[str, ...], ...] = ((), ("--as", "sarif"), ("--as", "sarif", "--fixes"))
    alone = "--no-cache", "--workers", "1"
    spent = [[inspect(demo, *way, *alone, environment=environment)[2] for way in ways] for _ in range(3)]
    plain, sarif, fixes = map(median, zip(*spent, strict=True))
    print(f"demo plans inspected: {plain:.1f} s; as SARIF: {sarif:.1f} s; with repairs: {fixes:.1f} s")
    print(f"  SARIF costs {sarif / plain - 1:.2f} of the inspection, with repairs {fixes / plain - 1:.2f}")


def collection(folder: Path, plans: int, parse: Callable[[str], None], environment: dict[str, str]) -> None:
    """Print the rows for a collection of so many plans; ``parse`` is lark alone over a text."""
    environment = {**environment, "XDG_STATE_HOME": str(folder / "state")}
    few, all_of_them = folder / "few", folder / "all"
    write_plans(few, max(plans // 10, 50))
    write_plans(all_of_them, plans)

    text = row_of_furniture(PARTS)
    parse(text)
    start = process_time()
    for _ in range(20):
        parse(text)
    larks = (process_time() - start) / 20
    one, peak, spent = inspect(all_of_them, "--no-cache", "--workers", "1", environment=environment)
    print(f"{plans} plans of {PARTS} parts: {one:.1f} s, {one / plans * 1000:.1f} ms a plan")
    print(f"lark alone: {larks * 1000:.1f} ms a plan")
    print(f"  ratio {spent / plans / larks:.2f} per core")
    two, _, _ = inspect(all_of_them, "--no-cache", "--workers", "2", environment=environment)
    print(f"two workers: {two:.1f} s\n  {one / two:.2f} times as fast as one")
    _, small, _ = inspect(few, "--no-cache", "--workers", "1", environment=environment)
    print(f"peak memory: {small:.0f} MB for {max(plans // 10, 50)} plans, {peak:.0f} MB for {plans}")
    if shutil.which("git"):  # A collection lies in a repository: git is asked what it ignores.
        subprocess.run(["git", "init", "-q", str(all_of_them)], check=True)
        subprocess.run(["git", "-C", str(all_of_them), "add", "."], check=True)
    inspect(all_of_them, environment=environment)
    report = f"--write=json={folder / 'report.json'}"
    again, with_report, hashing = [], [], []
    for _ in range(5):  # In turns, so that whatever else the machine does touches all.
        again.append(inspect(all_of_them, environment=environment)[0])
        with_report.append(inspect(all_of_them, report, environment=environment)[0])
        hashing.append(hash_all(all_of_them))
    of = median(hashing)
    print(f"hashing the files: {of:.2f} s; inspected again, unchanged: {median(again):.2f} s")
    print(f"  ratio {median(again) / of:.2f}; with a JSON report too {median(with_report) / of:.2f}")
