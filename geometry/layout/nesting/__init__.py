"""The general nester: what is asked of it, and what is made of its answers."""
