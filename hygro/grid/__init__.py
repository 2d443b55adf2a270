"""From a wall model to cells: spacing, faces, packed curves."""
