"""Floor 8: pages that anyone may open."""
