"""The worksheet functions: the registry, the gate in front of them, what they calculate, their working."""
