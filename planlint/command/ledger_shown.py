"""``planlint ledger show``: what is in a ledger, counted by rule, folder, owner and age."""

import json
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from planlint.collection.findings_ledger import LedgerBroken, read_ledger
from planlint.collection.git_knowledge import GitFailed, ages_of_lines
from planlint.collection.not_checked_out import not_here_of
from planlint.command.usage_error import CallWrong
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, visible
from planlint.settings.layered_settings import Shop

_DAY = 86_400
_AGES = ((31, "up to a month"), (92, "up to three months"), (365, "up to a year"))
"""Days, and how an entry is told that is no older. Basis: our own judgement."""
_GONE = "are no longer there: record again, and their entries go."


def show_ledger(file: str) -> int:
    """Write the counts to standard output; returns the exit status."""
    try:
        entries = [json.loads(entry) for entry in read_ledger(Path(file)).without(())]
    except LedgerBroken as problem:
        raise CallWrong(str(problem)) from problem
    page = Page()
    plans = {entry[0] for entry in entries}
    page.prose(f"{visible(file)}: {count(len(entries), 'finding')} known, in {count(len(plans), 'plan')}.")
    if not entries:
        page.flush()
        return 0
    shop, place = Shop(), Path(file).resolve().parent
    tables = [
        ("By rule", [entry[1] for entry in entries]),
        ("By folder", [entry[0].rpartition("/")[0] or "the ledger's own folder" for entry in entries]),
    ]
    owners = [shop.owner_of(str(place / entry[0])) for entry in entries]
    if any(owners):
        tables.append(("By owner", [owner or "nobody named" for owner in owners]))
    for heading, words in tables:
        _write(page, heading, sorted(Counter(words).items(), key=lambda row: (-row[1], row[0])))
    ages = _ages(Path(file))
    if ages:
        _write(page, "By age", ages)
    gone = {plan for plan in plans if not (place / plan).exists()}
    gone -= not_here_of(Path(file), gone)
    if gone:
        page.blank()
        they = "is no longer there: record again, and its entries go." if len(gone) == 1 else _GONE
        page.prose(f"{count(len(gone), 'plan')} of these {they}")
    page.flush()
    return 0


def _write(page: Page, heading: str, counts: Iterable[tuple[str, int]]) -> None:
    page.blank()
    page.heading(heading)
    rows = list(counts)
    wide = max((len(str(number)) for _, number in rows), default=0)
    page.table((f"{number:>{wide}}", visible(words)) for words, number in rows)


def _ages(file: Path) -> list[tuple[str, int]]:
    """How many entries are how old by git, the youngest first; nothing where git does not know the file."""
    try:
        ages = ages_of_lines(file)
    except GitFailed:
        return []
    lines = file.read_text(encoding="utf-8-sig").split("\n")
    now = time.time()
    counts: Counter[str] = Counter()
    for line, since in zip(lines, ages, strict=False):
        if line.strip() and not line.startswith("#"):
            days = (now - since) / _DAY
            told = next((words for most, words in _AGES if days <= most), "older")
            counts["not committed yet" if not since else told] += 1
    order = ["not committed yet", *(words for _, words in _AGES), "older"]
    return [(words, counts[words]) for words in order if counts[words]]
