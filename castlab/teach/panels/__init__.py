"""What stands under a bench: cures side by side, how sure the verdict is, the window map."""
