"""What the service answers."""
