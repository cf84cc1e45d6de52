"""Stored flags in, meaning out. Pure."""
