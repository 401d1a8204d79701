"""Tea Lot Ledger: the one Django app, in rooms. See DEVELOPERS.md for the map."""
