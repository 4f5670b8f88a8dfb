"""The yard's use cases as commands, one module a family; each has --json."""
