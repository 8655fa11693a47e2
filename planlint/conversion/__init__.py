"""From traditional joints to pocket screws: what changes, what may not, and the plan's text rewritten."""
