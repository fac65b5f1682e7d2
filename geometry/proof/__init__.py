"""Second measurements: each promise checked by a method that shares no code with its maker."""
