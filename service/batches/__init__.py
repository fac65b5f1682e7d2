"""Many kits from one request: counted, checked and expanded."""
