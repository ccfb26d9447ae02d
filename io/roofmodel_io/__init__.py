"""Everything that is a file: the project file, roofing systems, pictures, drawings, tables."""
