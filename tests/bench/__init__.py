"""Measurements in numbers: script/bench runs them. Nothing here is collected by the tests."""
