"""The compiled form of the rulebook and what evaluates it."""
