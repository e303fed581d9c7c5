"""Everything a base holds as linked entries: to list, search, show, publish and draw."""
