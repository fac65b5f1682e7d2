"""What callers may ask: schemas and the values they load into."""
