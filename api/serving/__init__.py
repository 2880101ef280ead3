"""Running it: what stands around the application, as plain ASGI layers, and the server under it."""
