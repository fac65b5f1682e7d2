"""The sandbox: computations run in child processes with limits, all but simple outlines.

Nothing is imported here, because the nester's process imports this package and starts in a tenth
of a second.
"""
