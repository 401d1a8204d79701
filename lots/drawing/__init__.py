"""Floor 3: frozen records become SVG text, the same on screen and on paper. Classes only; knows no Django."""
