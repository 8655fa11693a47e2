"""The shop sheet as text: sections, columns that wrap, and how each board is cut."""

from rich.cells import cell_len

from planlint.reports.page_layout import Page
from planlint.reports.safe_words import visible
from planlint.reports.sheet_document import sheet_sections
from planlint.reports.sheet_section import Section, Table
from planlint.reports.steps_report import write_steps
from planlint.sheet.shop_sheet import ShopSheet

ROOM_BEFORE_LAST = 0.7
"""The share of a line that all columns but the last may take. Basis: own judgement."""


def write_sheet(page: Page, sheet: ShopSheet) -> None:
    """The whole sheet; the order of work behind it where it is of one plan."""
    page.heading("Shop sheet", visible(sheet.title))
    for section in sheet_sections(sheet):
        page.blank()
        _write_section(page, section)
    if sheet.piece is not None and sheet.steps:
        page.blank()
        write_steps(page, sheet.piece, sheet.steps, sheet.stops, sheet=True)
    page.flush()


def _write_section(page: Page, section: Section) -> None:
    title = section.title.upper() if section.boxed else section.title
    page.prose(title, style="bold")
    page.rule(len(title))
    for words in section.words:
        page.prose(words, indent=2, style="bold" if section.boxed else "")
    if section.table and section.table.rows:
        _write_table(page, section.table)
    for note in section.notes:
        page.blank()
        page.prose(note.title, indent=2, style="bold")
        for line in note.lines:
            page.listed(line, indent=4)


def _write_table(page: Page, table: Table) -> None:
    """In columns where these leave room for the last; else each row as a paragraph of what it says under which head."""
    rows = (table.head, *table.rows)
    before_last = sum(max(cell_len(row[n]) for row in rows) + 2 for n in range(len(table.head) - 1))
    if before_last <= ROOM_BEFORE_LAST * page.width:
        page.table(rows, indent=2)
        return
    for row in table.rows:
        told = (f"{head}: {word}" for head, word in zip(table.head, row, strict=True) if word)
        page.prose("; ".join(told), indent=2)
