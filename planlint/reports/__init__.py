"""What a run tells people and programs."""
