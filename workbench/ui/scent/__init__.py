"""The scent in the window: how it unfolds, what is wished of it, and trials on paper strips."""
