"""Pictures: what is shown (scene), on which pixels (raster), drawn (picture), packed (png)."""
