"""One registry of what a result dataset holds: names, units, meaning. Metadata, checks and docs follow it."""
