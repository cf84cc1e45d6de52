"""Sections of the report: from counts to sentences, charts and tables."""
