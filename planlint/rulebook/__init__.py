"""The rules as data: their names, grades, questions and cases, and every limit, as the book or the shop has it."""
