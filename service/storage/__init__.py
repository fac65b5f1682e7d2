"""Kits and cutters that outlive the process: rows in a database, each kit's files in one file."""
