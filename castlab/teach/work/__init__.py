"""Long work beside the kernel (lock, processes, bar and Stop), and what everything shown has in common."""
