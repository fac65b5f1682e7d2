"""The sandbox's processes: limits, the end with their parent, no network and no files.

Computations, plug-ins and the nester all run in processes that are bounded by this package. It
stands with the adapters because plug-ins are theirs; it knows none of the three.
"""
