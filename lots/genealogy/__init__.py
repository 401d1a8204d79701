"""Floor 2: where a lot comes from and what it touched. Graph, composition, claims, contact, carry-over, rework."""
