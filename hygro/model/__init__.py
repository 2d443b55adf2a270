"""The physical model of a wall: frozen, SI, free of files."""
