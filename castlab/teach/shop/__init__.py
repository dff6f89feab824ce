"""The shop's own book on the screen: entries written down, what they say, pours, settings kept."""
