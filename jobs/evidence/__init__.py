"""What a payer's claim must show, and what of it is missing. Pure."""
