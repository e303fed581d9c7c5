"""Pure calculations with published checks. Knows nothing of rules or of input and output."""
