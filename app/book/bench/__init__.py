"""The bench: frames, surveys and patterns of the book as shapes, held against each other."""
