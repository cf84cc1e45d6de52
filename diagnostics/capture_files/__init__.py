"""How an instrument's text file is read, step by step: captures.py is the way in. Pure."""
