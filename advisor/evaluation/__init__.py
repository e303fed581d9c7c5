"""How good the advice is, on batches whose fault is known: scores, tables and disturbances."""
