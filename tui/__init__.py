"""The terminal interface: it asks `advisor` and decides nothing of the domain itself."""
