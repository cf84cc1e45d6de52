"""The demo's eighteen months: drawn from stated laws, and written in bulk after told jobs.

fixtures/demo/truth.yaml states the laws. What is told through the services is the pattern: each job
of the history is such a job again, on another vehicle, on another day.
"""
