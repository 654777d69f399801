"""Virtual clock, fake devices and sample builders for tests and contributors."""
