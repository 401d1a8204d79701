"""Tables of the desk: ruled lines, figures that align, a file for a spreadsheet."""
