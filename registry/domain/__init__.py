"""Rules and verdicts: facts in, answers out. Nothing here reads a row, a clock or a request."""
