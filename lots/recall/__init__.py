"""Floor 3: what has to come back, from whom, and how far it has come. Number ranges, scope, accounting."""
