"""What the posterior, the law and a shop's policy make of every part, with grounds and remarks."""
