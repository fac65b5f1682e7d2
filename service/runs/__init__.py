"""One run: its pieces laid out, checked a second time, and planned load by load."""
