"""What every reading of a setup would be in every state of every part: computed once, kept on disk."""
