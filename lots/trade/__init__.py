"""Floor 1: the words of the trade, units, and the frozen records that rooms hand to each other. Knows no Django."""
