"""A part of one's own: typed in or read from a file, seen from three sides, poured, fed where it is hot."""
