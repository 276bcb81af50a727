"""Judgements as a bay keeps them, what goes on from reading to reading, and tables prepared beside."""
