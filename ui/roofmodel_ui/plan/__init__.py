"""The plan: canvas, picking and labels. It knows millimetres and pixels, and no files."""
