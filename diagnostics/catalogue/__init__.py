"""The catalogue as a shop writes it: text files in, checked definitions out. Pure."""
