"""What an exercise and an answer are, said in words, and the bench that a student hands in from."""
