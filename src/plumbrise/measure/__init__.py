"""Candidate set-ups: which test at which station, with its moves and minutes."""
