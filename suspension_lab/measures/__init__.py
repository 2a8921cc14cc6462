"""How much, in one number with a unit."""
