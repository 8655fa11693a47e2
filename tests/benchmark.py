"""How fast, how much memory, how it grows: ``python tests/benchmark.py`` prints ratios taken in one run.

``--plans 10000`` makes the collection as big as a workshop's (500, if not said: a minute instead of many).

Nothing here passes or fails: machines differ, and a ratio between two things done on the same one tells most.
"""

from __future__ import annotations

import gc
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import log
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

sys.path.insert(0, str(Path(__file__).parent.parent))

from planlint.checks.registry import CHECKS
from planlint.command.start_command import started
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.drilling.screw_clashes import screw_meetings
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.plan_files import decoded
from planlint.language.grammar_cache import tools
from planlint.model.plan import Plan
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from planlint.workplan.assembly_order import assembly_order
from planlint.workplan.build_order import knots
from planlint.workplan.way_in import shut_out_sets
from planlint.workplan.work_steps import work_steps
from tests.benchmark_collection import code_review, collection
from tests.plans import pigeonholes, row_of_furniture, slats, wainscot

ROOMY = Settings(most_items=100_000)
"""10,000 parts with all their joints come to more than a plan may usually hold."""
IMPORTS = "import lark, networkx, pydantic, rich.console"
MEASURED_CHILD = """
import os, resource, sys, time
start = time.perf_counter()
from planlint.command.main import main
status = main(["inspect", sys.argv[1]])
sys.stdout.flush()
taken = time.perf_counter() - start
if os.path.exists("/proc/self/status"):  # Linux counts the parent's memory into ru_maxrss.
    peak = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM")) / 1024
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 ** (2 if sys.platform == "darwin" else 1)
print(f"{taken:.3f} {peak:.0f} {status}", file=sys.stderr)
"""


def best(action: Callable[[], object], times: int) -> float:
    """The median of several runs, in seconds."""
    taken = []
    for _ in range(times):
        gc.collect()
        start = perf_counter()
        action()
        taken.append(perf_counter() - start)
    return median(taken)


# As pip installs it: with compiled modules, whatever the surroundings say about writing them.
SURROUNDINGS = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
SURROUNDINGS["PYTHONPATH"] = str(Path(__file__).parent.parent)


def run(*words: str) -> None:
    done = subprocess.run(
        [sys.executable, *words], capture_output=True, text=True, check=False, env=SURROUNDINGS
    )
    if done.stderr:
        sys.exit(done.stderr)


def start_to_exit(folder: Path) -> None:
    plan = folder / "thirty.plan"
    plan.write_text(row_of_furniture(30), encoding="utf-8")
    run("-m", "planlint", "inspect", str(plan))
    run("-c", IMPORTS)
    ours, theirs = [], []
    for _ in range(15):  # In turns, so that whatever else the machine does touches both.
        start = perf_counter()
        run("-m", "planlint", "inspect", str(plan))
        between = perf_counter()
        run("-c", IMPORTS)
        ours.append(between - start)
        theirs.append(perf_counter() - between)
    print(
        f"process of a plan of 30 parts: {median(ours) * 1000:.0f} ms; `{IMPORTS}`: {median(theirs) * 1000:.0f} ms"
    )
    print(f"  ratio {median(ours) / median(theirs):.2f}")


def plan_of(parts: int, made: Callable[[int], str] = row_of_furniture) -> PlanText:
    text = decoded(f"{parts} parts", made(parts).encode())
    assert isinstance(text, PlanText)
    return text


def parse_every_line(text: str) -> None:
    """The same grammar over the same text by lark alone: every line, none remembered."""
    parse = tools().lark.parse
    for line in text.split("\n"):
        words = line.split("#", 1)[0].strip()
        if words:
            parse(words, start="line")


def against_lark() -> None:
    for parts in (30, 300, 3000):
        source = plan_of(parts)
        assert inspect_text(source).sound
        ours = best(partial(inspect_text, source), 5)
        larks = best(partial(parse_every_line, source.text), 5)
        lines = source.text.count("\n")
        print(
            f"inspection of {parts} parts ({lines} lines): {ours * 1000:.1f} ms; lark alone: {larks * 1000:.1f} ms"
        )
        print(f"  ratio {ours / larks:.2f}")


def short_forms() -> None:
    """A table of which one corner is told (`mirrors … with its joins`) against the same told joint by joint."""
    head = """plan "Table"
  seen from nowhere
stock post of douglas fir, 4x4
stock board of douglas fir, 1x4
"""
    held = "\n  flush top\n  set back 1/4 from {}\n  pockets 2 in {}\n  screws coarse 1-1/4\n"
    far = {"left": "right", "right": "left", "front": "back", "back": "front"}

    def corner(x: str, y: str) -> str:
        """The joints of one corner, to the left or right and at the front or back."""
        along = f"join apron_{y}.{x} to leg_{y}_{x}.{far[x]}{held.format(y, far[y])}"
        return along + f"join end_{x}.{y} to leg_{y}_{x}.{far[y]}{held.format(x, far[x])}"

    def parts(legs: str, aprons: str, ends: str) -> str:
        return (
            f"part {legs} of post, 28 long, upright, facing front\n"
            f"part {aprons} of board, 40 long, crosswise, facing front\n"
            f"part {ends} of board, 16 long, deep, facing left\n"
        )

    images = (
        "leg_back_left mirrors leg_front_left front to back",
        "apron_back mirrors apron_front front to back",
        "leg_front_right mirrors leg_front_left",
        "leg_back_right mirrors leg_back_left",
        "end_right mirrors end_left",
    )
    short = head + parts("leg_front_left", "apron_front", "end_left") + corner("left", "front")
    short += "".join(f"part {image}, with its joins\n" for image in images)
    ends = [(x, y) for x in ("left", "right") for y in ("front", "back")]
    long = head + parts(
        ", ".join(f"leg_{y}_{x}" for x, y in ends), "apron_front, apron_back", "end_left, end_right"
    )
    long += "".join(corner(x, y) for x, y in ends)
    taken = []
    for what, text in (("one corner told", short), ("all told", long)):
        source = plan_of(8, lambda _, text=text: text)  # type: ignore[misc]
        assert inspect_text(source).sound
        taken.append(best(partial(inspect_text, source), 15))
        print(f"a table, {what} ({text.count(chr(10))} lines): {taken[-1] * 1000:.1f} ms")
    print(f"  ratio {taken[0] / taken[1]:.2f}")


def inspect_sound(source: PlanText) -> None:
    assert inspect_text(source, ROOMY, budget=3600).sound


def growth() -> None:
    sizes = (100, 300, 1000, 3000, 10_000)
    times = []
    for parts in sizes:
        source = plan_of(parts)
        times.append(best(partial(inspect_sound, source), 5 if parts < 1000 else 1))
        print(f"inspection of {parts} parts: {times[-1] * 1000:.1f} ms")
    print(f"  exponent from 100 to 10,000 parts {log(times[-1] / times[0]) / log(sizes[-1] / sizes[0]):.2f}")


def space() -> None:
    """What only reasoning in space finds: screws that meet, drivers that reach, the order of work, sight, places."""
    source = plan_of(4000)
    plan, _ = understand(source, Settings())
    assert plan is not None
    piece = Piece(plan)
    screws = [screw for join in plan.joins for screw in piece.screws(join)]
    sizes = [size for size in (100, 300, 1000, 3000, 10_000) if size <= len(screws)]
    times = [best(partial(screw_meetings, screws[:size], 3 / 16, 1 / 8), 5) for size in sizes]
    for size, time in zip(sizes, times, strict=True):
        print(f"{size} screws held against one another: {time * 1000:.1f} ms")
    exponent = log(times[-1] / times[0]) / log(sizes[-1] / sizes[0])
    print(f"  exponent from {sizes[0]} to {sizes[-1]:,} screws {exponent:.2f}")

    sizes, times = [100, 300, 1000, 3000], []
    for size in sizes:
        small, _ = understand(plan_of(size), Settings())
        assert small is not None

        def order(fresh: Plan = small) -> object:
            return knots(Piece(fresh))

        times.append(best(order, 3))
        print(f"placing, drilling and the order of work of {size} parts: {times[-1] * 1000:.1f} ms")
    exponent = log(times[-1] / times[0]) / log(sizes[-1] / sizes[0])
    print(f"  exponent from {sizes[0]} to {sizes[-1]:,} parts {exponent:.2f}")

    order_of_work()

    source = plan_of(30)
    plan, _ = understand(source, Settings())
    assert plan is not None
    usual = Piece(plan)
    rule = rule_book()["hole-in-sight"]

    def look() -> None:
        fresh = Piece(plan)
        for join in plan.joins:
            fresh.pockets(join)
        list(CHECKS["hole-in-sight"].ask(fresh, rule))

    unseen = replace(plan, seen_from=())

    def drill_only() -> None:
        fresh = Piece(unseen)
        for join in unseen.joins:
            fresh.pockets(join)
        list(CHECKS["hole-in-sight"].ask(fresh, rule))

    sight, parse = best(look, 15) - best(drill_only, 15), best(partial(parse_every_line, source.text), 15)
    print(f"sight in a plan of 30 parts: {sight * 1000:.1f} ms; lark alone: {parse * 1000:.1f} ms")
    print(f"  ratio {sight / parse:.2f}")
    rows = [(join, row) for join in plan.joins for row in range(len(join.pockets))]
    every = best(lambda: [usual.allowed_stretches(join, row) for join, row in rows], 3)
    print(
        f"allowed places of {len(rows)} rows: {every * 1000:.1f} ms, {every / len(rows) * 1000:.1f} ms a row"
    )


def order_of_work() -> None:
    """The builder's order of pieces of 100 parts, and their steps, each from the plan on, beside their inspection."""
    gc.set_threshold(200_000, 20, 20)  # As the command line has it; an inspection stops it by itself.
    for made in (row_of_furniture, slats, pigeonholes, wainscot):
        source = plan_of(100, made)
        plan, _ = understand(source, Settings())
        assert plan is not None
        asked = (assembly_order, work_steps, shut_out_sets)
        questions: list[Callable[[], object]] = [
            partial(inspect_text, source),
            *(partial(_asked_anew, ask, plan) for ask in asked),
        ]
        # In turns and by the processor's clock: whatever else the machine does touches all of them.
        whole, *taken = map(
            min, zip(*([_clocked(each) for each in questions] for _ in range(7)), strict=True)
        )
        print(
            f"inspection of 100 parts, {made.__name__.replace('_', ' ')}: {whole * 1000:.1f} ms; from the plan on"
        )
        for ask, fresh in zip(asked, taken, strict=True):
            print(f"  {ask.__name__.replace('_', ' ')}: {fresh * 1000:.1f} ms, ratio {fresh / whole:.2f}")


def _clocked(action: Callable[[], object]) -> float:
    gc.collect()
    start = process_time()
    action()
    return process_time() - start


def _asked_anew(ask: Callable[[Piece], object], plan: Plan) -> object:
    """A question of a piece of which nothing is known yet: placed and drilled anew."""
    return ask(Piece(plan))


def loads() -> None:
    """A bed as it is started with, with somebody on a slat, beside the same without."""
    bed = started("bed", {})
    bare, sat_on = (decoded("bed", text.encode()) for text in (bed, f"{bed}load 220 lb on slat_7\n"))
    assert isinstance(bare, PlanText) and isinstance(sat_on, PlanText)
    inspect_text(sat_on)
    ours, theirs = best(partial(inspect_text, sat_on), 9), best(partial(inspect_text, bare), 9)
    print(f"a bed with people on a slat: {ours * 1000:.1f} ms; without: {theirs * 1000:.1f} ms")
    print(f"  ratio {ours / theirs:.2f}")


def hostile(folder: Path) -> None:
    head = 'plan "A"\nstock board of red oak, 3/4 x 2\n'
    stands = "upright, facing front"
    noise = bytes((n * n * 31 + n * 7) % 251 for n in range(10_000))
    plans = {
        "10 MB of noise": noise * 1000,
        "10 MB of printable noise": b"".join(bytes([33 + byte % 90]) for byte in noise) * 1000,
        "3.9 MB of printable lines": (b"".join(bytes([33 + byte % 90]) for byte in noise[:60]) + b"\n")
        * 64_000,
        "10,000 nested brackets": f"{head}let a = {'(' * 10_000}1{')' * 10_000}\n".encode(),
        "a name 1 MB long": f"{head}part {'a' * 1_000_000} of board, 3 long\n".encode(),
        "control characters": (head + "\x1b[2J\x07" * 1000).encode(),
        "a loop without end": f"{head}for n in 1 to 999999999\n    part p_{{n}} of board, 9 long, {stands}\n".encode(),
        "loops in loops": (
            head
            + "".join(f"{'    ' * n}for n{n} in 1 to 1000\n" for n in range(6))
            + "    " * 6
            + f"part p_{{n0}}_{{n5}} of board, 9 long, {stands}\n"
        ).encode(),
        "1 MB of one number": f"{head}let a = {'9' * 1_000_000}\n".encode(),
        "20,000 mistakes": (head + "part a of bord, 3 long\n" * 20_000).encode(),
    }
    for what, data in plans.items():
        plan = folder / "hostile.plan"
        plan.write_bytes(data)
        done = subprocess.run(
            [sys.executable, "-c", MEASURED_CHILD, str(plan)],
            capture_output=True,
            text=True,
            check=False,
            env=SURROUNDINGS,
        )
        told = done.stdout.splitlines()
        says = next((line.strip() for line in told[2:] if line.strip() and "NOT READ" not in line), "nothing")
        print(
            f"{what}: (seconds, MB, status) {done.stderr.strip()[-60:]}; {len(told)} lines, first: {says[:70]}"
        )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        start_to_exit(Path(folder))
        against_lark()
        short_forms()
        growth()
        space()
        loads()
        hostile(Path(folder))
        code_review(Path(folder), SURROUNDINGS)
        plans = int(sys.argv[2]) if sys.argv[1:2] == ["--plans"] else 500
        collection(Path(folder), plans, parse_every_line, SURROUNDINGS)


if __name__ == "__main__":
    main()
