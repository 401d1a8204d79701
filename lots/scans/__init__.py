"""Floor 6: openings of pack pages, a purgeable table outside the book. The only thing that `public` may write."""
