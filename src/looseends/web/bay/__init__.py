"""What a tablet beside the vehicle is given: the underside plan, the checks as cards, their order, and the answers."""
