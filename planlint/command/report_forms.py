"""The forms in which an inspection is told."""

FORMS = ("text", "json", "sarif", "junit", "markdown", "lines", "quality")
PAGE = "page"
"""Written to a folder only: a page with drawings for each plan, and an index."""
