"""Everything that changes state: acts, the one door they pass, and the log they leave."""
