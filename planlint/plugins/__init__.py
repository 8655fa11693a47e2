"""Rules of a workshop's own, brought by any installed package."""
