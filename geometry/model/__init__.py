"""Plain values that every other module of the project speaks in."""
