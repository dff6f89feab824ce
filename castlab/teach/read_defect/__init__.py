"""Lesson 10's castings: drawn by lot, sawn, with evidence and causes to choose from."""
