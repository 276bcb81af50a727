"""How answers are given: pages from templates, the language of who asks, headers, files in pieces, refusals."""
