"""Keeping what was recorded: backups, copies, looking through, erasing, and a window that only reads."""
