"""Migrations of the store's tables, run when it is opened."""
