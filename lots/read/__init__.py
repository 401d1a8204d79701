"""Floor 5: questions. Rows in, frozen records out; one file for each question; nothing is written here."""
