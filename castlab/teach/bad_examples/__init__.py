"""Bad examples: a defect is wanted, searched for, proved, handed out."""
