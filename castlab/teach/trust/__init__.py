"""Rules beside the computed casting, and the checks that say how far to trust it."""
