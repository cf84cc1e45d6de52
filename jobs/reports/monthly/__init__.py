"""The monthly report as a paper: made step by step, issued, revised, mailed."""
