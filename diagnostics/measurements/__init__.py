"""What can be worked out at the car: for each kind, what is asked and what follows. Pure."""
