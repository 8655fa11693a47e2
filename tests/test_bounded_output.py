"""Plans that repeat one mistake over and over: what is told of them has an end, and says so."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from subprocess import run
from sys import executable
from time import monotonic

import pytest

from planlint.budget.alarm import Stopwatch, TimeSpent
from planlint.conversion.convert_plan import convert
from planlint.repairs.mending import mend
from planlint.text.source import PlanText
from tests.kill_rounds import PLAN

HEAD = 'plan "x"\n    seen from nowhere\nstock b of pine, 3/4 x 3\n'
FLAT = "12 long, crosswise, facing front"


def _in_one_place(count: int) -> str:
    names = [f"p{n}" for n in range(count)]
    joins = [f"join {each}.bottom to base.top\n    flush front, left\n    glued" for each in names]
    base = "part base of b, 12 long, crosswise, facing up"
    return "\n".join([f"part {', '.join(names)} of b, {FLAT}", base, *joins])


def _accepting(count: int) -> str:
    return "\n".join([f"part p of b, {FLAT}", *["accept overlap on p"] * count])


def _ring(count: int) -> str:
    parts = [f"part p{n} of b, {FLAT}" for n in range(count)]
    return "\n".join(
        [
            *parts,
            *(
                f"join p{n}.left to p{(n + 1) % count}.right\n    flush front, top\n    glued"
                for n in range(count)
            ),
        ]
    )


def _lets(count: int) -> str:
    lets = [f"let a{n} = a{n - 1} + 0" for n in range(1, count)]
    return "\n".join(["let a0 = 1", *lets, f"part p of b, a{count - 1} long, crosswise, facing front"])


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (_in_one_place(60), "finds more than 500 faults"),
        (_accepting(20_000), "More than 2,000 lines accept"),
        (_ring(200), "and 176 more"),
        (_lets(2_000), "nothing open"),
    ],
    ids=["parts in one place", "accept lines", "a ring", "lets"],
)
def test_what_is_told_and_kept_has_an_end(plan: str, said: str, tmp_path: Path) -> None:
    """1 MB of text, 300 MB, and 60 s of the processor; most of them take a few."""
    file = tmp_path / "a.plan"
    file.write_text(HEAD + plan + "\n")
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), monotonic()
    done = run(
        [executable, "-m", "planlint", "inspect", str(file)],
        check=False,
        capture_output=True,
        text=True,
        timeout=300,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode in {0, 1, 2}, done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stdout) < 1_000_000
    assert after.ru_utime - before.ru_utime < 60, monotonic() - start
    assert after.ru_maxrss < 300_000, "the greatest of all so far"
    assert said == "nothing open" or said in " ".join(done.stdout.split())


def test_mending_gives_what_was_reached_in_its_time(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = PlanText("a.plan", PLAN)
    with pytest.raises(TimeSpent):
        mend(plan, seconds=0.001)

    stretches = iter(range(2))

    @contextmanager
    def running(_self: Stopwatch) -> Iterator[None]:
        if next(stretches, None) is None:
            raise TimeSpent
        yield

    monkeypatch.setattr(Stopwatch, "running", running)
    done = mend(plan, pick=lambda step: step.changes[:1])
    assert done.spent
    assert len(done.steps) == 1, "nothing was tried of the second"
    assert len(done.after.findings) < len(done.before.findings)


def test_a_conversion_takes_the_best_ways_that_it_had_time_for() -> None:
    text = PLAN.replace("      pockets 2 in back\n      screws coarse 1\n", "      glued\n").replace(
        "stile.right\n", "stile.right as mortise and tenon, tenon 1 long\n"
    )
    done = convert(PlanText("a.plan", text), seconds=0)
    assert done.late
    assert done.after is not None
    assert done.after.whole
    assert not convert(PlanText("a.plan", text)).late
