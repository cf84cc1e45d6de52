"""The demo world: two workshops, their people and vehicles, and what happened there.

What the world holds is written in fixtures/demo for people to read; here it is lived through,
act by act, by the services that the screens use.
"""
