"""The computed casting: a layout becomes a grid, freezes, and pays for its shrinkage."""
