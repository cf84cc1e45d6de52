"""The owner's reports: what fails, what comes back, what it costs, and how sure that is."""
