"""Pages to touch: a bench's castings computed beforehand, in one file that needs no Python and no network."""
