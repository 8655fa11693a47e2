"""Cut lists in: from a spreadsheet's parts to the start of a plan. Nothing is guessed in silence."""
