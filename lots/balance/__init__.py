"""Floor 2: mass balance. Weighing uncertainty, closure, verdicts in words, usual losses, sums, stone throughput."""
