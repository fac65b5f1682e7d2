"""Cut plans as files that machines read, and readers that prove them.

An adapter writes what the plan says and nothing else: it never compensates, orders or moves a
stroke. What its format cannot hold it lists. Readers share no code with writers.
"""
