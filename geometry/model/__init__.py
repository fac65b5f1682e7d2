"""The plain value types used by all other modules."""
