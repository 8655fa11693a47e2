"""Commands that write plans, killed at any moment: ``python -m tests.kill_rounds --rounds 1000 --seed 1``.

After each round the plan must be the old or the new one, byte for byte; after the next whole run nothing lies beside
it.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from random import Random
from subprocess import DEVNULL, Popen
from tempfile import TemporaryDirectory
from time import monotonic, sleep

PLAN = """\
plan "Two rails that want longer screws, and a tidier layout"
      seen from nowhere
stock b of pine, 3/4 x 3
part stile of b, 30 long, upright, facing front
part upper, lower of b, 20 long, crosswise, facing front
join upper.left to stile.right
      flush front, top
      pockets 2 in back
      screws coarse 1
join lower.left to stile.right
      flush front, bottom
      pockets 2 in back
      screws coarse 1
"""
WAYS = [("mend", "--all", "a.plan"), ("tidy", "a.plan")]


def started(way: tuple[str, ...], folder: Path) -> Popen[bytes]:
    return Popen([sys.executable, "-m", "planlint", *way], cwd=folder, stdout=DEVNULL, stderr=DEVNULL)


def rounds(count: int, chance: Random) -> int:
    """So many kills; how many of them came before the plan was written. Raises ``AssertionError``."""
    early = 0
    with TemporaryDirectory() as name:
        folder = Path(name)
        plan, old = folder / "a.plan", PLAN.encode()
        for way in WAYS:
            plan.write_bytes(old)
            start = monotonic()
            started(way, folder).wait()
            took, new = monotonic() - start, plan.read_bytes()
            assert new != old, way
            for _ in range(count // len(WAYS)):
                plan.write_bytes(old)
                process = started(way, folder)
                # Mostly toward the end, where it writes.
                sleep(took * chance.triangular(0.0, 1.2, 1.0))
                process.kill()
                process.wait()
                left = plan.read_bytes()
                assert left in (old, new), (way, left)
                early += left == old
            plan.write_bytes(old)
            started(way, folder).wait()
            assert [each.name for each in folder.iterdir()] == ["a.plan"]
    return early


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args()
    early = rounds(options.rounds, Random(options.seed))
    print(
        f"{options.rounds} kills, {early} of them before the plan was written; no plan lost or half written"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
