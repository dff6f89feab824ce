"""Words, whoever says them: markup, the reader's units, cautions, glossary."""
