"""Background jobs: stored in the database, delivered by a queue, run in child processes."""
