"""What each lesson is made of: its benches, questions and tasks; one module a notebook, of the same name."""
