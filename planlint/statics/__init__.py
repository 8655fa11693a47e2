"""What a piece weighs, and where its loads go: facts, no judgement."""
