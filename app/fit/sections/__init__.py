"""Section properties of rails: closed forms, what they say in words, and what boxing a length of rail does."""
