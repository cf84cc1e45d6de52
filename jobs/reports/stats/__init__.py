"""Reliability statistics over counts at distinct times. Pure: no database, no clock."""
