"""Results in sentences, tables and documents."""
