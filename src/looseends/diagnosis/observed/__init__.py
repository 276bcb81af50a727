"""What was seen, read, felt and told in a visit, laid against the tables: how likely each reading is."""
