"""Floor 2: intervals, shading, outlines of plots, slips of deliveries, limits and net content; pure, with units in every name."""
