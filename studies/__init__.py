"""Long studies of how well the diagnosis does: `python -m studies [NAME ...] [ROW=a,b]`."""
