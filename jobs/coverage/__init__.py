"""Whether somebody other than the customer pays for a complaint, and exactly why. Pure.

`terms` holds what is promised, `facts` what is known, `spans` counts months and distance,
`judging` holds one promise against the facts, `deciding` all of them, `why` and `sentences` tell
the reason, `warning` looks ahead.
"""
