"""Machine elements as formulas, a module each."""
