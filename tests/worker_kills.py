"""Workers killed at any moment, while they start too: ``python -m tests.worker_kills --kills 200 --seed 1``.

Every run must end, leave no process behind, and tell each plan as a run without kills does, or as one whose process
was ended.
"""

from __future__ import annotations

import argparse
import sys
from multiprocessing import active_children
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from threading import Event, Thread
from time import monotonic
from typing import NamedTuple

from planlint.collection.collection_run import RunWay, inspect_found
from planlint.collection.discovery import Found
from tests.plans import FAULTY, SOUND

PLANS = 70


class Kills(NamedTuple):
    """How many kills there were, in how many runs, and what came of them."""

    runs: int
    kills: int
    early: int
    """In the first third of the time that a whole run takes: a process starts as long."""
    lost: int
    """Plans told as ended, or as not started, by kills."""
    longest: float
    """Seconds of the longest run."""


def rounds(count: int, chance: Random, plans: int = PLANS) -> Kills:
    """So many kills. Raises ``AssertionError`` where a plan is told wrong or a process stays."""
    with TemporaryDirectory() as name:
        found = []
        for number in range(plans):
            path = Path(name) / f"{number}.plan"
            path.write_text(f"{(FAULTY if number % 3 else SOUND)}# {number}\n")
            found.append(Found(str(path), path.name))
        start = monotonic()
        usual = {called: told.findings for called, told in inspect_found(found, RunWay(workers=3))}
        killer = _Killer(chance, monotonic() - start)
        runs = lost = 0
        longest = 0.0
        while killer.kills < count:
            runs += 1
            start = monotonic()
            over = Event()
            thread = Thread(target=killer.work, args=(over, count), daemon=True)
            thread.start()
            told = dict(inspect_found(found, RunWay(workers=3)))
            over.set()
            thread.join()
            longest = max(longest, monotonic() - start)
            assert not active_children()
            assert list(told) == list(usual)
            for called, inspection in told.items():
                if inspection.crashed:
                    lost += 1
                    assert "process" in inspection.crashed[0].says
                else:
                    assert inspection.findings == usual[called]
        return Kills(runs, killer.kills, killer.early, lost, longest)


class _Killer:
    def __init__(self, chance: Random, took: float) -> None:
        self.chance, self.took = chance, took
        self.kills = self.early = 0

    def work(self, over: Event, most: int) -> None:
        """Kill one worker after the other, at random moments."""
        seen: dict[int, float] = {}
        while self.kills < most and not over.wait(self.chance.uniform(0.0, self.took / 3)):
            there = [child for child in active_children() if child.pid]
            for child in there:
                seen.setdefault(child.pid or 0, monotonic())
            if there:
                child = self.chance.choice(there)
                self.early += monotonic() - seen[child.pid or 0] < self.took / 3
                child.kill()
                self.kills += 1


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args()
    told = rounds(options.kills, Random(options.seed))
    print(
        f"{told.kills} workers killed in {told.runs} runs, {told.early} of them early; "
        f"{told.lost} plans told as lost by it; the longest run took {told.longest:.1f} s; none hung, no process stayed"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
