"""What a student did in the course: the record that is kept beside the lessons, and what is said of it."""
