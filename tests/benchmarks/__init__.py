"""Speed as ratios against a floor in the same run. ``python -m tests.benchmarks`` prints the table for one engine."""
