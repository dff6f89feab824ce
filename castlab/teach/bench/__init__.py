"""The bench: sliders as widgets, the computed casting, picture and sentence; questions and tasks about it."""
