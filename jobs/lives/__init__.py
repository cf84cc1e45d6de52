"""Lives of units as the statistics count them: the rules, without a database. Pure."""
