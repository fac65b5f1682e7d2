"""Quilt plans, yardage and finishing, from requests to answers.

Nothing is imported here, because kits need few of these modules and a start is quicker without.
"""
