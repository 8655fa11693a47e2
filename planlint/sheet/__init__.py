"""The shop sheet: what to cut, from which boards and sheets, what to buy, how to drill: all from one placed plan."""
