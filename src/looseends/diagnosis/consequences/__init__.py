"""What worn parts do: each one's share of the free travel, the repair that is enough, and what the road makes of it."""
