"""Visits as pages and addresses find them and tell of them, up to the handover."""
