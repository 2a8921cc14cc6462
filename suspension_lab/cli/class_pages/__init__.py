"""The lessons as pages without code: what Voila is told, its page, and kernels that start in no time.

Only loaded where Voila is installed.
"""
