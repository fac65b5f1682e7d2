"""What is drawn or punched on a piece beside its outline: holes, lines, arrows, letters."""
