"""Floor 7: papers and files to hand on. PDF, CSV, XLSX; renders `templates/paper` and `templates/parts` only."""
