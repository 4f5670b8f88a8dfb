"""What the rules come to, kept as rows, and how they are read for an ask."""
