"""The melt for a casting: what to weigh in, set and wait for, and the pour sheet."""
