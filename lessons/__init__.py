"""Lessons of a shop instructor, each a short script that runs on the yard pickup and prints what happens."""
