"""Everything a person touches: the window and the command line."""
