"""Floor 3: mill hours and finish times, worked out before anything is poured. Pure."""
