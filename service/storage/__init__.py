"""The store of kits, cutters, jobs and keys: rows in a database, and one zip for each kit."""
