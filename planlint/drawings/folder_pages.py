"""A page for each plan of a collection, and an index of them; a plan that has not changed is not drawn again."""

import json
from collections import defaultdict
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import NamedTuple
from urllib.parse import quote

from planlint import __version__
from planlint.drawings.page_html import page, page_style, style_mark, template
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.used_files import settings_in_force
from planlint.reports.safe_words import count, visible
from planlint.reports.tally import Tally
from planlint.text.atomic_replace import NotReplaced, whole_file
from planlint.text.grouping import grouped
from planlint.text.os_error_words import refused_by_system

MARK = "<!-- drawn from "
"""Stands before the hash of what a page was drawn from, at its end."""


class IndexEntry(NamedTuple):
    """One plan in the index."""

    name: str
    title: str
    says: str
    page: str
    """The address of its page from the index; empty where it has none."""
    findings: tuple[Finding, ...]


class FolderPages:
    """A report that writes pages into a folder, made where there is none.

    Raises ``ExtraNeeded`` at once, and ``NotReplaced`` for a page that cannot be written.
    """

    def __init__(self, folder: str) -> None:
        self._folder = Path(folder)
        self._index = template("folder.html.jinja")
        self._plans: list[IndexEntry] = []
        self._accepted: list[tuple[IndexEntry, str, str, str]] = []
        """Of a plan: rule, place and reason."""

    def add(self, name: str, inspection: Inspection) -> None:
        """The next plan; ``name`` is its path from the root of the collection."""
        title = visible(inspection.about.title if inspection.about else name) or visible(name)
        if inspection.unread or inspection.about is None or not inspection.about.parts:
            says = "cannot be read" if inspection.unread else "could not be drawn"
            self._plans.append(IndexEntry(visible(name), title, says, "", ()))
            return
        place = _place(name)
        self._draw(self._folder / place, inspection)
        found = inspection.findings
        says = count(len(found), "finding") if found else "nothing is found"
        if inspection.crashed:
            says += ", not checked whole"
        drawn = IndexEntry(visible(name), title, says, quote(place.as_posix()), found)
        self._plans.append(drawn)
        self._accepted += (
            (drawn, each.rule, visible(each.place) or "the whole piece", visible(each.reason or "none given"))
            for each in inspection.accepted
        )

    def _draw(self, to: Path, inspection: Inspection) -> None:
        settings = settings_in_force(inspection.path, inspection.source)
        told = [(f.rule, f.says, f.measured, [r.says for r in f.repairs]) for f in inspection.findings]
        unchecked = [trouble.says for trouble in inspection.crashed]
        of = json.dumps([__version__, inspection.source.text, repr(settings), told, unchecked])
        mark = f"{MARK}{sha256(of.encode('utf-8', 'surrogatepass')).hexdigest()} -->\n"
        if _ends_with(to, mark.encode()):
            return
        piece, findings = inspection.piece, inspection.findings
        if piece is None:  # It was inspected elsewhere, or is known from before.
            again = inspect_text(inspection.source, settings)
            piece = again.piece
            # The same findings with what they judged, which is not sent about.
            facts = {(f.rule, f.span, f.says): f for f in again.findings}
            findings = tuple(facts.get((f.rule, f.span, f.says), f) for f in findings)
        if piece is None:
            return
        _write(to, page(piece, findings, inspection.crashed) + mark)

    def end(self, tally: Tally) -> None:  # noqa: ARG002 - the index counts for itself
        """Write the index."""
        folders = grouped((str(PurePosixPath(plan.name).parent), plan) for plan in self._plans)
        rules: defaultdict[str, list[tuple[IndexEntry, int, Finding]]] = defaultdict(list)
        grades: defaultdict[Grade, list[tuple[IndexEntry, int]]] = defaultdict(list)
        for plan in self._plans:
            for number, finding in enumerate(plan.findings, 1):
                rules[finding.rule].append((plan, number, finding))
            for grade in Grade:
                many = sum(finding.grade is grade for finding in plan.findings)
                if many:
                    grades[grade].append((plan, many))
        index = self._index.render(
            plans=self._plans,
            folders=sorted(folders.items()),
            rules=sorted(rules.items()),
            grades=[(grade.word, grades[grade]) for grade in sorted(grades, reverse=True)],
            accepted=self._accepted,
            style=page_style(),
            style_mark=style_mark(),
        )
        _write(self._folder / "index.html", index)


def _write(to: Path, words: str) -> None:
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        with whole_file(str(to)) as file:
            file.write(words)
    except (OSError, NotReplaced) as problem:
        says = refused_by_system(problem)
        raise NotReplaced(f"the page {visible(str(to))} cannot be written: {says}") from problem


def _place(name: str) -> Path:
    """Where in the folder the page of a plan lies: as the plan lies in its collection, never outside the folder."""
    parts = [part.replace(":", "-") for part in PurePosixPath(name).parts if part not in {"/", "..", "."}]
    safe = PurePosixPath(*parts) if parts else PurePosixPath("plan")
    stem = safe.name.removesuffix(".plan")
    return Path(*safe.parent.parts, f"{'plan-' if stem == 'index' else ''}{stem}.html")


def _ends_with(file: Path, mark: bytes) -> bool:
    try:
        with file.open("rb") as there:
            there.seek(-len(mark), 2)
            return there.read() == mark
    except OSError:
        return False
