"""Running the service: ASGI layers around the application, and uvicorn under it."""
