"""Floor 8: screens behind a login. Views put together what `read` answers; what is written goes through `record`."""
