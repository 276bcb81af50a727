"""What people and devices send, read and checked field by field, and recorded."""
