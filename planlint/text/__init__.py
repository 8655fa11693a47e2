"""The ground floor: the text of a plan, places in it, and how lengths are written for people."""
