"""Labels, gift card and batch sheet in the window: choose, look, save, print."""
