"""Long work beside the kernel: the lock, the processes, the row with bar and Stop."""
