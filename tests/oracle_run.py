"""Inspection against the second oracle: ``python -m tests.oracle_run --joints 1000 --seed 1 [--keep FOLDER]``.

Each joint is asked as it is and written another way: turned as a whole, mirrored, reordered or in millimetres. Told is
the agreement of each rule; the exit status is 1 where anything differs.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import NamedTuple

import planlint
from planlint.findings.one_cause import LINE
from tests.oracle_joints import TURNINGS, in_millimetres, plan, reordered, turned
from tests.oracle_reader import read
from tests.oracle_verdicts import BAND, RULES, Judged, Key, judge, limit

TOO_DEEP = 0.03
"""Inches by which measures of what has come out may differ: how far round bodies reach is found by their corners."""


class Differs(NamedTuple):
    rule: str
    what: str
    text: str


class UnreadError(Exception):
    """A plan that inspection cannot read."""


@lru_cache(maxsize=4)
def told(text: str) -> dict[Key, float | None]:
    """What inspection finds, as the oracle names it; raises ``UnreadError``."""
    inspection = planlint.inspect(text)
    if inspection.unread:
        raise UnreadError(inspection.unread[0].says)
    assert not inspection.crashed, inspection.crashed
    found: dict[Key, float | None] = {}
    for finding in inspection.findings:
        # What a line may be meant to say is no measure: the oracle tells no line otherwise.
        if finding.rule not in RULES or finding.kind == LINE:
            continue
        where = finding.joint or ""
        if finding.rule == "overlap":
            where = "/".join(sorted(finding.parts))
        elif finding.rule == "misfit":
            where = "plan"
        elif finding.rule == "screws-meet":
            where = "j1/j2"
        elif finding.rule == "thin-cover" and (finding.rule, where) in found:
            continue
        found[finding.rule, where] = finding.measured
    return found


def compare(text: str, tally: Counter[tuple[str, str]]) -> list[Differs]:
    """One plan, both ways; what differs."""
    judged = judge(read(text))
    if judged is None:
        tally["all", "unasked"] += 1
        return []
    return list(_differing(judged, told(text), text, tally))


def _differing(
    judged: Judged, found: dict[Key, float | None], text: str, tally: Counter[tuple[str, str]]
) -> Iterable[Differs]:
    keys = {
        key for key in (*judged.verdicts, *found) if key[0] in judged.rules and key[1] not in judged.unasked
    }
    for key in sorted(keys):
        rule, where = key
        verdict = judged.verdicts.get(key)
        if verdict is None:
            tally[rule, "differ"] += 1
            yield Differs(rule, f"{where}: told with {found[key]}, not asked for", text)
            continue
        if verdict.told is None:
            tally[rule, "at the limit"] += 1
        elif verdict.told != (key in found):
            tally[rule, "differ"] += 1
            what = "silent" if verdict.told else f"told with {found[key]}"
            yield Differs(rule, f"{where}: {what}, true measure {verdict.measure}", text)
        elif key not in found:
            tally[rule, "silent"] += 1
        elif _far(verdict.measure, found[key]) and verdict.exact:
            tally[rule, "differ"] += 1
            yield Differs(rule, f"{where}: {found[key]} told, {verdict.measure} true", text)
        else:
            tally[rule, "told"] += 1


def _near(key: Key, value: float | None) -> bool:
    """Whether a screw keeps wood before its point, but less than is wanted."""
    return (
        key[0] == "tip-through" and value is not None and value >= limit("tip-through", "wood at the least")
    )


def _far(true: float | None, measured: float | None) -> bool:
    if true is None or measured is None:
        return False
    return abs(true - measured) > (BAND if true >= 0 else TOO_DEEP)


def joint(seed: int, number: int, tally: Counter[tuple[str, str]]) -> list[Differs]:
    """One random joint, as it is and another way."""
    chance = Random(f"{seed} {number}")
    kind, text = plan(chance)
    try:
        found = compare(text, tally)
        found += _another_way(text, chance, tally)
    except UnreadError as mistake:
        tally[kind, "unread"] += 1
        return [Differs("unread", str(mistake), text)]
    tally[kind, "joints"] += 1
    return found


def _another_way(text: str, chance: Random, tally: Counter[tuple[str, str]]) -> list[Differs]:
    found = []
    way = chance.randrange(3)
    if way == 0:
        other = turned(text, chance.choice(TURNINGS[1:]))
    elif way == 1:
        other = reordered(text, chance)
    else:
        other = in_millimetres(text)
    first, second = told(text), told(other)
    if way == 2:
        # Whether a better place is found there hangs on the marks of the rule: sixteenths or millimetres.
        first, second = (
            {key: value for key, value in each.items() if not _near(key, value)} for each in (first, second)
        )
    if {key[0] for key in first} != {key[0] for key in second} or any(
        _far(value, second.get(key, value)) for key, value in first.items()
    ):
        ways = ("turned", "reordered", "in millimetres")
        tally[ways[way], "differ"] += 1
        found.append(Differs(ways[way], f"{first} and {second}", f"{text}#### written another way\n{other}"))
    else:
        tally[("turned", "reordered", "in millimetres")[way], "told"] += 1
    found += compare(other, tally)
    return found


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--joints", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", type=Path, help="a folder for the plans on which the two differ")
    asked.add_argument("--most", type=int, default=20, help="differences told")
    options = asked.parse_args()
    tally: Counter[tuple[str, str]] = Counter()
    differing = 0
    for number in range(options.joints):
        for at, each in enumerate(joint(options.seed, number, tally)):
            differing += 1
            if differing <= options.most:
                print(f"{number} {each.rule}: {each.what}")
            if options.keep:
                options.keep.mkdir(parents=True, exist_ok=True)
                (options.keep / f"{each.rule}_{number}_{at}.plan").write_text(f"# {each.what}\n{each.text}")
    print(f"\n{options.joints} joints, seed {options.seed}")
    for row in sorted({name for name, _ in tally}):
        counts = {what: count for (name, what), count in sorted(tally.items()) if name == row}
        print(f"{row:18}" + "  ".join(f"{what} {count}" for what, count in counts.items()))
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
