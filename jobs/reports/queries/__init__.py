"""What the reports ask of the database: grouped, so that no row is walked in Python."""
