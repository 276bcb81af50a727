"""From what was observed to which parts are worn, and how far: sets of worn parts, weighed."""
