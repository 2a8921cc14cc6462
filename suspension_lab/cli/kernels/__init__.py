"""How both views get a lesson's Python early: the first page's is asked for at once, and every one is forked."""
