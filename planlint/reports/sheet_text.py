"""The shop sheet as text: sections, columns that wrap, and how each board is cut."""

from __future__ import annotations

from planlint.reports.page_layout import Page
from planlint.reports.safe_words import visible
from planlint.reports.sheet_document import Section, Table, sheet_sections
from planlint.reports.steps_report import write_steps
from planlint.sheet.shop_sheet import ShopSheet


def write_sheet(page: Page, sheet: ShopSheet) -> None:
    """The whole sheet; the order of work behind it where it is of one plan."""
    page.heading("Shop sheet", visible(sheet.title))
    for section in sheet_sections(sheet):
        page.blank()
        _write_section(page, section)
    if sheet.piece is not None and sheet.steps:
        page.blank()
        write_steps(page, sheet.piece, sheet.steps)
    page.flush()


def _write_section(page: Page, section: Section) -> None:
    title = section.title.upper() if section.boxed else section.title
    page.heading(title)
    page.rule(len(title))
    for words in section.words:
        page.prose(words, indent=2, style="bold" if section.boxed else "")
    if section.table and section.table.rows:
        page.table([tuple(word for word in row) for row in _with_head(section.table)], indent=2)


def _with_head(table: Table) -> list[tuple[str, ...]]:
    return [table.head, *table.rows]
