"""Paper: pages with margins, text that fits, tables, drawings at a true scale."""
