"""The revisions of the database, oldest first."""
