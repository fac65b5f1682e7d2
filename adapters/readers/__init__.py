"""Readers of written files, each by another hand than its writer; they import no writer."""
