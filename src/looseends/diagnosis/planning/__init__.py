"""What to do next and in which order: routes, and what each check, look or repeat would tell."""
