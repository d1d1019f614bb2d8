"""The parts of an axis as they are drawn: a module each."""
