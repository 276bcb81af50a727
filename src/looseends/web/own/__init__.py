"""Vehicles of the shop's own, known by tape: described in a form or by a program, kept in the store and in a folder."""
