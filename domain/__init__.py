"""Recipe arithmetic for bake shops: pure computation, no web framework, no clock, no state."""
