"""The command line: `suspension-lab open`, `check` and `run`."""
