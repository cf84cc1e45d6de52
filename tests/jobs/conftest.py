from tests.jobs.along import crew

__all__ = ["crew"]
