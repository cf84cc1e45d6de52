"""What can stop a start."""


class StartProblem(Exception):
    """Why the server does not start and what to do about it: one sentence for the console."""
