"""Floor 6: the only room that writes the book. One public function for each human act, one transaction, one entry."""
