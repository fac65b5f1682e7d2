"""Long work: jobs are kept by the store, delivered by a queue, done in children that can die."""
