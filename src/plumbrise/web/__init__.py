"""The local page: one drawing sheet in a browser, served from this computer to this computer."""
