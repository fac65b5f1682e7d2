"""Writers of cut plans as files for machines, and readers that verify them.

An adapter writes the plan's strokes unchanged: it never compensates, orders or moves them. It lists
what its format cannot hold. Readers share no code with writers.
"""
