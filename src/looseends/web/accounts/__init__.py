"""Who is there: accounts, sessions, keys, links that are good once, and what each may do."""
