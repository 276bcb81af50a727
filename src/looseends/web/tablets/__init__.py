"""Getting a tablet on: the school's own certificates, and the steps for each kind of tablet."""
