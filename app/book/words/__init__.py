"""The words of a line at the counter, read over the vocabulary of the book."""
