"""Pages for people, rendered here: no script needed, nothing loaded from anywhere."""
