"""The sentences of an answer, made from the facts that decided it."""
