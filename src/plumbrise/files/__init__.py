"""Machine, readings, results and schema: text and bytes to values and back, no paths."""
