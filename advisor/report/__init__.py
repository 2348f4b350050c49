"""Documents and their renderers."""
