"""What is asked of a payer for a complaint, until when, and what came of it. Pure."""
