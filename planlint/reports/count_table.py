"""What a collection came to: a row for each rule and grade, and for each owner."""

from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, visible
from planlint.reports.tally import NOBODY, Tally


def write_table(page: Page, tally: Tally) -> None:
    """Rules with findings, the worst grade first: nothing where there are none."""
    rows = tally.rows()
    if not rows:
        return
    page.gap()
    wide = len(str(max(findings for _, _, findings, _ in rows)))
    page.table(
        (grade.word, rule, f"{findings:>{wide}}", f"in {count(plans, 'plan')}")
        for rule, grade, findings, plans in rows
    )


def write_owners(page: Page, tally: Tally) -> None:
    """Owners of plans with findings, the most findings first."""
    page.gap()
    page.table(
        (visible(owner or NOBODY), count(findings, "finding"), f"in {count(plans, 'plan')}")
        for owner, findings, plans in tally.owners()
    )
