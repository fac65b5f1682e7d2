"""Where an outline fits: beside another with the gap about it, and within a bed of any shape."""
