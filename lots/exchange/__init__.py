"""Floor 7: files that come in and go out. Writes through `record` only."""
