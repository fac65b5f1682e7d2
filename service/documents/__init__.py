"""The printed page for the bench: what to load, cut, check and mind."""
