"""Printed documents for the bench: run sheet, labels and pictures."""
