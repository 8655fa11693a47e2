"""Many plans at once: found, divided among workers, remembered, compared with what was known before."""
