"""Returned work: read without trust, held against a model answer, given marks."""
