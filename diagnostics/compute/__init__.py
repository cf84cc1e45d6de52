"""What a measurement means: one file per physics. Pure."""
